"""The pages of the history: honours, all-time table, families, people, the almanac, what is
missing, and the record book, of all clubs or of one."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import NamedTuple

from riesbuch.pages import paths
from riesbuch.pages.handed_down import title_words
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    PageColumn,
    bullets,
    escape,
    joined,
    link,
    section,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.past import Past, Told
from riesbuch.pages.wording import Wording
from riesbuch.questions.almanac import CHAMPION, DAYS_AHEAD, FIRST_MATCH, FOUNDED, Anniversary
from riesbuch.questions.career import BANDS, YearOfPeople, participation
from riesbuch.questions.chronicle import told_competitions
from riesbuch.questions.families import Families, families
from riesbuch.questions.honours import SeasonGaps, all_time_table, gaps, season_gaps, sources
from riesbuch.questions.ranked import Holder, Record, Scope
from riesbuch.questions.records import RecordBook, record_book
from riesbuch.trade.problems import listed_years

LEAST_STRIKES = 40
_MOST_HOLDERS = 3

_Part = tuple[str, Markdown, Markdown, Callable[[Past, str], Markdown]]
"""Where a page lies, its title, what it tells, and what makes it."""


def history_pages(past: Past) -> Iterator[paths.Page]:
    """The list of them, and each."""
    if not past.overview:
        return
    wording, parts = past.wording, _parts(past.wording)
    history = wording.say("History")

    def text(path: str, title: Markdown, _: Markdown, make: Callable[..., Markdown]) -> str:
        return wording.page(
            path, title, make(past, path), ways=[link(path, paths.HISTORY_PAGE, history)]
        )

    listed = bullets(
        joined([link(paths.HISTORY_PAGE, path, title), about], ": ")
        for path, title, about, _ in parts
    )
    yield paths.Page.at(
        paths.HISTORY_PAGE, lambda: wording.page(paths.HISTORY_PAGE, history, listed)
    )
    for part in parts:
        yield paths.Page.at(part[0], partial(text, *part))


def _parts(wording: Wording) -> tuple[_Part, ...]:
    say = wording.say
    return (
        (
            paths.HONOURS_PAGE,
            say("Honours"),
            say("champions, promoted and relegated teams and the best strikers of every season"),
            _honours,
        ),
        (paths.ALL_TIME_PAGE, say("All-time table"), say("all league seasons added up"), _all_time),
        (paths.RECORDS_PAGE, say("Record book"), say("highest, longest and closest"), _records),
        (
            paths.FAMILIES_PAGE,
            say("Families"),
            say("parents and children, and who struck side by side"),
            _families,
        ),
        (
            paths.PEOPLE_PAGE,
            say("How many people played"),
            say("how many people played each year"),
            _people,
        ),
        (paths.ALMANAC_PAGE, say("Almanac"), say("on this day, and round anniversaries"), _almanac),
        (
            paths.SOURCES_PAGE,
            say("Sources and gaps"),
            say("what is missing, and how to help"),
            _sources,
        ),
    )


def _honours(past: Past, here: str) -> Markdown:
    wording = past.wording

    def teams(listed: Iterable[str]) -> Markdown:
        return wording.listed(wording.team(team, here) for team in listed)

    def by_decision(listed: Iterable[str], note: str | None) -> Markdown:
        if note is None:
            return teams(listed)
        return wording.say(
            "{teams} (by decision: {note})",
            teams=teams(listed) if listed else wording.say("nobody"),
            note=wording.text(note),
        )

    remarks = {
        "played": NOTHING,
        "certain": wording.say("certain, though not played out or matches missing"),
        None: wording.say("not played out, or matches missing"),
    }
    missing = (
        wording.say(
            "{years}: no season is on record"
            if gap.competition is None
            else "{years}: no season of {competition} is on record",
            years=wording.years(gap.first, gap.last),
            competition=escape(gap.competition or ""),
        )
        for gap in gaps((*past.honours, *told_competitions(past.tables)))
    )
    return stacked(
        table(
            past.honours,
            wording.column("Season", lambda row: wording.season(row.season, here)),
            wording.column(
                "Competition", lambda row: past.competition(here, row.season, row.competition)
            ),
            wording.column("Champion", lambda row: teams(row.champions)),
            wording.column("Promoted", lambda row: by_decision(row.promoted, row.promotion_note)),
            wording.column(
                "Relegated", lambda row: by_decision(row.relegated, row.relegation_note)
            ),
            wording.column(
                "Best striker",
                lambda row: wording.listed(
                    wording.player(player, row.season, here) for player in row.best_strikers
                ),
            ),
            wording.column(
                "Best of each class",
                lambda row: joined(
                    (
                        wording.class_line(best.name, best.players, row.season, here)
                        for best in row.best_of_classes
                    ),
                    "; ",
                ),
            )
            if any(row.best_of_classes for row in past.honours)
            else None,
            wording.column("Remark", lambda row: NOTHING if row.complete else remarks[row.decided]),
        ),
        wording.titled(
            "Handed down",
            table(
                past.titles,
                wording.column("Season", lambda row: wording.season(row.season, here)),
                wording.column(
                    "Competition", lambda row: past.competition(here, row.season, row.competition)
                ),
                wording.column("Title", lambda row: title_words(past, row)),
                wording.column("Held by", lambda row: past.holder(row, here)),
                wording.column("Source", lambda row: past.told_source(row.source, row.reference)),
            ),
            wording.say("Titles that no sheets speak of, as they are handed down."),
        )
        if past.titles
        else NOTHING,
        wording.titled("Gaps", bullets(missing)),
    )


def _all_time(past: Past, here: str) -> Markdown:
    wording = past.wording
    return stacked(
        table(
            all_time_table(past.tables, past.honours),
            wording.figure_column("Rank", lambda row: row.rank),
            wording.column("Team", lambda row: wording.team(row.team, here)),
            wording.figure_column("Seasons", lambda row: row.seasons),
            *wording.total_columns(),
            wording.figure_column("Titles", lambda row: row.titles),
            wording.column("Years", lambda row: wording.years(row.first, row.last)),
        )
        or wording.say("No team has played yet."),
        past.ruling_notes(
            {(won.season, won.competition) for won in past.honours if won.kind == "league"},
            here,
            lambda ruling: ruling.nummern or ruling.points,
        ),
        wording.say(
            "All league seasons on record added up, most matches won first. Rank points are"
            " not added, since not every season gave as many. Gaps in the record are gaps in"
            " this table."
        ),
        _all_time_told(past, here),
    )


def _of_titles_alone(told: Told) -> list[tuple[str | None, str | None]]:
    """Sources that no table is from."""
    found = dict.fromkeys((title.source, title.reference) for title in told.titles)
    return [source for source in found if source not in {**told.tables, **told.striker_tables}]


class _ToldTeam(NamedTuple):
    team: str | None
    name: str | None
    seasons: tuple[int, ...]
    titles: int


def _all_time_told(past: Past, here: str) -> Markdown:
    """Who stood in tables of leagues of which no sheet has the team, also of clubs that are no
    more; most titles first."""
    wording = past.wording
    seasons: dict[tuple[str | None, str | None], set[int]] = {}
    titles: Counter[tuple[str | None, str | None]] = Counter()
    leagues = {(of.season, of.competition) for of in past.overview if of.kind == "league"}
    for told in (past.told[key] for key in past.told.keys() & leagues):
        for row in (row for rows in told.tables.values() for row in rows):
            if not past.has_played(row.team, row[:2]):
                seasons.setdefault((row.team, row.team_name), set()).add(row.season)
        for title in told.titles:
            if title.what == "champion" and title.player is None:
                titles[title.team, title.holder] += 1
                seasons.setdefault((title.team, title.holder), set()).add(title.season)
    rows = [_ToldTeam(*key, tuple(sorted(own)), titles[key]) for key, own in seasons.items()]
    rows.sort(key=lambda row: (-row.titles, -len(row.seasons), row.team or row.name or ""))
    return wording.titled(
        "Handed down",
        table(
            rows,
            wording.column(
                "Team",
                lambda row: (
                    wording.team(row.team, here) if row.team else wording.text(row.name or "")
                ),
            ),
            wording.figure_column("Seasons", lambda row: len(row.seasons)),
            wording.figure_column("Titles", lambda row: row.titles),
            wording.column("Years", lambda row: wording.years(row.seasons[0], row.seasons[-1])),
        ),
        wording.say(
            "League seasons known from a table or a title alone; they are not in the table above."
        )
        if rows
        else NOTHING,
    )


def _families(past: Past, here: str) -> Markdown:
    wording = past.wording
    found = families(past.tables)
    return stacked(
        stacked(_lines(past, found), _together(past, found))
        or wording.say("No parents and children are on record."),
        wording.say(
            "Of {count} matches that count, who struck is known of {known}, at least on one side.",
            count=wording.number(found.matches),
            known=wording.number(found.players_known),
        ),
    )


def _lines(past: Past, found: Families) -> Markdown:
    wording = past.wording
    lines = []
    for line in found.lines:
        parts = []
        for kin in line:
            name = wording.player(kin.player, wording.newest, paths.FAMILIES_PAGE)
            years = listed_years(kin.seasons) or wording.say("no match on record")
            parts.append(Markdown(f"{name} ({escape(years)})"))
        lines.append(joined(parts, " → "))
    if not lines:
        return NOTHING
    return wording.titled(
        "Lines of parents and children",
        wording.say("In brackets the seasons with a match on record."),
        bullets(lines),
    )


def _together(past: Past, found: Families) -> Markdown:
    wording, here = past.wording, paths.FAMILIES_PAGE
    return wording.titled(
        "Side by side in one match",
        table(
            found.together,
            wording.column(
                "Who",
                lambda row: wording.listed(
                    wording.player(player, wording.newest, here) for player in row.players
                ),
            ),
            wording.column("Team", lambda row: wording.team(row.team, here)),
            wording.figure_column("Matches", lambda row: row.matches),
            wording.column("First", lambda row: wording.match(row.first_sheet, row.first, here)),
        ),
    )


def _people(past: Past, here: str) -> Markdown:
    wording = past.wording
    bands = [*_bands(wording)] if wording.publishing.ages else []
    ages = wording.say(
        "Ages are those reached in the year, told in bands only. Where fewer than five are in the"
        " youngest band they are counted in the next (→)."
    )
    return stacked(
        table(
            participation(past.tables),
            wording.column("Season", lambda row: wording.season(row.season, here)),
            wording.figure_column("People", lambda row: row.people),
            wording.figure_column("New", lambda row: row.new),
            *(_band(wording, title, number) for number, title in enumerate(bands)),
        )
        or wording.say("No player's points are known yet."),
        sentences(
            wording.say(
                "Counted are all who stand in a striker table of the year; new are those in none"
                " before."
            ),
            ages if bands else NOTHING,
        ),
    )


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


def _almanac(past: Past, here: str) -> Markdown:
    wording = past.wording
    day, found = past.last_day, past.almanac
    if day is None or found is None:
        return wording.say("No match has been recorded yet.")

    def listed(has_day: bool) -> Markdown:
        return bullets(
            _anniversary(past, anniversary)
            for anniversary in found.anniversaries
            if (anniversary.day is not None) is has_day
        ) or wording.say("None on record.")

    return stacked(
        wording.say("Seen from the last match on record, {date}.", date=wording.date(day)),
        past.on_this_day(here),
        section(
            2,
            wording.say(
                "Round anniversaries of the {days} days after it", days=wording.number(DAYS_AHEAD)
            ),
            listed(True),
        ),
        section(
            2,
            wording.say("Round anniversaries of {year}", year=wording.year(day.year)),
            listed(False),
        ),
        wording.say(
            "First matches were looked for in {count} matches that count and have a date.",
            count=wording.number(found.searched),
        ),
    )


def _anniversary(past: Past, found: Anniversary) -> Markdown:
    wording, here = past.wording, paths.ALMANAC_PAGE
    years = wording.number(found.years)
    if found.what == FOUNDED:
        return wording.say(
            "{years} years: {club}, founded in {year}",
            years=years,
            club=wording.club(found.subject, here),
            year=escape(found.date),
        )
    team = wording.team(found.subject, here)
    if found.what == CHAMPION:
        return wording.say(
            "{years} years: {team} won {competition} (handed down)"
            if found.handed_down
            else "{years} years: {team} won {competition}",
            years=years,
            team=team,
            competition=past.competition(here, int(found.date), found.competition),
        )
    date = wording.date(found.date)
    if found.sheet is not None:
        date = link(here, paths.match_page(found.sheet), date)
    return wording.say(
        "{years} years: first match on record of {team}, {date}"
        if found.what == FIRST_MATCH
        else "{years} years: highest team total on record, {team} with {points} points, {date}",
        years=years,
        team=team,
        date=date,
        points=wording.number(found.points),
    )


def _sources(past: Past, here: str) -> Markdown:
    wording = past.wording
    under_way = any(not known.complete for known in past.overview if known.season == wording.newest)

    def missing(row: SeasonGaps) -> int | None:
        is_under_way = under_way and row.season == wording.newest
        return row.missing if row.planned and not is_under_way else None

    return stacked(
        wording.say(
            "What is missing here may lie in somebody’s attic: an old match sheet, a cutting from"
            " the newspaper, a page of the minute book, a photograph of a result board. Whoever"
            " has something tells the secretary, even if it is the winner alone."
        ),
        table(
            season_gaps(past.tables),
            wording.column("Season", lambda row: wording.season(row.season, here)),
            wording.figure_column("Sheets", lambda row: row.sheets),
            wording.figure_column("Matches missing", missing),
            wording.figure_column(
                "Known in less detail", lambda row: row.sheets - row.strike_by_strike
            ),
            wording.figure_column("Winner unknown", lambda row: row.no_winner),
            wording.figure_column("Of these, no source", lambda row: row.no_source),
            wording.figure_column("Drafts", lambda row: row.drafts),
        ),
        wording.say(
            "The page of each season names the matches that are known in less detail and"
            " everything doubtful. A dash: the season is under way, or nobody said how many"
            " matches there were to be."
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


def _records(past: Past, here: str) -> Markdown:
    book = record_book(past.tables, Scope(), LEAST_STRIKES, ages=False)
    return records_table(past, book, here) or past.wording.say("There are no records yet.")


def records_table(past: Past, book: RecordBook, here: str) -> Markdown:
    """The records that somebody holds, and what they rest on; empty where nobody does."""
    wording = past.wording
    rows = [
        # What the record is stands beside its first holder alone.
        (record if number == 0 else None, holder)
        for record in book.records
        for number, holder in enumerate(_holders(past, record, here))
    ]
    if not rows:
        return NOTHING
    return stacked(
        table(
            rows,
            wording.column("Record", lambda row: _kind(wording, row[0]) if row[0] else NOTHING),
            wording.figure_column("Figure", lambda row: row[0].value if row[0] else NOTHING),
            wording.column("Held by", lambda row: row[1]),
        ),
        sentences(
            wording.counted(
                book.matches,
                "These records rest on {count} match; {known} known strike by strike on both"
                " sides.",
                "These records rest on {count} matches; {known} known strike by strike on both"
                " sides.",
                known=wording.number(book.strike_by_strike),
            ),
            wording.say(
                "The average is that of a season with at least {count} strikes.",
                count=wording.number(LEAST_STRIKES),
            ),
        ),
    )


def _kind(wording: Wording, record: Record) -> Markdown:
    return {
        "team_points": wording.say("Highest team total"),
        "ries": wording.say("Highest Ries total"),
        "match_points": wording.say("Most points of a player in a match"),
        "season_average": wording.say("Highest average of a season"),
        "clean_run": wording.say("Matches in a row without conceding a Nummer"),
        "winning_run": wording.say("Matches won in a row"),
        "closest": wording.say("Closest match: points apart, level on Nummern"),
        "nummern": wording.say("Most Nummern conceded in a match"),
    }[record.kind]


def _holders(past: Past, record: Record, here: str) -> list[Markdown]:
    shown = [_holder(past, holder, here) for holder in record.holders[:_MOST_HOLDERS]]
    more = len(record.holders) - len(shown)
    if more > 0:
        shown.append(past.wording.say("and {count} more", count=past.wording.number(more)))
    return shown


def _holder(past: Past, holder: Holder, here: str) -> Markdown:
    wording = past.wording
    team = wording.team(holder.team, here)
    who = team
    if holder.player is not None:
        player = wording.player(holder.player, holder.season, here)
        who = wording.say("{player} ({team})", player=player, team=team)
    if holder.named_by is not None:
        who = joined([who, wording.named_by(holder.named_by)])
    if holder.opponent is not None:
        who = wording.say(
            "{who} against {opponent}", who=who, opponent=wording.team(holder.opponent, here)
        )
    return joined([who, _when(past, holder, here)])


def _when(past: Past, holder: Holder, here: str) -> Markdown:
    wording, sheets = past.wording, holder.sheets
    if not sheets or holder.date is None:
        return wording.season(holder.season, here)
    first = wording.match(sheets[0], holder.date, here)
    if len(sheets) < 2 or holder.until is None:
        return first
    last = wording.match(sheets[-1], holder.until, here)
    return wording.say("{first} to {last}", first=first, last=last)
