"""The scoring held against figures that others published.

Where a source gives totals alone, the strikes of the sheets here are made up so as to add up to
them; every figure that is asserted comes from `published_cases.toml`, where its source is named.
Teams and players are numbered.
"""

import re
import tomllib
from collections.abc import Callable, Sequence
from math import ceil
from pathlib import Path
from typing import Any

import pytest

from riesbuch.folder.archive import open_archive
from riesbuch.judge.examination import season_sheets
from riesbuch.language.catalogue import catalogue
from riesbuch.pages.pictures.strip import StripStrikes, strip_picture
from riesbuch.trade.course import first_inning
from riesbuch.trade.ids import PlayerId, TeamId
from riesbuch.trade.people import Player
from riesbuch.trade.planning import berger_table
from riesbuch.trade.rules import Award, RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.strikers import awards_given, class_tables, individuals, performances, strikers
from riesbuch.trade.tally import tally
from tests.clubfolder import Write, lay_out, problems_of
from tests.commandline import invoke
from tests.sheetwriting import (
    Strikes,
    added_up,
    codes,
    read,
    rows_text,
    rule_set,
    sheet_text,
    spread,
    supernumeraries_text,
)

Published = dict[str, Any]
Test = Callable[..., None]

PUBLISHED: dict[str, Published] = {
    case["id"]: case
    for case in tomllib.loads(
        (Path(__file__).parents[1] / "published_cases.toml").read_text(encoding="utf-8")
    )["case"]
}
TRIED: set[str] = set()


def published(*names: str) -> Callable[[Test], Test]:
    """Give the test each published ``case`` of these names."""
    TRIED.update(names)
    return pytest.mark.parametrize("case", [PUBLISHED[name] for name in names], ids=names)


FESTIVAL = """
standings_order = ["nummern", "points"]
strikers = {order = ["points", "highest_strikes", "older"]}
"""


def players(count: int, side: str) -> list[str]:
    return [f"{side}-{number:02}" for number in range(1, count + 1)]


def struck_side(team: str, ries: list[int], nummern: int = 0) -> str:
    """Eighteen players whose strikes add up to the Ries totals ``ries``; the first ``nummern`` of
    the lowest strikes are Nummern against the other side."""
    columns = [spread(total, 18) for total in ries]
    rows: dict[str, list[int | str]] = {
        player: [column[index] for column in columns]
        for index, player in enumerate(players(18, team))
    }
    for player in list(rows)[-nummern:] if nummern else ():
        rows[player][0] = f"{rows[player][0]}N"
    return f"{team}\n{rows_text(rows)}"


def points_side(team: str, figures: Published) -> str:
    lines = [f"{key}: {figures[key]}" for key in ("points", "nummern") if key in figures]
    return "\n".join((team, *lines))


def rank_points_of(winner: str, loser: str) -> tuple[int | None, int | None]:
    """Rank points of the home side, which must win, and of the away side."""
    match = read(sheet_text(winner, loser))
    assert codes(match, rule_set()) == []
    result = tally(match, rule_set(), CompetitionKind.LEAGUE)
    assert result.winner == "home"
    return result.home.rank_points, result.away.rank_points


# Source: hgmuensingen.ch, federal festival 2018, ranking after the first day.
@published("festival-order-32-teams")
def test_a_festival_ranks_by_nummern_then_points(case: Published) -> None:
    rules = rule_set(FESTIVAL)
    teams = {TeamId(f"team-{rank}"): (nummern, points) for rank, nummern, points in case["rows"]}
    assert len(teams) == 32
    names = sorted(teams)  # team-1, team-10, ...: not the order that is to be found
    sides = {
        name: points_side(name, {"nummern": teams[name][0], "points": teams[name][1]})
        for name in names
    }
    tallies = [
        added_up(sheet_text(sides[home], sides[away]), rules, CompetitionKind.FESTIVAL)
        for home, away in zip(names[:16], names[16:], strict=True)
    ]
    table = standings(tallies, names, rules)
    assert [(row.rank, row.nummern, row.points) for row in table] == [
        tuple(row) for row in case["rows"]
    ], case["source"]
    assert [row.team for row in table] == [f"team-{rank}" for rank in range(1, 33)]
    assert {row.rank_points for row in table} == {0}


# Source: bern-ost.ch, federal festival 2018, first strength class.
@published("ries-totals-add-up")
def test_ries_totals_add_up_to_the_points(case: Published) -> None:
    as_totals = f"team-2\nries: {case['ries']}\nnummern: 0"
    paper = f"paper: {{ries: {case['ries']}, points: {case['points']}, nummern: 0}}"
    match = read(sheet_text(f"{struck_side('team-1', case['ries'])}\n{paper}", as_totals))
    assert codes(match, rule_set()) == []
    result = tally(match, rule_set(), CompetitionKind.FESTIVAL)
    for side in (result.home, result.away):
        assert side.ries == tuple(case["ries"]), case["source"]
        assert side.points == case["points"], case["source"]
    assert result.winner == "draw"


# Source: bern-ost.ch, a top-league match of 2018.
@published("lead-after-first-inning")
def test_the_lead_after_the_first_inning(case: Published) -> None:
    """The sheet is one of a match that ended after the first inning."""
    leader = struck_side("team-1", case["leader_ries"])
    follower = struck_side("team-2", case["follower_ries"])
    match = read(sheet_text(leader, follower, "outcome: abandoned"))
    assert codes(match, rule_set()) == []
    result = tally(match, rule_set(), CompetitionKind.LEAGUE)
    assert result.home.ries == tuple(case["leader_ries"])
    assert result.away.ries == tuple(case["follower_ries"])
    assert result.home.points is not None
    assert result.away.points is not None
    assert result.home.points - result.away.points == case["lead"], case["source"]
    assert (result.winner, result.decided_by) == ("home", "points")


# Sources: ehv.ch, Hürnbergmatch 2024; solothurnerzeitung.ch, a regional festival at Aeschi.
@published("player-points-and-ties")
def test_a_players_strikes_add_up_and_the_highest_of_them_break_ties(case: Published) -> None:
    """Six strikes at the one meeting, four at the other; each is a sheet of its own."""
    found = []
    for innings in (3, 2):
        rules = rule_set(f"innings = {innings}\nteam_size = 4{FESTIVAL}")
        rows = [row for row in case["rows"] if len(row["strikes"]) == 2 * innings]
        # The names run against the published order, so that they cannot bring it about.
        rows_by_name = {f"player-{9 - index}": row for index, row in enumerate(rows)}
        written = {name: row["strikes"] for name, row in rows_by_name.items()}
        match = read(sheet_text(f"team-1\n{rows_text(written)}", "team-2"))
        for row in match.home.rows or ():
            assert row.total == rows_by_name[row.player]["points"], case["source"]
        table = strikers(performances(match, rules), {}, rules)
        assert [row.player for row in table] == list(rows_by_name), case["source"]
        assert [row.rank for row in table] == list(range(1, len(rows) + 1))
        found += table
    assert [(row.points, row.strikes) for row in found] == [
        (144, 6), (133, 6), (133, 6), (53, 6), (75, 4), (75, 4),
    ], case["source"]  # fmt: skip


# Source: bern-ost.ch, group championship finals.
@published("age-decides-identical-strikes")
def test_the_older_of_two_with_the_same_strikes_ranks_first(case: Published) -> None:
    rules = rule_set(f"team_size = 3{FESTIVAL}")
    strikes = spread(case["points"], 4)
    rows = {"young": strikes, "old": strikes[::-1], "age-unknown": strikes}
    match = read(sheet_text(f"team-1\n{rows_text(rows)}", "team-2"))
    births = {PlayerId("young"): 1990, PlayerId("old"): 1961}
    table = strikers(performances(match, rules), births, rules)
    assert {row.points for row in table} == {case["points"]}
    assert [(row.rank, row.player) for row in table] == [
        (1, "old"),
        (2, "young"),
        (3, "age-unknown"),
    ], case["source"]


def assert_rank_points_as_published(case: Published) -> None:
    winner = points_side("team-1", case["winner"])
    loser = points_side("team-2", case["loser"])
    found = rank_points_of(winner, loser)
    assert found[0] == case["winner"]["rank_points"], case["source"]
    assert found[1] == case["loser"].get("rank_points", found[1]), case["source"]


# Sources: bern-ost.ch, "Die Resultate vom letzten Wochenende"; aargauerzeitung.ch, round 10, 2016.
@published("rank-points-clean-win")
def test_a_clean_win_earns_four_and_a_clean_defeat_two(case: Published) -> None:
    assert_rank_points_as_published(case)


# Source: wochen-zeitung.ch, "Viele Numeros zum Auftakt".
@published("rank-points-clean-defeat")
def test_a_clean_defeat_earns_two(case: Published) -> None:
    assert_rank_points_as_published(case)


# Source: wochen-zeitung.ch, "Viele Numeros zum Auftakt".
@published("rank-points-lost-both-ways")
def test_a_defeat_by_nummern_and_points_earns_nothing(case: Published) -> None:
    assert_rank_points_as_published(case)


# Source: wochen-zeitung.ch, "Vier überraschende Punkte für Schafhausen".
@published("rank-points-fewer-points-but-clean")
def test_nummern_decide_before_points(case: Published) -> None:
    winner = points_side("team-1", case["winner"])
    loser = points_side("team-2", case["loser"])
    result = added_up(sheet_text(winner, loser))
    assert (result.winner, result.decided_by) == ("home", "nummern"), case["source"]
    assert result.home.rank_points == case["winner"]["rank_points"], case["source"]


# Source: bern-ost.ch, "Hornussen Meisterschaft: Die Resultate vom Wochenende", round 6.
@published("rank-points-more-points-in-defeat")
def test_more_points_in_defeat_earn_one(case: Published) -> None:
    """The figures are made up: one Nummer conceded, and a far better total."""
    winner = {"nummern": 0, "points": 900}
    loser = {"nummern": 1, "points": 1100}
    found = rank_points_of(points_side("team-1", winner), points_side("team-2", loser))
    assert found[1] == case["loser_rank_points"], case["source"]


# Source: wochen-zeitung.ch, "Viele Numeros zum Auftakt".
@published("rank-points-win-with-nummern")
def test_a_win_that_is_not_clean_earns_two(case: Published) -> None:
    """The loser's points were not published, so they stay unknown."""
    assert_rank_points_as_published(case)


@published("rank-points-clean-win")
def test_rank_points_strike_by_strike(case: Published) -> None:
    """The published totals of both sides out of strikes, which show that neither conceded."""
    winner = struck_side("team-1", spread(case["winner"]["points"], 4))
    loser = struck_side("team-2", spread(case["loser"]["points"], 4))
    assert rank_points_of(winner, loser) == (4, 2), case["source"]
    with_a_nummer = struck_side("team-1", spread(case["winner"]["points"], 4), nummern=1)
    rules = rule_set("nummer_zone = {from = 1, to = 35}")
    result = added_up(sheet_text(with_a_nummer, loser), rules)
    assert (result.home.nummern, result.away.nummern) == (0, 1)
    assert (result.home.rank_points, result.away.rank_points) == (4, 0)


# Sources: neo1.ch, interview with the individual winner of 2024; aargauerzeitung.ch, 2016.
@published("individual-rank-points-by-season")
def test_the_individual_scale_belongs_to_the_season(case: Published, tmp_path: Path) -> None:
    """One sheet with the same 36 players in both seasons, no two with equal points."""
    edits = []
    for year, best in case["best"].items():
        rows = {
            side: {
                player: [20, 20, index, index + offset]
                for index, player in enumerate(players(18, side))
            }
            for side, offset in (("home", 0), ("away", 1))
        }
        home = f"aarwald-a\n{rows_text(rows['home'])}"
        away = f"birkenfluh-a\n{rows_text(rows['away'])}"
        edits += [
            Write(f"rules/{year}.toml", f"[strikers]\nbest = {best}\n"),
            Write(
                f"seasons/{year}/season.toml",
                f'season = {year}\n[[competition]]\nid = "oberhang-1"\nname = "League"\n'
                f'kind = "league"\nrules = "{year}"\n',
            ),
            Write(
                f"seasons/{year}/matches/{year}-05-10-aarwald-a-birkenfluh-a.yaml",
                sheet_text(home, away, date=f"{year}-05-10"),
            ),
        ]
    archive = open_archive(lay_out(tmp_path, edits))
    for year, best in case["best"].items():
        (examined,) = season_sheets(archive, [int(year)])
        assert examined.match is not None
        assert examined.rules is not None
        assert examined.problems == ()
        earned = sorted(performances(examined.match, examined.rules), key=lambda each: -each.points)
        expected = [*range(best, 0, -1), *[1] * 36][:36]
        assert [each.rank_points for each in earned] == expected, case["source"]


# Source: ehv.ch, "Spielreglement Eidg. Hornusserverband", articles 3 to 8.
@published("team-size-and-supernumeraries")
def test_a_team_has_eighteen(case: Published) -> None:
    assert rule_set().team_size == case["team_size"], case["source"]
    found = {}
    for count in (case["team_size"], case["team_size"] + 1):
        home = {player: [10, 11, 12, 13] for player in players(count, "home")}
        away = {player: [10, 11, 12, 12] for player in players(18, "away")}
        text = sheet_text(f"team-1\n{rows_text(home)}", f"team-2\n{rows_text(away)}")
        found[count] = codes(read(text), rule_set())
    assert found == {18: [], 19: ["too-many-strikes"] * len(found[19])}, case["source"]
    assert found[19]


@published("team-size-and-supernumeraries")
def test_supernumeraries_count_for_themselves_only(case: Published) -> None:
    home = {player: [10, 11, 12, 13] for player in players(18, "home")}
    over = supernumeraries_text({"over-01": [20, 20, 20, "15N"]})
    away = {player: [10, 11, 12, 12] for player in players(18, "away")}
    text = sheet_text(f"team-1\n{rows_text(home)}\n{over}", f"team-2\n{rows_text(away)}")
    match = read(text)
    assert codes(match, rule_set()) == []
    result = tally(match, rule_set(), CompetitionKind.LEAGUE)
    assert result.home.ries == (180, 198, 216, 234), case["source"]
    assert result.away.nummern == 0, case["source"]
    first = performances(match, rule_set())[0]
    assert (first.player, first.points, first.rank_points) == ("over-01", 75, 26), case["source"]


@published("team-size-and-supernumeraries")
def test_supernumeraries_beside_replacement_strikes_are_warned_of(case: Published) -> None:
    home = {player: [10, 11, 12, 13] for player in players(17, "home")}
    replacement = "replacements:\n  - {by: home-01, strikes: [[9, 9], [9, 9]]}"
    over = supernumeraries_text({"over-01": [20, 20, 20, 15]})
    away = f"team-2\n{rows_text({player: [9, 9, 9, 9] for player in players(18, 'away')})}"
    without = read(sheet_text(f"team-1\n{rows_text(home)}\n{replacement}", away))
    assert codes(without, rule_set()) == []
    both = read(sheet_text(f"team-1\n{rows_text(home)}\n{replacement}\n{over}", away))
    assert codes(both, rule_set()) == ["supernumeraries-and-replacements"], case["source"]


@published("team-size-and-supernumeraries")
def test_a_supernumerary_may_come_in_for_a_player_who_drops_out(case: Published) -> None:
    regulars = {player: [10, 11, 12, 13] for player in players(17, "home")}
    home: dict[str, Strikes] = {
        **regulars,
        "leaves-early": [10, 11, "x", "x"],
        "over-01": ["x", "x", 12, 13],
    }
    over = supernumeraries_text({"over-01": [14, 15, "x", "x"]})
    away = f"team-2\n{rows_text({player: [9, 9, 9, 9] for player in players(18, 'away')})}"
    match = read(sheet_text(f"team-1\n{rows_text(home)}\n{over}", away))
    assert codes(match, rule_set()) == [], case["source"]
    result = tally(match, rule_set(), CompetitionKind.LEAGUE)
    assert result.home.ries == (180, 198, 216, 234)


@published("team-size-and-supernumeraries")
def test_a_replaced_player_does_not_return(case: Published) -> None:
    regulars = {player: [10, 11, 12, 13] for player in players(17, "home")}
    home: dict[str, Strikes] = {
        **regulars,
        "comes-back": [10, "x", "x", 13],
        "comes-in": ["x", 11, 12, "x"],
    }
    away = f"team-2\n{rows_text({player: [9, 9, 9, 9] for player in players(18, 'away')})}"
    match = read(sheet_text(f"team-1\n{rows_text(home)}", away))
    assert codes(match, rule_set()) == ["player-returned"], case["source"]


# Source: ehv.ch, "Organisationsreglement Gruppenmeisterschaft EHV".
@published("nummer-zone-differs")
def test_the_nummer_zone_belongs_to_the_rule_set(case: Published) -> None:
    (first, last), (first_in_final, last_in_final) = case["zones"]

    def fine(points: int, zone: tuple[int, int]) -> bool:
        rules = rule_set(f"team_size = 1\nnummer_zone = {{from = {zone[0]}, to = {zone[1]}}}")
        home = rows_text({"home-01": [f"{points}N", 12, 13, 14]})
        away = rows_text({"away-01": [11, 12, 13, 14]})
        found = codes(read(sheet_text(f"team-1\n{home}", f"team-2\n{away}")), rules)
        assert found in ([], ["nummer-outside-zone"])
        return not found

    regional, final = (first, last), (first_in_final, last_in_final)
    assert fine(first, regional), case["source"]
    assert not fine(first, final), case["source"]
    assert not fine(last_in_final, regional), case["source"]
    assert fine(last_in_final, final), case["source"]
    for zone in (regional, final):
        assert fine(zone[0], zone)
        assert fine(zone[1], zone)
        assert not fine(zone[0] - 1, zone)
        assert not fine(zone[1] + 1, zone)


@published("round-robin-8", "round-robin-12")
def test_a_plan_follows_the_berger_tables(case: Published) -> None:
    # Source: Berger tables for 7 or 8, and for 11 or 12 players (FIDE Handbook C.05, annex 1).
    rounds = [line.split() for line in case["rounds"]]
    highest = str(len(rounds) + 1)
    shown = [[f"{home}-{away}" for home, away in pairs] for pairs in berger_table(int(highest))]
    assert shown == rounds
    # With an odd number of teams whoever would meet the highest number is free.
    without = [[pair for pair in each if highest not in pair.split("-")] for each in rounds]
    shown = [[f"{home}-{away}" for home, away in pairs] for pairs in berger_table(len(rounds))]
    assert shown == without


# Sources: hglangnau-berge.ch, "Das Spiel"; hg-epsach.ch, English instructions.
@published("metres-to-points")
def test_the_strip_is_drawn_with_each_zone_where_its_metres_are(case: Published) -> None:
    """Where the picture letters metres and zones, a distance lies in the zone of its points; one
    that ends on a line lies in the nearer zone."""
    drawn = strip_picture(StripStrikes(zones={12: 1}, nummern={}), "", catalogue("en", "reports"))
    assert drawn is not None
    lettered = re.findall(
        r'<text class="soft" x="([0-9.]+)" y="\d+"[^>]*>(\d+)( m)?</text>', drawn.svg
    )
    metres = {int(figure): float(x) for x, figure, unit in lettered if unit}
    zones = {int(figure): float(x) for x, figure, unit in lettered if not unit}
    a_metre = (metres[250] - metres[150]) / 100
    a_zone = (zones[16] - zones[2]) / 14
    for distance, points in case["metres_points"]:
        x = metres[150] + (distance - 150) * a_metre
        zones_before = round((x - zones[2]) / a_zone + 2.5, 1)
        assert ceil(zones_before) - 1 == points, case["source"]


# Source: hornusserfest-stalden-dorf.ch, "Samstag, 13. August 2016", third class.
@published("festival-final-order-2016")
def test_a_rank_list_over_both_parts_goes_by_nummern_before_points(case: Published) -> None:
    assert festival_table([case["rows"]]) == [tuple(row) for row in case["rows"]], case["source"]


@published("festival-final-order-2016")
def test_prizes_of_the_first_six_teams(case: Published) -> None:
    """Six teams won a prize, by the table over both parts. The names and a seventh team are
    invented, and the second prize that the first two keep from the others."""
    rows = [
        Standing(rank, TeamId(f"team-{rank}"), 2, 0, 0, 0, nummern, points, 0)
        for rank, nummern, points in [*case["rows"], (7, 1, 880)]
    ]
    prize = Award("prize", first=6, recipients="teams")
    [given] = awards_given(rows, (), RuleSet(awards=(prize,)), {})
    assert given.players == ()
    assert given.teams == tuple(f"team-{row[0]}" for row in case["rows"]), case["source"]
    both = RuleSet(awards=(prize, prize._replace(name="cowbell", first=2)))
    assert [each.teams for each in awards_given(rows, (), both, {})] == [
        ("team-1", "team-2"), ("team-3", "team-4", "team-5", "team-6"),
    ]  # fmt: skip
    behind = prize._replace(first=None, points=900)
    [given] = awards_given(rows, (), RuleSet(awards=(behind,)), {})
    assert given.teams == ("team-1", "team-2", "team-3", "team-4", "team-5")


# Source: grenchnertagblatt.ch, "Die Hornusser am Eidgenössischen", 2016.
@published("federal-festival-two-days")
def test_most_points_with_a_nummer_rank_behind_all_that_are_clean(case: Published) -> None:
    """Of the second day only the sums are published, so its points are their differences; teams
    of which none is published have both days' points from the first alone."""
    first = [*case["first_day"], case["behind_clean"]]
    days = [[(index, *figures) for index, figures in enumerate(first, start=1)]]
    assert [row[1:] for row in festival_table(days)] == list(map(tuple, first)), case["source"]
    second = [
        (index, 0, sums[0][1] - figures[1])
        for index, figures in enumerate(first, start=1)
        if (sums := [each for each in case["after_both"] if each[0] == figures[1]])
    ]
    assert len(second) == len(case["after_both"])
    # One more team, so that each of the second day has somebody to meet.
    both = festival_table([days[0], [*second, (6, 9, 1)]])
    assert [row[2] for row in both[:3]] == [after for _, after in case["after_both"]], case[
        "source"
    ]


def festival_table(days: Sequence[Sequence[Sequence[int]]]) -> list[tuple[int, int, int]]:
    """Rank, Nummern and points of teams of which each day's rows give number, Nummern, points."""
    rules = rule_set(FESTIVAL)
    tallies = []
    for rows in days:
        sides = [
            points_side(f"team-{number}", {"nummern": nummern, "points": points})
            for number, nummern, points in rows
        ]
        if len(sides) % 2:
            sides.append(points_side("team-99", {"nummern": 99, "points": 1}))
        for home, away in zip(sides[::2], sides[1::2], strict=True):
            tallies.append(added_up(sheet_text(home, away), rules, CompetitionKind.FESTIVAL))
    table = standings(tallies, [], rules)
    return [(row.rank, row.nummern, row.points) for row in table if row.nummern < 99]


# Source: ehv.ch, "Mädchenhornussen 2022".
@published("girls-festival-2022")
def test_three_level_on_points_rank_by_their_highest_strikes(case: Published) -> None:
    rules = rule_set(f"team_size = 3{FESTIVAL}")
    for level in ("level-1", "level-2", "level-3"):
        # The names run against the published order, so that they cannot bring it about.
        names = {f"player-{9 - index}": row for index, row in enumerate(case[level])}
        written: dict[str, Strikes] = {name: row["strikes"] for name, row in names.items()}
        match = read(sheet_text(f"team-1\n{rows_text(written)}", "team-2"))
        table = strikers(performances(match, rules), {}, rules)
        assert [row.points for row in table] == [row["points"] for row in case[level]]
        found = {row.player: row.rank for row in table}
        best_first = sorted(names, key=lambda name: sorted(names[name]["strikes"])[::-1])[::-1]
        by_points = sorted(best_first, key=lambda name: -names[name]["points"])
        assert [row.player for row in table] == by_points == list(names), case["source"]
        assert len(set(map(str, written.values()))) == len(found) == 3, case["source"]


# Source: bern-ost.ch, "Hornussen Nachwuchs-Meisterschaft", season 2022.
@published("youth-levels-by-year")
def test_youth_levels_take_in_the_published_years_of_birth(case: Published) -> None:
    season, levels = case["season"], case["levels"]
    rules = rule_set(_youth_rules(season, levels))
    for level, ranked in zip(levels, rules.classes, strict=True):
        years = {year for year in range(1990, season + 1) if ranked.takes_in(season, year, ())}
        last = level.get("born_to", season)
        assert years == set(range(level["born_from"], last + 1)), case["source"]
        assert not ranked.takes_in(season, None, [ranked.id])


def _youth_rules(season: int, levels: Sequence[Published]) -> str:
    """Classes by age, the season less the year of birth, for levels told by years of birth."""
    text = FESTIVAL
    for level in levels:
        ages = f"to = {season - level['born_from']}"
        if "born_to" in level:
            ages = f"from = {season - level['born_to']}, {ages}"
        text += f'[[classes]]\nid = "{level["id"]}"\nname = "{level["id"]}"\nages = {{{ages}}}\n'
    return text


# Source: ehv.ch, "Nachwuchszweckverbandshornussen 2022".
@published("youth-festival-2022")
def test_the_best_of_each_youth_level(case: Published) -> None:
    levels = PUBLISHED["youth-levels-by-year"]["levels"]
    rules = rule_set(f"team_size = 12\nhighest_points = 99{_youth_rules(2022, levels)}")
    points = {
        f"{level}-{number}": total
        for level, totals in case["best"].items()
        for number, total in enumerate(totals)
    }
    rows: dict[str, Strikes] = {name: [total, 0, 0, 0] for name, total in points.items()}
    match = read(sheet_text(f"team-1\n{rows_text(rows)}", "team-2"))
    table = strikers(performances(match, rules), {}, rules)
    born = {level["id"]: level["born_from"] for level in levels}
    people = {
        PlayerId(name): Player(
            id=PlayerId(name), name=name, born=born[name.rpartition("-")[0]], positions={}
        )
        for name in points
    }
    by_class = class_tables(table, rules, 2022, people)
    found = {level: [(row.rank, row.points) for row in rows] for level, rows in by_class.items()}
    assert found == {
        level: [*enumerate(totals, start=1)] for level, totals in case["best"].items()
    }, case["source"]
    nobody = "other-a\npoints: 0\nnummern: 20"
    teams = [
        added_up(sheet_text(f"team-{rank}\npoints: {total}\nnummern: {nummern}", nobody))
        for rank, nummern, total in case["teams"]
    ]
    order = rule_set(FESTIVAL)
    ranked = [row for row in standings(teams, [], order) if row.team.startswith("team-")]
    assert [(row.nummern, row.points) for row in ranked] == [(n, p) for _, n, p in case["teams"]]


# Source: hgwinterthur.ch, "Herbsthornussen" 2019.
@published("one-inning-festival")
def test_a_day_stopped_after_one_inning(case: Published) -> None:
    rules = rule_set(f"innings = 1{FESTIVAL}")
    (first, second), total = case["player"]["strikes"], case["team"]["points"]
    others = spread(total - first - second, 34)
    rows: dict[str, Strikes] = {
        player: others[2 * index : 2 * index + 2]
        for index, player in enumerate(players(17, "home"))
    }
    rows["the-best"] = [first, second]
    away: dict[str, Strikes] = {player: [9, 9] for player in players(18, "away")}
    match = read(sheet_text(f"team-1\n{rows_text(rows, 2)}", f"team-2\n{rows_text(away, 2)}"))
    assert codes(match, rules) == []
    found = tally(match, rules, CompetitionKind.FESTIVAL)
    assert (found.home.points, found.home.nummern) == (total, case["team"]["nummern"])
    by_player = {each.player: each.points for each in performances(match, rules)}
    assert by_player[PlayerId("the-best")] == case["player"]["points"], case["source"]


# Source: ehv.ch, "Horn- und Bechermatch, Hürnberg-Verband 2022".
@published("rank-list-without-pairings")
def test_a_rank_list_of_a_festival_without_pairings(case: Published, tmp_path: Path) -> None:
    teams = [
        f'{{rank = {rank}, name = "Team {rank}", nummern = {nummern}, points = {points}}}'
        for rank, nummern, points in case["rows"]
    ]
    best = [
        f'{{rank = {rank}, name = "Player {rank}", points = {points}}}'
        for rank, points in enumerate(case["best_strikers"], start=1)
    ]
    head = (
        'competition = "small-festival"\nname = "Small Festival"\nkind = "festival"\n'
        'source = {kind = "newspaper"}\n'
    )
    folder = lay_out(
        tmp_path,
        [
            Write(
                "seasons/2022/handed-down.toml",
                f"[[table]]\n{head}rows = [{', '.join(teams)}]\n"
                f"[[striker_table]]\n{head}rows = [{', '.join(best)}]\n",
            )
        ],
    )
    # Fewer points with fewer Nummern stand before: that is no contradiction at a festival.
    assert problems_of(folder) == [], case["source"]
    table, individuals = (
        invoke("--folder", tmp_path, command, "small-festival", "--format", "json").data
        for command in ("standings", "strikers")
    )
    shown = [[row["rank"], row["nummern"], row["points"]] for row in table]
    assert shown == case["rows"], case["source"]
    assert [row["points"] for row in individuals] == case["best_strikers"], case["source"]
    (won,) = [
        each
        for each in invoke("--folder", tmp_path, "honours", "--format", "json").data["honours"]
        if each["season"] == 2022
    ]
    assert (won["champions"], won["decided"]) == (["Team 1"], "handed-down"), case["source"]


NOT_TOLD = "~, ~"


# Source: limmattalerzeitung.ch, a top-league match of round 12.
@published("newspaper-report-totals-and-best")
def test_what_a_newspaper_prints_leaves_the_result_as_it_was(case: Published) -> None:
    """The Ries totals of the first inning are made up so as to give the lead that was printed."""
    lead = case["lead_after_first_inning"]
    home = f"{points_side('team-1', case['home'])}\nries: [{290 + lead['points']}, 281, {NOT_TOLD}]"
    (best,) = case["away"]["named"]
    away = f"{points_side('team-2', case['away'])}\nries: [290, 281, {NOT_TOLD}]"
    named = read(sheet_text(home, f"{away}\nnamed: {{player-1: {best}}}"))
    assert codes(named, rule_set()) == []
    result = tally(named, rule_set(), CompetitionKind.LEAGUE)
    assert result == tally(read(sheet_text(home, away)), rule_set(), CompetitionKind.LEAGUE)
    assert (result.winner, result.decided_by) == (case["winner"], "nummern"), case["source"]
    assert result.away.points == case["away"]["points"]
    half_way = first_inning(named, result, rule_set())
    assert half_way is not None
    ahead = half_way.home - half_way.away
    assert {"home": ahead, "away": -ahead}[lead["side"]] == lead["points"], case["source"]
    # As the points of the whole side they would turn it.
    short = away.replace(f"points: {case['away']['points']}\n", "")
    short = short.partition("\nries")[0] + f"\nplayer_points: {{player-1: {best}}}"
    assert codes(read(sheet_text(home, short)), rule_set()) == ["few-player-points"]


# Source: aargauerzeitung.ch, a top-league match of round 10.
@published("newspaper-best-strikers")
def test_the_best_few_of_both_sides_earn_nothing_but_have_their_points(case: Published) -> None:
    first, second, *level = case["named"]
    named = f"named: {{player-1: {second}, player-2: {level[0]}}}"
    home = f"team-1\npoints: 1000\nnummern: 0\n{named}"
    named = f"named: {{player-3: {level[1]}, player-4: {first}}}"
    away = f"team-2\npoints: {1000 + case['won_by']}\nnummern: 0\n{named}"
    match = read(sheet_text(home, away))
    assert codes(match, rule_set()) == []
    result = tally(match, rule_set(), CompetitionKind.LEAGUE)
    assert (result.winner, result.decided_by) == ("away", "points")
    assert result.home.points is not None
    assert result.away.points is not None
    assert result.away.points - result.home.points == case["won_by"], case["source"]
    points = sorted((each[5] or 0 for each in individuals(match)), reverse=True)
    assert points == case["named"], case["source"]
    assert performances(match, rule_set()) == []


# Source: bern-ost.ch, a top-league match of round 13, 2018.
@published("lead-after-first-inning")
def test_the_lead_after_the_first_inning_where_the_second_is_not_told(case: Published) -> None:
    sides = []
    for number, ries in enumerate((case["leader_ries"], case["follower_ries"]), start=1):
        totals = ", ".join(map(str, ries))
        sides.append(f"team-{number}\npoints: 1200\nries: [{totals}, {NOT_TOLD}]\nnummern: 0")
    match = read(sheet_text(*sides))
    result = tally(match, rule_set(), CompetitionKind.LEAGUE)
    assert (result.home.ries, result.home.depth, result.winner) == (None, "points", None)
    half_way = first_inning(match, result, rule_set())
    assert half_way is not None
    assert half_way.home - half_way.away == case["lead"], case["source"]


# Source: hgwinterthur.ch, a festival of 2019.
@published("one-inning-festival")
def test_a_newspaper_names_one_striker_of_a_day_of_one_inning(case: Published) -> None:
    rules = rule_set(f"innings = 1{FESTIVAL}")
    best = f"named: {{player-1: {case['player']['points']}}}"
    match = read(
        sheet_text(f"{points_side('team-1', case['team'])}\n{best}", "team-2\npoints: 300")
    )
    assert codes(match, rules) == []
    found = tally(match, rules, CompetitionKind.FESTIVAL)
    assert (found.home.points, found.home.nummern) == (
        case["team"]["points"],
        case["team"]["nummern"],
    ), case["source"]
    assert first_inning(match, found, rules) is None


def test_every_published_case_is_tried_and_has_a_source() -> None:
    # In tests/questions/test_festival_in_parts.py.
    assert set(PUBLISHED) == TRIED | {"festival-parts-third-class"}
    assert all(case["source"].strip() for case in PUBLISHED.values())
