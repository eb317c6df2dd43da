"""What the pages over all seasons ask beyond the commands, held against the commands' answers."""

from collections.abc import Iterator
from itertools import permutations
from pathlib import Path
from sqlite3 import Connection

import pytest

from riesbuch.folder.club_folder import open_folder
from riesbuch.index.index import Index
from riesbuch.questions.career import career, participation, spans
from riesbuch.questions.honours import (
    all_time_table,
    by_team,
    honours,
    last_day,
    latest_matches,
    most_matches,
    overview,
    season_gaps,
    sources,
)
from riesbuch.questions.meetings import balances, meetings
from riesbuch.questions.who import Person

EXAMPLE = Path(__file__).parents[2] / "example_league"


@pytest.fixture(scope="module")
def connection() -> Iterator[Connection]:
    index = Index(open_folder(EXAMPLE), print)
    yield index.connection()
    index.close()


def test_balances_are_those_of_the_meetings(connection: Connection) -> None:
    found = balances(connection)
    clubs = [club for (club,) in connection.execute("SELECT club FROM clubs")]
    met = 0
    for club, opponent in permutations(clubs, 2):
        asked = meetings(connection, club, opponent)
        mine = [each for each in found.get(club, ()) if each.opponent == opponent]
        if not asked.meetings:
            assert mine == []
            continue
        (balance,) = mine
        won, lost = (each.won for each in asked.balances)
        assert (balance.won, balance.drawn, balance.lost) == (won, asked.drawn, lost)
        last = asked.meetings[-1].line
        assert (balance.last, balance.last_sheet) == (last.date, last.sheet)
        met += 1
    assert met > 50


def test_the_all_time_table_adds_up_the_tables(connection: Connection) -> None:
    found = honours(connection)
    table = all_time_table(connection, found)
    assert [row.rank for row in table] == sorted(row.rank for row in table)
    assert sum(row.won for row in table) == sum(row.lost for row in table)
    (leagues,) = connection.execute(
        "SELECT count(*) FROM matches WHERE counts AND kind = 'league'"
    ).fetchone()
    assert sum(row.played for row in table) == 2 * leagues
    champions = [team for each in found if each.kind == "league" for team in each.champions]
    assert {row.team: row.titles for row in table if row.titles} == {
        team: champions.count(team) for team in champions
    }


def test_who_played_most_for_a_club_is_so_in_the_careers(connection: Connection) -> None:
    (first, *_) = most_matches(by_team(connection), ["aarwald-a", "aarwald-b"], 15)
    found = career(connection, Person(id=first.player, name=""))
    assert first.matches == sum(each.matches for each in found.seasons)
    assert first.points == found.points
    assert len(most_matches(by_team(connection), ["aarwald-a"], 3)) >= 3


def test_participation(connection: Connection) -> None:
    years = participation(connection)
    assert [each.season for each in years] == sorted((y.season for y in years), reverse=True)
    for each in years:
        (people,) = connection.execute(
            "SELECT count(DISTINCT player) FROM player_matches WHERE season = ? AND counts",
            (each.season,),
        ).fetchone()
        assert each.people == people
        assert sum(filter(None, each.bands)) + each.not_known == people
    (everybody,) = connection.execute(
        "SELECT count(DISTINCT player) FROM player_matches WHERE counts"
    ).fetchone()
    assert sum(each.new for each in years) == everybody
    assert len(spans(connection)) >= everybody


def test_gaps_and_sources(connection: Connection) -> None:
    found = {each.season: each for each in season_gaps(connection)}
    assert (found[1958].planned, found[1958].played, found[1958].missing) == (20, 17, 3)
    # One was kept out of the tables by agreement, which is no gap.
    assert (found[2025].planned, found[2025].played, found[2025].missing) == (64, 63, 0)
    assert found[1958].strike_by_strike == 0
    assert found[2026].drafts == 1
    (sheets,) = connection.execute("SELECT count(*) FROM matches").fetchone()
    assert sum(number for _, number in sources(connection)) == sheets


def test_the_overview_and_the_latest_matches(connection: Connection) -> None:
    newest, *_ = overview(connection)
    assert (newest.season, newest.complete, newest.first) == (2026, False, ("birkenfluh-a",))
    last = last_day(connection)
    assert last is not None
    days = {each.date for each in latest_matches(connection)}
    assert max(filter(None, days)) == last.isoformat()
