"""The catalogues say all that the code says, and nothing else."""

import ast
import datetime
import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import get_args

import pytest
from babel.messages.catalog import Catalog, Message

from riesbuch.language.catalogue import (
    DOMAINS,
    SOURCE_LANGUAGE,
    Domain,
    catalogue,
    parse_catalogue,
)
from riesbuch.trade.ids import Language
from tests import catalogues
from tests.catalogues import gaps

EVERY_CATALOGUE = pytest.mark.parametrize(
    ("language", "domain"),
    [
        (language, domain)
        for language in catalogues.languages()
        for domain in DOMAINS
        if catalogues.path_of(language, domain).exists()
    ],
)
OF_REPORTS: tuple[Domain, ...] = ("reports", "stories")
# They pass on what others say.
TRANSLATES = {
    "catalogue.py",
    "wording.py",
    "messages.py",
    "telling.py",
    "speech.py",
    "guide.py",
    "counts.py",
}  # Words of the trade that stand in English text too, names, and mere forms.
ALIKE = {
    "April", "August", "Form", "Name", "November", "Nuller", "Nummern", "Ries", "Trainings",
    "September", "Wind", "{count} Nummer", "{count} Nummern",
    " in `{competition}`", "#", "Code", "Gen.", "Generation", "In", "Nr.", "Numm.", "RP",
    "Ries {index}", "Ries {number}", "Str.", "Text", "git: {sentence}", "git: {warning}",
    " in {found}", "in handed-down.toml", "in {file}", "in league.toml", "in season.toml",
    "in {competition}",
    "{count:,} Nummer", "{count:,} Nummern", "{first}, {following}",
    "Final", "Nummern {figures}", "{match}, {at}: {note}", "(Nummern {score})",
    "Ries {inning}.{strike}", "Total", "Zone {zone}", "{player} ({team})",
    "{name} ({terms}): {players}", "{name}: {players}", "{competition}, {year}: {award}",
}  # fmt: skip


def said(language: str, domain: Domain) -> Catalog:
    return catalogues.read(catalogues.path_of(language, domain), language)


def forms(message: Message) -> Iterator[tuple[str, str]]:
    """Each translation with the sentence that it is of."""
    if isinstance(message.id, str):
        assert isinstance(message.string, str)
        yield message.id, message.string
    else:
        one, many = message.id
        for number, string in enumerate(message.string):
            yield one if number == 0 else many, string


def test_every_language_of_a_league_has_its_catalogues() -> None:
    assert {SOURCE_LANGUAGE, *catalogues.languages()} == set(get_args(Language))
    for language in catalogues.languages():
        assert all(
            catalogues.path_of(language, domain).exists() for domain in ("common", *OF_REPORTS)
        )


@EVERY_CATALOGUE
def test_a_catalogue_is_as_the_code_and_its_translations_make_it(
    language: str, domain: Domain
) -> None:
    """No message is missing, none is there that the code does not say any more: else run
    `python -m tests.catalogues`."""
    path = catalogues.path_of(language, domain)
    assert path.read_bytes() == catalogues.updated(language, domain)


@EVERY_CATALOGUE
def test_no_translation_is_empty_or_doubtful(language: str, domain: Domain) -> None:
    for message in said(language, domain):
        assert message.id == "" or not message.fuzzy, message.id
        if message.id:
            assert all(string.strip() or not sentence.strip()
                       for sentence, string in forms(message)), message.id  # fmt: skip


@EVERY_CATALOGUE
def test_translations_have_the_gaps_of_their_sentence(language: str, domain: Domain) -> None:
    for message in said(language, domain):
        if message.id:
            for sentence, string in forms(message):
                # One way of telling it may leave what another says (`tests/pages/test_tell.py`).
                left = {"strike"} if message.context == "nummer_decided" else set()
                assert gaps(string) | left == gaps(sentence) | left, sentence


@EVERY_CATALOGUE
def test_the_program_reads_what_translators_tools_read(language: str, domain: Domain) -> None:
    text = catalogues.path_of(language, domain).read_text(encoding="utf-8")
    theirs = {}
    for message in said(language, domain):
        if message.id:
            one = message.id if isinstance(message.id, str) else message.id[0]
            string = message.string
            theirs[message.context or "", one] = (
                (string,) if isinstance(string, str) else tuple(string)
            )
    ours = parse_catalogue(text)
    del ours["", ""]
    assert ours == theirs


def test_every_message_stands_written_where_it_is_said() -> None:
    """What is worked out, or said amid an f-string, no extractor sees."""
    known = {
        domain: {
            (message.context, one)
            for message in catalogues.extracted(domain)
            for one in ([message.id] if isinstance(message.id, str) else message.id)
        }
        for domain in DOMAINS
    }
    for path in sorted(catalogues.SOURCE.rglob("*.py")):
        domain = catalogues.domain_of(path)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                for context, said in said_by(path, node, catalogues.keywords(domain)):
                    assert (context, said) in known[domain], f"{path}:{node.lineno}"


def said_by(
    path: Path, call: ast.Call, keywords: catalogues.Keywords
) -> Iterator[tuple[str | None, str]]:
    function = call.func
    name = function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")
    if name in catalogues.IN_SEVERAL_WAYS:
        key, *phrasings = call.args
        assert isinstance(key, ast.Constant), f"{path}:{call.lineno}"
        for phrasing in phrasings:
            assert isinstance(phrasing, ast.Constant), f"{path}:{call.lineno}"
            yield key.value, phrasing.value
    if name not in keywords or path.name in TRANSLATES:
        return
    context = None
    for position in keywords[name]:
        number = position[0] if isinstance(position, tuple) else position
        argument = call.args[number - 1]
        sentences = catalogues.written(argument)
        assert sentences, f"{path}:{call.lineno}"
        if isinstance(position, tuple):
            (context,) = sentences
        else:
            yield from ((context, sentence) for sentence in sentences)


def test_nothing_was_left_untranslated() -> None:
    alike = {
        sentence
        for domain in DOMAINS
        for message in said("de", domain)
        if message.id
        for sentence, string in forms(message)
        if sentence == string
    }
    assert alike == ALIKE


@pytest.mark.parametrize("domain", ["common", "reports"])
def test_no_phrase_breaks_a_table_or_a_list(domain: Domain) -> None:
    broken = {
        sentence
        for message in said("de", domain)
        if message.id
        for sentence, string in forms(message)
        for phrase in (sentence, string)
        if re.search(r"[|<>\[\]\n]|\A([-+#=]|[0-9]+[.)])", phrase)
    }
    # They begin with a figure and a dot, and always stand behind other words.
    assert {phrase[:3] for phrase in broken} <= {"2.1", "1.2"}


@EVERY_CATALOGUE
def test_no_german_phrase_has_a_sharp_s(language: str, domain: Domain) -> None:
    assert "ß" not in catalogues.path_of(language, domain).read_text(encoding="utf-8")


def test_a_catalogue_is_read_whatever_its_form() -> None:
    text = (
        '# A translator\n#~ msgid "gone"\n#~ msgstr "weg"\n\n#, fuzzy\nmsgid ""\nmsgstr "Head\\n"\n'
        'msgctxt "c"\nmsgid "a\\"b\\\\n\\tc"\nmsgstr ""\n"one \\n"\n"two"\n\n'
        'msgid "{n} point"\nmsgid_plural "{n} points"\nmsgstr[0] "{n} Punkt"\n'
        'msgstr[1] "{n} Punkte"\n'
    )
    assert parse_catalogue(text) == {
        ("", ""): ("Head\n",),
        ("c", 'a"b\\n\tc'): ("one \ntwo",),
        ("", "{n} point"): ("{n} Punkt", "{n} Punkte"),
    }


def test_what_a_catalogue_lacks_is_said_in_english() -> None:
    german = catalogue("de", "reports")
    assert german.gettext("Nobody says this.") == "Nobody says this."
    assert [german.ngettext("one", "many", number) for number in (0, 1, 2)] == [
        "many", "one", "many",
    ]  # fmt: skip


def test_dates_and_lists() -> None:
    day = datetime.date(2026, 3, 1)
    english, german = catalogue("en", "reports"), catalogue("de", "reports")
    assert (english.date(day), german.date(day)) == ("1 March 2026", "1. März 2026")
    assert (english.day(day), german.day(day)) == ("1 March", "1. März")
    assert english.listed("ABC") == "A, B and C"
    assert german.listed("ABC") == "A, B und C"
    assert german.listed("A") == "A"


def test_ordinals() -> None:
    english, german = catalogue("en", "stories"), catalogue("de", "stories")
    numbers = (1, 2, 3, 4, 11, 12, 13, 21, 22, 111, 1003)
    assert " ".join(map(english.ordinal, numbers)) == (
        "1st 2nd 3rd 4th 11th 12th 13th 21st 22nd 111th 1,003rd"
    )
    assert " ".join(map(german.ordinal, numbers)) == "1. 2. 3. 4. 11. 12. 13. 21. 22. 111. 1003."


def test_figures() -> None:
    english, german = catalogue("en", "reports"), catalogue("de", "reports")
    assert [english.number(number) for number in (0, 999, 1191)] == ["0", "999", "1,191"]
    assert [german.number(number) for number in (1191, 9999, 12800)] == ["1191", "9999", "12’800"]


def test_numbers_up_to_twelve_are_words_in_a_sentence() -> None:
    english, german = catalogue("en", "stories"), catalogue("de", "stories")
    assert [english.in_words(number) for number in (0, 1, 12, 13)] == [
        "none",
        "one",
        "twelve",
        "13",
    ]
    assert [german.in_words(number) for number in (0, 2, 12, 12800)] == [
        "keine", "zwei", "zwölf", "12’800",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("figure", "shown"),
    [
        (Fraction(0), "0.00"),
        (Fraction(137, 8), "17.13"),  # 17.125: a half is rounded up
        (Fraction(1, 3), "0.33"),
        (Fraction(2, 3), "0.67"),
        (Fraction(1999, 100), "19.99"),
        (Fraction(3999, 200), "20.00"),
        (Fraction(-1, 3), "−0.33"),
        (Fraction(-1, 300), "0.00"),
        (1234, "1,234"),
    ],
)
def test_averages_have_two_decimals(figure: int | Fraction, shown: str) -> None:
    assert catalogue("en", "reports").figure(figure) == shown
