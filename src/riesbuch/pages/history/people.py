"""The pages of people, the families and how many played, and that of what is missing."""

from collections.abc import Iterator
from itertools import groupby

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    chapters,
    escape,
    in_chapters,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.past import Past, Told
from riesbuch.pages.wording import Wording
from riesbuch.questions.career import BANDS, YearOfPeople, participation
from riesbuch.questions.families import Together, families
from riesbuch.questions.honours import SeasonGaps, season_gaps, sources
from riesbuch.trade.ids import PlayerId

_TOGETHER = 5
"""So many of each number of generations."""
_DEEPEST = 6
"""Lists within lists that readers of Markdown still show; below it another tree begins."""
_LARGEST = 100_000
"""Trees of more characters name people without links, so that a phone can load the page."""
_NOT_NAMED = "_"
"""Behind all letters."""

_Tree = list[Markdown]
"""The lines of a nested list, one for each of a family."""
_Trees = dict[str, list[_Tree]]


def families_text(past: Past, here: str) -> Markdown:
    wording, found = past.wording, families(past.tables)
    together = [
        row
        for _, rows in groupby(found.together, lambda row: len(row.players))
        for row in [*rows][:_TOGETHER]
    ]
    more = len(found.together) - len(together)
    by_letter = _trees(past, here)
    if sum(len(line) for trees in by_letter.values() for tree in trees for line in tree) > _LARGEST:
        by_letter = _trees(past, None)

    def who(row: Together) -> Markdown:
        players = (wording.player(player, wording.newest, here) for player in row.players)
        return wording.listed(players)

    shown = table(
        together,
        wording.column("Who", who),
        wording.column("Team", lambda row: wording.team(row.team, here)),
        wording.figure_column("Matches", lambda row: row.matches),
        wording.column("First", lambda row: wording.match(row.first_sheet, row.first, here)),
    )
    all_of_them = wording.counted(
        more,
        "{count} line more: `riesbuch families` lists all.",
        "{count} lines more: `riesbuch families` lists all.",
    )
    titled = [
        (
            wording.say("Not named in full") if letter == _NOT_NAMED else escape(letter),
            Markdown("\n".join(line for tree in trees for line in tree)),
        )
        for letter, trees in by_letter.items()
    ]
    if together:
        side_by_side = stacked(shown, all_of_them if more > 0 else NOTHING)
        titled.append((wording.say("Side by side in one match"), side_by_side))
    return stacked(
        sentences(
            wording.say(
                "Each tree leads from parents to children, as far as the register has them; in"
                " brackets the first and the last year on record. The other parent stands behind"
                " “with”."
            )
            if by_letter
            else wording.say("No parents and children are on record."),
            wording.say(
                "Of {count} matches that count, who struck is known of {known}, at least on one"
                " side.",
                count=wording.number(found.matches),
                known=wording.number(found.players_known),
            ),
        ),
        chapters(titled),
    )


def _trees(past: Past, here: str | None) -> _Trees:
    """By the letter that the identifier of the oldest begins with; last those of whom he or she is
    not named in full. Who has two parents on record stands below the one who has parents on record
    too, or is named first."""
    wording = past.wording
    parents = {
        child: [parent for parent in dict.fromkeys(person.parents) if parent != child]
        for child, person in sorted(past.archive.register.players.items())
        if person.parents
    }
    below: dict[PlayerId, dict[tuple[PlayerId, ...], list[PlayerId]]] = {}
    elsewhere: dict[PlayerId, dict[PlayerId, None]] = {}
    for child, of_child in parents.items():
        above = next((parent for parent in of_child if parents.get(parent)), None)
        for parent in of_child[:1] if above is None else [above]:
            others = tuple(other for other in of_child if other != parent)
            below.setdefault(parent, {}).setdefault(others, []).append(child)
            for other in others:
                elsewhere.setdefault(other, {})[parent] = None

    def named(person: PlayerId) -> Markdown:
        span = past.spans.get(person)
        years = wording.years(*span) if span else wording.say("no match on record")
        return Markdown(f"{wording.player(person, wording.newest, here)} ({years})")

    told: set[PlayerId] = set()

    def lines(person: PlayerId, depth: int) -> Iterator[Markdown]:
        text, families = named(person), below.get(person, {})
        if person in told or (depth >= _DEEPEST and families):
            families = {}
        told.update([person] if families else [])
        for others in families if len(families) == 1 else ():
            if others:
                mates = wording.listed(map(named, others))
                text = wording.say("{who} with {others}", who=text, others=mates)
        if person in elsewhere:
            named_there = (wording.player(each, wording.newest, here) for each in elsewhere[person])
            others_there = wording.listed(named_there)
            text = wording.say(
                "{who}; children are listed below {others}", who=text, others=others_there
            )
        yield Markdown(f"{'  ' * depth}- {text}")
        for others, children in families.items():
            deeper = depth + 1
            if others and len(families) > 1:
                mates = wording.say("with {others}", others=wording.listed(map(named, others)))
                yield Markdown(f"{'  ' * deeper}- {mates}")
                deeper += 1
            for child in children:
                yield from lines(child, deeper)

    by_letter: _Trees = {}
    # Where somebody is an own ancestor, which is an error in the files, nobody is the oldest.
    waiting = sorted(below, key=lambda who: (bool(parents.get(who)), not past.is_named(who), who))
    for root in waiting:
        if root not in told:
            letter = root[0].upper() if past.is_named(root) else _NOT_NAMED
            by_letter.setdefault(letter, []).append([*lines(root, 0)])
    return {letter: by_letter[letter] for letter in sorted(by_letter)}


def sources_text(past: Past, here: str) -> Markdown:
    wording = past.wording
    columns: tuple[PageColumn[SeasonGaps], ...] = (
        wording.column("Season", lambda row: wording.season(row.season, here)),
        wording.figure_column("Sheets", lambda row: row.sheets),
        wording.figure_column("Matches missing", lambda row: row.missing if row.planned else None),
        wording.figure_column(
            "Known in less detail", lambda row: row.sheets - row.strike_by_strike
        ),
        wording.figure_column("Winner unknown", lambda row: row.no_winner),
        wording.figure_column("Of these, no source", lambda row: row.no_source),
        wording.figure_column("Drafts", lambda row: row.drafts),
    )
    return stacked(
        wording.say(
            "What is missing here may lie in somebody’s attic: an old match sheet, a cutting from"
            " the newspaper, a page of the minute book, a photograph of a result board. Whoever"
            " has something tells the secretary, even if it is the winner alone."
        ),
        wording.say(
            "The page of each season names the matches that are known in less detail and"
            " everything doubtful. A dash: nobody said how many matches there were to be."
        ),
        in_chapters(
            season_gaps(past.tables),
            lambda row: wording.decade(row.season),
            lambda rows: table(rows, *columns),
        ),
        wording.sources(sources(past.tables)),
        _told_sources(past, here),
    )


def _told_sources(past: Past, here: str) -> Markdown:
    """Each source of a table or title, with the competition that it tells of."""
    wording = past.wording
    rows = [
        (key, what, source)
        for key, told in sorted(past.told.items(), key=lambda item: (-item[0][0], item[0][1]))
        for what, of_kind in (
            (wording.say("Table"), told.tables),
            (wording.say("Striker table"), told.striker_tables),
            (wording.say("Honours"), _of_titles_alone(told)),
        )
        for source in of_kind
    ]
    return wording.titled(
        "Handed down without sheets",
        table(
            rows,
            wording.column("Season", lambda row: wording.season(row[0][0], here)),
            wording.column("Competition", lambda row: past.competition(here, *row[0])),
            wording.column("Known", lambda row: row[1]),
            wording.column("Source", lambda row: past.told_source(*row[2])),
        ),
    )


def _of_titles_alone(told: Told) -> list[tuple[str | None, str | None]]:
    """Sources that no table is from."""
    found = dict.fromkeys((title.source, title.reference) for title in told.titles)
    return [source for source in found if source not in {**told.tables, **told.striker_tables}]


def people_text(past: Past, here: str) -> Markdown:
    wording = past.wording
    bands = [*_bands(wording)] if wording.publishing.ages else []
    ages = wording.say(
        "Ages are those reached in the year, told in bands only. Where fewer than five are in the"
        " youngest band they are counted in the next (→)."
    )
    return stacked(
        sentences(
            wording.say(
                "Counted are all who stand in a striker table of the year; new are those in none"
                " before. Of a season on record in part there were more."
            ),
            ages if bands else NOTHING,
        ),
        in_chapters(
            participation(past.tables),
            lambda row: wording.decade(row.season),
            lambda rows: table(
                rows,
                wording.column("Season", lambda row: wording.season(row.season, here)),
                wording.figure_column("People", lambda row: row.people),
                wording.figure_column("New", lambda row: row.new),
                *(_band(wording, title, number) for number, title in enumerate(bands)),
                wording.column("On record", lambda row: _extent(past, row.season)),
            ),
        )
        or wording.say("No player's points are known yet."),
    )


def _extent(past: Past, season: int) -> Markdown:
    """Over all competitions of which it is known how many matches there were to be."""
    known = [row for row in past.overview if row.season == season and row.planned is not None]
    if not known:
        return NOTHING
    together = known[0]._replace(
        played=sum(row.played for row in known),
        planned=sum(row.planned or 0 for row in known),
        complete=all(row.complete for row in known),
    )
    return past.wording.extent(together)


def _bands(wording: Wording) -> Iterator[Markdown]:
    first, *others = BANDS
    yield wording.say("up to {age}", age=wording.number(first))
    below = first
    for age in others:
        yield Markdown(f"{below + 1}–{age}")
        below = age
    yield wording.say("{age} and over", age=wording.number(below + 1))
    yield wording.say("Age not known")


def _band(wording: Wording, title: Markdown, number: int) -> PageColumn[YearOfPeople]:
    def cell(row: YearOfPeople) -> Markdown | int:
        people = (*row.bands, row.not_known)[number]
        return Markdown("→") if people is None else people

    return wording.figures(title, cell)
