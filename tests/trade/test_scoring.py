"""Scoring, point by point: the match and the standings."""

import datetime
from collections.abc import Mapping

import pytest

from riesbuch.trade.ids import TeamId
from riesbuch.trade.match import Depth
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.standings import shared_ranks, standings
from riesbuch.trade.strikers import performances
from riesbuch.trade.tally import Tally
from tests.sheetwriting import (
    added_up,
    codes,
    read,
    rows_text,
    rule_set,
    sheet_text,
    side,
    supernumeraries_text,
)

TWO = rule_set("team_size = 2")


def result(home: str, away: str, top: str = "", rules: RuleSet = TWO) -> tuple[object, object]:
    found = added_up(sheet_text(home, away, top), rules)
    return found.winner, found.decided_by


# The winner


@pytest.mark.parametrize(
    ("home", "away", "expected"),
    [
        ({"points": 900, "nummern": 0}, {"points": 1200, "nummern": 1}, ("home", "nummern")),
        ({"points": 900, "nummern": 3}, {"points": 800, "nummern": 2}, ("away", "nummern")),
        ({"points": 901, "nummern": 1}, {"points": 900, "nummern": 1}, ("home", "points")),
        (
            {"ries": [30, 20, 25, 25], "nummern": 0},
            {"ries": [25, 25, 25, 25], "nummern": 0},
            ("home", "longest_ries"),
        ),
        (
            {"ries": [20, 30, 24, 26], "nummern": 0},
            {"ries": [23, 27, 30, 20], "nummern": 0},
            ("away", "longest_ries"),
        ),
        (
            {"ries": [30, 25, 23, 22], "nummern": 0},
            {"ries": [22, 25, 30, 23], "nummern": 0},
            ("draw", None),
        ),
    ],
    ids=["nummern", "fewer-nummern", "points", "best-ries", "second-best-ries", "draw"],
)
def test_the_winner_walks_the_result_order(
    home: Mapping[str, object], away: Mapping[str, object], expected: tuple[object, object]
) -> None:
    assert result(side("team-1", **home), side("team-2", **away)) == expected


def test_the_result_order_belongs_to_the_rule_set() -> None:
    rules = rule_set('result_order = ["points", "nummern"]')
    home, away = side("team-1", points=900, nummern=0), side("team-2", points=901, nummern=9)
    assert result(home, away, rules=rules) == ("away", "points")
    level = side("team-2", points=900, nummern=9)
    assert result(home, level, rules=rules) == ("home", "nummern")
    level_all = side("team-2", points=900, nummern=0)
    assert result(home, level_all, rules=rules) == ("draw", None)


def test_a_criterion_unknown_on_either_side_is_passed_over() -> None:
    home, away = side("team-1", points=900, nummern=5), side("team-2", points=800)
    assert result(home, away) == ("home", "points")
    only_nummern = side("team-2", nummern=6)
    assert result(side("team-1", points=900, nummern=5), only_nummern) == ("home", "nummern")


def test_an_open_winner_stays_open_unless_one_is_given() -> None:
    home, away = side("team-1", points=900, nummern=0), side("team-2", points=900, nummern=0)
    assert result(home, away) == (None, None)
    assert result(home, away, "winner: away") == ("away", "recorded")
    assert result(home, away, "winner: draw") == ("draw", "recorded")


def test_only_the_winner_is_known() -> None:
    found = added_up(sheet_text("team-1", "team-2", "winner: away"))
    assert (found.winner, found.decided_by, found.counts) == ("away", "recorded", True)
    assert (found.home.depth, found.home.ries, found.home.points, found.home.nummern) == (
        Depth.NONE,
        None,
        None,
        None,
    )
    assert (found.home.rank_points, found.away.rank_points) == (0, 2)


def test_a_given_winner_that_contradicts_is_an_error_and_does_not_stand() -> None:
    text = sheet_text(side("team-1", points=9), side("team-2", points=8), "winner: away")
    assert codes(read(text), TWO) == ["winner-contradicts"]
    assert added_up(text).winner == "home"


# Strikes and totals


HOME = rows_text({"a-one": [18, 20, 17, 19], "a-two": [15, 0, "16N", 14]})
AWAY = rows_text({"b-one": [14, 9, 12, 16], "b-two": [8, 13, "11n", "10N"]})


def test_strikes_add_up_to_ries_totals_points_and_nummern() -> None:
    found = added_up(sheet_text(f"team-1\n{HOME}", f"team-2\n{AWAY}"))
    assert (found.home.ries, found.home.points, found.home.nummern) == ((33, 20, 33, 33), 119, 2)
    assert (found.away.ries, found.away.points, found.away.nummern) == ((22, 22, 23, 26), 93, 1)
    assert (found.winner, found.decided_by) == ("away", "nummern")
    assert (found.home.rank_points, found.away.rank_points) == (1, 2)


def test_replacements_count_for_the_team_and_supernumeraries_do_not() -> None:
    home = (
        f"team-1\n{rows_text({'a-one': [18, 20, 17, 19]})}\n"
        "replacements:\n  - {by: a-one, strikes: [[1, 2], [3N, 4]]}\n"
    )
    away = f"team-2\n{AWAY}\n{supernumeraries_text({'b-three': ['5N', 6, 7, 8]})}"
    found = added_up(sheet_text(home.rstrip(), away))
    assert found.home.ries == (19, 22, 20, 23)
    assert found.away.ries == (22, 22, 23, 26)
    assert (found.home.nummern, found.away.nummern) == (2, 1)


def test_player_points_and_ries_add_up() -> None:
    home = side("team-1", player_points="{a-one: 74, a-two: 45}", nummern=0)
    found = added_up(sheet_text(home, side("team-2", ries=[22, 22, 23, 26], nummern=0)))
    assert (found.home.depth, found.home.ries, found.home.points) == (Depth.PLAYERS, None, 119)
    assert (found.away.depth, found.away.ries, found.away.points) == (
        Depth.RIES,
        (22, 22, 23, 26),
        93,
    )


UNKNOWN = rows_text({"a-one": [18, "~", 17, 19], "a-two": [15, 0, "16N", "null"]})


def test_unknown_cells_take_the_totals_of_the_paper() -> None:
    home = f"team-1\n{UNKNOWN}\npaper: {{ries: [33, 20, 33, 33], points: 119}}"
    away = f"team-2\n{AWAY}\npaper: {{nummern: 3}}"
    match = read(sheet_text(home, away))
    assert codes(match, TWO) == []
    found = added_up(sheet_text(home, away))
    assert (found.home.ries, found.home.points, found.home.nummern) == ((33, 20, 33, 33), 119, 2)
    assert (found.away.points, found.away.nummern) == (93, 3)
    assert (found.winner, found.decided_by) == ("home", "nummern")


def test_the_papers_ries_totals_give_the_points_and_its_points_no_ries_totals() -> None:
    away = f"team-2\n{AWAY}\npaper: {{nummern: 3}}"
    by_ries = added_up(sheet_text(f"team-1\n{UNKNOWN}\npaper: {{ries: [33, 20, 33, 33]}}", away))
    assert (by_ries.home.ries, by_ries.home.points) == ((33, 20, 33, 33), 119)
    by_points = added_up(sheet_text(f"team-1\n{UNKNOWN}\npaper: {{points: 119}}", away))
    assert (by_points.home.ries, by_points.home.points) == (None, 119)


@pytest.mark.parametrize(
    ("paper", "expected"),
    [
        ("{ries: [33, 14, 18, 33]}", ["paper-differs"]),
        ("{ries: [33, 20, 18, 18]}", ["paper-differs"]),
        ("{ries: [33, 15, 18, 19]}", []),
        ("{points: 84}", ["paper-differs"]),
        ("{points: 85}", []),
        ("{ries: [33, 20, 18, 33], points: 120}", ["paper-differs"]),
    ],
)
def test_paper_below_the_known_strikes_or_against_itself_differs(
    paper: str, expected: list[str]
) -> None:
    unknown = rows_text({"a-one": [18, "~", 17, 19], "a-two": [15, 15, 1, "~"]})
    home, away = f"team-1\n{unknown}\npaper: {paper}", f"team-2\n{AWAY}\npaper: {{nummern: 0}}"
    assert codes(read(sheet_text(home, away)), TWO) == expected


def test_paper_nummern_below_the_known_ones_differ() -> None:
    home = f"team-1\n{UNKNOWN}\npaper: {{points: 119}}"
    text = sheet_text(home, f"team-2\n{AWAY}\npaper: {{nummern: 0}}")
    assert codes(read(text), TWO) == ["paper-differs"]


# Forfeited, abandoned, kept out, drafts


def test_a_forfeited_match_earns_the_forfeit_points_and_nothing_else() -> None:
    text = sheet_text("team-1", "team-2", "outcome: forfeited\nawarded: away")
    found = added_up(text)
    assert (found.winner, found.decided_by, found.counts) == ("away", "award", True)
    assert (found.home.rank_points, found.away.rank_points) == (0, 4)
    assert (found.home.points, found.home.nummern) == (None, None)
    rules = rule_set("forfeit = {winner = 3, loser = 1}")
    other = added_up(text, rules)
    assert (other.home.rank_points, other.away.rank_points) == (1, 3)
    assert performances(read(text), TWO) == []


def test_a_forfeited_match_with_figures_has_no_strikes_nummern_or_points() -> None:
    top = "outcome: forfeited\nawarded: away"
    text = sheet_text(f"team-1\n{HOME}", f"team-2\n{AWAY}", top)
    found = added_up(text)
    assert (found.home.points, found.home.nummern, found.home.ries) == (None, None, None)
    assert codes(read(text), TWO) == ["figures-without-play"] * 2


def test_a_forfeited_match_with_figures_gives_nobody_strikes() -> None:
    top = "outcome: forfeited\nawarded: away"
    text = sheet_text(f"team-1\n{HOME}", f"team-2\n{AWAY}", top)
    assert performances(read(text), TWO) == []


def test_an_abandoned_match_counts_as_far_as_it_went() -> None:
    home = rows_text({"a-one": [18, 20, 17], "a-two": [15, 0, 16]})
    away = rows_text({"b-one": [14, 9, 12], "b-two": [8, 13, 11]})
    match = sheet_text(f"team-1\n{home}", f"team-2\n{away}", "outcome: abandoned")
    assert codes(read(match), TWO) == []
    found = added_up(match)
    assert (found.home.ries, found.away.ries) == ((33, 20, 33), (22, 22, 23))
    assert (found.winner, found.counts, found.home.rank_points) == ("home", True, 4)


def test_strikes_not_struck_in_an_abandoned_match_decide_nothing() -> None:
    home = rows_text({"a-one": [18, 20], "a-two": [15, 0]})
    away = rows_text({"b-one": [18, 20, "x", "x"], "b-two": [15, 0, "x", "x"]})
    assert result(f"team-1\n{home}", f"team-2\n{away}", "outcome: abandoned") == ("draw", None)


@pytest.mark.parametrize("top", ["outcome: postponed", "outcome: annulled"])
def test_what_was_not_played_or_was_annulled_counts_nowhere(top: str) -> None:
    text = sheet_text(side("team-1", points=9, nummern=0), side("team-2", points=8, nummern=0), top)
    found = added_up(text)
    assert (found.winner, found.counts, found.home.rank_points) == (None, False, None)
    assert performances(read(text), TWO) == []


@pytest.mark.parametrize("outcome", ["played", "abandoned"])
def test_counts_false_keeps_a_match_out_of_the_tables(outcome: str) -> None:
    top = f"outcome: {outcome}\ncounts: false"
    text = sheet_text(f"team-1\n{HOME}", f"team-2\n{AWAY}", top)
    found = added_up(text)
    assert (found.winner, found.counts) == ("away", False)
    assert performances(read(text), TWO) == []
    table = standings([found], [TeamId("team-1"), TeamId("team-2")], TWO)
    assert [row.played for row in table] == [0, 0]


def test_a_draft_counts_nowhere() -> None:
    home = rows_text({"a-one": [18, 20, 17, 19], "a-two": [15, 0, 16, "_"]})
    text = sheet_text(f"team-1\n{home}", f"team-2\n{AWAY}")
    found = added_up(text)
    assert found.is_draft
    assert (found.winner, found.counts, found.home.points) == (None, False, None)
    assert performances(read(text), TWO) == []
    assert codes(read(text), TWO) == ["draft"]


def test_a_blank_among_the_supernumeraries_makes_a_draft_too() -> None:
    over = supernumeraries_text({"a-three": [1, 2, 3, "_"]})
    text = sheet_text(f"team-1\n{HOME}\n{over}", f"team-2\n{AWAY}")
    assert codes(read(text), TWO) == ["draft"]
    assert not added_up(text).counts


# Standings


def tallies(*sheets: str, rules: RuleSet = TWO) -> list[Tally]:
    return [added_up(text, rules) for text in sheets]


def match_text(home: str, away: str, points: tuple[int, int], nummern: tuple[int, int]) -> str:
    return sheet_text(
        side(home, points=points[0], nummern=nummern[0]),
        side(away, points=points[1], nummern=nummern[1]),
    )


def test_level_teams_share_a_rank_and_the_next_is_skipped() -> None:
    table = standings(
        tallies(
            match_text("team-1", "team-4", (100, 90), (0, 0)),
            match_text("team-3", "team-5", (80, 70), (0, 1)),
            match_text("team-2", "team-6", (80, 60), (0, 2)),
        ),
        [TeamId("team-9"), TeamId("team-8")],
        TWO,
    )
    assert [(row.rank, row.team) for row in table] == [
        (1, "team-1"),
        (2, "team-2"),
        (2, "team-3"),
        (4, "team-4"),
        (5, "team-5"),
        (6, "team-6"),
        (7, "team-8"),
        (7, "team-9"),
    ]
    assert (table[7].played, table[7].points, table[7].rank_points) == (0, 0, 0)
    assert shared_ranks(["a", "b", "b", "c", "c", "c", "d"]) == [1, 2, 2, 4, 4, 4, 7]


def test_standings_add_everything_up() -> None:
    (first, second) = standings(
        tallies(
            match_text("team-1", "team-2", (100, 90), (0, 1)),
            match_text("team-2", "team-1", (100, 90), (1, 1)),
            sheet_text("team-1", "team-2", "winner: draw"),
            sheet_text("team-1", "team-2", "outcome: forfeited\nawarded: home"),
        ),
        [],
        TWO,
    )
    assert (first.team, first.played, first.won, first.drawn, first.lost) == ("team-1", 4, 2, 1, 1)
    assert (first.nummern, first.points, first.rank_points) == (1, 190, 4 + 0 + 1 + 4)
    assert (second.team, second.won, second.drawn, second.lost) == ("team-2", 1, 1, 2)
    assert (second.nummern, second.points, second.rank_points) == (2, 190, 0 + 2 + 1 + 0)


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        ('["points"]', ["team-2", "team-3", "team-1"]),
        ('["nummern"]', ["team-1", "team-2", "team-3"]),
        ('["won", "points"]', ["team-1", "team-3", "team-2"]),
        ('["lost", "points"]', ["team-1", "team-3", "team-2"]),
    ],
)
def test_every_criterion_of_the_standings_order(order: str, expected: list[str]) -> None:
    rules = rule_set(f"standings_order = {order}")
    # team-1 wins both by Nummern, team-3 beats team-2 by Nummern.
    found = standings(
        tallies(
            match_text("team-1", "team-2", (10, 300), (0, 1)),
            match_text("team-1", "team-3", (10, 100), (0, 2)),
            match_text("team-3", "team-2", (100, 300), (0, 1)),
        ),
        [],
        rules,
    )
    if order == '["nummern"]':
        assert [row.rank for row in found] == [1, 2, 2]
    assert [row.team for row in found] == expected


def test_what_is_unknown_earns_nothing() -> None:
    found = added_up(sheet_text(side("team-1", points=900), side("team-2", points=800, nummern=0)))
    assert (found.winner, found.home.rank_points, found.away.rank_points) == ("home", 2, 2)
    only_nummern = added_up(sheet_text(side("team-1", nummern=0), side("team-2", nummern=1)))
    assert (only_nummern.home.rank_points, only_nummern.away.rank_points) == (4, 0)
    (first, second) = standings([only_nummern], [], TWO)
    assert (first.points, second.points, second.nummern) == (0, 0, 1)


@pytest.mark.parametrize(
    "kind", [CompetitionKind.CUP, CompetitionKind.FESTIVAL, CompetitionKind.FRIENDLY]
)
def test_no_other_match_than_a_league_match_earns_rank_points(kind: CompetitionKind) -> None:
    found = added_up(match_text("team-1", "team-2", (100, 90), (0, 0)), TWO, kind)
    assert found.winner == "home"
    assert (found.home.rank_points, found.away.rank_points) == (None, None)
    assert [row.rank_points for row in standings([found], [], TWO)] == [0, 0]


def test_standings_until_a_day_include_that_day() -> None:
    early = sheet_text("team-1", "team-2", "winner: home", date="2026-05-03")
    late = sheet_text("team-1", "team-2", "winner: away", date="2026-05-10")
    both = tallies(early, late)

    def won(until: str) -> list[tuple[str, int]]:
        table = standings(both, [TeamId("team-2")], TWO, datetime.date.fromisoformat(until))
        return sorted((row.team, row.won) for row in table)

    assert won("2026-05-02") == [("team-2", 0)]
    assert won("2026-05-03") == [("team-1", 1), ("team-2", 0)]
    assert won("2026-05-09") == [("team-1", 1), ("team-2", 0)]
    assert won("2026-05-10") == [("team-1", 1), ("team-2", 1)]
