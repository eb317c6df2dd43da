"""What is told as a best, a longest or a first says that it is what is on record, wherever sheets
are missing. What stories tell of the past is tried with them."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from riesbuch.trade.ids import LANGUAGES, Language
from tests.example_copy import copy_example
from tests.reference.archive import build
from tests.reports_folder import pages_of, unlinked

CLAIMS = {
    "en": re.compile(
        r"\b(highest|longest|most|best|steadiest|widest|closest|oldest|youngest|never|last met"
        r"|in a row|first (match|season|time))\b",
        re.I,
    ),
    "de": re.compile(
        r"\b(höchste\w*|längste\w*|meisten?|beste\w*|stetigste\w*|grösste\w*|knappste\w*|nie"
        r"|älteste\w*|jüngste\w*|in Folge|erste[ns]? (Spiel|Saison|Mal)|erstmals)\b",
        re.I,
    ),
}
QUALIFIED = {
    "en": re.compile(
        r"on record|handed down|\d of \d|rests? on \d+ match|(Matches|In the tables): \d"
        r"|matches missing|so far"
    ),
    "de": re.compile(
        r"erfasst|überliefert|\d von \d|beruh\w+ auf \d+ Spiel|(Spiele|In den Tabellen): \d"
        r"|Spiele fehlen|bisher"
    ),
}
MISSING = {"en": "matches not on record", "de": "Spielen nicht erfasst"}


def without_some_sheets(root: Path) -> Path:
    """A generated archive of which some matches have no sheet."""
    build(root, 2, 2003)
    for number, sheet in enumerate(sorted(root.glob("seasons/*/matches/*.yaml"))):
        if number % 9 == 0:
            sheet.unlink()
    return root


@pytest.fixture(scope="module", params=["example", "patchy"])
def folder(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    root: Path = tmp_path_factory.mktemp("qualified") / request.param
    if request.param == "example":
        copy_example(root)
        return root
    return without_some_sheets(root)


def sections(page: str) -> Iterator[tuple[str, str]]:
    """What stands before the first heading below the title, and each section with it."""
    first, *others = re.split(r"^(?=#{2,} )", page, flags=re.M)
    yield first, ""
    for section in others:
        yield first, section


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_told_as_the_best_says_how_much_is_on_record(
    folder: Path, language: Language
) -> None:
    league = folder / "league.toml"
    text = re.sub(r"^language = .*\n", "", league.read_text("utf-8"), flags=re.M)
    league.write_text(f'language = "{language}"\n{text}', "utf-8")
    claimed = 0
    pages = pages_of(folder)
    missing = {
        path.split("/")[0]
        for path, page in pages.items()
        if path.endswith("/README.md") and MISSING[language] in page
    }
    assert missing
    for path, page in pages.items():
        year, _, rest = path.partition("/")
        whole = year.isdigit() and year not in missing
        if whole or rest.startswith("matches/") or path.endswith(".svg"):
            continue
        for first, section in sections(unlinked(page)):
            if CLAIMS[language].search(section or first):
                claimed += 1
                assert QUALIFIED[language].search(first + section), f"{path}: {section or first}"
    assert claimed > 300
