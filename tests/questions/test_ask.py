"""`riesbuch ask`: any question that reads, and nothing that does more."""

import contextlib
import csv
import io
import json
import re
import sqlite3
import statistics
from pathlib import Path

import pytest

from riesbuch.index.layout import LAYOUT
from riesbuch.questions.ask import TABLES, TRAININGS
from riesbuch.questions.ask import ask as question
from riesbuch.trade.problems import UsageError
from tests.bench.generate import generate
from tests.commandline import Outcome, invoke
from tests.documentation.pages import GUIDE
from tests.example_copy import copy_example
from tests.reference.folder import load
from tests.reference.results import match_results

INDEX = ".riesbuch/index.sqlite"


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_example(tmp_path_factory.mktemp("example") / "league")


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("generated")
    generate(root, 2, 2001)
    return root


def kept(root: Path) -> list[object]:
    """What the index holds; how files looked may be noted by any command."""
    with contextlib.closing(sqlite3.connect(root / INDEX)) as connection:
        tables = ("sqlite_schema", "seasons", "players", "matches", "results")
        return [connection.execute(f"SELECT * FROM {table}").fetchall() for table in tables]


def ask(root: Path, sql: str, *options: str) -> Outcome:
    return invoke("--folder", root, "ask", sql, *options)


BASIS = "Asked of 258 sheets: 255 matches counted, 152 of them known strike by strike.\n"


@pytest.mark.parametrize("folder", ["example", "generated"])
def test_figures_agree_with_the_files(folder: str, request: pytest.FixtureRequest) -> None:
    root: Path = request.getfixturevalue(folder)
    frames = load(root)
    results = match_results(frames)
    counting = results[results.counts.astype(bool)]
    points = counting[counting.points.notna()].groupby(["season", "team"]).points
    expected = [
        {"season": season, "team": team, "matches": len(group), "points": int(group.sum())}
        for (season, team), group in points
    ]
    outcome = ask(
        root,
        "SELECT season, team, count(*) AS matches, sum(points) AS points"
        " FROM sides JOIN matches USING (sheet, season) WHERE counts AND points IS NOT NULL"
        " GROUP BY season, team ORDER BY season, team",
        "--format",
        "json",
    )
    deep = counting.groupby("sheet").depth.agg(set).eq({"strikes"}).sum()
    assert (outcome.status, outcome.err) == (
        0,
        f"Asked of {len(frames.matches)} sheets: {counting.sheet.nunique()} matches counted,"
        f" {deep} of them known strike by strike.\n",
    )
    assert outcome.data == expected
    assert len(expected) >= 20


def test_strikes_agree_with_the_files(example: Path) -> None:
    strikes = load(example).strikes
    rows = strikes[strikes.part.isin(["row", "supernumerary"]) & strikes.struck.astype(bool)]
    outcome = ask(
        example,
        "SELECT count(points) AS n, sum(points) AS points, sum(nummer) AS nummern FROM strikes",
        "--format",
        "json",
    )
    assert outcome.data == [
        {"n": len(rows), "points": int(rows.points.sum()), "nummern": int(rows.nummer.sum())}
    ]


def test_formats(example: Path) -> None:
    sql = "SELECT club, founded, NULL AS open FROM clubs ORDER BY club LIMIT 2"
    assert ask(example, sql).out == (
        "club        founded  open\n"
        "----------  -------  ----\n"
        "aarwald        1911     –\n"
        "birkenfluh     1908     –\n"
        "\n"
        f"{BASIS}"
    )
    assert ask(example, sql, "--format", "csv") == Outcome(
        status=0, out="club,founded,open\naarwald,1911,\nbirkenfluh,1908,\n", err=BASIS
    )
    assert ask(example, sql, "--format", "markdown").out.splitlines()[2] == (
        "| aarwald    |    1911 |    – |"
    )
    assert ask(example, sql, "--format", "json").data == [
        {"club": "aarwald", "founded": 1911, "open": None},
        {"club": "birkenfluh", "founded": 1908, "open": None},
    ]


def test_columns_of_one_name_are_told_apart(example: Path) -> None:
    sql = "SELECT 1 AS a, 2 AS a, 3 AS a_2, 4 AS a"
    assert ask(example, sql, "--format", "json").data == [{"a": 1, "a_3": 2, "a_2": 3, "a_4": 4}]
    assert ask(example, sql, "--format", "csv").out == "a,a_3,a_2,a_4\n1,2,3,4\n"


def test_values_that_json_does_not_have(example: Path) -> None:
    sql = "SELECT x'00ff' AS bytes, 9e999 AS much, -9e999 AS little, 0.5 AS half"
    outcome = ask(example, sql, "--format", "json")
    assert outcome.data == [
        {"bytes": "X'00FF'", "much": "Infinity", "little": "-Infinity", "half": 0.5}
    ]
    rows = list(csv.reader(io.StringIO(ask(example, sql, "--format", "csv").out)))
    assert rows[1] == ["X'00FF'", "Infinity", "-Infinity", "0.5"]


def test_no_rows(example: Path) -> None:
    sql = "SELECT club FROM clubs WHERE club = 'nowhere'"
    assert ask(example, sql) == Outcome(
        status=0, out=f"There is nothing that answers to this.\n{BASIS}", err=""
    )
    assert ask(example, sql, "--format", "json").data == []
    assert ask(example, sql, "--format", "csv").out == "club\n"


def test_a_statement_that_is_no_text(example: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"SELECT '\xff'")))
    for sql in ("-", "SELECT '\udcff'"):
        assert ask(example, sql) == Outcome(
            status=2, out="", err="riesbuch: the statement is not UTF-8 text\n"
        )


def test_a_statement_from_standard_input(example: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = "\ufeffSELECT 'Tiefenschür' AS name -- with a remark\n;\n"
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
    assert ask(example, "-", "--format", "json").data == [{"name": "Tiefenschür"}]


@pytest.mark.parametrize(
    "sql",
    [
        "DELETE FROM matches",
        "INSERT INTO players VALUES ('a', 'A', 1900)",
        "UPDATE players SET name = 'X'",
        "DROP TABLE players",
        "CREATE TABLE mine (a)",
        "CREATE TEMP TABLE mine (a)",
        "CREATE TEMP VIEW matches AS SELECT 1",
        "ATTACH 'other.sqlite' AS other",
        "VACUUM INTO 'other.sqlite'",
        "VACUUM",
        "REINDEX",
        "ANALYZE",
        "PRAGMA query_only = OFF",
        "PRAGMA journal_mode = WAL",
        "BEGIN",
        "COMMIT",
        "ROLLBACK",
        "SAVEPOINT here",
        "SELECT load_extension('other')",
        "SELECT * FROM pragma_table_info('results')",
        "SELECT count(*) FROM pragma_table_list",
        "SELECT count(*) FROM dbstat",
        "SELECT * FROM sqlite_master",
        "SELECT count(*) FROM sqlite_schema",
        *(
            f"SELECT * FROM {table}"
            for table in ("results", "files", "reading", "seasons", "player_rows")
        ),
        *(
            f"SELECT count(*) FROM {table}"
            for table in ("results", "files", "reading", "seasons", "player_rows")
        ),
        "SELECT count(*) FROM main.results",
        "SELECT player FROM players WHERE EXISTS (SELECT 1 FROM results)",
        "SELECT 1; SELECT 2",
        "SELECT 1; DELETE FROM matches",
        "SELECT ?",
        "SELECT nothing FROM matches",
        "SELECT 1 FROM nowhere",
        "SELEKT 1",
        "SELECT 'open",
        "SELECT 1 \0",
        "",
        " -- only a remark",
    ],
)
def test_anything_else_is_refused(
    sql: str, example: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert ask(example, "SELECT 1").status == 0
    before = kept(example)
    outcome = ask(example, sql)
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err.startswith("riesbuch: ")
    assert "Traceback" not in outcome.err
    listed = {line.split()[0] for line in outcome.err.splitlines() if re.match(r"  \w", line)}
    assert listed == set(TABLES)
    assert all(len(line) <= 100 for line in outcome.err.splitlines()[1:])
    assert kept(example) == before
    assert list(tmp_path.iterdir()) == []


def test_a_misspelt_name_is_answered_with_the_nearest(example: Path) -> None:
    outcome = ask(example, "SELECT opponnent FROM sides")
    assert outcome.err.splitlines()[0] == (
        "riesbuch: no such column: opponnent; did you mean opponent?"
    )
    assert "no such table: match; did you mean" in ask(example, "SELECT 1 FROM match").err


@pytest.mark.parametrize(
    "sql",
    [
        "WITH mine AS (SELECT 1 AS n) SELECT count(*) AS n FROM mine",
        "WITH RECURSIVE mine(i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM mine WHERE i < 1)"
        " SELECT count(*) AS n FROM mine",
        "SELECT count(*) AS n FROM json_each('[5]')",
        "SELECT count(*) AS n FROM (SELECT team FROM teams LIMIT 1) AS inner_one",
        "SELECT 1 AS n;",
    ],
)
def test_what_reads_is_answered(sql: str, example: Path) -> None:
    assert ask(example, sql, "--format", "json").data == [{"n": 1}]


@pytest.mark.parametrize("table", TABLES)
def test_every_table_can_be_asked(table: str, example: Path) -> None:
    assert ask(example, f"SELECT * FROM {table}", "--format", "csv").status == 0
    assert ask(example, f"SELECT count(*) FROM main.{table}").status == 0


def test_a_statement_without_end_is_broken_off(example: Path) -> None:
    endless = (
        "WITH RECURSIVE n(i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n"
    )
    outcome = ask(example, endless, "--seconds", "1")
    assert (outcome.status, outcome.out) == (2, "")
    assert "takes too long" in outcome.err
    assert "--seconds" in outcome.err


def test_too_many_rows_are_refused_not_cut(example: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("riesbuch.questions.ask.MOST_ROWS", 10)
    assert len(ask(example, "SELECT * FROM clubs", "--format", "json").data) == 10
    outcome = ask(example, "SELECT * FROM players")
    assert (outcome.status, outcome.out) == (2, "")
    assert "more than 10 rows" in outcome.err


def test_fat_rows_are_counted_by_their_bytes(
    example: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sql = (
        "WITH RECURSIVE n(i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM n LIMIT 50)"
        " SELECT printf('%.*c', 100000, 'x') FROM n"
    )
    assert ask(example, sql, "--format", "csv").status == 0
    monkeypatch.setattr("riesbuch.questions.ask.MOST_BYTES", 1_000_000)
    outcome = ask(example, sql, "--format", "csv")
    assert (outcome.status, outcome.out) == (2, "")
    assert "the answer was broken off after 9 rows: it has more than 1 MB" in outcome.err


def test_the_clock_is_looked_at_between_rows() -> None:
    """Of fat rows there are few steps of the database from one to the next."""
    connection = sqlite3.connect(":memory:")
    connection.executescript(LAYOUT)
    connection.isolation_level = None
    looks = iter([False, False, True])
    with pytest.raises(UsageError, match="takes too long"):
        question(connection, "VALUES (1), (2), (3), (4)", lambda: next(looks))
    assert next(looks, None) is None


@pytest.mark.parametrize("text", ["zeroblob(3000000)", "hex(zeroblob(200000))"])
def test_one_value_has_a_bound(example: Path, text: str) -> None:
    outcome = ask(example, f"SELECT length({text})")
    assert (outcome.status, outcome.out) == (2, "")
    assert "too big" in outcome.err


def test_a_text_laid_out_beyond_the_bound_is_none(example: Path) -> None:
    """SQLite's own printf gives NULL there; some versions raise."""
    outcome = ask(example, "SELECT length(printf('%.*c', 3000000, 'x')) AS n", "--format", "json")
    assert outcome.status == 2 or outcome.data == [{"n": None}]


def test_wrong_usage(example: Path) -> None:
    assert ask(example, "SELECT 1", "--seconds", "0").status == 2
    assert invoke("--folder", example, "ask").status == 2


def test_the_guide_explains_every_table_and_column(example: Path) -> None:
    page = (GUIDE / "asking.md").read_text(encoding="utf-8").partition("\n## The tables\n")[2]
    sections = dict(
        section.split("\n", 1) for section in page.partition("\n## Questions")[0].split("\n##")[1:]
    )
    sections = {title.strip("# "): text for title, text in sections.items()}
    register = dict(re.findall(r"^\| `(\w+)` \| (.*)$", sections["The register"], re.MULTILINE))
    for table in TABLES:
        outcome = ask(example, f"SELECT 1 FROM {table}", "--format", "csv")
        assert outcome.status == 0
        columns = re.search(rf"^  {table} +((?:.|\n {{8}})*)", ask(example, "").err, re.MULTILINE)
        assert columns is not None
        text = sections.get(table) or register[table]
        missing = [name for name in re.findall(r"\w+", columns[1]) if f"`{name}`" not in text]
        assert missing == [], table


def test_every_table_of_the_layout_is_documented_or_internal() -> None:
    laid_out = set(re.findall(r"CREATE (?:TABLE|VIEW) (\w+)", LAYOUT))
    assert laid_out - {*TABLES, *TRAININGS} == {
        "reading", "files", "listings", "results", "seasons", "waiting_rows", "read_sheets",
        "player_rows", "named_players", "team_seasons", "handed_down_competitions",
        "handed_down_team_rows", "handed_down_striker_rows", "handed_down_honour_rows",
        "handed_down_honours", "training_rows",
    }  # fmt: skip
    assert {*TABLES, *TRAININGS} <= laid_out


def test_the_guide_answers_twelve_questions() -> None:
    page = (GUIDE / "asking.md").read_text(encoding="utf-8").partition("\n## Questions")[2]
    assert page.count('$ riesbuch ask "') >= 12
    assert json.dumps(page).count("Traceback") == 0


@pytest.mark.parametrize("folder", ["example", "generated"])
def test_median_and_spread_agree_with_the_standard_library(
    folder: str, request: pytest.FixtureRequest
) -> None:
    root: Path = request.getfixturevalue(folder)
    rows = ask(root, "SELECT team, points FROM strikes WHERE counts", "--format", "json").data
    of_team: dict[str, list[int]] = {}
    for row in rows:
        if row["points"] is not None:
            of_team.setdefault(row["team"], []).append(row["points"])
    assert len(of_team) > 5
    found = ask(
        root,
        "SELECT team, median(points) AS median, stddev(points) AS spread FROM strikes"
        " WHERE counts GROUP BY team HAVING count(points) ORDER BY team",
        "--format", "json",
    )  # fmt: skip
    assert (found.status, found.err.count("\n")) == (0, 1)
    assert [row["team"] for row in found.data] == sorted(of_team)
    for row in found.data:
        points = of_team[row["team"]]
        assert row["median"] == statistics.median(points)
        assert row["spread"] == pytest.approx(statistics.stdev(points), rel=1e-12)


def one(values: str, function: str) -> object:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    connection.executescript(LAYOUT)
    query = f"SELECT {function}(column1) FROM (VALUES {values})"
    ((value,),) = question(connection, query, lambda: False).rows
    return value


@pytest.mark.parametrize(
    ("values", "median", "spread"),
    [
        ("(NULL)", None, None),
        ("(7)", 7, None),
        ("(7), (NULL)", 7, None),
        ("(7), (7)", 7, 0.0),
        ("(3), (NULL), (1), (2)", 2, 1.0),
        ("(4), (1)", 2.5, 4.5**0.5),
        ("(1000000001), (1000000002), (1000000003)", 1000000002, 1.0),
        ("(0.5), (1)", 0.75, 0.125**0.5),
    ],
)
def test_median_and_spread_of_few_values(values: str, median: object, spread: object) -> None:
    assert one(values, "median") == median
    found = one(values, "stddev")
    assert found == (None if spread is None else pytest.approx(spread))


def test_median_and_spread_take_numbers_alone(example: Path) -> None:
    for function in ("median", "stddev"):
        outcome = ask(example, f"SELECT {function}(date) FROM matches")
        assert (outcome.status, outcome.out) == (2, "")
        assert f"{function}(x) takes numbers, and x is a text here" in outcome.err


def test_medians_hold_only_so_much(monkeypatch: pytest.MonkeyPatch, example: Path) -> None:
    monkeypatch.setattr("riesbuch.questions.ask.MOST_VALUES", 100)
    assert ask(example, "SELECT median(x) FROM (SELECT 1 AS x FROM matches LIMIT 100)").status == 0
    outcome = ask(example, "SELECT median(season) FROM matches GROUP BY season")
    assert (outcome.status, outcome.out) == (2, "")
    assert "median(x) takes 100 values at most; narrow it with WHERE" in outcome.err


def test_trainings_are_told_only_where_asked_for(example: Path) -> None:
    question = "SELECT count(*) AS n FROM training_strikes"
    asked = ask(example, question, "--trainings", "--format", "json")
    assert asked.data[0]["n"] == 1386
    by_evening = ask(
        example,
        "SELECT sum(strikes) AS n, count(DISTINCT date) AS d FROM trainings",
        "--trainings",
        "--format",
        "json",
    )
    assert by_evening.data == [{"n": 1386, "d": 12}]
    for hidden in (
        question,
        "SELECT player FROM trainings",
        "SELECT * FROM training_rows",
        "WITH trainings AS (SELECT * FROM training_rows) SELECT * FROM trainings",
        "SELECT (SELECT max(points) FROM training_strikes) FROM players",
        "SELECT count(*) FROM matches, training_rows",
    ):
        refused = ask(example, hidden)
        assert refused.status == 2
        assert "trainings are only told with --trainings" in refused.err, hidden
        assert "zaugg" not in refused.out + refused.err
    assert ask(example, "SELECT * FROM training_rows", "--trainings").status == 2
