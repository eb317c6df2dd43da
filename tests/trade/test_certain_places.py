"""Who is first, goes up or goes down, whatever is still missing or unknown."""

import datetime
import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import pytest

from riesbuch.pages.paths import competition_page
from riesbuch.trade.certainty import possible_rank_points, sure_places
from riesbuch.trade.ids import CompetitionId, PartId, RuleSetId, TeamId
from riesbuch.trade.rules import RankPoints, RuleSet
from riesbuch.trade.season import Competition, CompetitionKind, Ruling
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.tally import Tally
from tests.commandline import invoke
from tests.sheetwriting import added_up, sheet_text, side

TEAMS = tuple(TeamId(f"team-{letter}") for letter in "abcd")
RULES = RuleSet()
BY_NUMMERN = RuleSet(standings_order=("nummern", "points"))


def league(teams: Sequence[TeamId] = TEAMS, **settings: Any) -> Competition:
    return Competition(
        id=CompetitionId("oberhang-1"), name="League", kind=CompetitionKind.LEAGUE,
        rules=RuleSetId("2026"), teams=tuple(teams), positions={}, **settings,
    )  # fmt: skip


def match(
    home: str, away: str, nummern: tuple[Any, Any] = (0, 0), points: Any = (90, 80), top: str = ""
) -> Tally:
    def written(team: str, index: int) -> str:
        known = {"points": points[index], "nummern": nummern[index]}
        return side(team, **{key: value for key, value in known.items() if value is not None})

    return added_up(sheet_text(written(home, 0), written(away, 1), top), RULES)


def sure(competition: Competition, tallies: Sequence[Tally], rules: RuleSet = RULES) -> list[str]:
    table = standings(tallies, competition.teams, rules)
    return sorted(sure_places(competition, rules, table, tallies, []).first)


def test_possible_rank_points_are_worked_out_from_the_rules() -> None:
    # Won with or without a Nummer, lost so, drawn so; the loser has more points only where
    # Nummern decided, and is clean only where the winner is.
    found = possible_rank_points(RULES)
    assert {(4, 0), (4, 1), (4, 2), (2, 0), (2, 1), (3, 3), (1, 1), (0, 0)} <= found
    assert (2, 3) not in found
    assert (0, 4) in found
    assert max(max(pair) for pair in found) == 4
    forfeit = RULES._replace(forfeit=RULES.forfeit._replace(winner=6))
    assert (6, 0) in possible_rank_points(forfeit)


def test_a_team_is_first_as_soon_as_no_missing_match_can_change_it() -> None:
    a, b, c = TEAMS[:3]
    competition = league([a, b, c])
    # A has 8 and B 2; B against C may bring B four more, which is not enough.
    tallies = [match(a, b), match(a, c)]
    assert sure(competition, tallies) == [a]
    # With a match of its own still to come, four points of lead can be made good.
    assert sure(competition, tallies[:1]) == []


def test_a_lead_that_can_be_made_level_is_not_sure() -> None:
    a, b, c = TEAMS[:3]
    # A has 4 and 0; B has none and may get four, level with A.
    tallies = [match(a, b, (0, 1)), match(c, a, (0, 1))]
    assert sure(league([a, b, c]), tallies) == []


@pytest.mark.parametrize("seed", range(40))
def test_the_first_place_is_exactly_what_every_completion_gives(seed: int) -> None:
    """Rank points of every completion of what is missing, one by one."""
    chance = Random(seed)
    a, b, c, d = TEAMS
    pairs = [(a, b), (c, d), (a, c), (b, d), (a, d), (b, c)]
    chance.shuffle(pairs)
    missing = pairs[: chance.choice([1, 2])]
    tallies = [
        match(home, away, (chance.choice([0, 0, 2]), chance.choice([0, 1])), (90, 80))
        for home, away in pairs[len(missing) :]
    ]
    won = dict.fromkeys(TEAMS, 0)
    for each in tallies:
        for one in (each.home, each.away):
            assert one.team is not None
            won[one.team] += one.rank_points or 0

    def completions() -> Iterator[dict[TeamId, int]]:
        for ways in product(sorted(possible_rank_points(RULES)), repeat=len(missing)):
            total = dict(won)
            for (home, away), way in zip(missing, ways, strict=True):
                total[home] += way[0]
                total[away] += way[1]
            yield total

    touched = {team for pair in missing for team in pair}
    table = {row.team: row for row in standings(tallies, TEAMS, RULES)}

    def beats(total: dict[TeamId, int], one: TeamId, other: TeamId) -> bool:
        if total[one] != total[other] or {one, other} & touched:
            return total[one] > total[other]
        key = [(table[each].nummern, -table[each].points) for each in (one, other)]
        return key[0] <= key[1]

    expected = [
        one
        for one in TEAMS
        if all(
            beats(total, one, other) for total in completions() for other in TEAMS if other != one
        )
    ]
    assert sure(league(), tallies) == expected


def test_nobody_is_first_by_figures_that_nobody_knows() -> None:
    a, b = TEAMS[:2]
    unknown = match(a, b, (None, 3), (90, 80))
    table = standings([unknown], [a, b], BY_NUMMERN)
    assert [(row.team, row.rank, row.nummern, row.nummern_unknown) for row in table] == [
        (b, 1, 3, 0), (a, 2, 0, 1),
    ]  # fmt: skip
    assert sure(league([a, b]), [unknown], BY_NUMMERN) == []


def test_an_unknown_nummer_that_could_bring_rank_points_leaves_the_first_place_open() -> None:
    a, b, c = TEAMS[:3]
    known = [match(a, b, (1, 1)), match(a, c, (1, 1)), match(b, c, (0, 0))]
    assert sure(league([a, b, c]), known) == [b]  # both have four; A has two Nummern, B one
    clean = [match(a, b), match(a, c), match(b, c, (1, 1))]
    assert sure(league([a, b, c]), clean) == [a]
    # B without figures in one match may still have been clean, and that match may be B's win.
    open_ones = [match(a, b, (0, 0)), match(a, c, (1, 1)), match(b, c, (None, None))]
    assert [each.winner for each in open_ones] == ["home"] * 3
    assert sure(league([a, b, c]), open_ones) == []


def test_a_forfeited_match_has_nothing_unknown() -> None:
    a, b = TEAMS[:2]
    forfeited = added_up(sheet_text(a, b, "outcome: forfeited\nawarded: home"), RULES)
    table = standings([forfeited], [a, b], BY_NUMMERN)
    assert [(row.nummern_unknown, row.points_unknown) for row in table] == [(0, 0), (0, 0)]


@pytest.mark.parametrize("order", [("rank_points", "nummern"), ("nummern", "points")])
def test_who_has_not_played_stands_behind_all_who_have(order: tuple[Any, ...]) -> None:
    rules = RuleSet(standings_order=order)
    a, b, c, d = TEAMS
    table = standings([match(a, b, (0, 2))], [d, c, a, b], rules)
    assert [(row.rank, row.team) for row in table] == [(1, a), (2, b), (3, c), (3, d)]


def test_a_promotion_place_shared_across_the_line_is_nobodys() -> None:
    a, b, c = TEAMS[:3]
    # B and C are level on everything; one of them would go up beside A, and one goes down.
    tallies = [match(a, b), match(a, c), match(b, c, (0, 0), (80, 80), "winner: draw")]
    table = standings(tallies, [a, b, c], RULES)
    assert [(row.rank, row.team) for row in table] == [(1, a), (2, b), (2, c)]
    for promoted, up in ((1, {a}), (2, {a}), (3, {a, b, c})):
        found = sure_places(league([a, b, c], promoted=promoted), RULES, table, tallies, [])
        assert found.promoted == up
    for relegated, down in ((1, set[TeamId]()), (2, {b, c})):
        found = sure_places(league([a, b, c], relegated=relegated), RULES, table, tallies, [])
        assert found.relegated == down


def folder(root: Path, sheets: dict[str, str], **settings: object) -> Path:
    (root / "rules").mkdir(parents=True)
    (root / "clubs").mkdir()
    (root / "seasons/2026/matches").mkdir(parents=True)
    (root / "league.toml").write_text('name = "Oberhang League"\nregister = "open"\n')
    (root / "rules/2026.toml").write_text("team_size = 2\n")
    (root / "clubs/team.yaml").write_text("name: Team\nteams: {a: A, b: B, c: C}\n")
    lines = "".join(f"{key} = {value}\n" for key, value in settings.items())
    (root / "seasons/2026/season.toml").write_text(
        'season = 2026\n[[competition]]\nid = "oberhang-1"\nname = "L"\nkind = "league"\n'
        f'rules = "2026"\nteams = ["team-a", "team-b", "team-c"]\n{lines}'
    )
    for name, text in sheets.items():
        day = f"2026-05-{10 + list(sheets).index(name):02}"
        (root / f"seasons/2026/matches/{day}-{name}.yaml").write_text(
            f"competition: oberhang-1\ndate: {day}\n{text}"
        )
    return root


def figures(home: str, away: str, top: str = "", nummern: tuple[int, int] = (0, 0)) -> str:
    return (
        f"{top}home: {{team: {home}, points: 90, nummern: {nummern[0]}}}\n"
        f"away: {{team: {away}, points: 80, nummern: {nummern[1]}}}\n"
    )


def alone(home: str, away: str, top: str) -> str:
    return f"{top}home: {{team: {home}}}\naway: {{team: {away}}}\n"


def honours(root: Path) -> dict[str, Any]:
    outcome = invoke("--folder", root, "honours", "--format", "json")
    (found,) = json.loads(outcome.out)["honours"]
    return dict(found)


A_B, B_C, C_A = ("team-a-team-b", "team-b-team-c", "team-c-team-a")


@pytest.mark.parametrize(
    "last",
    [
        alone("team-c", "team-a", "outcome: annulled\n"),
        figures("team-c", "team-a", "counts: false\n"),
        alone("team-c", "team-a", "counts: false\n"),
    ],
    ids=["annulled", "kept-out", "kept-out-without-a-result"],
)
def test_a_settled_match_keeps_no_season_open(tmp_path: Path, last: str) -> None:
    sheets = {
        A_B: figures("team-a", "team-b"),
        B_C: figures("team-b", "team-c", nummern=(2, 1)),
        C_A: last,
    }
    found = honours(folder(tmp_path / "club", sheets))
    assert (found["complete"], found["champions"], found["decided"]) == (
        True, ["team-a"], "played",
    )  # fmt: skip


def test_a_match_played_again_is_one_meeting(tmp_path: Path) -> None:
    """The annulled one and its repetition do not stand for the return match."""
    sheets = {
        A_B: alone("team-a", "team-b", "outcome: annulled\n"),
        "a-again": figures("team-a", "team-b"),
        B_C: figures("team-b", "team-c"),
        "team-c-team-b": figures("team-c", "team-b"),
        C_A: figures("team-c", "team-a"),
        "team-a-team-c": figures("team-a", "team-c"),
    }
    root = folder(tmp_path / "club", sheets, cycles=2)
    assert honours(root)["complete"] is False


def test_who_is_first_for_certain_is_told_before_the_end(tmp_path: Path) -> None:
    sheets = {
        A_B: figures("team-a", "team-b", nummern=(0, 1)),
        C_A: figures("team-a", "team-c", nummern=(0, 1)),
    }
    root = folder(tmp_path / "club", sheets, promoted=1, relegated=1)
    found = honours(root)
    assert (found["complete"], found["champions"], found["promoted"], found["relegated"]) == (
        False, ["team-a"], ["team-a"], [],
    )  # fmt: skip
    assert found["decided"] == "certain"
    lines = invoke("--folder", root, "honours").out.splitlines()
    assert [line.split()[2] for line in lines if line.startswith("2026")] == ["A"]


def test_a_table_marks_sums_that_are_not_whole(tmp_path: Path) -> None:
    text = "home: {team: team-a, points: 90}\naway: {team: team-b, points: 80, nummern: 3}\n"
    root = folder(tmp_path / "club", {A_B: text, C_A: figures("team-a", "team-c", nummern=(7, 9))})
    table = invoke("--folder", root, "standings", "oberhang-1").out
    assert "≥ 7" in table
    rows = json.loads(invoke("--folder", root, "standings", "oberhang-1", "--format", "json").out)
    assert {row["team"]: (row["nummern"], row["nummern_unknown"]) for row in rows} == {
        "team-a": (7, 1), "team-b": (3, 0), "team-c": (9, 0),
    }  # fmt: skip
    assert invoke("--folder", root, "publish").status == 0
    assert "≥ 7" in (root / competition_page(2026, "oberhang-1")).read_text(encoding="utf-8")


def test_a_kept_out_match_without_a_result_ends_no_run(tmp_path: Path) -> None:
    sheets = {
        A_B: figures("team-a", "team-b"),
        C_A: alone("team-c", "team-a", "counts: false\n"),
        "team-a-team-c": figures("team-a", "team-c"),
    }
    root = folder(tmp_path / "club", sheets)
    found = json.loads(invoke("--folder", root, "records", "--format", "json").out)
    runs = {each["record"]: each["value"] for each in found["records"]}
    assert runs["winning_run"] == 2
    kept_out = invoke(
        "--folder", root, "ask", "SELECT sum(kept_out) AS n FROM matches", "--format", "json"
    )
    assert json.loads(kept_out.out) == [{"n": 1}]


def endings(home: TeamId, away: TeamId) -> list[Tally]:
    """A match in every way that can matter, with few figures and with many."""
    played = [
        match(home, away, nummern, points, "winner: draw" if points[0] == points[1] else "")
        for nummern in ((0, 0), (1, 1))
        for points in ((90, 80), (80, 90), (85, 85), (2000, 0), (0, 2000))
    ]
    by_nummern = [
        match(home, away, nummern, points)
        for nummern in ((0, 1), (9, 1), (1, 0), (1, 9))
        for points in ((90, 80), (80, 90))
    ]
    others = [
        added_up(sheet_text(home, away, top), RULES)
        for top in ("outcome: annulled", "outcome: forfeited\nawarded: home",
                    "outcome: forfeited\nawarded: away")
    ]  # fmt: skip
    return played + by_nummern + others


def by_every_ending(
    teams: Sequence[TeamId],
    tallies: Sequence[Tally],
    missing: Sequence[tuple[TeamId, TeamId]],
    up: int,
    down: int,
    rulings: Sequence[Ruling],
) -> tuple[set[TeamId], set[TeamId], set[TeamId]]:
    """Who is first, goes up, goes down, in the table of every completion through the rules."""
    first, promoted, relegated = set(teams), set(teams), set(teams)
    for ways in product(*(endings(*pair) for pair in missing)):
        ranks = {
            row.team: row.rank for row in standings([*tallies, *ways], teams, RULES, None, rulings)
        }
        level = {team: sum(rank <= ranks[team] for rank in ranks.values()) for team in teams}
        first &= {team for team in teams if ranks[team] == 1}
        promoted &= {team for team in teams if level[team] <= up}
        relegated &= {team for team in teams if ranks[team] > len(teams) - down}
    return first, promoted, relegated


@pytest.mark.parametrize("seed", range(48))
def test_places_are_never_told_that_another_completion_would_take(seed: int) -> None:
    chance = Random(seed)
    teams = tuple(TeamId(f"team-{letter}") for letter in "abcde"[: chance.choice([4, 5])])
    pairs = [(one, other) for one in teams for other in teams if one < other]
    chance.shuffle(pairs)
    missing = pairs[: chance.choice([1, 2, 2])]
    strength = dict(zip(teams, chance.sample(range(70, 101), len(teams)), strict=True))
    tallies = [
        match(home, away, (chance.choice([0, 0, 1]), chance.choice([0, 0, 1])),
              (strength[home], strength[away]))
        for home, away in pairs[len(missing) :]
    ]  # fmt: skip
    up, down = chance.choice([1, 2]), chance.choice([1, 2])
    rulings = [
        Ruling(
            competition=CompetitionId("oberhang-1"), on=datetime.date(2026, 6, 20), by=None,
            team=chance.choice(teams), rank_points=chance.choice([-3, -1, 2]),
            nummern=chance.choice([0, 0, 1]), points=0, reason="late", positions={},
        )
        for _ in range(chance.choice([0, 1, 2]))
    ]  # fmt: skip
    table = standings(tallies, teams, RULES, None, rulings)
    found = sure_places(league(teams, promoted=up, relegated=down), RULES, table, tallies, [])
    first, promoted, relegated = by_every_ending(teams, tallies, missing, up, down, rulings)
    assert found.first <= first
    assert found.promoted <= promoted
    assert found.relegated <= relegated
    by_points = by_rank_points_alone(table, missing, up, down)
    assert [place >= least for place, least in zip(found, by_points, strict=True)] == [True] * 3


def by_rank_points_alone(
    table: Sequence[Standing], missing: Sequence[tuple[TeamId, TeamId]], up: int, down: int
) -> tuple[set[TeamId], set[TeamId], set[TeamId]]:
    """Who is first, goes up, goes down in every completion, whoever is level being open."""
    teams = {row.team for row in table}
    first, promoted, relegated = set(teams), set(teams), set(teams)
    for ways in product(possible_rank_points(RULES), repeat=len(missing)):
        total = {row.team: row.rank_points for row in table}
        for (home, away), way in zip(missing, ways, strict=True):
            total[home] += way[0]
            total[away] += way[1]
        reached = {team: sum(one >= total[team] for one in total.values()) for team in teams}
        before = {team: sum(one > total[team] for one in total.values()) for team in teams}
        first &= {team for team in teams if reached[team] == 1}
        promoted &= {team for team in teams if reached[team] <= up}
        relegated &= {team for team in teams if before[team] >= len(teams) - down}
    return first, promoted, relegated


def test_of_two_who_may_pass_only_one_can() -> None:
    """B and C have only their own match left, and either may reach A, but not both."""
    rules = RULES._replace(rank_points=RankPoints(win=3, draw=1, clean=0, more_points_in_defeat=0))
    a, b, c, d = TEAMS
    drawn = sheet_text(*(side(team, points=80, nummern=0) for team in (c, d)), "winner: draw")
    tallies = [
        *(
            added_up(sheet_text(side(one, points=90, nummern=0), side(other, points=80, nummern=0)),
                     rules)
            for one, other in ((a, d), (a, b), (c, a), (b, d))
        ),
        added_up(drawn, rules),
    ]  # fmt: skip
    table = standings(tallies, TEAMS, rules)
    assert {row.team: row.rank_points for row in table} == {a: 6, b: 3, c: 4, d: 1}
    for promoted, up in ((1, set[TeamId]()), (2, {a})):
        assert sure_places(league(promoted=promoted), rules, table, tallies, []).promoted == up
    # Of B and C one loses, and stays before D, who has nothing left.
    assert sure_places(league(relegated=1), rules, table, tallies, []).relegated == {d}
    assert sure_places(league(relegated=3), rules, table, tallies, []).relegated == {d}


NAMED = {"promoted": (TEAMS[2],), "promotion_note": "the first declined"}


def test_who_is_named_goes_up_whatever_the_table_says() -> None:
    a, b, c = TEAMS[:3]
    tallies = [match(a, b), match(a, c)]
    table = standings(tallies, [a, b, c], RULES)
    found = sure_places(league([a, b, c], **NAMED), RULES, table, tallies, [])
    assert (found.first, found.promoted) == ({a}, {c})
    # Nor does anybody go down by the table who goes up by a decision.
    assert (
        c
        not in sure_places(
            league([a, b, c], relegated=1, **NAMED), RULES, table, tallies, []
        ).relegated
    )
    cup = replace(league([a, b, c], **NAMED), kind=CompetitionKind.CUP)
    assert sure_places(cup, RULES, table, tallies, []).promoted == set()


def test_a_match_of_a_part_is_judged_by_the_rules_of_that_part() -> None:
    a, b = TEAMS[:2]
    festival = replace(league([a, b]), kind=CompetitionKind.FESTIVAL)
    by_won = RuleSet(standings_order=("won",))
    # Nobody knows A's Nummern: by points alone it has won all the same.
    tallies = [match(a, b, (None, 0), (90, 80), "part: morning\n")]
    assert [tally.part for tally in tallies] == ["morning"]
    table = standings(tallies, [a, b], by_won)
    of_parts = {PartId("morning"): RULES._replace(result_order=("points",))}
    assert not sure_places(festival, by_won, table, tallies, []).first
    found = sure_places(festival, by_won, table, tallies, [], of_parts=of_parts)
    assert found.first == {a}
    of_parts = {PartId("morning"): RULES}
    assert not sure_places(festival, by_won, table, tallies, [], of_parts=of_parts).first
