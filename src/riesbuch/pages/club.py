"""The pages of the clubs."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, partial

from riesbuch.pages.drawings import Drawing, club_drawings, shown, team_drawing_path
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
from riesbuch.pages.paths import CLUBS_PAGE, Page, club_page, match_page, season_page
from riesbuch.pages.record_book import LEAST_STRIKES, records_table
from riesbuch.questions.honours import Honours, TableRow, most_matches
from riesbuch.questions.meetings import ClubBalance, balances
from riesbuch.questions.records import record_book
from riesbuch.questions.scope import Scope
from riesbuch.questions.who import find_party
from riesbuch.trade.people import Club

_MOST_PEOPLE = 15


def club_pages(past: Past) -> Iterator[Page]:
    """A page for each club with its pictures, and the list of them."""
    clubs = past.wording.register.clubs
    if not clubs:
        return
    of_all = cache(partial(balances, past.tables))
    yield Page.at(CLUBS_PAGE, partial(_clubs_text, past))
    for key in sorted(clubs):
        club = clubs[key]
        draw = cache(partial(club_drawings, past, club))
        yield Page.at(club_page(key), partial(_club_text, past, club, of_all, draw))
        for team in club.team_ids():
            path = team_drawing_path(team)
            yield Page.at(path, partial(_drawn, path, draw))


def _drawn(path: str, draw: Callable[[], Sequence[Drawing]]) -> str | None:
    return next((each.picture.svg for each in draw() if each.path == path), None)


def _table_rows(past: Past, club: Club) -> list[TableRow]:
    rows = [row for team in club.team_ids() for row in past.rows_of_teams.get(team, ())]
    return sorted(rows, key=lambda row: (-row.season, row.competition, row.rank, row.team))


def _clubs_text(past: Past) -> str:
    wording = past.wording
    clubs = sorted(wording.register.clubs.values(), key=lambda club: club.id)
    gone = {merged for club in clubs for merged in club.merged_from}
    rows = []
    for club in clubs:
        teams = joined(escape(name) for _, name in club.teams)
        rows.append(
            [
                wording.club(club.id, CLUBS_PAGE),
                teams or wording.unknown,
                escape(str(club.founded)) if club.founded else wording.unknown,
                wording.text(club.ground) if club.ground else wording.unknown,
                wording.say("carried on by another club") if club.id in gone else Markdown(""),
            ]
        )
    return page(
        [
            heading(1, wording.say("Clubs")),
            past.ways(CLUBS_PAGE),
            table(
                [
                    wording.column("Club"),
                    wording.column("Teams"),
                    wording.column("Founded"),
                    wording.column("Ground"),
                    wording.column("Remark"),
                ],
                rows,
            ),
        ]
    )


def _club_text(
    past: Past,
    club: Club,
    of_all: Callable[[], Mapping[str, tuple[ClubBalance, ...]]],
    draw: Callable[[], Sequence[Drawing]],
) -> str:
    wording, here = past.wording, club_page(club.id)
    return page(
        [
            heading(1, escape(club.name)),
            past.ways(here, link(here, CLUBS_PAGE, wording.say("Clubs"))),
            bullets(_facts(past, club, here)),
            *_seasons(past, club, here),
            *shown(here, draw()),
            *_honours(past, club, here),
            *_records(past, club, here),
            *_balance(past, of_all().get(club.id, ()), here),
            *_people(past, club, here),
        ]
    )


def _facts(past: Past, club: Club, here: str) -> Iterator[Markdown]:
    wording = past.wording
    if club.founded:
        yield wording.say("Founded in {year}", year=escape(str(club.founded)))
    if club.ground:
        yield wording.say("Ground: {text}", text=wording.text(club.ground))
    for former in club.formerly:
        yield wording.say(
            "Called {name} until {year}",
            name=escape(former.name),
            year=escape(str(former.until)) if former.until else wording.unknown,
        )
    if club.merged_from:
        merged = wording.listed(wording.club(each, here) for each in club.merged_from)
        yield wording.say("Carries on the history of {clubs}", clubs=merged)
    for other in sorted(wording.register.clubs.values(), key=lambda each: each.id):
        if club.id in other.merged_from:
            yield wording.say(
                "Its history is carried on by {club}", club=wording.club(other.id, here)
            )
    if club.teams:
        yield wording.say("Teams: {teams}", teams=joined(escape(name) for _, name in club.teams))


def _seasons(past: Past, club: Club, here: str) -> list[Markdown]:
    wording = past.wording
    lines = []
    for row in _table_rows(past, club):
        known = past.competitions.get((row.season, row.competition))
        if known is None or known.kind not in ("league", "festival") or not row.played:
            continue
        rank = wording.say(
            "{rank} of {all}", rank=wording.number(row.rank), all=wording.number(row.teams)
        )
        unsettled = (
            wording.say("{rank} so far", rank=rank)
            if row.season == wording.newest
            else wording.say("{rank} on record", rank=rank)
        )
        lines.append(
            [
                link(here, season_page(row.season), escape(str(row.season))),
                past.competition(here, row.season, row.competition),
                wording.team(row.team),
                rank if known.complete else unsettled,
                *map(wording.number, row[4:8]),
                wording.at_least(row.nummern, row.nummern_unknown),
                wording.at_least(row.points, row.points_unknown),
            ]
        )
    if not lines:
        return [
            heading(2, wording.say("Seasons")),
            wording.say("No league season of this club is on record."),
        ]
    columns = [wording.column("Season"), wording.column("Competition"), wording.column("Team")]
    columns += [
        wording.figure_column("Rank"),
        wording.figure_column("Played"),
        wording.figure_column("Won"),
        wording.figure_column("Drawn"),
        wording.figure_column("Lost"),
        wording.figure_column("Nummern"),
        wording.figure_column("Points"),
    ]
    return [heading(2, wording.say("Seasons")), table(columns, lines)]


def _won(past: Past, club: Club) -> Iterator[tuple[Honours, int, str]]:
    """The honours of the club's teams: 0 where won, 1 where promoted, 2 where relegated."""
    teams = {str(team) for team in club.team_ids()}
    for each in past.honours:
        for what, listed in enumerate((each.champions, each.promoted, each.relegated)):
            for team in listed:
                if team in teams:
                    yield each, what, team


def _honours(past: Past, club: Club, here: str) -> list[Markdown]:
    wording = past.wording
    phrases = (
        wording.say("{year}: {team} won {competition}"),
        wording.say("{year}: {team} promoted from {competition}"),
        wording.say("{year}: {team} relegated from {competition}"),
    )
    items = [
        fill(
            phrases[what],
            year=escape(str(each.season)),
            competition=past.competition(here, each.season, each.competition),
            team=past.wording.team(team),
        )
        for each, what, team in _won(past, club)
    ]
    blocks = [heading(2, wording.say("Honours"))]
    return [*blocks, bullets(items) if items else wording.say("None on record.")]


def _records(past: Past, club: Club, here: str) -> list[Markdown]:
    teams = tuple(team for team, _ in find_party(past.tables, club.id).teams)
    if not teams:
        return []
    book = record_book(past.tables, Scope(teams=teams), LEAST_STRIKES, ages=False)
    found = records_table(past, book, here)
    return [heading(2, past.wording.say("Record book")), *found] if found else []


def _balance(past: Past, found: tuple[ClubBalance, ...], here: str) -> list[Markdown]:
    if not found:
        return []
    wording = past.wording
    rows = [
        [
            wording.club(each.opponent, here),
            wording.number(each.matches),
            wording.number(each.won),
            wording.number(each.drawn),
            wording.number(each.lost),
            link(here, match_page(each.last_sheet), wording.date(each.last)),
        ]
        for each in found
    ]
    columns = [
        wording.column("Opponent"),
        wording.figure_column("Played"),
        wording.figure_column("Won"),
        wording.figure_column("Drawn"),
        wording.figure_column("Lost"),
        wording.column("Last met"),
    ]
    return [
        heading(2, wording.say("Balance against every opponent")),
        table(columns, rows),
        wording.say(
            "All teams of both clubs, and of the clubs whose history they carry on; matches"
            " that count, in all competitions."
        ),
    ]


def _people(past: Past, club: Club, here: str) -> list[Markdown]:
    teams = club.team_ids()
    found = most_matches(past.strikers_by_team, teams, _MOST_PEOPLE)
    if not found:
        return []
    wording = past.wording
    rows = [
        [
            wording.player(each.player, each.last, here),
            wording.number(each.matches),
            wording.number(each.points),
            years_between(each.first, each.last),
        ]
        for each in found
    ]
    columns = [
        wording.column("Name"),
        wording.figure_column("Matches"),
        wording.figure_column("Points"),
        wording.column("Years"),
    ]
    return [heading(2, wording.say("Most matches for the club")), table(columns, rows)]


def years_between(first: int, last: int) -> Markdown:
    return escape(str(first) if first == last else f"{first}–{last}")
