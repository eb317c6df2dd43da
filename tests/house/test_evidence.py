"""The guide's page of what is checked against what, held against the tests and the rules."""

import importlib
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any, NamedTuple, get_args, get_type_hints

import pytest

from riesbuch.trade.rules import RuleSet
from tests.documentation.pages import CHECKOUT, GUIDE, name_of

PAGES = pytest.mark.parametrize(
    "page", [GUIDE / "evidence.md", GUIDE / "de/evidence.md"], ids=name_of
)
PUBLISHED: dict[str, dict[str, Any]] = {
    case["id"]: case
    for case in tomllib.loads((CHECKOUT / "tests/published_cases.toml").read_text("utf-8"))["case"]
}
OF_CASES = "tests/trade/test_scoring_published.py"
CODE = re.compile("`([^`]+)`")


class Tables(NamedTuple):
    """The rows of each table of the page, as cells."""

    cases: list[list[str]]
    standards: list[list[str]]
    defaults: list[list[str]]
    fixed: list[list[str]]


def tables(page: Path) -> Tables:
    found: list[list[list[str]]] = []
    before = ""
    for line in page.read_text("utf-8").splitlines():
        if line.startswith("|---"):
            found.append([])
        elif line.startswith("|") and before.startswith("|"):
            found[-1].append([cell.strip() for cell in line.strip("|").split(" | ")])
        before = line
    return Tables(*found)


def named_tests(cell: str) -> list[tuple[str, str]]:
    """File and name of each test; without a file it is one of the published cases'."""
    return [
        (code.partition("::")[0] or OF_CASES, code.partition("::")[2])
        for code in CODE.findall(cell)
        if "::" in code
    ]


def module_of(path: str) -> ModuleType:
    assert (CHECKOUT / path).is_file(), path
    return importlib.import_module(path.removesuffix(".py").replace("/", "."))


def cases_of(path: str, name: str) -> set[str]:
    """The published cases that a test is given."""
    marks = getattr(getattr(module_of(path), name), "pytestmark", [])
    return {each for mark in marks for each in mark.kwargs.get("ids") or () if each in PUBLISHED}


def defaults(record: Any = RuleSet, place: str = "") -> Iterator[tuple[str, str]]:
    """Key and default of everything a rule set can say, each criterion of an order by itself; of
    what stands in lists what is not left out by default."""
    for name, hint in get_type_hints(record, include_extras=True).items():
        value, (kind, key) = record._field_defaults.get(name), get_args(hint)
        written = f"{place}{key.name or name}"
        if isinstance(value, tuple) and hasattr(value, "_fields"):
            assert value == type(value)(), written
            yield from defaults(type(value), f"{written}.")
        elif isinstance(value, tuple) and value:
            yield from ((written, each) for each in value)
        elif value is not None:
            yield written, "[]" if value == () else str(value)
        if value == () and (inner := get_args(kind)[0]):
            yield from defaults(inner, f"{written}.")


@PAGES
def test_every_test_that_is_named_is_there(page: Path) -> None:
    named = named_tests(page.read_text("utf-8"))
    missing = [each for each in named if not callable(getattr(module_of(each[0]), each[1], None))]
    assert missing == []
    assert len(set(named)) > 50


@PAGES
def test_every_published_case_is_told_with_its_source_and_the_tests_that_are_given_it(
    page: Path,
) -> None:
    rows = tables(page).cases
    assert [CODE.findall(row[0]) for row in rows] == [[case] for case in PUBLISHED]
    for (case,), row in zip((CODE.findall(row[0]) for row in rows), rows, strict=True):
        source = PUBLISHED[case]["source"]
        places = re.findall(r"[a-z0-9-]+\.ch\b|FIDE Handbook C\.05", source)
        assert places, source
        assert [each for each in places if each not in row[2]] == [], case
        titles = re.findall("'([^']+)'", source)
        assert [each for each in titles if each not in row[2]] == [], case
        named = named_tests(row[3])
        assert named, case
        for path, name in named:
            if path == OF_CASES:
                assert case in cases_of(path, name), name
            else:
                assert f'PUBLISHED["{case}"]' in (CHECKOUT / path).read_text("utf-8")


@PAGES
def test_nothing_is_called_published_without_a_case(page: Path) -> None:
    found = tables(page)
    for what, rests_on, which in (
        *((key, rests_on, which) for key, _, rests_on, which in found.defaults),
        *((what, rests_on, which) for what, rests_on, which, _ in found.fixed),
    ):
        assert rests_on in ("`published`", "`practice`", "`nothing`"), what
        cases = [
            code for code in CODE.findall(which) if re.fullmatch("[a-z0-9]+(-[a-z0-9]+)+", code)
        ]
        assert set(cases) <= PUBLISHED.keys(), what
        assert cases or rests_on != "`published`", what


@PAGES
def test_every_default_of_the_rules_is_told(page: Path) -> None:
    rows = tables(page).defaults
    told = [tuple(CODE.findall(cell)[0] for cell in row[:2]) for row in rows]
    assert told == list(defaults())


@PAGES
def test_what_is_fixed_has_a_test_or_a_case(page: Path) -> None:
    for what, rests_on, _, test in tables(page).fixed:
        assert bool(named_tests(test)) == (rests_on != "`published`"), what


def test_both_pages_name_the_same() -> None:
    english, german = (tables(GUIDE / path) for path in ("evidence.md", "de/evidence.md"))
    for one, other in zip(english, german, strict=True):
        assert [[CODE.findall(cell) for cell in row] for row in one] == [
            [CODE.findall(cell) for cell in row] for row in other
        ]
