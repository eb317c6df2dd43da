"""What the match commission added to tables: in them from its day on, the reason below each."""

import datetime
import shutil
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

import riesbuch.pages.drawings as drawings
from riesbuch.pages.paths import ALL_TIME_PAGE, FRONT_PAGE, club_page, competition_page, season_page
from tests.clubfolder import LENA, SEASON, Replace, Write, lay_out, problems_of
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.gitfolder import ENVIRONMENT, begin, commit
from tests.problem_cases.season import _RULINGS as RULINGS
from tests.reference.folder import load
from tests.reference.results import match_results
from tests.reference.tables import standings, without_awards

OF_2025 = """\
[[ruling]]
competition = "oberhang-1"
on = 2025-06-20
by = "match commission"
team = "birkenfluh-a"
rank_points = -12
reason = "player without a licence in round 4"

[[ruling]]
competition = "oberhang-1"
on = 2025-07-01
team = "sommerhubel-a"
rank_points = 1
nummern = 3
points = -1500
reason = "strip not marked"

[[ruling]]
competition = "oberhang-1"
on = 2026-01-15
by = "appeal board"
team = "birkenfluh-a"
rank_points = 4
reason = "half of it given back"

[[ruling]]
competition = "oberhang-fest"
on = 2025-08-30
team = "eschlisried-a"
nummern = 5
reason = "Nummern not written down"
"""
NOTE = "player without a licence in round 4"
"""The reason of the first."""


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = copy_example(tmp_path_factory.mktemp("rulings") / "league")
    (root / "seasons/2025/rulings.toml").write_text(OF_2025, encoding="utf-8")
    return root


def table(root: Path, key: str, season: int, *options: str) -> list[dict[str, Any]]:
    outcome = invoke(
        "--folder", root, "standings", key, "--season", str(season), "--format", "json", *options
    )
    assert outcome.status == 0, outcome.err
    rows: list[dict[str, Any]] = outcome.data
    return rows


def test_every_table_is_what_pandas_makes_of_sheets_and_rulings(example: Path) -> None:
    frames = load(example)
    results = match_results(frames)
    days = (
        None,
        "2025-05-31",
        "2025-06-19",
        "2025-06-20",
        "2025-07-01",
        "2025-12-31",
        "2026-01-15",
    )
    found = {}
    for season, key in frames.competitions:
        rules = frames.competitions[season, key]["rules"]
        for day in days if season == 2025 else (None,):
            options = ("--until", day) if day else ()
            found[season, key, day] = without_awards(table(example, key, season, *options))
            assert found[season, key, day] == standings(frames, results, season, key, rules, day)
    ruled = {
        day: {row["team"]: row["ruled"] for row in rows if row["ruled"]}
        for (season, key, day), rows in found.items()
        if (season, key) == (2025, "oberhang-1")
    }
    assert ruled == {
        None: {"birkenfluh-a": -8, "sommerhubel-a": 1},
        "2025-05-31": {},
        "2025-06-19": {},
        "2025-06-20": {"birkenfluh-a": -12},
        "2025-07-01": {"birkenfluh-a": -12, "sommerhubel-a": 1},
        "2025-12-31": {"birkenfluh-a": -12, "sommerhubel-a": 1},
        "2026-01-15": {"birkenfluh-a": -8, "sommerhubel-a": 1},
    }


def test_a_table_tells_below_it_what_was_ruled_by_its_day(example: Path) -> None:
    def told(*options: str) -> list[str]:
        lines = invoke(
            "--folder", example, "standings", "oberhang-1", "--season", "2025", *options
        ).out.splitlines()
        return [line for line in lines if line.startswith("Ruled")]

    by_june = f"Ruled for Birkenfluh A: -12 rank points (match commission, 2025-06-20): {NOTE}"
    by_july = (
        "Ruled for Sommerhubel A: +1 rank point, +3 Nummern and -1,500 points (2025-07-01): strip"
        " not marked"
    )
    in_winter = (
        "Ruled for Birkenfluh A: +4 rank points (appeal board, 2026-01-15): half of it given back"
    )
    assert told() == told("--format", "markdown") == [by_june, by_july, in_winter]
    assert told("--until", "2025-06-19") == []
    assert told("--until", "2025-06-20") == [by_june]
    assert told("--until", "2025-12-31") == [by_june, by_july]
    # Under other rules they are in it too, and of strikers nothing was ruled.
    assert told("--rules", "1958") == [by_june, by_july, in_winter]
    strikers = invoke("--folder", example, "strikers", "oberhang-1", "--season", "2025").out
    assert "Ruled" not in strikers


def test_a_ruling_can_be_asked_of_and_is_exported(example: Path, tmp_path: Path) -> None:
    asked = invoke(
        "--folder", example, "ask", "--format", "json",
        "SELECT r.team, r.date, r.ruled_by, sum(r.rank_points) OVER (PARTITION BY r.team) AS ruled,"
        " s.ruled AS told FROM rulings AS r JOIN standings AS s USING (season, competition, team)"
        " WHERE competition = 'oberhang-1' ORDER BY r.number",
    ).data  # fmt: skip
    assert [tuple(row.values()) for row in asked] == [
        ("birkenfluh-a", "2025-06-20", "match commission", -8, -8),
        ("sommerhubel-a", "2025-07-01", None, 1, 1),
        ("birkenfluh-a", "2026-01-15", "appeal board", -8, -8),
    ]
    assert invoke("--folder", example, "export", tmp_path / "out").status == 0
    lines = (tmp_path / "out/rulings.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "season,number,competition,on,by,team,rank_points,nummern,points,reason"
    assert lines[1] == f"2025,1,oberhang-1,2025-06-20,match commission,birkenfluh-a,-12,0,0,{NOTE}"
    assert len(lines) == 5


def test_every_page_with_such_a_table_says_so(example: Path) -> None:
    assert invoke("--folder", example, "publish").status == 0

    def pages_with(text: str) -> set[str]:
        return {
            path.relative_to(example).as_posix()
            for path in (example / "reports").rglob("*.md")
            if text in path.read_text(encoding="utf-8")
        }

    of_clubs = {
        club_page(path.stem)
        for path in (example / "clubs").iterdir()
        if f"{path.stem}-a" in {row["team"] for row in table(example, "oberhang-1", 2025)}
    }
    own = {competition_page(2025, "oberhang-1"), season_page(2025)}
    assert pages_with(NOTE) == own | of_clubs
    # All seasons added up have Nummern and points of rulings in them, and no rank points.
    assert pages_with("strip not marked") == own | of_clubs | {ALL_TIME_PAGE}
    assert "−1,500 points, ruled on 1 July 2025: strip not marked" in (
        (example / competition_page(2025, "oberhang-1")).read_text(encoding="utf-8")
    )
    (example / "seasons/2026/rulings.toml").write_text(
        OF_2025.partition("\n\n")[0].replace("2025", "2026"), encoding="utf-8"
    )
    assert invoke("--folder", example, "publish").status == 0
    assert {FRONT_PAGE, competition_page(2026, "oberhang-1")} <= pages_with(NOTE)
    (example / "seasons/2026/rulings.toml").unlink()


def test_places_round_by_round_are_those_of_their_days(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: dict[str, Any] = {}

    def picture(rounds: Any, courses: Any, title: str, words: object) -> None:
        drawn[title] = {course.team: list(course.rank_points) for course in courses}

    monkeypatch.setattr(drawings, "season_course_picture", picture)
    shutil.rmtree(example / "reports")
    assert invoke("--folder", example, "publish").status == 0
    (points,) = (found for title, found in drawn.items() if "2025" in title)
    of_birkenfluh = points["Birkenfluh A"]
    won = [row["rank_points"] for row in table(example, "oberhang-1", 2025)
           if row["team"] == "birkenfluh-a"]  # fmt: skip
    assert of_birkenfluh[-1] == won[0]
    # It falls once, by more than any match could bring.
    falls = [later - earlier for earlier, later in pairwise(of_birkenfluh)]
    assert [fall for fall in falls if fall < 0] == [min(falls)]
    assert -12 <= min(falls) <= -8


def test_a_changed_ruling_is_in_no_old_table(tmp_path: Path) -> None:
    root = copy_example(tmp_path / "league")
    path = root / "seasons/2025/rulings.toml"
    written = path.read_text(encoding="utf-8")
    before = table(root, "oberhang-1", 2025)
    champions = invoke("--folder", root, "honours", "--format", "json").data["honours"]
    first = OF_2025.partition("\n\n")[0]
    for text, ruled in ((first, -12), (first.replace("-12", "-1"), -1), (first, -12), (written, 0)):
        path.write_text(text, encoding="utf-8")
        rows = {row["team"]: row["ruled"] for row in table(root, "oberhang-1", 2025)}
        assert rows["birkenfluh-a"] == ruled
    assert table(root, "oberhang-1", 2025) == before
    path.write_text(first, encoding="utf-8")
    found = invoke("--folder", root, "honours", "--format", "json").data["honours"]
    won = {(each["season"], each["competition"]): each["champions"] for each in champions}
    now = {(each["season"], each["competition"]): each["champions"] for each in found}
    assert [key for key in won if won[key] != now[key]] == [(2025, "oberhang-1")]


# In a small folder


def ruling(**keys: object) -> str:
    """A ruling, with other keys, None without."""
    usual = {
        "competition": '"oberhang-1"', "on": "2026-06-20", "by": '"match commission"',
        "team": '"aarwald-a"', "rank_points": "-3", "reason": '"late"',
    }  # fmt: skip
    return "[[ruling]]\n" + "".join(
        f"{key} = {value}\n" for key, value in {**usual, **keys}.items() if value is not None
    )


@pytest.mark.parametrize(
    ("text", "code", "line", "says"),
    [
        (ruling(competition='"oberhang-2"'), "unknown-competition", 2, "no competition"),
        (ruling(team='"birkenfluh-b"'), "team-not-in-competition", 5, "does not play in"),
        (ruling(team='"nirgends-a"'), "unknown-team", 5, "no club declares"),
        (ruling(on="2025-12-31"), "date-outside-season", 3, "nor in the winter after it"),
        (ruling(on="2028-01-01"), "date-outside-season", 3, "not in the season 2026"),
        (ruling(rank_points=0), "ruling-without-figure", 5, "changes no figure"),
        (ruling(rank_points=None), "ruling-without-figure", 5, "changes no figure"),
        (ruling(reason=None), "missing-key", 1, "`reason` is missing"),
        (ruling(reason='" "'), "bad-text", 7, "has no text"),
        (ruling(rank_points='"-3"'), "bad-number", 6, "whole number"),
        (ruling(rank_points="1.5"), "bad-number", 6, "whole number"),
        (ruling(on='"20.6.2026"'), "bad-date", 3, "date without quotes"),
        (ruling(rank_point="-3"), "unknown-key", 8, "not a key"),
        (ruling() + ruling(), "listed-twice", 12, "the same ruling stands twice"),
    ],
)
def test_what_is_amiss_with_a_ruling_is_told_at_its_place(
    text: str, code: str, line: int, says: str, tmp_path: Path
) -> None:
    (problem,) = problems_of(lay_out(tmp_path, [Write(RULINGS, text)]))
    assert (problem.place.path, problem.code) == (RULINGS, code)
    assert problem.place.line == line
    assert says in problem.message


def test_a_season_that_nobody_lists_has_no_rulings(tmp_path: Path) -> None:
    (problem,) = problems_of(lay_out(tmp_path, [Write("seasons/2025/rulings.toml", ruling())]))
    assert (problem.code, problem.place.line) == ("unknown-competition", 2)
    assert "the season 2025 has no season.toml" in problem.message


@pytest.mark.parametrize(
    "text",
    [
        ruling(on="2026-01-01"), ruling(on="2027-12-31"), ruling(by=None),
        ruling(rank_points=None, points=-40), ruling(rank_points=4, nummern=-1),
        ruling() + ruling(reason='"late again"'), ruling(competition='"oberhang-cup"'),
    ],
)  # fmt: skip
def test_what_a_ruling_may_be(text: str, tmp_path: Path) -> None:
    assert problems_of(lay_out(tmp_path, [Write(RULINGS, text)])) == []


@pytest.mark.parametrize(
    "text",
    [
        "[[ruling]\n",
        ruling() + ruling(reason=None),
        ruling() + ruling(team='"birkenfluh-b"'),
        ruling() + ruling(competition='"oberhang-2"'),
    ],
    ids=["not TOML", "no reason", "no team of it", "no competition"],
)
def test_a_table_that_lacks_a_ruling_says_so_and_nothing_is_certain(
    text: str, tmp_path: Path
) -> None:
    single = [Replace(SEASON, "cycles = 2", "cycles = 1"),
              Replace(SEASON, '"aarwald-a", "aarwald-b", ', '"aarwald-a", ')]  # fmt: skip
    root = lay_out(tmp_path, single).root

    def honours() -> dict[str, Any]:
        rows = invoke("--folder", root, "honours", "--format", "json").data["honours"]
        return next(row for row in rows if row["competition"] == "oberhang-1")

    assert honours()["champions"]
    (root / RULINGS).write_text(text, encoding="utf-8")
    outcome = invoke("--folder", root, "standings", "oberhang-1")
    assert outcome.status == 1
    assert "not every ruling of seasons/2026/rulings.toml is in the table" in outcome.err
    assert "Aarwald A" in outcome.out
    row = honours()
    assert (row["champions"], row["decided"]) == ([], None)


HANDED_DOWN = "seasons/2026/handed-down.toml"


@pytest.mark.parametrize(("ruled", "differs"), [(ruling(), False), ("", True)])
def test_a_chronicle_that_knew_of_the_ruling_agrees(
    ruled: str, differs: bool, tmp_path: Path
) -> None:
    root = lay_out(tmp_path).root
    won = {row["team"]: row["rank_points"] for row in table(root, "oberhang-1", 2026)}
    told = (
        '[[table]]\ncompetition = "oberhang-1"\nsource = {kind = "minute-book"}\n'
        f'rows = [{{team = "aarwald-a", rank_points = {won["aarwald-a"] - 3}}}]\n'
    )
    edits = [Write(HANDED_DOWN, told), Write(RULINGS, ruled)]
    codes = [problem.code for problem in problems_of(lay_out(tmp_path / "with", edits))]
    assert codes == ["handed-down-differs"] * differs


def test_a_reason_names_nobody_who_is_private(tmp_path: Path) -> None:
    told = ruling(reason='"Lena Zaugg had no licence"')
    private = Replace(LENA, "name: Lena Zaugg\n", "name: Lena Zaugg\nprivate: true\n")
    root = lay_out(tmp_path, [Write(RULINGS, told), private]).root
    assert invoke("--folder", root, "publish").status == 0
    page = (root / competition_page(2026, "oberhang-1")).read_text(encoding="utf-8")
    assert "a player had no licence" in page
    assert not [
        path for path in (root / "reports").rglob("*.md")
        if "Zaugg had" in path.read_text(encoding="utf-8")
    ]  # fmt: skip


# Slipped in


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    root = lay_out(tmp_path / "club").root
    (root / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    (root / RULINGS).write_text(ruling(), encoding="utf-8")
    assert invoke("--folder", root, "publish").status == 0
    begin(root)
    commit(root)
    return root


def first_lines(root: Path, *command: str) -> list[str]:
    lines = invoke("--folder", root, *command).out.replace("\n    ", " ").splitlines()
    start = lines.index("Rulings of the match commission changed:")
    return lines[start : start + 6]


ON = f"  {RULINGS}: oberhang-1 aarwald-a 2026-06-20"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (ruling(rank_points="-2"), [f"{ON}: rank_points -3 -> -2"]),
        # A second one of the same words hides behind nothing.
        (
            ruling() + ruling(reason='"too"', rank_points="-1"),
            [f"{ON} 2: by nothing -> match commission; rank_points nothing -> -1; reason nothing"
             " -> too"],
        ),
        (None, [f"{ON}: by match commission -> nothing; rank_points -3 -> nothing; reason late ->"
                " nothing"]),
    ],
    ids=["changed", "new", "gone"],
)  # fmt: skip
def test_a_changed_ruling_stands_in_the_first_lines(
    text: str | None, told: list[str], club: Path
) -> None:
    if text is None:
        (club / RULINGS).unlink()
    else:
        (club / RULINGS).write_text(text, encoding="utf-8")
    for command in (("review",), ("finish", "--on", "2026-05-10")):
        lines = first_lines(club, *command)
        assert lines[1:2] == told
        assert lines[3] == "Tables come out otherwise, by rank:"
        assert lines[4].startswith("  oberhang-1 2026: ")
        assert "Aarwald A" in lines[4]
    data = invoke("--folder", club, "review", "--format", "json").data
    (cause,) = data["causes"]
    assert (cause["kind"], cause["bears_on_sealed"]) == ("rulings", False)
    assert {value["at"].rpartition(".")[2] for value in cause["values"]} >= {"rank_points"}
    assert "aarwald-a" in {row["team"] for row in data["standings"]}


def test_causes_have_rulings_between_season_and_register(club: Path) -> None:
    (club / RULINGS).write_text(ruling(rank_points="-2"), encoding="utf-8")
    (club / "players/neu-eva.yaml").write_text("name: Eva Neu\n", encoding="utf-8")
    text = (club / SEASON).read_text(encoding="utf-8")
    (club / SEASON).write_text(text.replace("cycles = 2", "cycles = 4"), encoding="utf-8")
    data = invoke("--folder", club, "review", "--format", "json").data
    assert [cause["kind"] for cause in data["causes"]] == ["season", "rulings", "register"]


def test_layout_of_rulings_is_no_news(club: Path) -> None:
    (club / RULINGS).write_text("# Of 2026\n" + ruling(), encoding="utf-8")
    lines = invoke("--folder", club, "review").out
    assert "Rulings of the match commission changed" not in lines
    assert f"{RULINGS}: layout or comments" in lines


def test_the_commit_of_a_match_day_names_the_rulings(club: Path) -> None:
    (club / RULINGS).write_text(ruling(rank_points="-2"), encoding="utf-8")
    outcome = invoke("--folder", club, "finish", "--on", "2026-05-10", "--yes")
    assert outcome.status == 0, outcome.err
    assert "    Rulings changed\n" in outcome.out
    assert "    oberhang-1 aarwald-a 2026-06-20\n" in outcome.out


def test_a_ruling_holds_from_its_day(tmp_path: Path) -> None:
    """At the level of the record."""
    from riesbuch.text.league import read_rulings
    from riesbuch.trade.ids import TeamId
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.standings import standings as of

    rulings = read_rulings(ruling().encode()).record
    assert rulings is not None
    teams = [TeamId("aarwald-a"), TeamId("birkenfluh-a")]
    day = datetime.date(2026, 6, 20)
    before, after = (
        {row.team: (row.rank_points, row.ruled) for row in of([], teams, RuleSet(), until, rulings)}
        for until in (day - datetime.timedelta(days=1), day)
    )
    assert before == {"aarwald-a": (0, 0), "birkenfluh-a": (0, 0)}
    assert after == {"aarwald-a": (-3, -3), "birkenfluh-a": (0, 0)}
