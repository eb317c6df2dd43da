"""The pages of the players."""

from collections.abc import Iterator, Sequence

from riesbuch.pages.club import years_between
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    Markdown,
    bullets,
    escape,
    fill,
    heading,
    joined,
    link,
    page,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.pages.paths import PLAYERS_PAGE, match_page, player_page
from riesbuch.questions.career import RANKS_TOLD, Appearance, Career, SeasonOfPlayer
from riesbuch.trade.ids import PlayerId

_BEST_DAYS = 5


def players_with_page(past: Past) -> list[str]:
    """Everybody in the register or in a sheet who may be named, by identifier."""
    everybody = {*map(str, past.wording.register.players), *past.spans}
    return sorted(each for each in everybody if past.wording.has_page(each))


def players_text(past: Past, players: Sequence[str]) -> str:
    """The list of all players, by the letter that their identifier begins with."""
    wording = past.wording
    by_letter: dict[str, list[Markdown]] = {}
    for player in players:
        name = wording.player(player, wording.newest, PLAYERS_PAGE)
        span = past.spans.get(player)
        years = years_between(*span) if span else wording.say("no match on record")
        known = wording.register.players.get(PlayerId(player))
        clubs = [wording.club(each.club, PLAYERS_PAGE) for each in known.clubs] if known else []
        by_letter.setdefault(player[0].upper(), []).append(joined([name, years, *clubs]))
    letters = [
        block
        for letter, items in by_letter.items()
        for block in (heading(2, escape(letter)), bullets(items))
    ]
    counts = wording.counted(
        len(players), "{count} person has a page.", "{count} people have a page."
    )
    return page(
        [
            heading(1, wording.say("Players")),
            past.ways(PLAYERS_PAGE),
            joined(
                [
                    counts,
                    wording.say("The years are those of the first and the last match on record."),
                ],
                " ",
            ),
            *letters,
        ]
    )


def player_text(past: Past, player: str, found: Career, drawings: Sequence[Drawing] = ()) -> str:
    wording, here = past.wording, player_page(player)
    name = wording.player(player, wording.newest)
    return page(
        [
            heading(1, name),
            past.ways(here, link(here, PLAYERS_PAGE, wording.say("Players"))),
            bullets(_facts(past, player, here)),
            _sums(past, found),
            *shown(here, drawings),
            *_seasons(past, found.seasons, here),
            *_best_days(past, found, here),
            *_milestones(past, found, here),
        ]
    )


def _facts(past: Past, player: str, here: str) -> Iterator[Markdown]:
    wording = past.wording
    known = wording.register.players.get(PlayerId(player))
    if known is None:
        return
    if known.clubs:
        clubs = [
            wording.club(each.club, here)
            if each.since is None
            else wording.say(
                "{club} (from {year})",
                club=wording.club(each.club, here),
                year=escape(str(each.since)),
            )
            for each in known.clubs
        ]
        yield wording.say("Clubs: {clubs}", clubs=joined(clubs))
    if known.parents:
        parents = wording.listed(
            wording.player(each, wording.newest, here) for each in known.parents
        )
        yield wording.say("Child of {names}", names=parents)
    children = past.children.get(PlayerId(player), ())
    if children:
        names = wording.listed(wording.player(each, wording.newest, here) for each in children)
        yield wording.say("Children in the records: {names}", names=names)


def _sums(past: Past, found: Career) -> Markdown:
    wording = past.wording
    if not found.appearances:
        return wording.say("No match with known points is on record.")
    sentences = [
        wording.counted(
            len(found.appearances),
            "{count} match with {points} points; {known} known strike by strike.",
            "{count} matches with {points} points; {known} known strike by strike.",
            points=wording.number(found.points),
            known=wording.number(found.strike_by_strike),
        )
    ]
    if found.strikes:
        sentences.append(
            wording.say(
                "That is {strikes}, {average} points a strike and {nummern}.",
                strikes=wording.counted(found.strikes, "{count} strike", "{count} strikes"),
                average=wording.average(found.struck_points, found.strikes),
                nummern=wording.counted(found.nummern, "{count} Nummer", "{count} Nummern"),
            )
        )
    if found.unknown:
        sentences.append(
            wording.counted(
                found.unknown,
                "Of {count} more match the points are not known.",
                "Of {count} more matches the points are not known.",
            )
        )
    return joined(sentences, " ")


def _seasons(past: Past, seasons: Sequence[SeasonOfPlayer], here: str) -> list[Markdown]:
    if not seasons:
        return []
    wording = past.wording
    rows = []
    for each in reversed(seasons):
        known = past.competitions.get((each.season, each.competition))
        rank = wording.unknown
        if known is not None and known.complete and each.rank <= RANKS_TOLD:
            rank = wording.number(each.rank)
        rows.append(
            [
                escape(str(each.season)),
                past.competition(here, each.season, each.competition),
                wording.team(each.team, here),
                wording.number(each.matches),
                wording.number(each.strikes or None),
                wording.number(each.points),
                wording.average(each.struck_points, each.strikes),
                wording.number(each.best),
                wording.number(each.rank_points),
                rank,
            ]
        )
    columns = [wording.column("Season"), wording.column("Competition"), wording.column("Team")]
    columns += [
        wording.figure_column("Matches"),
        wording.figure_column("Strikes"),
        wording.figure_column("Points"),
        wording.figure_column("Average"),
        wording.figure_column("Best match"),
        wording.figure_column("Rank points"),
        wording.figure_column("Rank"),
    ]
    return [
        heading(2, wording.say("Seasons")),
        table(columns, rows),
        wording.say(
            "The rank is told of the first {count} once a competition is played out.",
            count=wording.number(RANKS_TOLD),
        ),
    ]


def _best_days(past: Past, found: Career, here: str) -> list[Markdown]:
    if not found.appearances:
        return []
    wording = past.wording
    best = sorted(found.appearances, key=lambda each: (-each.points, each.date, each.sheet))
    rows = [
        [
            link(here, match_page(each.sheet), wording.date(each.date)),
            wording.team(each.team),
            wording.team(each.opponent, here),
            wording.number(each.points),
            wording.number(each.best_strike),
        ]
        for each in best[:_BEST_DAYS]
    ]
    columns = [
        wording.column("Match"),
        wording.column("Team"),
        wording.column("Opponent"),
        wording.figure_column("Points"),
        wording.figure_column("Best strike"),
    ]
    return [heading(2, wording.say("Best days")), table(columns, rows)]


def _milestones(past: Past, found: Career, here: str) -> list[Markdown]:
    wording = past.wording
    items = [
        fill(
            wording.say("First match on record: {date}")
            if (each.of, each.number) == ("matches", 1)
            else wording.say("Match number {number}: {date}")
            if each.of == "matches"
            else wording.say("Point number {number}: {date}"),
            number=wording.number(each.number),
            date=link(here, match_page(each.sheet), wording.date(each.date)),
        )
        for each in found.milestones
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
    last = _last(found.appearances)
    if last is not None and len(found.appearances) > 1:
        date = link(here, match_page(last.sheet), wording.date(last.date))
        items.append(wording.say("Last match on record: {date}", date=date))
    return [heading(2, wording.say("Milestones")), bullets(items)] if items else []


def _last(appearances: Sequence[Appearance]) -> Appearance | None:
    return appearances[-1] if appearances else None
