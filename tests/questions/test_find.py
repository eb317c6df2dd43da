"""`riesbuch find`: what is found by which word, and in which order."""

import csv
import io
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.questions.find import (
    Likeness,
    SearchTerm,
    merged,
    named_period,
    one_edit_apart,
    plain,
)
from tests.clubfolder import FIRST, LEAGUE, Replace, lay_out
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example
from tests.reference.folder import _yaml


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copy_example(tmp_path_factory.mktemp("example") / "league")


def find(root: Path, *words: str) -> Outcome:
    return invoke("--folder", root, "find", *words)


def hits(root: Path, *words: str) -> list[dict[str, Any]]:
    outcome = find(root, *words, "--format", "json")
    assert (outcome.status, outcome.err) == (0, "")
    found: list[dict[str, Any]] = outcome.data["hits"]
    return found


@pytest.mark.parametrize(
    ("wanted", "text", "expected"),
    [
        ("Rüedi", "Ruedi", Likeness.EXACT),
        ("rudi", "Rüedi", Likeness.EXACT),
        ("RUEDI", "rúdi", Likeness.EXACT),
        ("Aebi Ruedi", "Ruedi Äbi", Likeness.EXACT),
        ("Ruedi Aebi", "aebi-ruedi", Likeness.EXACT),
        ("strasse", "Straße", Likeness.EXACT),
        ("edi", "Rüedi", Likeness.WITHIN),
        ("treasurers", "treasurer's", Likeness.EXACT),
        ("Aarw", "Aarwald-Berg", Likeness.BEGINNING),
        ("berg", "Aarwald-Berg", Likeness.WORDS),
        ("ber", "Aarwald-Berg", Likeness.BEGINNING),
        ("binder 3", "binder 1, sheet 34", Likeness.BEGINNING),
        ("binder 3", "binder 3, sheet 29", Likeness.WORDS),
        ("rudi bank", "Rüedi has the bank", Likeness.WORDS),
        ("wald", "Aarwald-Berg", Likeness.WITHIN),
        ("aar wald", "Aarwald-Berg", Likeness.WITHIN),
        ("Biglr", "Jonas Bigler", Likeness.SLIP),
        ("Biglre", "Jonas Bigler", Likeness.SLIP),
        ("Jonas Bygler", "Jonas Bigler", Likeness.SLIP),
        ("Bgilerr", "Jonas Bigler", None),
        ("Jonas Zaugg", "Jonas Bigler", None),
        ("uri", "Urs", None),
        ("1958", "1959", None),
        ("page 44", "page 43", None),
        ("page 44", "minute book, page 44", Likeness.WORDS),
    ],
)
def test_likeness(wanted: str, text: str, expected: Likeness | None) -> None:
    assert SearchTerm(wanted).likeness(text) is expected


def edits(word: str) -> set[str]:
    """Every word one edit away, letter by letter."""
    letters = "abc"
    cuts = [(word[:at], word[at:]) for at in range(len(word) + 1)]
    made = {a + b[1:] for a, b in cuts if b}
    made |= {a + letter + b for a, b in cuts for letter in letters}
    made |= {a + letter + b[1:] for a, b in cuts if b for letter in letters}
    made |= {a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1}
    return made - {word}


@given(st.text("abc", max_size=5), st.text("abc", max_size=5))
def test_one_edit_is_one_edit(one: str, other: str) -> None:
    assert one_edit_apart(one, other) == (other in edits(one))


@hypothesis.example("𝐴")
@given(st.text(max_size=20))
def test_a_text_is_found_by_itself(text: str) -> None:
    wanted = SearchTerm(text)
    assert not wanted or wanted.likeness(text) is Likeness.EXACT
    assert merged(plain(text)) == merged(plain(plain(text)))


def test_people_by_every_spelling(example: Path) -> None:
    for path in sorted((example / "players").glob("*.yaml")):
        text = _yaml(path)
        if "also_written" not in text:
            continue
        for written in (path.stem, text["name"], *text["also_written"]):
            found = [each for each in hits(example, written) if each["identifier"] == path.stem]
            assert [each["path"] for each in found] == [f"players/{path.name}"]
            assert found[0]["match"] == "exact"
            assert found[0]["name"] == text["name"]


def test_clubs_by_former_names(example: Path) -> None:
    (hit,) = hits(example, "aarwald-berg")
    assert hit == {
        "kind": "club",
        "match": "exact",
        "text": "Aarwald-Berg",
        "name": "Aarwald",
        "identifier": "aarwald",
        "path": "clubs/aarwald.yaml",
        "sheets": [],
        "paths": [],
    }
    assert "Aarwald (formerly Aarwald-Berg)" in find(example, "aarwald-berg").out


@pytest.mark.parametrize(
    ("kind", "keys", "words"),
    [
        ("note", ("notes",), "supper"),
        ("reference", ("source", "reference"), "bote"),
        ("ground", ("ground",), "Schwandmoos"),
        ("weather", ("weather",), "wind"),
        ("source", ("source", "kind"), "minute-book"),
    ],
)
def test_what_sheets_say(kind: str, keys: tuple[str, ...], words: str, example: Path) -> None:
    expected: dict[str, set[str]] = {}
    for path in sorted(example.glob("seasons/*/matches/*.yaml")):
        text: Any = _yaml(path)
        for key in keys:
            text = text.get(key, {})
        if text and words.lower() in text.lower():
            expected.setdefault(text, set()).add(f"{path.parts[-3]}/{path.stem}")
    found = [
        each
        for each in hits(example, words)
        if each["kind"] == kind and each["match"] != "slip" and each["sheets"]
    ]
    assert {each["text"]: set(each["sheets"]) for each in found} == expected
    assert len(found) == len(expected) > 0


WORDS = """\
weather: Föhn, at times a thunderstorm
referees: [Vreni Oesch, Karl Oesch]
notes: nothing
source: {kind: newspaper, reference: Bote 17, transcribed_by: Lina Moser}
doubts: [{at: home.strikes.aebi-ruedi.1.1, note: ink ran}, {at: weather, note: ink faded}]
"""


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("föhn", [("weather", "words", "Föhn, at times a thunderstorm")]),
        ("thunderstrom", [("weather", "slip", "Föhn, at times a thunderstorm")]),
        ("vreni oesch", [("referee", "exact", "Vreni Oesch")]),
        ("oesch", [("referee", "words", "Karl Oesch"), ("referee", "words", "Vreni Oesch")]),
        # Each referee and each doubt is a text of its own.
        ("vreni karl", []),
        ("ran faded", []),
        ("ink ran", [("doubt", "exact", "ink ran")]),
        ("Lina Moser", [("transcriber", "exact", "Lina Moser")]),
        ("newspaper", [("source", "words", "newspaper")]),
        ("zeitung", [("source", "words", "newspaper")]),
        ("bote", [("reference", "words", "Bote 17")]),
    ],
)
def test_all_that_a_sheet_says_in_words(
    words: str, expected: list[tuple[str, str, str]], tmp_path: Path
) -> None:
    edit = Replace(FIRST, "round: 1\n", f"round: 1\n{WORDS}")
    root = lay_out(tmp_path / "club", (edit,)).root
    found = hits(root, words)
    assert [(each["kind"], each["match"], each["text"]) for each in found] == expected
    sheets = {tuple(each["sheets"]) for each in found}
    assert sheets <= {("2026/2026-04-12-aarwald-a-birkenfluh-a",)}


@pytest.mark.parametrize(
    ("words", "period"),
    [
        ("1987", "1987"),
        ("1987-05", "1987-05"),
        ("5.1987", "1987-05"),
        ("5/1987", "1987-05"),
        ("Mai 1987", "1987-05"),
        ("1987 May", "1987-05"),
        ("März 1987", "1987-03"),
        ("Sept. 1987", "1987-09"),
        ("1987-05-10", "1987-05-10"),
        ("10.5.1987", "1987-05-10"),
        ("10.05.1987", "1987-05-10"),
        ("10. Mai 1987", "1987-05-10"),
        ("May 10, 1987", "1987-05-10"),
        ("10 May 1987", "1987-05-10"),
        ("87", None),
        ("Mai", None),
        ("10.5.", None),
        ("Mai Juni 1987", None),
        ("10 11 12 1987", None),
        ("binder 1987", None),
        ("1987 1988", None),
        ("1987s", None),
        ("010 5 1987", None),
    ],
)
def test_which_time_is_meant(words: str, period: str | None) -> None:
    assert named_period(plain(words).split()) == period


def test_days_months_and_years(example: Path) -> None:
    """Each finds the matches of that time, by day; a year the clubs of that year too."""
    days = {
        f"{path.parts[-3]}/{path.stem}": str(_yaml(path)["date"])
        for path in example.glob("seasons/*/matches/*.yaml")
    }
    for words, period in (("1958", "1958"), ("Mai 1958", "1958-05"), ("4.5.1958", "1958-05-04")):
        expected = {sheet for sheet, day in days.items() if day.startswith(period)}
        (hit,) = [each for each in hits(example, words) if each["kind"] == "date"]
        assert (hit["text"], hit["path"], set(hit["sheets"])) == (period, None, expected)
        assert [days[sheet] for sheet in hit["sheets"]] == sorted(map(days.get, expected))  # type: ignore[type-var]
    assert [each["kind"] for each in hits(example, "30.2.1958")] == []
    (hit,) = [each for each in hits(example, "1911") if each["kind"] == "date"]
    assert (hit["identifier"], hit["sheets"]) == ("aarwald", [])
    assert "Aarwald (founded 1911)" in find(example, "1911").out
    # Who was born then is nobody's business.
    born = {_yaml(path)["born"] for path in example.glob("players/*.yaml") if "born" in _yaml(path)}
    assert born
    for year in born:
        assert {each["kind"] for each in hits(example, str(year))} <= {"date", "note", "reference"}


def test_the_likest_come_first(example: Path) -> None:
    order = ["exact", "words", "beginning", "within", "slip"]
    found = [order.index(each["match"]) for each in hits(example, "bigler")]
    assert found == sorted(found)
    found = [order.index(each["match"]) for each in hits(example, "supper")]
    assert found == sorted(found)
    assert found[-1] == 4
    kinds = [each["kind"] for each in hits(example, "aarwald")]
    assert kinds == ["club", "team", "team", "ground"]


def test_formats(example: Path) -> None:
    assert find(example, "Tiefenschur").out == (
        "What  Text           Where\n"
        "----  -------------  -----------------------\n"
        "club  Tiefenschür    clubs/tiefenschuer.yaml\n"
        "team  Tiefenschür A  clubs/tiefenschuer.yaml\n"
        "\n"
        "Searched: 228 players, 10 clubs, and all words of 258 matches, rulings and"
        " what is handed down.\n"
    )
    markdown = find(example, "supper", "--format", "markdown").out
    assert "| note | supper of Älplermagronen for both sides" in markdown
    assert "## One letter differs" in markdown
    for words in ("supper", "Tiefenschur", "xyzzy"):
        records = list(csv.DictReader(io.StringIO(find(example, words, "--format", "csv").out)))
        expected = [
            {
                key: " ".join(value) if key == "sheets" else value or ""
                for key, value in hit.items()
                if key != "paths"
            }
            for hit in hits(example, words)
        ]
        assert records == expected
    data = find(example, "Tiefenschur", "--format", "json").data
    assert list(data) == ["text", "hits", "basis"]
    strikes = [
        path
        for path in example.glob("seasons/*/matches/*.yaml")
        if all("strikes" in _yaml(path)[side] for side in ("home", "away"))
    ]
    assert data["basis"] == {"matches": 258, "strike_by_strike": len(strikes)}


@pytest.mark.parametrize("words", ["a", "supper", "bote", "sheet"])
def test_tables_stay_within_100_columns(words: str, example: Path) -> None:
    lines = find(example, words).out.splitlines()
    assert len(lines) > 4
    assert max(map(len, lines)) <= 100


@pytest.mark.parametrize("words", ["xyzzy", "...", "–"])
def test_nothing_found(words: str, example: Path) -> None:
    outcome = find(example, words)
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out.startswith(f"Nothing has the words `{words}`.\nSearched: 228 players")
    assert find(example, words, "--format", "csv").out == (
        "kind,match,text,name,identifier,path,sheets\n"
    )


def test_people_without_a_file(tmp_path: Path) -> None:
    edits = (
        Replace(LEAGUE, "League", 'League"\nregister = "open'),
        Replace(FIRST, "    sahli-rosa:", "    sahli-rosalinde:"),
    )
    root = lay_out(tmp_path / "club", edits).root
    (hit,) = hits(root, "rosalinde")
    assert (hit["kind"], hit["identifier"], hit["path"]) == ("player", "sahli-rosalinde", None)
    assert hit["sheets"] == ["2026/2026-04-12-aarwald-a-birkenfluh-a"]


def test_whole_words_come_before_those_that_begin_so(example: Path) -> None:
    found = [each for each in hits(example, "binder 3") if each["kind"] == "reference"]
    assert [(each["match"], "binder 3" in each["text"]) for each in found] == [
        ("words", True), ("words", True), ("beginning", False),
    ]  # fmt: skip
    assert found[0]["text"] > found[-1]["text"]


def test_wrong_usage(example: Path) -> None:
    assert find(example).status == 2


@pytest.mark.parametrize("typed", ["", "  ", "-"])
def test_what_has_no_word_is_refused(typed: str, example: Path) -> None:
    outcome = invoke("--folder", example, "find", "--", typed)
    assert (outcome.status, outcome.out) == (2, "")
    assert outcome.err == f"riesbuch: `{typed}` has no word or number to look for\n"
