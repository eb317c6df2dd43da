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
from riesbuch.questions.career import Appearance, Career, SeasonOfPlayer
from riesbuch.questions.fingerprints import RANKS_TOLD
from riesbuch.trade.ids import PlayerId

_BEST_DAYS = 5


def players_with_page(past: Past) -> list[str]:
    """Everybody in the register or in a sheet who may be named, by identifier."""
    everybody = {*map(str, past.pen.register.players), *past.spans}
    return sorted(each for each in everybody if past.pen.has_page(each))


def players_text(past: Past, players: Sequence[str]) -> str:
    """The list of all players, by the letter that their identifier begins with."""
    pen = past.pen
    by_letter: dict[str, list[Markdown]] = {}
    for player in players:
        name = pen.player(player, pen.newest, PLAYERS_PAGE)
        span = past.spans.get(player)
        years = years_between(*span) if span else pen.say("no match on record")
        known = pen.register.players.get(PlayerId(player))
        clubs = [pen.club(each.club, PLAYERS_PAGE) for each in known.clubs] if known else []
        by_letter.setdefault(player[0].upper(), []).append(joined([name, years, *clubs]))
    letters = [
        block
        for letter, items in by_letter.items()
        for block in (heading(2, escape(letter)), bullets(items))
    ]
    counts = pen.counted(len(players), "{count} person has a page.", "{count} people have a page.")
    return page(
        [
            heading(1, pen.say("Players")),
            past.ways(PLAYERS_PAGE),
            joined(
                [counts, pen.say("The years are those of the first and the last match on record.")],
                " ",
            ),
            *letters,
        ]
    )


def player_text(past: Past, player: str, found: Career, drawings: Sequence[Drawing] = ()) -> str:
    pen, here = past.pen, player_page(player)
    name = pen.player(player, pen.newest)
    return page(
        [
            heading(1, name),
            past.ways(here, link(here, PLAYERS_PAGE, pen.say("Players"))),
            bullets(_facts(past, player, here)),
            _sums(past, found),
            *shown(here, drawings),
            *_seasons(past, found.seasons, here),
            *_best_days(past, found, here),
            *_milestones(past, found, here),
        ]
    )


def _facts(past: Past, player: str, here: str) -> Iterator[Markdown]:
    pen = past.pen
    known = pen.register.players.get(PlayerId(player))
    if known is None:
        return
    if known.clubs:
        clubs = [
            pen.club(each.club, here)
            if each.since is None
            else pen.say(
                "{club} (from {year})", club=pen.club(each.club, here), year=escape(str(each.since))
            )
            for each in known.clubs
        ]
        yield pen.say("Clubs: {clubs}", clubs=joined(clubs))
    if known.parents:
        parents = pen.listed(pen.player(each, pen.newest, here) for each in known.parents)
        yield pen.say("Child of {names}", names=parents)
    children = past.children.get(PlayerId(player), ())
    if children:
        names = pen.listed(pen.player(each, pen.newest, here) for each in children)
        yield pen.say("Children in the records: {names}", names=names)


def _sums(past: Past, found: Career) -> Markdown:
    pen = past.pen
    if not found.appearances:
        return pen.say("No match with known points is on record.")
    sentences = [
        pen.counted(
            len(found.appearances),
            "{count} match with {points} points; {known} known strike by strike.",
            "{count} matches with {points} points; {known} known strike by strike.",
            points=pen.number(found.points),
            known=pen.number(found.strike_by_strike),
        )
    ]
    if found.strikes:
        sentences.append(
            pen.say(
                "That is {strikes}, {average} points a strike and {nummern}.",
                strikes=pen.counted(found.strikes, "{count} strike", "{count} strikes"),
                average=pen.average(found.struck_points, found.strikes),
                nummern=pen.counted(found.nummern, "{count} Nummer", "{count} Nummern"),
            )
        )
    if found.unknown:
        sentences.append(
            pen.counted(
                found.unknown,
                "Of {count} more match the points are not known.",
                "Of {count} more matches the points are not known.",
            )
        )
    return joined(sentences, " ")


def _seasons(past: Past, seasons: Sequence[SeasonOfPlayer], here: str) -> list[Markdown]:
    if not seasons:
        return []
    pen = past.pen
    rows = []
    for each in reversed(seasons):
        known = past.competitions.get((each.season, each.competition))
        rank = pen.unknown
        if known is not None and known.complete and each.rank <= RANKS_TOLD:
            rank = pen.number(each.rank)
        rows.append(
            [
                escape(str(each.season)),
                past.competition(here, each.season, each.competition),
                pen.team(each.team, here),
                pen.number(each.matches),
                pen.number(each.strikes or None),
                pen.number(each.points),
                pen.average(each.struck_points, each.strikes),
                pen.number(each.best),
                pen.number(each.rank_points),
                rank,
            ]
        )
    columns = [pen.column("Season"), pen.column("Competition"), pen.column("Team")]
    columns += [
        pen.figures("Matches"),
        pen.figures("Strikes"),
        pen.figures("Points"),
        pen.figures("Average"),
        pen.figures("Best match"),
        pen.figures("Rank points"),
        pen.figures("Rank"),
    ]
    return [
        heading(2, pen.say("Seasons")),
        table(columns, rows),
        pen.say(
            "The rank is told of the first {count} once a competition is played out.",
            count=pen.number(RANKS_TOLD),
        ),
    ]


def _best_days(past: Past, found: Career, here: str) -> list[Markdown]:
    if not found.appearances:
        return []
    pen = past.pen
    best = sorted(found.appearances, key=lambda each: (-each.points, each.date, each.sheet))
    rows = [
        [
            link(here, match_page(each.sheet), pen.date(each.date)),
            pen.team(each.team),
            pen.team(each.opponent, here),
            pen.number(each.points),
            pen.number(each.best_strike),
        ]
        for each in best[:_BEST_DAYS]
    ]
    columns = [
        pen.column("Match"),
        pen.column("Team"),
        pen.column("Opponent"),
        pen.figures("Points"),
        pen.figures("Best strike"),
    ]
    return [heading(2, pen.say("Best days")), table(columns, rows)]


def _milestones(past: Past, found: Career, here: str) -> list[Markdown]:
    pen = past.pen
    items = [
        fill(
            pen.say("First match on record: {date}")
            if (each.of, each.number) == ("matches", 1)
            else pen.say("Match number {number}: {date}")
            if each.of == "matches"
            else pen.say("Point number {number}: {date}"),
            number=pen.number(each.number),
            date=link(here, match_page(each.sheet), pen.date(each.date)),
        )
        for each in found.milestones
    ]
    for run in found.longest_runs[:1]:
        items.append(
            pen.say(
                "Most matches of a team in a row: {number} of {team}, from {since} to {until}",
                number=pen.number(len(run.sheets)),
                team=pen.team(run.team),
                since=pen.date(run.since),
                until=pen.date(run.until),
            )
        )
    last = _last(found.appearances)
    if last is not None and len(found.appearances) > 1:
        date = link(here, match_page(last.sheet), pen.date(last.date))
        items.append(pen.say("Last match on record: {date}", date=date))
    return [heading(2, pen.say("Milestones")), bullets(items)] if items else []


def _last(appearances: Sequence[Appearance]) -> Appearance | None:
    return appearances[-1] if appearances else None
