"""The pages of the clubs."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, partial

from riesbuch.pages.drawings import (
    Drawing,
    club_drawings,
    club_places_path,
    drawing_page,
    images,
    team_drawing_path,
)
from riesbuch.pages.handed_down import ranked, titles_of
from riesbuch.pages.history.honours import records_table
from riesbuch.pages.markdown import NOTHING, Markdown, bullets, escape, joined, link, stacked, table
from riesbuch.pages.past import LEAST_STRIKES, Past
from riesbuch.pages.paths import CLUBS_PAGE, Page, club_page
from riesbuch.questions.honours import Honours, TableRow, most_matches
from riesbuch.questions.meetings import ClubBalance, balances
from riesbuch.questions.ranked import Scope
from riesbuch.questions.records import record_book
from riesbuch.questions.who import find_party
from riesbuch.trade.people import Club

_MOST_PEOPLE = 15


def club_pages(past: Past) -> Iterator[Page]:
    """A page for each club with its pictures, and the list of them."""
    clubs = past.wording.register.clubs
    if not clubs:
        return
    of_all = cache(partial(balances, past.tables, past.under_way))
    yield Page.at(CLUBS_PAGE, partial(_clubs_text, past))
    for key in sorted(clubs):
        club = clubs[key]
        draw = cache(partial(club_drawings, past, club))
        yield Page.at(club_page(key), partial(_club_text, past, club, of_all, draw))
        yield drawing_page(club_places_path(club), draw)
        for team in club.team_ids():
            yield drawing_page(team_drawing_path(team), draw)


def _clubs_text(past: Past) -> str:
    wording = past.wording
    clubs = sorted(wording.register.clubs.values(), key=lambda club: club.id)
    gone = {merged for club in clubs for merged in club.merged_from}

    def name(club: Club) -> Markdown:
        told = wording.club(club.id, CLUBS_PAGE)
        if club.id not in gone:
            return told
        return wording.say("{club} (carried on by another club)", club=told)

    def founded(club: Club) -> Markdown | None:
        return wording.year(club.founded) if club.founded else None

    def ground(club: Club) -> Markdown:
        return wording.text(club.ground) if club.ground else wording.unknown

    def teams(club: Club) -> Markdown:
        return joined(escape(name) for _, name in club.teams) or wording.unknown

    listed = table(
        clubs,
        wording.column("Club", name),
        wording.figure_column("Founded", founded),
        wording.column("Ground", ground),
        wording.column("Teams", teams),
    )
    return wording.page(CLUBS_PAGE, wording.say("Clubs"), listed)


def _club_text(
    past: Past,
    club: Club,
    of_all: Callable[[], Mapping[str, tuple[ClubBalance, ...]]],
    draw: Callable[[], Sequence[Drawing]],
) -> str:
    wording, here = past.wording, club_page(club.id)
    places: list[Drawing] = []
    strips: list[Drawing] = []
    for drawing in draw():
        (places if drawing.path == club_places_path(club) else strips).append(drawing)
    return wording.page(
        here,
        escape(club.name),
        bullets(_facts(past, club, here)),
        _under_way(past, club, here),
        *images(here, places),
        _seasons(past, club, here),
        _told_seasons(past, club, here),
        _honours(past, club, here),
        _records(past, club, here),
        _balance(past, of_all().get(club.id, ()), here),
        _people(past, club, here),
        *images(here, strips),
        ways=[link(here, CLUBS_PAGE, wording.say("Clubs"))],
    )


def _facts(past: Past, club: Club, here: str) -> Iterator[Markdown]:
    wording = past.wording
    if club.founded:
        yield wording.say("Founded in {year}", year=wording.year(club.founded))
    if club.ground:
        yield wording.say("Ground: {text}", text=wording.text(club.ground))
    for former in club.formerly:
        yield wording.say(
            "Called {name} until {year}",
            name=escape(former.name),
            year=wording.year(former.until) if former.until else wording.unknown,
        )
    if club.merged_from:
        yield wording.say(
            "Carries on the history of {clubs}",
            clubs=wording.listed(wording.club(merged, here) for merged in club.merged_from),
        )
    for other in sorted(wording.register.clubs.values(), key=lambda other: other.id):
        if club.id in other.merged_from:
            yield wording.say(
                "Its history is carried on by {club}", club=wording.club(other.id, here)
            )
    if club.teams:
        yield wording.say("Teams: {teams}", teams=joined(escape(name) for _, name in club.teams))


def _under_way(past: Past, club: Club, here: str) -> Markdown:
    """Where the season is told in which one of the teams plays."""
    links = [
        past.team_in(here, row.season, row.competition, row.team)
        for team in club.team_ids()
        for row in past.rows_of_teams.get(team, ())
        if past.under_way.holds(row.season, row.competition)
    ]
    return past.under_way_note(links)


def _seasons(past: Past, club: Club, here: str) -> Markdown:
    wording = past.wording
    ranks: dict[TableRow, Markdown] = {}
    of_teams = [row for team in club.team_ids() for row in past.rows_of_teams.get(team, ())]
    for row in sorted(of_teams, key=lambda row: (-row.season, row.competition, row.rank, row.team)):
        known = past.competitions.get((row.season, row.competition))
        if known is None or known.kind not in ("league", "festival") or not row.played:
            continue
        if past.under_way.holds(row.season, row.competition):
            continue
        rank = wording.say(
            "{rank} of {all}", rank=wording.number(row.rank), all=wording.number(row.teams)
        )
        ranks[row] = wording.qualified(rank, known)
    return wording.titled(
        "Seasons",
        table(
            ranks,
            *past.season_columns(here),
            wording.figure_column("Rank", lambda row: ranks[row]),
            wording.column("Team", lambda row: past.team(here, *row[:2], row.team)),
            *wording.total_columns(),
        )
        or wording.say("No league season of this club is on record."),
        past.ruling_notes({(row.season, row.competition) for row in ranks}, here),
    )


def _told_seasons(past: Past, club: Club, here: str) -> Markdown:
    """Those in which the sheets of the competition do not have the team."""
    wording = past.wording
    rows = [
        row
        for told in past.told.values()
        for of_source in told.tables.values()
        for row in of_source
        if row.team in club.team_ids() and not past.has_played(row.team, row[:2])
    ]
    rows.sort(key=lambda row: (-row.season, row.competition, row.team or ""))
    return wording.titled(
        "Seasons handed down",
        table(
            rows,
            *past.season_columns(here),
            wording.column("Team", lambda row: wording.team(row.team)),
            *ranked(past, rows),
            wording.column("Source", lambda row: past.told_source(row.source, row.reference)),
        ),
    )


def _honours(past: Past, club: Club, here: str) -> Markdown:
    wording = past.wording

    def item(honours: Honours, what: str, team: str, note: str | None) -> Markdown:
        told = wording.say(
            "{year}: {team} won {competition}"
            if what == "champions"
            else "{year}: {team} promoted from {competition}"
            if what == "promoted"
            else "{year}: {team} relegated from {competition}",
            year=wording.year(honours.season),
            competition=past.competition(here, honours.season, honours.competition),
            team=wording.team(team),
        )
        if note is None:
            return told
        return wording.say("{told}, by decision: {note}", told=told, note=wording.text(note))

    items = (
        item(honours, what, team, note)
        for honours in past.honours
        for what, note in (
            ("champions", None),
            ("promoted", honours.promotion_note),
            ("relegated", honours.relegation_note),
        )
        for team in getattr(honours, what)
        if team in club.team_ids()
    )
    told = titles_of(past, (title for title in past.titles if title.team in club.team_ids()), here)
    found = stacked(bullets(items), told)
    return wording.titled("Honours", found or wording.say("None on record."))


def _records(past: Past, club: Club, here: str) -> Markdown:
    teams = tuple(team for team, _ in find_party(past.tables, club.id).teams)
    if not teams:
        return NOTHING
    # No day has this date: nothing of the season under way.
    until = f"{past.wording.newest:04}-00-00" if past.under_way.competitions else None
    book = record_book(past.tables, Scope(teams=teams, until=until), LEAST_STRIKES, ages=False)
    return past.wording.titled(
        "Record book",
        records_table(past, book, here),
        NOTHING
        if until is None or past.is_newest_untold
        else past.wording.say(
            "The record book goes to the end of {year}.",
            year=past.wording.year(past.wording.newest - 1),
        ),
    )


def _balance(past: Past, found: tuple[ClubBalance, ...], here: str) -> Markdown:
    if not found:
        return NOTHING
    wording = past.wording
    return wording.titled(
        "Balance against every opponent",
        table(
            found,
            wording.column("Opponent", lambda row: wording.club(row.opponent, here)),
            wording.figure_column("Played", lambda row: row.matches),
            wording.figure_column("Won", lambda row: row.won),
            wording.figure_column("Drawn", lambda row: row.drawn),
            wording.figure_column("Lost", lambda row: row.lost),
            wording.column("Last met", lambda row: wording.match(row.last_sheet, row.last, here)),
        ),
        wording.say(
            "All teams of both clubs, and of the clubs whose history they carry on; matches on"
            " record that count, in all competitions."
        ),
    )


def _people(past: Past, club: Club, here: str) -> Markdown:
    wording = past.wording
    return wording.titled(
        "Most matches for the club on record",
        table(
            most_matches(past.strikers_by_team, club.team_ids(), _MOST_PEOPLE),
            wording.column("Name", lambda row: wording.player(row.player, row.last, here)),
            wording.figure_column("Matches", lambda row: row.matches),
            wording.figure_column("Points", lambda row: row.points),
            wording.column("Years", lambda row: wording.years(row.first, row.last)),
        ),
    )
