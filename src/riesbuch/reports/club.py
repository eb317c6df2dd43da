"""The pages of the clubs."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from riesbuch.history.all_time import most_matches
from riesbuch.history.balances import ClubBalance, balances
from riesbuch.history.clubs import find_party
from riesbuch.history.overview import table_rows
from riesbuch.history.records import record_book
from riesbuch.history.scope import Scope
from riesbuch.reports.drawings import Drawing, club_drawings, shown
from riesbuch.reports.markdown import (
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
from riesbuch.reports.past import Past
from riesbuch.reports.paths import CLUBS_PAGE, club_page, season_page
from riesbuch.reports.record_book import LEAST_STRIKES, records_table
from riesbuch.trade.people import Club

_MOST_PEOPLE = 15


KeptRecords = Callable[[str, Sequence[str], Callable[[], str]], str]
"""Gives a club's records as they are known, or has them made: by the club and the teams that they
are of."""


def made_anew(club: str, teams: Sequence[str], make: Callable[[], str]) -> str:
    return make()


def club_pages(past: Past, records: KeptRecords = made_anew) -> Iterator[tuple[str, str]]:
    """A page for each club, and the list of them, paths relative to the club folder."""
    clubs = past.pen.register.clubs
    if not clubs:
        return
    of_all = balances(past.connection)
    yield CLUBS_PAGE, _clubs_text(past)
    for club in sorted(clubs):
        drawings = club_drawings(past, clubs[club])
        yield club_page(club), _club_text(past, clubs[club], of_all, records, drawings)
        yield from ((each.path, each.picture.svg) for each in drawings)


def _clubs_text(past: Past) -> str:
    pen, say = past.pen, past.pen.past
    clubs = sorted(pen.register.clubs.values(), key=lambda club: club.id)
    gone = {merged for club in clubs for merged in club.merged_from}
    rows = []
    for club in clubs:
        teams = joined(escape(name) for _, name in club.teams)
        rows.append(
            [
                pen.club(club.id, CLUBS_PAGE),
                teams or pen.unknown,
                escape(str(club.founded)) if club.founded else pen.unknown,
                escape(club.ground) if club.ground else pen.unknown,
                escape(say.carried_on) if club.id in gone else Markdown(""),
            ]
        )
    titles = (say.club, say.teams, say.founded, say.ground, say.remark)
    return page(
        [
            heading(1, escape(say.clubs)),
            past.ways(CLUBS_PAGE),
            table([Column(escape(title)) for title in titles], rows),
        ]
    )


def _club_text(
    past: Past,
    club: Club,
    of_all: Mapping[str, tuple[ClubBalance, ...]],
    records: KeptRecords,
    drawings: Sequence[Drawing],
) -> str:
    pen, here = past.pen, club_page(club.id)
    teams = [team for team, _ in find_party(past.connection, club.id).teams]
    return page(
        [
            heading(1, escape(club.name)),
            past.ways(here, link(here, CLUBS_PAGE, escape(pen.past.clubs))),
            bullets(_facts(past, club, here)),
            *_seasons(past, club, here),
            *shown(here, drawings),
            *_honours(past, club, here),
            Markdown(records(club.id, teams, lambda: _records(past, teams, here))),
            *_balance(past, of_all.get(club.id, ()), here),
            *_people(past, club, here),
        ]
    )


def _facts(past: Past, club: Club, here: str) -> Iterator[Markdown]:
    pen, say = past.pen, past.pen.past
    if club.founded:
        yield fill(say.founded_in, year=escape(str(club.founded)))
    if club.ground:
        yield fill(pen.say.ground, text=escape(club.ground))
    for former in club.formerly:
        yield fill(
            say.formerly,
            name=escape(former.name),
            year=escape(str(former.until)) if former.until else pen.unknown,
        )
    if club.merged_from:
        merged = pen.listed(pen.club(each, here) for each in club.merged_from)
        yield fill(say.merged_from, clubs=merged)
    for other in sorted(pen.register.clubs.values(), key=lambda each: each.id):
        if club.id in other.merged_from:
            yield fill(say.carried_on_by, club=pen.club(other.id, here))
    if club.teams:
        yield fill(say.teams_are, teams=joined(escape(name) for _, name in club.teams))


def _seasons(past: Past, club: Club, here: str) -> list[Markdown]:
    pen, say = past.pen, past.pen.say
    teams = club.team_ids()
    marks = ", ".join("?" * len(teams))
    rows = table_rows(past.connection, f"s.team IN ({marks})", tuple(teams)) if teams else ()
    lines = []
    for row in rows:
        known = past.competitions.get((row.season, row.competition))
        if known is None or known.kind not in ("league", "festival") or not row.played:
            continue
        rank = fill(pen.past.rank_of, rank=pen.number(row.rank), all=pen.number(row.teams))
        lines.append(
            [
                link(here, season_page(row.season), escape(str(row.season))),
                past.competition(here, row.season, row.competition),
                pen.team(row.team),
                rank if known.complete else fill(pen.past.rank_so_far, rank=rank),
                *map(pen.number, row[4:10]),
            ]
        )
    if not lines:
        return [heading(2, escape(pen.past.seasons)), escape(pen.past.no_season_of_club)]
    columns = [Column(escape(title)) for title in (say.season, say.competition, say.team)]
    columns += [
        Column(escape(title), figures=True)
        for title in (say.rank, say.played, say.won, say.drawn, say.lost, say.nummern, say.points)
    ]
    return [heading(2, escape(pen.past.seasons)), table(columns, lines)]


def _honours(past: Past, club: Club, here: str) -> list[Markdown]:
    say, teams = past.pen.past, {str(team) for team in club.team_ids()}
    items = []
    for each in past.honours:
        for phrase, listed in (
            (say.won_competition, each.champions),
            (say.was_promoted, each.promoted),
            (say.was_relegated, each.relegated),
        ):
            for team in listed:
                if team in teams:
                    competition = past.competition(here, each.season, each.competition)
                    items.append(
                        fill(
                            phrase,
                            year=escape(str(each.season)),
                            competition=competition,
                            team=past.pen.team(team),
                        )
                    )
    blocks = [heading(2, escape(say.honours))]
    return [*blocks, bullets(items) if items else escape(say.no_honours)]


def _records(past: Past, teams: Sequence[str], here: str) -> str:
    if not teams:
        return ""
    book = record_book(past.connection, Scope(teams=tuple(teams)), LEAST_STRIKES, ages=False)
    found = records_table(past, book, here)
    if not found:
        return ""
    return joined([heading(2, escape(past.pen.past.records)), *found], "\n\n")


def _balance(past: Past, found: tuple[ClubBalance, ...], here: str) -> list[Markdown]:
    if not found:
        return []
    pen, say = past.pen, past.pen.say
    rows = [
        [
            pen.club(each.opponent, here),
            pen.number(each.matches),
            pen.number(each.won),
            pen.number(each.drawn),
            pen.number(each.lost),
            pen.date(each.last),
        ]
        for each in found
    ]
    columns = [
        Column(escape(pen.past.opponent)),
        *(
            Column(escape(title), figures=True)
            for title in (say.played, say.won, say.drawn, say.lost)
        ),
        Column(escape(pen.past.last_met)),
    ]
    return [
        heading(2, escape(pen.past.balance)),
        table(columns, rows),
        escape(pen.past.balance_legend),
    ]


def _people(past: Past, club: Club, here: str) -> list[Markdown]:
    teams = club.team_ids()
    found = most_matches(past.strikers_by_team, teams, _MOST_PEOPLE)
    if not found:
        return []
    pen, say = past.pen, past.pen.say
    rows = [
        [
            pen.player(each.player, each.last, here),
            pen.number(each.matches),
            pen.number(each.points),
            years_between(each.first, each.last),
        ]
        for each in found
    ]
    columns = [
        Column(escape(say.name)),
        Column(escape(say.matches), figures=True),
        Column(escape(say.points), figures=True),
        Column(escape(pen.past.years)),
    ]
    return [heading(2, escape(pen.past.most_matches)), table(columns, rows)]


def years_between(first: int, last: int) -> Markdown:
    return escape(str(first) if first == last else f"{first}–{last}")
