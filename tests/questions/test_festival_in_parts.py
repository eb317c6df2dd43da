"""A festival in two parts: planned, struck, paired by rank, ranked over both, against published
figures and against pandas."""

import random
import subprocess
import tomllib
from pathlib import Path
from typing import Any

import click
import pandas as pd
import pytest

from riesbuch.cli.fixtures import plan_command
from riesbuch.cli.sheet import command as sheet_command
from riesbuch.cli.tables import standings_command, strikers_command
from tests.commandline import invoke
from tests.house.test_documentation import CHECKOUT

TEAMS = [f"{club}-a" for club in ("alp", "bach", "chehr", "dorf", "egg", "feld", "grat")]
PUBLISHED = {
    case["id"]: case
    for case in tomllib.loads((CHECKOUT / "tests/published_cases.toml").read_text("utf-8"))["case"]
}
DAY = "2026-08-15"


def lay_out(root: Path, teams: int = 7) -> Path:
    """A folder with a festival of invented teams that nobody has struck in yet."""
    listed = ", ".join(f'"{team}"' for team in TEAMS[:teams])
    files = {
        "league.toml": 'name = "Probe"\nregister = "open"\n',
        "rules/short.toml": 'innings = 1\nresult_order = ["points"]\n'
        'standings_order = ["nummern", "points"]\n',
        "rules/long.toml": 'standings_order = ["points", "nummern"]\n',
        "rules/fest.toml": 'standings_order = ["nummern", "points"]\n'
        '[strikers]\norder = ["points", "best"]\n',
        "seasons/2026/season.toml": f"""\
season = 2026
[[competition]]
id = "fest"
name = "Probe Festival"
kind = "festival"
rules = "fest"
teams = [{listed}]

[[competition.parts]]
id = "morning"
name = "First part"
rules = "short"

[[competition.parts]]
id = "afternoon"
name = "Second part"
rules = "long"
""",
        **{
            f"clubs/{team[:-2]}.yaml": f"name: {team[:-2].title()}\nteams: {{a: {team[:-2]} A}}\n"
            for team in TEAMS
        },
    }
    for path, text in files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, encoding="utf-8")
    (root / "seasons/2026/matches").mkdir()
    return root


Figures = tuple[int, int]
"""Nummern conceded and points."""


def strike(root: Path, part: str, home: str, away: str, first: Figures, second: Figures) -> None:
    name = f"{DAY}-{home}-{away}-{part}.yaml"
    sides = "".join(
        f"{side}:\n  team: {team}\n  points: {points}\n  nummern: {nummern}\n"
        for side, team, (nummern, points) in (("home", home, first), ("away", away, second))
    )
    (root / "seasons/2026/matches" / name).write_text(
        f"competition: fest\npart: {part}\ndate: {DAY}\n{sides}", encoding="utf-8"
    )


def table(root: Path, *more: str) -> list[dict[str, Any]]:
    outcome = invoke("--folder", root, "standings", "fest", *more, "--format", "json")
    assert outcome.status == 0, outcome.err
    found: list[dict[str, Any]] = outcome.data
    return found


def planned(root: Path) -> list[tuple[str, str, str]]:
    fixtures = tomllib.loads((root / "seasons/2026/fixtures.toml").read_text("utf-8"))["fixture"]
    return [(fixture["part"], fixture["home"], fixture["away"]) for fixture in fixtures]


def plan(root: Path, *more: str) -> Any:
    return invoke("--folder", root, "plan", "fest", "--from", DAY, *more)


def test_a_day_of_seven_teams_from_plan_to_rank_list(tmp_path: Path) -> None:
    root = lay_out(tmp_path)
    outcome = plan(root, "--part", "First part")
    assert outcome.status == 0, outcome.err
    assert "grat A has no opponent: the number of teams is odd" in outcome.err
    pairs = [("alp-a", "bach-a"), ("chehr-a", "dorf-a"), ("egg-a", "feld-a")]
    assert planned(root) == [("morning", *pair) for pair in pairs]
    refused = plan(root, "--part", "afternoon", "--by-rank", "morning")
    assert (refused.status, len(refused.err.splitlines())) == (1, 4)
    assert f"{DAY}: egg-a against feld-a has no sheet" in refused.err
    drafts = invoke("--folder", root, "sheet", "--date", DAY, "--part", "morning")
    assert drafts.status == 0, drafts.err
    (draft, *_) = sorted((root / "seasons/2026/matches").iterdir())
    assert "part: morning\nround: 1\n" in draft.read_text("utf-8")
    refused = plan(root, "--part", "afternoon", "--by-rank", "morning")
    assert f"seasons/2026/matches/{draft.name} has errors or no result yet" in refused.err
    for path in (root / "seasons/2026/matches").iterdir():
        path.unlink()
    # The other teams' figures come last.
    strike(root, "morning", *pairs[0], (1, 500), (0, 400))
    strike(root, "morning", *pairs[1], (0, 350), (0, 390))
    strike(root, "morning", *pairs[2], (2, 300), (0, 410))
    ranks = ["feld-a", "bach-a", "dorf-a", "chehr-a", "alp-a", "egg-a", "grat-a"]
    assert [row["team"] for row in table(root, "--part", "morning")] == ranks
    outcome = plan(root, "--part", "afternoon", "--by-rank", "morning")
    assert outcome.status == 0, outcome.err
    assert planned(root)[3:] == [
        ("afternoon", "feld-a", "bach-a"),
        ("afternoon", "dorf-a", "chehr-a"),
        ("afternoon", "alp-a", "egg-a"),
    ]
    again = plan(root, "--part", "afternoon", "--by-rank", "morning")
    assert (again.status, "--replace" in again.err) == (2, True)
    check = invoke("--folder", root, "check")
    assert check.status == 0, check.out
    due = invoke("--folder", root, "due", "--on", "2026-08-16", "--format", "json").data
    assert [missing["home"] for missing in due["missing"]] == ["alp-a", "dorf-a", "feld-a"]
    strike(root, "afternoon", "dorf-a", "chehr-a", (0, 800), (1, 900))
    assert {row["team"]: row["points"] for row in table(root)}["dorf-a"] == 1190
    assert [row["team"] for row in table(root, "--part", "afternoon")][:2] == ["chehr-a", "dorf-a"]


def test_who_meets_the_same_opponent_again_is_away(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=2)
    assert plan(root, "--part", "morning").status == 0
    strike(root, "morning", "alp-a", "bach-a", (0, 500), (0, 400))
    assert plan(root, "--part", "afternoon", "--by-rank", "morning").status == 0
    assert planned(root) == [("morning", "alp-a", "bach-a"), ("afternoon", "bach-a", "alp-a")]
    assert invoke("--folder", root, "check").status == 0


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ([], "name the part to plan, as in --part afternoon"),
        (["--part", "evening"], "`fest` has no part `evening`; its parts are morning, afternoon"),
        (["--part", "mornign"], "did you mean morning?"),
        (["--part", "afternoon", "--by-rank", "noon"], "`fest` has no part `noon`"),
    ],
)
def test_a_part_that_cannot_be_planned_is_said(tmp_path: Path, more: list[str], said: str) -> None:
    outcome = plan(lay_out(tmp_path), *more)
    assert (outcome.status, said in outcome.err) == (2, True), outcome.err


def test_nobody_is_first_while_a_part_is_not_planned(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=2)
    assert plan(root, "--part", "morning").status == 0
    strike(root, "morning", "alp-a", "bach-a", (0, 500), (0, 400))
    (honours,) = invoke("--folder", root, "honours", "--format", "json").data["honours"]
    assert (honours["complete"], honours["champions"]) == (False, [])
    assert plan(root, "--part", "afternoon", "--by-rank", "morning").status == 0
    strike(root, "afternoon", "bach-a", "alp-a", (1, 400), (0, 500))
    (honours,) = invoke("--folder", root, "honours", "--format", "json").data["honours"]
    assert (honours["complete"], honours["champions"]) == (True, ["alp-a"])


def test_third_class_of_2022(tmp_path: Path) -> None:
    """Published by ehv.ch, 'Ettiswil 2022, Tag 1': the table after the first part pairs 1 and 2,
    3 and 4; ranked over both."""
    case = PUBLISHED["festival-parts-third-class"]
    root = lay_out(tmp_path, teams=6)
    first = {TEAMS[number - 1]: (nummern, points) for number, nummern, points in case["first_part"]}
    over = {TEAMS[number - 1]: (nummern, points) for number, nummern, points in case["over_both"]}
    # Of the fifth only the sum is published, and that it had a Nummer in the first part.
    first["egg-a"], over["feld-a"] = (1, 420), (9, 700)
    first["feld-a"], over["chehr-a"] = (2, 300), (1, 1100)
    order = ["chehr-a", "alp-a", "feld-a", "bach-a", "dorf-a", "egg-a"]
    for home, away in zip(order[::2], order[1::2], strict=True):
        strike(root, "morning", home, away, first[home], first[away])
    ranked = [row["team"] for row in table(root, "--part", "morning")][:4]
    assert ranked == TEAMS[:4]
    assert plan(root, "--part", "afternoon", "--by-rank", "morning").status == 0
    pairs = [(TEAMS[a - 1], TEAMS[b - 1]) for a, b in case["second_part_pairs"]]
    fixtures = [(home, away) for _, home, away in planned(root)]
    assert fixtures[:2] == pairs
    for home, away in fixtures:
        left = [tuple(b - a for a, b in zip(first[team], over[team], strict=True))
                for team in (home, away)]  # fmt: skip
        strike(root, "afternoon", home, away, *left)  # type: ignore[arg-type]
    published = [TEAMS[number - 1] for number, *_ in case["over_both"]]
    rows = [row for row in table(root) if row["team"] in published]
    assert [(row["team"], row["nummern"], row["points"]) for row in rows] == [
        (team, *over[team]) for team in published
    ]


def test_prize_winners_of_2016(tmp_path: Path) -> None:
    """Published by hornusserfest-stalden-dorf.ch, 'Samstag, 13. August 2016', third class."""
    rows = PUBLISHED["festival-final-order-2016"]["rows"]
    root = lay_out(tmp_path, teams=6)
    over = {team: (nummern, points) for team, (_, nummern, points) in zip(TEAMS, rows)}  # noqa: B905
    for home, away in zip(TEAMS[:3], TEAMS[3:6], strict=True):
        half = {team: (0, over[team][1] // 3) for team in (home, away)}
        strike(root, "morning", home, away, half[home], half[away])
        rest = {team: (over[team][0], over[team][1] - half[team][1]) for team in half}
        strike(root, "afternoon", home, away, rest[home], rest[away])
    assert [[row["rank"], row["nummern"], row["points"]] for row in table(root)] == rows


def test_two_days_of_2016(tmp_path: Path) -> None:
    """Published by grenchnertagblatt.ch, 'Die Hornusser am Eidgenössischen' (2016)."""
    case = PUBLISHED["federal-festival-two-days"]
    first = [tuple(figures) for figures in [*case["first_day"], case["behind_clean"]]]
    root = lay_out(tmp_path, teams=6)
    days = {**dict(zip(TEAMS, first, strict=False)), "feld-a": (3, 100)}
    both = dict(case["after_both"])
    for home, away in zip(TEAMS[:3], TEAMS[3:6], strict=True):
        strike(root, "morning", home, away, days[home], days[away])
    ranked = [(row["nummern"], row["points"]) for row in table(root, "--part", "morning")]
    assert ranked[:5] == first
    for home, away in zip(TEAMS[:3], TEAMS[3:6], strict=True):
        second = {team: (0, both.get(days[team][1], days[team][1] + 900) - days[team][1])
                  for team in (home, away)}  # fmt: skip
        strike(root, "afternoon", home, away, second[home], second[away])
    points = [row["points"] for row in table(root) if row["nummern"] == 0]
    assert [total for total in points if total in both.values()] == [
        total for _, total in case["after_both"]
    ]
    assert points[0] == 2460


def test_the_page_has_a_table_of_each_part(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=2)
    strike(root, "morning", "alp-a", "bach-a", (0, 400), (1, 500))
    strike(root, "afternoon", "bach-a", "alp-a", (0, 700), (0, 800))
    assert invoke("--folder", root, "publish").status == 0
    page = (root / "reports/2026/fest/README.md").read_text("utf-8")
    first, second = page.split("## First part\n")[1].split("## Second part\n")
    assert "| 1 | [alp A]" in first
    assert "400" in first
    assert "1,200" not in first
    assert "800" in second


WON = """
[[awards]]
name = "horn"
first = 1

[[classes]]
id = "women"
name = "Women"
"""


def strike_by_player(root: Path, part: str, first: str, second: str) -> None:
    """Ada of one side and Ben of the other."""
    (root / f"seasons/2026/matches/{DAY}-alp-a-bach-a-{part}.yaml").write_text(
        f"competition: fest\npart: {part}\ndate: {DAY}\n"
        f"home:\n  team: alp-a\n  strikes:\n    ada: {first}\n"
        f"away:\n  team: bach-a\n  strikes:\n    ben: {second}\n",
        encoding="utf-8",
    )


@pytest.fixture
def of_two(tmp_path: Path) -> Path:
    """Ada strikes more in the morning; the rules of the whole give a horn and rank women apart."""
    root = lay_out(tmp_path, teams=2)
    with (root / "rules/fest.toml").open("a", encoding="utf-8") as rules:
        rules.write(WON)
    (root / "players").mkdir()
    (root / "players/ada.yaml").write_text("name: Ada\nclasses: [women]\n", encoding="utf-8")
    (root / "players/ben.yaml").write_text("name: Ben\n", encoding="utf-8")
    strike_by_player(root, "morning", "20 20", "19 19")
    return root


def test_classes_are_those_of_the_whole_and_a_part_alone_wins_nothing(of_two: Path) -> None:
    (of_two / "rules/short.toml").write_text("innings = 1\n" + WON.split("[[classes]]")[0])
    morning = ["strikers", "fest", "--part", "morning", "--format", "json"]
    rows = invoke("--folder", of_two, *morning, "--class", "women").data
    assert [(row["player"], row["points"], row["awards"]) for row in rows] == [("ada", 40, [])]
    over_all = invoke("--folder", of_two, "strikers", "fest", "--format", "json").data
    assert [row["awards"] for row in over_all] == [["horn"], []]


def test_what_is_won_while_a_part_is_missing_is_so_far(of_two: Path) -> None:
    shown = invoke("--folder", of_two, "honours").out
    assert "fest         Women  Ada (so far)" in shown
    assert "fest         horn   Ada (so far)" in shown


def test_best_of_a_class_is_not_handed_down_with_the_best_striker(of_two: Path) -> None:
    (of_two / "seasons/2026/handed-down.toml").write_text(
        '[[honour]]\nwhat = "best-striker"\ncompetition = "fest"\nplayer = "ben"\n'
        'source = {kind = "newspaper"}\n',
        encoding="utf-8",
    )
    shown = invoke("--folder", of_two, "honours").out
    assert "Ben (handed down)" in shown
    assert "fest         Women  Ada (so far)" in shown


def test_a_part_misspelt_or_missing_is_one_problem(of_two: Path) -> None:
    """Its rows are not held against the innings of other rules."""
    sheet = of_two / f"seasons/2026/matches/{DAY}-alp-a-bach-a-morning.yaml"
    text = sheet.read_text("utf-8")
    for written in ("part: mornign\n", ""):
        sheet.write_text(text.replace("part: morning\n", written), encoding="utf-8")
        problems = invoke("--folder", of_two, "check", "--format", "json").data["problems"]
        assert [problem["code"] for problem in problems] == ["unknown-part"]


def test_the_next_season_is_planned_part_by_part(of_two: Path) -> None:
    outcome = invoke("--folder", of_two, "season", "2027")
    assert "riesbuch plan fest --part morning --season 2027" in outcome.out + outcome.err


def test_tables_against_pandas(tmp_path: Path) -> None:
    """Tables of a part and over both, each in the order of its own rules."""
    root, chance = lay_out(tmp_path), random.Random(20)
    orders = {"morning": ["nummern", "points"], "afternoon": ["points", "nummern"]}
    orders["both"] = ["nummern", "points"]
    struck = []
    for part in ("morning", "afternoon"):
        teams = chance.sample(TEAMS, 6)
        for home, away in zip(teams[::2], teams[1::2], strict=True):
            figures = [(chance.randint(0, 2), chance.randint(300, 330)) for _ in range(2)]
            strike(root, part, home, away, figures[0], figures[1])
            for team, (nummern, points) in zip((home, away), figures, strict=True):
                struck.append({"part": part, "team": team, "nummern": nummern, "points": points})
    frame = pd.DataFrame(struck)
    for part, order in orders.items():
        chosen = frame if part == "both" else frame[frame["part"] == part]
        sums = chosen.groupby("team")[["nummern", "points"]].sum().reset_index()
        ascending = [key == "nummern" for key in order]
        expected = sums.sort_values([*order, "team"], ascending=[*ascending, True])
        rows = table(root, *([] if part == "both" else ["--part", part]))
        got = pd.DataFrame([row for row in rows if row["played"]])[["team", "nummern", "points"]]
        pd.testing.assert_frame_equal(got, expected.reset_index(drop=True), check_dtype=False)


LONG = ("--length", "long")


def both_parts(root: Path) -> None:
    """Two teams that meet in either part, home and away alike; the first part is struck."""
    (root / "seasons/2026/fixtures.toml").write_text(
        "".join(
            f'[[fixture]]\ncompetition = "fest"\npart = "{part}"\nround = {number}\n'
            f'date = {DAY}\nhome = "alp-a"\naway = "bach-a"\n'
            for number, part in enumerate(("morning", "afternoon"), start=1)
        ),
        encoding="utf-8",
    )
    strike(root, "morning", "alp-a", "bach-a", (0, 500), (0, 400))


def test_the_part_is_named_wherever_a_match_is_told(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=2)
    both_parts(root)
    strike(root, "afternoon", "alp-a", "bach-a", (0, 700), (0, 600))
    sheets = [f"{DAY}-alp-a-bach-a-{part}" for part in ("morning", "afternoon")]
    for sheet, part in zip(sheets, ("First part", "Second part"), strict=True):
        assert f"Probe Festival, {part}" in invoke("--folder", root, "tally", sheet).out
        assert f"Probe Festival, {part}" in invoke("--folder", root, "tell", sheet, *LONG).out
    assert invoke("--folder", root, "publish").status == 0
    page = (root / f"reports/2026/matches/{sheets[1]}.md").read_text("utf-8")
    assert page.startswith("# alp A – bach A 700 : 600, Second part\n")
    assert "- Date: 15 August 2026, Second part\n" in page
    page = (root / "reports/2026/fest/README.md").read_text("utf-8")
    results = page.split("## Results\n")[1]
    assert results.index("### First part, 15 August 2026\n") < results.index(
        "### Second part, 15 August 2026\n"
    )
    assert "Round" not in results
    (root / f"seasons/2026/matches/{sheets[1]}.yaml").write_text(
        f"competition: fest\npart: afternoon\ndate: {DAY}\nhome: {{team: alp-a, points: x}}\n"
        "away: {team: bach-a}\n",
        encoding="utf-8",
    )
    assert invoke("--folder", root, "publish").status == 1
    page = (root / "reports/2026/fest/README.md").read_text("utf-8")
    assert "left out: the sheet has errors" in page.split("### Second part, 15 August 2026\n")[1]


def test_a_match_to_come_is_of_its_part(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=2)
    both_parts(root)
    # The first one's file has the name that the second's would have.
    morning = root / f"seasons/2026/matches/{DAY}-alp-a-bach-a-morning.yaml"
    morning.rename(morning.with_name(f"{DAY}-alp-a-bach-a.yaml"))
    due = invoke("--folder", root, "due", "--on", "2026-08-16")
    assert f"riesbuch sheet alp-a bach-a --date {DAY} --part afternoon" in due.out
    calendar = invoke("--folder", root, "calendar").out
    assert "SUMMARY:alp A – bach A\\, First part" in calendar
    assert "SUMMARY:alp A – bach A\\, Second part" in calendar
    uids = [line for line in calendar.splitlines() if line.startswith("UID:")]
    assert uids == [
        "UID:2026-fest-alp-a-bach-a-afternoon-1@riesbuch",
        "UID:2026-fest-alp-a-bach-a-morning-1@riesbuch",
    ]
    assert invoke("--folder", root, "publish").status == 0
    page = (root / "reports/2026/fest/README.md").read_text("utf-8")
    assert "- 15 August 2026, Second part: alp A – bach A" in page
    paper = invoke(
        "--folder", root, "sheet", "alp-a", "bach-a", "--blank-paper", "--part", "Second part"
    )
    assert "Probe Festival, Second part" in paper.out
    draft = invoke("--folder", root, "sheet", "--date", DAY, "--part", "Second part")
    assert (draft.status, "Probe Festival, Second part" in draft.err) == (0, True), draft.err
    assert "round 2" not in draft.err
    wrong = invoke("--folder", root, "sheet", "--date", DAY, "--part", "evening")
    assert (wrong.status, "`fest` has no part `evening`" in wrong.err) == (2, True)


def test_a_plan_of_one_part_tells_nothing_of_home_and_away(tmp_path: Path) -> None:
    outcome = plan(lay_out(tmp_path), "--part", "morning")
    assert "Home and away" not in outcome.out
    assert "Fixtures" in outcome.out


@pytest.mark.parametrize(
    "command", [standings_command, strikers_command, plan_command, sheet_command]
)
def test_parts_are_completed(tmp_path: Path, command: click.Command) -> None:
    root = click.Context(click.Command("riesbuch"))
    root.params["folder"] = str(lay_out(tmp_path))
    context = click.Context(command, parent=root)
    (option,) = (each for each in command.params if each.name == "part")
    for written, offered in (("", ["morning", "afternoon"]), ("aft", ["afternoon"])):
        found = option.shell_complete(context, written)
        assert [each.value for each in found] == offered


def test_rank_lists_on_pages_of_their_own(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=4)
    strike(root, "morning", "alp-a", "bach-a", (0, 400), (1, 500))
    strike(root, "afternoon", "bach-a", "alp-a", (0, 700), (0, 800))
    reports = root / "reports/2026/fest"
    assert invoke("--folder", root, "publish").status == 0
    page = (reports / "ranks.md").read_text("utf-8")
    assert page.startswith("# Rank list, Probe Festival, 2026\n")
    assert "| Rank | Team | Nr. | Points | Played |\n" in page
    assert "| 1 | [alp A](../../clubs/alp.md) | 0 | 1,200 | 2 |\n" in page
    assert "Chehr" not in page
    part = (reports / "ranks-morning.md").read_text("utf-8")
    assert part.startswith("# Rank list: First part, Probe Festival, 2026\n")
    assert "| 1 | [alp A](../../clubs/alp.md) | 0 | 400 | 1 |\n" in part
    assert "In the tables: 1 match." in part
    links = (reports / "README.md").read_text("utf-8").splitlines()[2]
    assert "[Rank list](ranks.md)" in links
    assert "[Rank list: Second part](ranks-afternoon.md)" in links
    # Another match of that part alone makes these pages anew.
    strike(root, "morning", "chehr-a", "dorf-a", (0, 450), (0, 300))
    assert invoke("--folder", root, "publish", "--check").status == 1
    assert invoke("--folder", root, "publish").status == 0
    assert "| 1 | [chehr A](../../clubs/chehr.md) | 0 | 450 | 1 |\n" in (
        reports / "ranks-morning.md"
    ).read_text("utf-8")
    season = root / "seasons/2026/season.toml"
    text = season.read_text("utf-8").partition('\n[[competition.parts]]\nid = "afternoon"')[0]
    season.write_text(text, "utf-8")
    (root / f"seasons/2026/matches/{DAY}-bach-a-alp-a-afternoon.yaml").unlink()
    assert invoke("--folder", root, "publish").status == 0
    assert not (reports / "ranks-afternoon.md").exists()
    assert (reports / "ranks-morning.md").exists()


@pytest.mark.parametrize("more", [(), ("--part", "morning")])
def test_a_rank_list_has_no_matches_won(tmp_path: Path, more: tuple[str, ...]) -> None:
    root = lay_out(tmp_path, teams=2)
    strike(root, "morning", "alp-a", "bach-a", (0, 500), (1, 400))
    head = invoke("--folder", root, "standings", "fest", *more).out.splitlines()[0]
    assert head.split() == ["Rank", "Team", "Played", "Nummern", "Points"]
    assert table(root, *more)[0]["won"] == 1
    for name in ("short", "fest"):
        rules = root / f"rules/{name}.toml"
        text = rules.read_text("utf-8")
        rules.write_text(text.replace('["nummern", "points"]', '["won", "points"]'), "utf-8")
    head = invoke("--folder", root, "standings", "fest", *more).out.splitlines()[0]
    assert head.split()[3:6] == ["Won", "Drawn", "Lost"]


CSV_HEAD = "Datum,{part},Heim,Gast,Punkte Heim,Punkte Gast,Nr. Heim,Nr. Gast\n"


@pytest.mark.parametrize("head", ["Teil", "Durchgang", "part"])
def test_sheets_of_parts_are_imported(tmp_path: Path, head: str) -> None:
    root = lay_out(tmp_path, teams=2)
    table_file = tmp_path / "fest.csv"
    rows = [
        f"{DAY},First part,alp A,bach A,400,500,0,1",
        f"{DAY},afternoon,alp A,bach A,800,700,0,0",
    ]
    table_file.write_text(CSV_HEAD.format(part=head) + "\n".join(rows) + "\n", "utf-8")
    ask = ("--folder", root, "import", table_file, "--competition", "fest")
    outcome = invoke(*ask)
    assert outcome.status == 0, outcome.err
    texts = [path.read_text("utf-8") for path in (root / "seasons/2026/matches").iterdir()]
    assert {line for text in texts for line in text.splitlines() if "part:" in line} == {
        "part: morning",
        "part: afternoon",
    }
    assert invoke("--folder", root, "check").status == 0
    assert [row["points"] for row in table(root, "--part", "morning")] == [400, 500]
    # What stands there already is known again, part by part.
    again = invoke(*ask)
    assert (again.status, "2 there already" in again.out + again.err) == (0, True), again.err


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("", "fest.csv:3:1: error: `fest` is struck in parts, and it is not said which this is"),
        ("mornign", "fest.csv:3:1: error: `fest` has no part `mornign`; did you mean morning?"),
    ],
)
def test_an_import_names_the_row_without_a_part(tmp_path: Path, part: str, said: str) -> None:
    root = lay_out(tmp_path, teams=2)
    table_file = tmp_path / "fest.csv"
    rows = [
        f"{DAY},morning,alp A,bach A,400,500,0,1",
        f"{DAY},{part},bach A,alp A,800,700,0,0",
    ]
    table_file.write_text(CSV_HEAD.format(part="Teil") + "\n".join(rows) + "\n", "utf-8")
    outcome = invoke("--folder", root, "import", table_file, "--competition", "fest")
    assert (outcome.status, said in outcome.err) == (1, True), outcome.err
    assert not [*(root / "seasons/2026/matches").iterdir()]


def test_the_champion_is_sure_by_the_rules_of_each_part(tmp_path: Path) -> None:
    """The first part goes by points alone, so Nummern that nobody knows leave its winner sure."""
    root = lay_out(tmp_path, teams=2)
    (root / "rules/fest.toml").write_text('standings_order = ["won"]\n', "utf-8")
    both_parts(root)
    strike(root, "afternoon", "alp-a", "bach-a", (0, 700), (1, 600))
    sheet = root / f"seasons/2026/matches/{DAY}-alp-a-bach-a-morning.yaml"
    sheet.write_text(sheet.read_text("utf-8").replace("  nummern: 0\n", "", 1), "utf-8")
    ask = ("--folder", root, "honours", "--format", "json")
    assert [won["champions"] for won in invoke(*ask).data["honours"]] == [["alp-a"]]
    short = root / "rules/short.toml"
    short.write_text(
        short.read_text("utf-8").replace('["points"]', '["nummern", "points"]'), "utf-8"
    )
    assert [won["champions"] for won in invoke(*ask).data["honours"]] == [[]]


def test_finish_names_the_part_for_its_round(tmp_path: Path) -> None:
    root = lay_out(tmp_path, teams=2)

    def git(*words: str) -> str:
        identity = ("-c", "user.name=A", "-c", "user.email=a@example.org")
        done = subprocess.run(
            ["git", *identity, *words], cwd=root, check=True, capture_output=True, text=True
        )
        return done.stdout

    git("init", "-q", "-b", "main")
    git("config", "user.name", "A")
    git("config", "user.email", "a@example.org")
    git("add", "-A")
    git("commit", "-qm", "begun")
    both_parts(root)
    sheet = root / f"seasons/2026/matches/{DAY}-alp-a-bach-a-morning.yaml"
    sheet.write_text(sheet.read_text("utf-8").replace("date:", "round: 1\ndate:", 1), "utf-8")
    outcome = invoke("--folder", root, "finish", "--yes")
    assert outcome.status == 0, outcome.err
    assert git("log", "-1", "--format=%s").strip() == "Probe Festival, First part"
