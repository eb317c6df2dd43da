"""Every table, and samples of what the historian asks, of an archive of twelve seasons in which
all kinds of sheets occur, against an independent recomputation."""

from itertools import combinations
from typing import Any

import pytest

from tests.commandline import invoke
from tests.reference import careers, honours, meetings, records
from tests.reference.archive import build
from tests.reference.recomputed import Recomputed, Tables
from tests.reference.tables import without_awards

FIRST, SEASONS = 2001, 12


class Archive(Recomputed):
    def ask(self, *words: str) -> Any:
        outcome = invoke("--folder", self.root, *words, "--format", "json")
        assert outcome.status == 0
        # JSON that is a list has no room for what it rests on.
        if isinstance(outcome.data, list):
            assert " known strike by strike.\n" in outcome.err
        else:
            assert outcome.err == ""
        return outcome.data


@pytest.fixture(scope="session")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Archive:
    root = tmp_path_factory.mktemp("archive") / "club"
    build(root, SEASONS, FIRST)
    checked = invoke("--folder", root, "check", "--format", "json").data
    assert {each["severity"] for each in checked["problems"]} == {"warning", "draft"}
    return Archive(root)


def test_the_archive_has_what_is_worth_recomputing(archive: Archive) -> None:
    rows, strikes = archive.results, archive.frames.strikes
    assert set(rows.season) == set(range(FIRST, FIRST + SEASONS))
    assert len(rows) > 2 * 1500
    depths = rows.groupby("depth").sheet.nunique()
    assert set(depths.index) == {"strikes", "players", "ries", "points", "none"}
    assert depths.min() > 50
    assert set(rows.outcome) == {"played", "forfeited", "abandoned", "postponed", "annulled"}
    assert {"nummern", "points", "award", "recorded"} <= set(rows.decided_by)
    assert {"home", "away", "draw", None} == set(rows.winner)
    assert rows.draft.any()
    assert (~rows.counts.astype(bool) & rows.winner.notna()).any()
    assert set(strikes.part) == {"row", "replacement", "supernumerary"}
    for column in ("unknown", "absent", "blank", "nummer"):
        assert strikes[column].any()
    # Both sides of a match in different depths, which leaves some figures to the paper.
    assert (rows.groupby("sheet").depth.nunique() == 2).sum() > 50


def of_all(archive: Archive, table: str, columns: str) -> Tables:
    found: Tables = {key: [] for key in archive.frames.competitions}
    statement = f"SELECT season, competition, {columns} FROM {table} ORDER BY 1, 2, 3, 4"
    for row in archive.ask("ask", statement):
        found[row.pop("season"), row.pop("competition")].append(row)
    return found


def test_all_standings(archive: Archive) -> None:
    columns = (
        "rank, team, played, won, drawn, lost, nummern, points, rank_points, nummern_unknown,"
        " points_unknown, ruled"
    )
    assert of_all(archive, "standings", columns) == archive.standings
    for key in ("first", "fest", "cup"):
        for season in (2002, 2004):
            table = archive.ask("standings", key, "--season", str(season))
            assert without_awards(table) == archive.standings[season, key] != []


def test_all_striker_tables(archive: Archive) -> None:
    columns = "rank, player, team, matches, strikes, points, best, rank_points"
    without_average = {
        key: [{name: value for name, value in row.items() if name != "average"} for row in table]
        for key, table in archive.strikers.items()
    }
    assert of_all(archive, "strikers", columns) == without_average
    for key in ("first", "fest"):
        for season in (2002, 2004):
            table = archive.ask("strikers", key, "--season", str(season))
            assert without_awards(table) == archive.strikers[season, key] != []


def test_all_honours(archive: Archive) -> None:
    expected = honours.expected(archive)
    found = {
        (each["season"], each["competition"]): {key: each[key] for key in expected[2001, "first"]}
        for each in archive.ask("honours")["honours"]
    }
    assert found == expected
    of_kind = {
        key: [each for (_, competition), each in expected.items() if competition == key]
        for key in ("first", "cup", "fest")
    }
    for each in of_kind.values():
        assert {one["complete"] for one in each} == {True, False}
        assert any(one["champions"] for one in each)
    assert any(one["complete"] and not one["champions"] for one in of_kind["cup"])
    assert any(one["relegated"] for one in of_kind["first"])


def test_a_sample_of_careers(archive: Archive) -> None:
    players = sorted(set(archive.played.player))[::45]
    assert len(players) >= 10
    found = [careers.shown(archive.ask("career", player)) for player in players]
    assert found == [careers.expected(archive, player) for player in players]
    assert any(each["matches"] > 100 for each in found)
    assert any(each["basis"][0] > each["basis"][1] for each in found)


def test_a_sample_of_meetings(archive: Archive) -> None:
    matches = meetings.matches_of(archive)
    pairs = list(combinations(sorted(set(matches.team)), 2))[::5]
    assert len(pairs) > 12
    for first, second in pairs:
        found = meetings.shown(archive.ask("meetings", first, second))
        assert found == meetings.expected(matches, first, second, {first}, {second})
        assert found["matches"] > 10


@pytest.mark.parametrize(
    ("words", "scope"),
    [
        ("", {}),
        ("--competition first --least-strikes 60", {"competition": "first", "least_strikes": 60}),
        ("--since 2003-08-20 --until 2009-05-20", {"since": "2003-08-20", "until": "2009-05-20"}),
        ("--club balwil", {"teams": {"balwil-a"}}),
        ("--club dorwil --since 2004-05-05", {"teams": {"dorwil-a"}, "since": "2004-05-05"}),
    ],
)
def test_records(words: str, scope: dict[str, Any], archive: Archive) -> None:
    data = archive.ask("records", "--ages", *words.split())
    found = records.shown(data)
    expected = records.expected(archive, **scope)
    assert found == expected | records.ages(archive, **scope)
    assert all(holders for _, holders in expected.values())
    rests_on = {each["record"]: (each["known"], each["of"]) for each in data["records"]}
    players = records.players(archive, **scope)
    known = sum(player in archive.frames.born for player in players)
    assert rests_on["youngest"] == rests_on["oldest"] == (known, len(players))


def test_a_season_that_is_cut_has_no_average(archive: Archive) -> None:
    ((_, season, _),) = records.expected(archive)["season_average"][1]
    since = f"{season}-06-01"
    found = records.shown(archive.ask("records", "--since", since))
    expected = records.expected(archive, since=since)
    assert found == expected
    ((_, later, _),) = expected["season_average"][1]
    assert later > season
