"""The reports' languages say the same things."""

import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields
from fractions import Fraction
from pathlib import Path
from string import Formatter
from typing import get_args

import pytest

import riesbuch.care
import riesbuch.language
import riesbuch.pages
from riesbuch.language.page_phrases import Phrases, PhrasesOfThePast
from riesbuch.language.pages import CATALOGUES, CATALOGUES_OF_THE_PAST
from riesbuch.language.pages_de import GERMAN, GERMAN_PAST
from riesbuch.language.pages_en import ENGLISH, ENGLISH_PAST
from riesbuch.questions.scope import KINDS
from riesbuch.trade.ids import Language
from riesbuch.trade.match import Depth, SourceKind
from riesbuch.trade.tally import DecidedBy

# Words of the trade that stand in English text too, names, and mere forms.
ALIKE = {
    "unknown", "team", "nummern", "name", "strike_heading", "ries_totals", "total",
    "unknown_strike", "fixture", "months.April", "months.August", "months.September",
    "months.November", "fields.nummern", "fields.ries", "captain", "form", "nummer_of",
    "doubt_in", "past.teams", "past.teams_are", "past.player_of",
}  # fmt: skip


def phrases(catalogue: Phrases) -> Iterator[tuple[str, str]]:
    """Those of the language's other catalogue stand behind ``past.``"""
    past = GERMAN_PAST if catalogue is GERMAN else ENGLISH_PAST
    yield from _phrases(catalogue)
    yield from ((f"past.{key}", said) for key, said in _phrases(past))


def _phrases(catalogue: Phrases | PhrasesOfThePast) -> Iterator[tuple[str, str]]:
    for each in fields(catalogue):
        value = getattr(catalogue, each.name)
        if isinstance(value, str):
            yield each.name, value
        elif isinstance(value, tuple):
            yield from ((f"{each.name}.{ENGLISH.months[n]}", said) for n, said in enumerate(value))
        else:
            yield from ((f"{each.name}.{key}", said) for key, said in value.items())


def gaps(phrase: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(phrase) if name is not None}


def test_every_language_of_a_league_has_its_catalogue() -> None:
    assert set(CATALOGUES) == set(get_args(Language))
    assert set(CATALOGUES_OF_THE_PAST) == set(get_args(Language))


def test_both_catalogues_have_every_phrase_with_the_same_gaps() -> None:
    english, german = dict(phrases(ENGLISH)), dict(phrases(GERMAN))
    assert list(english) == list(german)
    assert {key: gaps(said) for key, said in english.items()} == {
        key: gaps(said) for key, said in german.items()
    }


def test_nothing_was_left_untranslated() -> None:
    german = dict(phrases(GERMAN))
    alike = {key for key, said in phrases(ENGLISH) if said == german[key]}
    assert alike == ALIKE


@pytest.mark.parametrize("catalogue", CATALOGUES.values(), ids=CATALOGUES.keys())
def test_every_choice_has_its_words(catalogue: Phrases) -> None:
    assert set(catalogue.won_by) == set(get_args(DecidedBy))
    assert set(catalogue.depths) == set(Depth)
    assert set(catalogue.source_kinds) == set(SourceKind)
    assert len(catalogue.months) == 12
    assert set(catalogue.result_letters) == {"won", "drawn", "lost"}
    past = GERMAN_PAST if catalogue is GERMAN else ENGLISH_PAST
    assert set(past.record_kinds) == set(KINDS) - {"youngest", "oldest"}
    assert all(said.strip() for key, said in phrases(catalogue))


@pytest.mark.parametrize("catalogue", CATALOGUES.values(), ids=CATALOGUES.keys())
def test_no_phrase_breaks_a_table_or_a_list(catalogue: Phrases) -> None:
    broken = {
        key
        for key, said in phrases(catalogue)
        if re.search(r"[|<>\[\]\n]|\A([-+#=]|[0-9]+[.)])", said)
    }
    # It begins with a figure and a dot, and always stands behind other words.
    assert broken <= {"legend"}


def test_no_german_phrase_has_a_sharp_s() -> None:
    assert [key for key, said in phrases(GERMAN) if "ß" in said] == []


def test_every_phrase_is_used() -> None:
    rooms = [
        Path(each.__file__).parent for each in (riesbuch.pages, riesbuch.care, riesbuch.language)
    ]
    code = "".join(
        path.read_text(encoding="utf-8")
        for room in rooms
        for path in sorted(room.glob("*.py"))
        if not path.stem.endswith(("_de", "_en"))
    )
    unused = [
        each.name
        for each in (*fields(Phrases), *fields(PhrasesOfThePast))
        if not re.search(rf"(say|self|past)\.{each.name}\b", code)
    ]
    assert unused == []


def test_dates() -> None:
    day = datetime.date(2026, 3, 1)
    assert ENGLISH.on_date(day) == "1 March 2026"
    assert GERMAN.on_date(day) == "1. März 2026"


def test_figures() -> None:
    assert [ENGLISH.number(each) for each in (0, 999, 1191)] == ["0", "999", "1,191"]
    assert GERMAN.number(1191) == "1’191"


@pytest.mark.parametrize(
    ("ratio", "shown"),
    [
        (Fraction(0), "0.00"),
        (Fraction(137, 8), "17.13"),  # 17.125: a half is rounded up
        (Fraction(1, 3), "0.33"),
        (Fraction(2, 3), "0.67"),
        (Fraction(1999, 100), "19.99"),
        (Fraction(3999, 200), "20.00"),
    ],
)
def test_ratios_have_two_decimals(ratio: Fraction, shown: str) -> None:
    assert ENGLISH.ratio(ratio) == shown


def test_a_catalogue_cannot_be_changed() -> None:
    choices: list[Mapping[str, str]] = [ENGLISH.fields, GERMAN.fields]
    for each in choices:
        with pytest.raises(TypeError):
            each["ries"] = "Riese"  # type: ignore[index]
