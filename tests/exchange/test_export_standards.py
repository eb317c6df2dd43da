"""The export held against its standards: Table Schema and Data Package by a reader that is none of
ours, RFC 4180 by the grammar that the RFC prints, and by a parser that is none of ours."""

import csv
import io
import json
import re
import shutil
from pathlib import Path

import pandas as pd
import pytest
from frictionless import Package
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.exchange.csv_text import written_csv
from tests.commandline import invoke
from tests.example_copy import copy_example

# RFC 4180, section 2; beyond ASCII everything is TEXTDATA (RFC 7111, section 5).
_TEXTDATA = "[ !#-+\\--~\x80-\U0010ffff]"
_FIELD = f'(?:"(?:{_TEXTDATA}|,|\r|\n|"")*"|{_TEXTDATA}*)'
_RECORD = re.compile(f"({_FIELD}(?:,{_FIELD})*)\r\n")


def fields_by_the_rfc(text: str) -> list[int]:
    """How many fields each record has. Every record must have its line break."""
    counts, start = [], 0
    while start < len(text):
        record = _RECORD.match(text, start)
        assert record, f"no record by the RFC: {text[start : start + 80]!r}"
        counts.append(1 + re.sub('"(?:[^"]|"")*"', "", record[1]).count(","))
        start = record.end()
    return counts


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Path:
    directory = tmp_path_factory.mktemp("standards")
    root = copy_example(directory / "example_league")
    outcome = invoke("--folder", root, "export", directory / "export", "--trainings")
    assert outcome.status == 0, outcome.err
    return directory / "export"


def lines_of(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file, strict=True))


def test_an_independent_reader_finds_the_package_valid(exported: Path) -> None:
    """Types, required cells, choices, keys and references of every table, by frictionless."""
    package = Package(str(exported / "datapackage.json"))
    report = package.validate()
    assert report.flatten(["type", "message"]) == []
    assert report.valid
    rows = {task.name: task.stats["rows"] for task in report.tasks}
    assert rows == {path.stem: len(lines_of(path)) - 1 for path in exported.glob("*.csv")}
    assert len(rows) == 28
    assert sum(rows.values()) > 10_000


@pytest.mark.parametrize(
    ("table", "column", "value", "found"),
    [
        ("matches", "season", "soon", "type-error"),
        ("matches", "date", "2026-02-30", "type-error"),
        ("matches", "outcome", "dreamt", "constraint-error"),
        ("sides", "sheet", "", "constraint-error"),
        ("sides", "sheet", "1999/of-no-match", "foreign-key"),
        ("clubs", "club", "aarwald", "primary-key"),
    ],
)
def test_it_would_have_found_what_is_wrong(
    exported: Path, tmp_path: Path, table: str, column: str, value: str, found: str
) -> None:
    spoilt = tmp_path / "spoilt"
    shutil.copytree(exported, spoilt)
    head, *rows = lines_of(spoilt / f"{table}.csv")
    rows[-1][head.index(column)] = value
    (spoilt / f"{table}.csv").write_text(written_csv([head, *rows]), "utf-8", newline="")
    document = json.loads((spoilt / "datapackage.json").read_text("utf-8"))
    near = {table, *(
        key["reference"]["resource"]
        for resource in document["resources"]
        if resource["name"] == table
        for key in resource["schema"].get("foreignKeys", ())
    )}  # fmt: skip
    document["resources"] = [each for each in document["resources"] if each["name"] in near]
    for resource in document["resources"]:
        if resource["name"] != table:
            resource["schema"].pop("foreignKeys", None)
    (spoilt / "datapackage.json").write_text(json.dumps(document), "utf-8")
    report = Package(str(spoilt / "datapackage.json")).validate()
    assert found in {kind for (kind,) in report.flatten(["type"])}


def test_every_table_is_of_the_rfcs_grammar(exported: Path) -> None:
    paths = sorted(exported.glob("*.csv"))
    for path in paths:
        counts = fields_by_the_rfc(path.read_bytes().decode("utf-8"))
        assert len(set(counts)) == 1, path.name
        assert len(counts) == len(lines_of(path))
    assert len(paths) == 28


@pytest.mark.parametrize("text", ["a,b\n", "a,b", 'a,b"c\r\n', '"a\r\n', '"a"b\r\n'])
def test_the_grammar_refuses_what_is_none(text: str) -> None:
    with pytest.raises(AssertionError, match="no record by the RFC"):
        fields_by_the_rfc(text)


# The RFC knows no control characters but those of a line break.
cells = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc"], include_characters="\r\n"), max_size=9
) | st.text('",\r\n a', max_size=6)


@given(st.integers(1, 4).flatmap(lambda width: st.lists(
    st.lists(cells, min_size=width, max_size=width), min_size=1, max_size=5
)))  # fmt: skip
def test_whatever_stands_in_cells_is_read_by_others(rows: list[list[str]]) -> None:
    text = written_csv(rows)
    assert fields_by_the_rfc(text) == [len(rows[0])] * len(rows)
    read = pd.read_csv(
        io.StringIO(text, newline=""), header=None, dtype=str, keep_default_na=False,
        skip_blank_lines=False,
    )  # fmt: skip
    assert read.to_numpy().tolist() == rows
