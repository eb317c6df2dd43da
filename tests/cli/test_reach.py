"""``reach``, as people ask: against every combination of results, and what cannot be asked."""

import json
from collections.abc import Mapping, Sequence
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from riesbuch.pages.paths import competition_page
from tests.commandline import Outcome, invoke

TEAMS = ("arven-a", "birken-a", "cedern-a", "dornen-a")
# By the default rules, written out by hand: who wins is clean or not, who loses may have struck
# more; level; by forfeit.
WON = ((4, 0), (4, 1), (4, 2), (2, 0), (2, 1))
PAIRS = (*WON, *(pair[::-1] for pair in WON), (3, 3), (1, 1))

CLEAN_WIN = ("points: 90\n  nummern: 0", "points: 80\n  nummern: 1")
CLEAN_DEFEAT = ("points: 80\n  nummern: 1", "points: 90\n  nummern: 0")
LEVEL = ("points: 80\n  nummern: 1", "points: 80\n  nummern: 1\nwinner: draw")


def lay_out(root: Path, settings: str = "relegated = 1", rules: str = "") -> Path:
    (root / "rules").mkdir(parents=True)
    (root / "clubs").mkdir()
    (root / "seasons/2026/matches").mkdir(parents=True)
    (root / "league.toml").write_text('name = "Thicket League"\n')
    (root / "rules/2026.toml").write_text(rules or "team_size = 2\n")
    for team in TEAMS:
        club = team.removesuffix("-a")
        (root / f"clubs/{club}.yaml").write_text(
            f"name: {club.title()}\nteams: {{a: {club.title()} A}}\n"
        )
    teams = ", ".join(f'"{team}"' for team in TEAMS)
    (root / "seasons/2026/season.toml").write_text(
        f'season = 2026\n[[competition]]\nid = "thicket-1"\nname = "Thicket"\nkind = "league"\n'
        f'rules = "2026"\nteams = [{teams}]\ncycles = 1\n{settings}\n'
        f'[[competition]]\nid = "thicket-cup"\nname = "Cup"\nkind = "cup"\nrules = "2026"\n'
    )
    days = [
            ("arven-a", "birken-a"), ("cedern-a", "dornen-a"), ("arven-a", "cedern-a"),
            ("birken-a", "dornen-a"), ("dornen-a", "arven-a"), ("birken-a", "cedern-a"),
    ]  # fmt: skip
    (root / "seasons/2026/fixtures.toml").write_text(
        "".join(
            f'[[fixture]]\ncompetition = "thicket-1"\nround = {number // 2 + 1}\n'
            f'date = 2026-05-{3 + 7 * (number // 2):02}\nhome = "{home}"\naway = "{away}"\n\n'
            for number, (home, away) in enumerate(days)
        )
    )
    return root


def play(root: Path, home: str, away: str, figures: Sequence[str] = (), top: str = "") -> None:
    number = {"birken-a": 1, "dornen-a": 1}.get(away, 2) if home != "birken-a" else 2
    number = {("dornen-a", "arven-a"): 3, ("birken-a", "cedern-a"): 3}.get((home, away), number)
    day = f"2026-05-{3 + 7 * (number - 1):02}"
    mine, theirs = figures or ("", "")
    (root / f"seasons/2026/matches/{day}-{home}-{away}.yaml").write_text(
        f"competition: thicket-1\nround: {number}\ndate: {day}\n{top}"
        f"home:\n  team: {home}\n  {mine}\naway:\n  team: {away}\n  {theirs}\n"
    )


def ask(root: Path, *words: str) -> Outcome:
    return invoke("--folder", root, "reach", *words)


def rows(root: Path, *words: str, status: int = 0) -> list[dict[str, Any]]:
    outcome = ask(root, "thicket-1", *words, "--format", "json")
    assert outcome.status == status, outcome.err
    found: list[dict[str, Any]] = json.loads(outcome.out)
    return found


def by_hand(
    points: Mapping[str, int], left: Sequence[tuple[str, str]], relegated: int
) -> dict[str, tuple[int, int, int, int, int | None, int | None]]:
    """Of each team the least and the most, the best and the worst rank, and what is enough for
    the first place and for staying up, None where nothing is."""
    ends = []
    for ways in product(PAIRS, repeat=len(left)):
        end = dict(points)
        for (home, away), way in zip(left, ways, strict=True):
            end[home] += way[0]
            end[away] += way[1]
        ends.append(end)

    def enough(team: str, place: int) -> int | None:
        worst: dict[int, int] = {}
        for end in ends:
            level = sum(other >= end[team] for other in end.values())
            worst[end[team]] = max(level, worst.get(end[team], 0))
        return min(
            (
                total - points[team]
                for total in worst
                if all(rank <= place for more, rank in worst.items() if more >= total)
            ),
            default=None,
        )

    return {
        team: (
            min(end[team] for end in ends),
            max(end[team] for end in ends),
            min(1 + sum(other > end[team] for other in end.values()) for end in ends),
            max(sum(other >= end[team] for other in end.values()) for end in ends),
            enough(team, 1),
            enough(team, len(TEAMS) - relegated),
        )
        for team in points
    }


def told(row: Mapping[str, Any]) -> tuple[int, int, int, int, int | None, int | None]:
    needs = [
        0 if prospect["state"] == "sure" else prospect["needs"] for prospect in row["prospects"]
    ]
    return (row["least"], row["most"], row["best_rank"], row["worst_rank"], needs[0], needs[1])


def test_every_combination_of_results(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "league")
    play(root, "arven-a", "birken-a", CLEAN_WIN)
    play(root, "cedern-a", "dornen-a", LEVEL)
    play(root, "arven-a", "cedern-a", CLEAN_WIN)
    found = rows(root)
    assert [list(row) for row in found] == [
        ["rank", "team", "rank_points", "left", "least", "most", "best_rank", "worst_rank",
         "prospects"]
    ] * 4  # fmt: skip
    points = {"arven-a": 8, "birken-a": 0, "cedern-a": 1, "dornen-a": 1}
    left = [("birken-a", "dornen-a"), ("dornen-a", "arven-a"), ("birken-a", "cedern-a")]
    assert {row["team"]: row["rank_points"] for row in found} == points
    assert {row["team"]: row["left"] for row in found} == {
        "arven-a": 1, "birken-a": 2, "cedern-a": 1, "dornen-a": 2,
    }  # fmt: skip
    expected = by_hand(points, left, 1)
    assert {row["team"]: told(row) for row in found} == expected


def test_what_was_put_off_is_left_and_what_was_annulled_is_not(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "league")
    play(root, "arven-a", "birken-a", CLEAN_WIN)
    play(root, "cedern-a", "dornen-a", top="outcome: postponed\n")
    play(root, "arven-a", "cedern-a", top="outcome: annulled\n")
    play(root, "birken-a", "dornen-a", top="outcome: forfeited\nawarded: home\n")
    play(root, "birken-a", "cedern-a", CLEAN_WIN, top="counts: false\n")
    (root / "seasons/2026/rulings.toml").write_text(
        '[[ruling]]\ncompetition = "thicket-1"\non = 2026-05-20\nteam = "arven-a"\n'
        'rank_points = -3\nreason = "late"\n'
    )
    points = {"arven-a": 1, "birken-a": 4, "cedern-a": 0, "dornen-a": 0}
    left = [("cedern-a", "dornen-a"), ("dornen-a", "arven-a")]
    found = rows(root)
    assert {row["team"]: row["rank_points"] for row in found} == points
    assert sum(row["left"] for row in found) == 4
    assert {row["team"]: told(row) for row in found} == by_hand(points, left, 1)
    # As of a day before the ruling, and before all that was not on the first day.
    points = {"arven-a": 4, "birken-a": 0, "cedern-a": 0, "dornen-a": 0}
    early = rows(root, "--until", "2026-05-03")
    assert {row["team"]: row["rank_points"] for row in early} == points
    assert sum(row["left"] for row in early) == 10


def test_in_words(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "league", "relegated = 1")
    play(root, "arven-a", "birken-a", CLEAN_WIN)
    play(root, "cedern-a", "dornen-a", CLEAN_WIN)
    play(root, "arven-a", "cedern-a", CLEAN_WIN)
    play(root, "birken-a", "dornen-a", CLEAN_WIN)
    text = ask(root, "thicket").out
    assert "champion: needs 1 from 1 match to be sure" in text
    assert "cannot be relegated" in text
    assert "to stay up: needs help" in text
    play(root, "dornen-a", "arven-a", CLEAN_DEFEAT)
    lines = ask(root, "thicket-1").out.splitlines()
    assert [line.split("  ")[-1] for line in lines if "Arven" in line] == ["champion;"]
    # Level in front of nobody is not down: Dornen has 0, and Birken and Cedern have 4 each.
    assert [line.split("  ")[-1].strip() for line in lines if "Dornen" in line] == ["relegated"]
    german = invoke("--folder", root, "tell", "--round", "3", "--language", "de").out
    assert german.endswith(
        "Arven A ist nicht mehr einzuholen. Als Absteiger stehen fest: Dornen A.\n"
        "Noch nicht dabei: 1 Spiel\n"
    )
    assert invoke("--folder", root, "publish").status == 0
    page = root / competition_page(2026, "thicket-1")
    said = "Arven A cannot be caught any more. Relegated for certain: Dornen A."
    assert said in page.read_text(encoding="utf-8")
    # With nothing left the table says it.
    play(root, "birken-a", "cedern-a", CLEAN_WIN)
    assert invoke("--folder", root, "publish").status == 0
    assert "caught" not in page.read_text(encoding="utf-8")
    assert "caught" not in invoke("--folder", root, "tell", "--round", "3").out
    assert {row["left"] for row in rows(root)} == {0}


def test_a_place_lost_but_for_an_annulment(tmp_path: Path) -> None:
    """Of Birken and Cedern one gets ahead of Dornen, but not where their match is not played."""
    root = lay_out(tmp_path / "league", "relegated = 2")
    for pair in (("arven-a", "birken-a"), ("arven-a", "cedern-a")):
        play(root, *pair, CLEAN_WIN)
    play(root, "dornen-a", "arven-a", CLEAN_DEFEAT)
    for pair in (("cedern-a", "dornen-a"), ("birken-a", "dornen-a")):
        play(root, *pair, top="outcome: annulled\n")
    found = {row["team"]: row for row in rows(root)}
    assert found["dornen-a"]["best_rank"] == 3
    assert found["dornen-a"]["prospects"][1]["state"] == "annulment"
    assert found["birken-a"]["prospects"][1]["state"] == "needs"
    assert "relegated, unless a match is annulled" in ask(root, "thicket-1").out
    assert "Relegated" not in invoke("--folder", root, "tell", "--round", "3").out


def test_a_sheet_with_errors_leaves_its_match_open(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "league")
    play(root, "arven-a", "birken-a", CLEAN_WIN)
    play(root, "cedern-a", "dornen-a", ("points: 90\n  nummern: -1", "points: 80\n  nummern: 0"))
    found = rows(root, status=1)
    assert sum(row["left"] for row in found) == 10
    assert "cedern-a-dornen-a" in ask(root, "thicket-1").err


def test_what_is_not_proved_is_told_as_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = lay_out(tmp_path / "league")
    play(root, "arven-a", "birken-a", CLEAN_WIN)
    monkeypatch.setattr("riesbuch.cli.captain._FLOWS_A_SECOND", 1)
    outcome = ask(root, "thicket-1", "--time-limit", "1")
    assert outcome.status == 0
    assert "open" in outcome.out
    assert outcome.out.endswith(
        "Not everything was proved within 1 second: `--time-limit 10` looks for longer.\n"
    )
    assert {row["best_rank"] for row in rows(root, "--time-limit", "1")} == {None}


@pytest.mark.parametrize(
    ("words", "rules", "message"),
    [
        (["thicket-cup"], "", "`thicket-cup` is no league, and only in a league do teams earn rank"
         " points: for what is still to come, `riesbuch due` or the competition's page"),
        (["thicket-1"], 'standings_order = ["nummern", "points"]\n',
         "the table of `thicket-1` goes by `nummern` first, and what a match can bring there cannot"
         " be listed: `reach` is for tables that go by `rank_points`"),
        (["thicket-2"], "", "there is no competition `thicket-2`; did you mean thicket-1"
         " (Thicket) or thicket-cup (Cup)?"),
        ([], "", "name a competition: the competitions are thicket-1, thicket-cup"),
        (["thicket-1", "--season", "2027"], "",
         "there is no season 2027 that can be read; the seasons are 2026"),
    ],
)  # fmt: skip
def test_what_cannot_be_asked(tmp_path: Path, words: list[str], rules: str, message: str) -> None:
    root = lay_out(tmp_path / "league", rules=rules)
    refused = ask(root, *words)
    assert (refused.status, refused.out, refused.err) == (2, "", f"riesbuch: {message}\n")


def test_without_fixtures_nobody_knows_what_is_left(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "league")
    (root / "seasons/2026/fixtures.toml").unlink()
    play(root, "arven-a", "birken-a", CLEAN_WIN)
    refused = ask(root, "thicket-1")
    assert (refused.status, refused.err) == (
        2,
        "riesbuch: `thicket-1` has no fixtures in 2026, so nobody knows what is left: write them"
        " with `riesbuch plan thicket-1 --season 2026 --from DATE`\n",
    )


def test_what_two_aims_take_is_parted_in_each_format(tmp_path: Path) -> None:
    root = lay_out(tmp_path / "thicket")
    page = ask(root, "thicket-1", "--format", "markdown")
    assert page.status == 0, page.err
    assert "champion: needs 12 from 3 matches to be sure; to stay up: needs 10 from" in page.out
