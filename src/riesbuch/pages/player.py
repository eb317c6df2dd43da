"""The pages of the players."""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache, partial

from riesbuch.pages.drawings import (
    Drawing,
    drawing_page,
    images,
    player_drawing_paths,
    player_drawings,
)
from riesbuch.pages.handed_down import ranked, team_of_striker, titles_of
from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    bullets,
    escape,
    joined,
    link,
    section,
    sentences,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import PLAYERS_PAGE, Page, player_page
from riesbuch.questions.career import RANKS_TOLD, Appearance, Career, SeasonOfPlayer, career
from riesbuch.questions.who import Person
from riesbuch.trade.ids import PlayerId

_BEST_DAYS = 5


def players_with_page(past: Past) -> list[str]:
    """Everybody in the register or in a sheet who may be named, by identifier."""
    everybody = {*map(str, past.wording.register.players), *past.spans, *past.told_years}
    return sorted(player for player in everybody if past.wording.has_page(player))


def player_pages(past: Past, player: str) -> Iterator[Page]:
    """The page of a player and its pictures."""
    find = cache(partial(career, past.tables, Person(id=player, name=player)))
    draw = cache(lambda: player_drawings(past, player, find()))
    yield Page.at(player_page(player), lambda: _player_text(past, player, find(), draw()))
    for path in player_drawing_paths(past, player):
        yield drawing_page(path, draw)


def players_pages(past: Past, players: Sequence[str]) -> Iterator[Page]:
    """The list of the ``players`` that have a page, where there are any."""
    if players:
        yield Page.at(PLAYERS_PAGE, partial(_players_text, past, players))


def _players_text(past: Past, players: Sequence[str]) -> str:
    """The list of all players, by the letter that their identifier begins with."""
    wording = past.wording
    by_letter: dict[str, list[Markdown]] = {}
    for player in players:
        name = wording.player(player, wording.newest, PLAYERS_PAGE)
        span = past.spans.get(player)
        years = wording.years(*span) if span else wording.say("no match on record")
        told = past.told_years.get(player)
        if told:
            of_told = wording.years(told[-1], told[0])
            of_told = wording.say("{years} (handed down)", years=of_told)
            years = joined([of_told, years]) if span else of_told
        known = wording.register.players.get(PlayerId(player))
        clubs = [wording.club(member.club, PLAYERS_PAGE) for member in known.clubs] if known else []
        by_letter.setdefault(player[0].upper(), []).append(joined([name, years, *clubs]))
    counts = wording.counted(
        len(players), "{count} person has a page.", "{count} people have a page."
    )
    years = wording.say("The years are those of the first and the last match on record.")
    return wording.page(
        PLAYERS_PAGE,
        wording.say("Players"),
        sentences(counts, years),
        *(section(2, escape(letter), bullets(items)) for letter, items in by_letter.items()),
    )


def _player_text(past: Past, player: str, found: Career, drawings: Sequence[Drawing]) -> str:
    wording, here = past.wording, player_page(player)
    return wording.page(
        here,
        wording.player(player, wording.newest),
        bullets(_facts(past, player, here)),
        _sums(past, found),
        *images(here, drawings),
        _seasons(past, found.seasons, here),
        _distinctions(past, found, here),
        _told_seasons(past, found, here),
        wording.titled(
            "Titles",
            titles_of(past, (title for title in past.titles if title.player == player), here),
        ),
        _best_days(past, found, here),
        _milestones(past, found, here),
        ways=[link(here, PLAYERS_PAGE, wording.say("Players"))],
    )


def _facts(past: Past, player: str, here: str) -> Iterator[Markdown]:
    wording = past.wording
    known = wording.register.players.get(PlayerId(player))
    if known is None:
        return

    def names(players: Iterable[PlayerId]) -> Markdown:
        return wording.listed(wording.player(player, wording.newest, here) for player in players)

    if known.clubs:
        clubs = [
            wording.club(member.club, here)
            if member.since is None
            else wording.say(
                "{club} (from {year})",
                club=wording.club(member.club, here),
                year=wording.year(member.since),
            )
            for member in known.clubs
        ]
        yield wording.say("Clubs: {clubs}", clubs=joined(clubs))
    if known.parents:
        yield wording.say("Child of {names}", names=names(known.parents))
    children = past.children.get(PlayerId(player), ())
    if children:
        yield wording.say("Children in the records: {names}", names=names(children))


def _sums(past: Past, found: Career) -> Markdown:
    wording = past.wording
    if not found.appearances:
        return wording.say("No match with known points is on record.")
    return sentences(
        wording.counted(
            len(found.appearances),
            "{count} match with {points} points; {known} known strike by strike.",
            "{count} matches with {points} points; {known} known strike by strike.",
            points=wording.number(found.points),
            known=wording.number(found.strike_by_strike),
        ),
        wording.say(
            "That is {strikes}, {average} points per strike and {nummern}.",
            strikes=wording.counted(found.strikes, "{count} strike", "{count} strikes"),
            average=wording.average(found.struck_points, found.strikes),
            nummern=wording.counted(found.nummern, "{count} Nummer", "{count} Nummern"),
        )
        if found.strikes
        else NOTHING,
        wording.counted(
            found.unknown,
            "Of {count} more match the points are not known.",
            "Of {count} more matches the points are not known.",
        )
        if found.unknown
        else NOTHING,
        wording.counted(
            found.named,
            "In {count} match no more is known than that the player is named, with the points; it"
            " earns no rank points.",
            "In {count} matches no more is known than that the player is named, with the points;"
            " they earn no rank points.",
        )
        if found.named
        else NOTHING,
    )


def _seasons(past: Past, seasons: Sequence[SeasonOfPlayer], here: str) -> Markdown:
    if not seasons:
        return NOTHING
    wording = past.wording

    def rank(row: SeasonOfPlayer) -> int | None:
        known = past.competitions.get((row.season, row.competition))
        is_played_out = known is not None and known.complete
        is_told = row.rank is not None and row.rank <= RANKS_TOLD
        return row.rank if is_played_out and is_told else None

    return wording.titled(
        "Seasons",
        table(
            seasons[::-1],
            wording.column("Season", lambda row: wording.year(row.season)),
            wording.column(
                "Competition", lambda row: past.competition(here, row.season, row.competition)
            ),
            wording.column("Team", lambda row: wording.team(row.team, here)),
            wording.figure_column("Matches", lambda row: row.matches),
            wording.figure_column("Strikes", lambda row: row.strikes or None),
            wording.figure_column("Points", lambda row: row.points),
            wording.figure_column(
                "Average", lambda row: wording.average(row.struck_points, row.strikes)
            ),
            wording.figure_column("Best match", lambda row: row.best),
            wording.figure_column(
                "Rank points", lambda row: row.rank_points if row.rank is not None else None
            ),
            wording.figure_column("Rank", rank),
        ),
        wording.say(
            "The rank is told of the first {count} once a competition is played out.",
            count=wording.number(RANKS_TOLD),
        ),
    )


def _told_seasons(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    return (
        wording.titled(
            "Seasons handed down",
            table(
                found.told[::-1],
                wording.column("Season", lambda row: wording.season(row.season, here)),
                wording.column(
                    "Competition", lambda row: past.competition(here, row.season, row.competition)
                ),
                wording.column("Team", partial(team_of_striker, past, here)),
                *ranked(past, found.told),
                wording.column("Source", lambda row: past.told_source(row.source, row.reference)),
            ),
            wording.say("No sheet has the player in these seasons; they are in no sum."),
        )
        if found.told
        else NOTHING
    )


def _distinctions(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    return wording.titled(
        "Classes and awards",
        bullets(
            wording.say(
                "{competition}, {year}: {award}"
                if won.of_class is None
                else "{competition}, {year}: first of the class {name}",
                competition=past.competition(here, won.season, won.competition),
                year=wording.year(won.season),
                award=escape(won.award or ""),
                name=escape(won.of_class or ""),
            )
            for won in reversed(found.distinctions)
        ),
    )


def _best_days(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    best = sorted(found.appearances, key=lambda day: (-day.points, day.date, day.sheet))
    told = best[:_BEST_DAYS]

    def known(row: Appearance) -> Markdown:
        return NOTHING if row.named_by is None else wording.named_by(row.named_by)

    return wording.titled(
        "Best days",
        table(
            told,
            wording.column("Match", lambda row: wording.match(row.sheet, row.date, here)),
            wording.column("Team", lambda row: wording.team(row.team)),
            wording.column("Opponent", lambda row: wording.team(row.opponent, here)),
            wording.figure_column("Points", lambda row: row.points),
            wording.figure_column("Best strike", lambda row: row.best_strike),
            wording.column("Known", known)
            if any(day.named_by is not None for day in told)
            else None,
        ),
    )


def _milestones(past: Past, found: Career, here: str) -> Markdown:
    wording = past.wording
    items = [
        wording.say(
            "First match on record: {date}"
            if (milestone.of, milestone.number) == ("matches", 1)
            else "Match number {number}: {date}"
            if milestone.of == "matches"
            else "Point number {number}: {date}",
            number=wording.number(milestone.number),
            date=wording.match(milestone.sheet, milestone.date, here),
        )
        for milestone in found.milestones
    ]
    for run in found.longest_runs[:1]:
        items.append(
            wording.say(
                "Most matches of a team in a row: {number} of {team}, from {since} to {until}",
                number=wording.number(len(run.sheets)),
                team=wording.team(run.team),
                since=wording.date(run.since),
                until=wording.date(run.until),
            )
        )
    if len(found.appearances) > 1:
        last = found.appearances[-1]
        date = wording.match(last.sheet, last.date, here)
        items.append(wording.say("Last match on record: {date}", date=date))
    return wording.titled("Milestones", bullets(items))
