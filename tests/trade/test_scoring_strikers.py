"""Scoring, point by point: individuals in a match and the striker table."""

import datetime
from collections.abc import Mapping
from fractions import Fraction

import pytest

from riesbuch.trade.ids import PlayerId
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikers import Striker, performances, strikers
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
HOME = rows_text({"a-one": [18, 20, 17, 19], "a-two": [15, 0, "16N", 14]})
AWAY = rows_text({"b-one": [14, 9, 12, 16], "b-two": [8, 13, "11n", "10N"]})
UNKNOWN = rows_text({"a-one": [18, "~", 17, 19], "a-two": [15, 0, "16N", "null"]})


def striker_table(
    *sheets: str,
    rules: RuleSet = TWO,
    births: Mapping[str, int] | None = None,
    until: str | None = None,
) -> list[Striker]:
    played = [
        performance
        for number, text in enumerate(sheets)
        for performance in performances(read(text, stem=f"sheet-{number}"), rules)
    ]
    known = {PlayerId(player): year for player, year in (births or {}).items()}
    limit = datetime.date.fromisoformat(until) if until else None
    return strikers(played, known, rules, limit)


def earned(text: str, rules: RuleSet = TWO) -> dict[str, tuple[int, int]]:
    found = performances(read(text), rules)
    assert len({each.player for each in found}) == len(found)
    return {each.player: (each.points, each.rank_points) for each in found}


def test_level_players_of_a_match_share_rank_points() -> None:
    home = rows_text({"a-one": [20, 20, 20, 20], "a-two": [10, 10, 10, 10]})
    away = rows_text({"b-one": [19, 21, 10, 10], "b-two": [15, 15, 15, 15]})
    assert earned(sheet_text(f"team-1\n{home}", f"team-2\n{away}")) == {
        "a-one": (80, 26),
        "b-one": (60, 25),
        "b-two": (60, 25),
        "a-two": (40, 23),
    }


def test_nobody_earns_less_than_the_least() -> None:
    rules = rule_set("strikers = {best = 4, least = 2}")
    points = ", ".join(f"p-{number}: {90 - number}" for number in range(5))
    text = sheet_text(side("team-1", player_points=f"{{{points}}}"), "team-2", "winner: home")
    assert [rank_points for _, rank_points in earned(text, rules).values()] == [4, 3, 2, 2, 2]


def test_replacements_are_out_and_supernumeraries_are_in() -> None:
    home = f"team-1\n{HOME}\nreplacements:\n  - {{by: a-two, strikes: [[9, 9], [9, 9]]}}"
    over = supernumeraries_text({"b-three": [20, 20, 20, 20]})
    found = earned(sheet_text(home, f"team-2\n{AWAY}\n{over}"))
    assert found == {
        "b-three": (80, 26),
        "a-one": (74, 25),
        "b-one": (51, 24),
        "a-two": (45, 23),
        "b-two": (42, 22),
    }


def test_an_unknown_cell_leaves_the_player_out_of_that_match() -> None:
    home = f"team-1\n{UNKNOWN}\npaper: {{points: 119}}"
    text = sheet_text(home, f"team-2\n{AWAY}\npaper: {{nummern: 3}}")
    assert earned(text) == {"b-one": (51, 26), "b-two": (42, 25)}
    later = sheet_text(f"team-1\n{HOME}", f"team-2\n{AWAY}", date="2026-05-17")
    rows = {row.player: row for row in striker_table(text, later)}
    assert (rows[PlayerId("a-one")].matches, rows[PlayerId("a-one")].strikes) == (1, 4)
    assert (rows[PlayerId("b-one")].matches, rows[PlayerId("b-one")].strikes) == (2, 8)


def test_a_row_of_x_alone_did_not_take_part() -> None:
    home = rows_text({"a-one": [18, 20, 17, 19], "a-two": ["x", "x", "x", "x"]})
    found = earned(sheet_text(f"team-1\n{home}", f"team-2\n{AWAY}"))
    assert sorted(found) == ["a-one", "b-one", "b-two"]


def test_strikes_count_those_struck() -> None:
    home = rows_text({"a-one": [18, 0, "x", "x"], "a-two": [15, 0, 16, 14]})
    rows = {
        row.player: row for row in striker_table(sheet_text(f"team-1\n{home}", f"team-2\n{AWAY}"))
    }
    one = rows[PlayerId("a-one")]
    assert (one.matches, one.strikes, one.points, one.average) == (1, 2, 18, Fraction(9))


def test_a_supernumerary_who_came_in_has_one_performance() -> None:
    home = rows_text({"a-one": [18, 20, 17, 19], "a-two": [15, 1, "x", "x"],
                      "a-three": ["x", "x", 12, 13]})  # fmt: skip
    over = supernumeraries_text({"a-three": [10, 11, "x", "x"]})
    text = sheet_text(f"team-1\n{home}\n{over}", f"team-2\n{AWAY}")
    assert codes(read(text), TWO) == []
    assert earned(text) == {
        "a-one": (74, 26),
        "b-one": (51, 25),
        "a-three": (46, 24),
        "b-two": (42, 23),
        "a-two": (16, 22),
    }
    rows = {row.player: row for row in striker_table(text)}
    three = rows[PlayerId("a-three")]
    assert (three.matches, three.strikes, three.points, three.best) == (1, 4, 46, 46)
    assert added_up(text).home.ries == (33, 21, 29, 32)


def test_an_unknown_cell_in_one_of_two_rows_leaves_the_player_out() -> None:
    home = rows_text({"a-one": [18, 20, 17, 19], "a-two": [15, 1, "x", "x"],
                      "a-three": ["x", "x", 12, 13]})  # fmt: skip
    over = supernumeraries_text({"a-three": [10, "~", "x", "x"]})
    paper = "paper: {points: 115}"
    away = f"team-2\n{AWAY}\npaper: {{nummern: 0}}"
    found = earned(sheet_text(f"team-1\n{home}\n{over}\n{paper}", away))
    assert "a-three" not in found


def test_the_team_is_the_one_last_played_for() -> None:
    early = sheet_text(side("team-1", player_points="{p-one: 60}"), "team-9", "winner: home")
    late = sheet_text(
        side("team-2", player_points="{p-one: 50}"), "team-9", "winner: home", date="2026-05-17"
    )
    for sheets in ((early, late), (late, early)):
        (row,) = striker_table(*sheets)
        assert (row.team, row.matches, row.points, row.best) == ("team-2", 2, 110, 60)
    (until,) = striker_table(early, late, until="2026-05-10")
    assert (until.team, until.matches, until.points) == ("team-1", 1, 60)
    assert striker_table(early, late, until="2026-05-09") == []


def test_the_average_is_over_matches_known_strike_by_strike() -> None:
    struck = sheet_text(f"team-1\n{HOME}", f"team-2\n{AWAY}")
    totals = sheet_text(
        side("team-1", player_points="{a-one: 10, a-nine: 70}"),
        "team-2",
        "winner: home",
        date="2026-05-17",
    )
    rows = {row.player: row for row in striker_table(struck, totals)}
    one, nine = rows[PlayerId("a-one")], rows[PlayerId("a-nine")]
    assert (one.matches, one.strikes, one.points) == (2, 4, 84)
    assert one.average == Fraction(74, 4)
    assert (nine.matches, nine.strikes, nine.points, nine.average) == (1, 0, 70, None)


POINTS = "{p-a: 60, p-b: 60, p-c: 70, p-d: 50}"


def test_level_players_share_a_rank_and_stand_by_identifier() -> None:
    table = striker_table(
        sheet_text(side("team-1", player_points=POINTS), "team-2", "winner: home")
    )
    assert [(row.rank, row.player) for row in table] == [
        (1, "p-c"),
        (2, "p-a"),
        (2, "p-b"),
        (4, "p-d"),
    ]


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        ('["points"]', [(1, "p-a"), (2, "p-b"), (3, "p-c")]),
        ('["best"]', [(1, "p-b"), (2, "p-c"), (3, "p-a")]),
        ('["average"]', [(1, "p-b"), (2, "p-c"), (3, "p-a")]),
        ('["highest_strikes"]', [(1, "p-b"), (2, "p-c"), (3, "p-a")]),
        ('["older"]', [(1, "p-c"), (2, "p-a"), (3, "p-b")]),
        ('["rank_points"]', [(1, "p-a"), (2, "p-b"), (2, "p-c")]),
        ('["rank_points", "older"]', [(1, "p-a"), (2, "p-c"), (3, "p-b")]),
    ],
)
def test_every_criterion_of_the_strikers_order(order: str, expected: list[tuple[int, str]]) -> None:
    rules = rule_set(f"team_size = 2\nstrikers = {{order = {order}}}")
    first = {"p-a": [10, 10, 10, 10], "p-b": [15, 15, 15, 16]}
    second = {"p-a": [10, 10, 10, 10], "p-c": [15, 15, 15, 15]}
    # p-a: 80 points in two matches; p-b 61 and p-c 60 in one; p-b and p-c win theirs.
    sheets = [
        sheet_text(f"team-1\n{rows_text(rows)}", "team-2", "winner: home", date=date)
        for rows, date in ((first, "2026-05-03"), (second, "2026-05-10"))
    ]
    table = striker_table(*sheets, rules=rules, births={"p-c": 1950, "p-a": 1970})
    found = [(row.rank, row.player) for row in table]
    assert found == expected
