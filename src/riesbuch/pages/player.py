"""The pages of the players."""

from collections.abc import Iterator, Sequence

from riesbuch.pages.club import years_between
from riesbuch.pages.drawings import Drawing, shown
from riesbuch.pages.markdown import (
    Column,
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
        years = years_between(*span) if span else escape(pen.past.no_match)
        known = pen.register.players.get(PlayerId(player))
        clubs = [pen.club(each.club, PLAYERS_PAGE) for each in known.clubs] if known else []
        by_letter.setdefault(player[0].upper(), []).append(joined([name, years, *clubs]))
    letters = [
        block
        for letter, items in by_letter.items()
        for block in (heading(2, escape(letter)), bullets(items))
    ]
    counts = pen.counted(len(players), pen.past.players_one, pen.past.players_many)
    return page(
        [
            heading(1, escape(pen.past.players)),
            past.ways(PLAYERS_PAGE),
            joined([counts, escape(pen.past.people_note)], " "),
            *letters,
        ]
    )


def player_text(past: Past, player: str, found: Career, drawings: Sequence[Drawing] = ()) -> str:
    pen, here = past.pen, player_page(player)
    name = pen.player(player, pen.newest)
    return page(
        [
            heading(1, name),
            past.ways(here, link(here, PLAYERS_PAGE, escape(pen.past.players))),
            bullets(_facts(past, player, here)),
            _sums(past, found),
            *shown(here, drawings),
            *_seasons(past, found.seasons, here),
            *_best_days(past, found, here),
            *_milestones(past, found, here),
        ]
    )


def _facts(past: Past, player: str, here: str) -> Iterator[Markdown]:
    pen, say = past.pen, past.pen.past
    known = pen.register.players.get(PlayerId(player))
    if known is None:
        return
    if known.clubs:
        clubs = [
            pen.club(each.club, here)
            if each.since is None
            else fill(say.since, club=pen.club(each.club, here), year=escape(str(each.since)))
            for each in known.clubs
        ]
        yield fill(say.clubs_are, clubs=joined(clubs))
    if known.parents:
        parents = pen.listed(pen.player(each, pen.newest, here) for each in known.parents)
        yield fill(say.parents, names=parents)
    children = past.children.get(PlayerId(player), ())
    if children:
        names = pen.listed(pen.player(each, pen.newest, here) for each in children)
        yield fill(say.children, names=names)


def _sums(past: Past, found: Career) -> Markdown:
    pen, say, words = past.pen, past.pen.past, past.pen.drawing.strip
    if not found.appearances:
        return escape(say.no_match_of_player)
    sentences = [
        pen.counted(
            len(found.appearances),
            say.sums_one,
            say.sums_many,
            points=pen.number(found.points),
            known=pen.number(found.strike_by_strike),
        )
    ]
    if found.strikes:
        sentences.append(
            fill(
                say.sums_of_strikes,
                strikes=pen.counted(found.strikes, words.strikes_one, words.strikes_many),
                average=pen.average(found.struck_points, found.strikes),
                nummern=pen.counted(found.nummern, words.nummern_one, words.nummern_many),
            )
        )
    if found.unknown:
        sentences.append(pen.counted(found.unknown, say.unknown_one, say.unknown_many))
    return joined(sentences, " ")


def _seasons(past: Past, seasons: Sequence[SeasonOfPlayer], here: str) -> list[Markdown]:
    if not seasons:
        return []
    pen, say = past.pen, past.pen.say
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
    columns = [Column(escape(title)) for title in (say.season, say.competition, say.team)]
    columns += [
        Column(escape(title), figures=True)
        for title in (
            say.matches, say.strikes, say.points, say.average, say.best, say.rank_points, say.rank
        )
    ]  # fmt: skip
    return [
        heading(2, escape(pen.past.seasons)),
        table(columns, rows),
        fill(pen.past.rank_once_complete, count=pen.number(RANKS_TOLD)),
    ]


def _best_days(past: Past, found: Career, here: str) -> list[Markdown]:
    if not found.appearances:
        return []
    pen, say = past.pen, past.pen.say
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
        Column(escape(say.match)),
        Column(escape(say.team)),
        Column(escape(pen.past.opponent)),
        Column(escape(say.points), figures=True),
        Column(escape(pen.past.best_strike), figures=True),
    ]
    return [heading(2, escape(pen.past.best_days)), table(columns, rows)]


def _milestones(past: Past, found: Career, here: str) -> list[Markdown]:
    pen, say = past.pen, past.pen.past
    items = [
        fill(
            say.first_match
            if (each.of, each.number) == ("matches", 1)
            else say.match_number
            if each.of == "matches"
            else say.point_number,
            number=pen.number(each.number),
            date=link(here, match_page(each.sheet), pen.date(each.date)),
        )
        for each in found.milestones
    ]
    for run in found.longest_runs[:1]:
        items.append(
            fill(
                say.longest_run,
                number=pen.number(len(run.sheets)),
                team=pen.team(run.team),
                since=pen.date(run.since),
                until=pen.date(run.until),
            )
        )
    last = _last(found.appearances)
    if last is not None and len(found.appearances) > 1:
        date = link(here, match_page(last.sheet), pen.date(last.date))
        items.append(fill(say.last_match, date=date))
    return [heading(2, escape(say.milestones)), bullets(items)] if items else []


def _last(appearances: Sequence[Appearance]) -> Appearance | None:
    return appearances[-1] if appearances else None
