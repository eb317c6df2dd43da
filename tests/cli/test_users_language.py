"""Whose locale is German is spoken to in German."""

import gettext
import os
import subprocess
import sys
import types

import click
import pytest

from riesbuch.cli.main import COMMANDS, users_words
from riesbuch.cli.speech import click_in
from tests.commandline import invoke
from tests.documentation.pages import guide_pages, translated_pages


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({}, "en"),
        ({"LANG": "de_CH.UTF-8"}, "de"),
        ({"LANG": "de"}, "de"),
        ({"LANG": "de@euro"}, "de"),
        ({"LANG": "fr_CH.UTF-8"}, "en"),
        ({"LANG": "deb"}, "en"),
        ({"LANG": "en_GB.UTF-8", "LC_MESSAGES": "de_AT"}, "de"),
        ({"LANG": "de_CH", "LC_MESSAGES": "en_US.UTF-8"}, "en"),
        ({"LC_MESSAGES": "de_CH", "LC_ALL": "en_US.UTF-8"}, "en"),
        ({"LANG": "de_CH", "LC_ALL": ""}, "de"),
        ({"LANG": "en_US", "LANGUAGE": "fr:de_CH:en"}, "de"),
        ({"LANG": "de_CH", "LANGUAGE": "en:de"}, "en"),
        ({"LANG": "C", "LANGUAGE": "de"}, "en"),
        ({"LANG": "de_CH", "LC_ALL": "POSIX", "LANGUAGE": "de"}, "en"),
        ({"LC_ALL": "C", "RIESBUCH_LANGUAGE": "de"}, "de"),
        ({"LANG": "de_CH.UTF-8", "LANGUAGE": "de", "RIESBUCH_LANGUAGE": "en"}, "en"),
        ({"LANG": "de_CH.UTF-8", "RIESBUCH_LANGUAGE": ""}, "de"),
    ],
)
def test_the_users_language(environment: dict[str, str], language: str) -> None:
    words = users_words(environment)
    assert (words.language if words else "en") == language


@pytest.mark.parametrize(("locale", "said"), [("de_CH.UTF-8", "Die Themen"), ("", "The topics")])
def test_the_command_line_follows_the_locale(locale: str, said: str) -> None:
    environment = {
        name: value for name, value in os.environ.items() if name[:2] not in ("LA", "LC")
    }
    environment |= {"LANG": locale, "RIESBUCH_LANGUAGE": ""}
    done = subprocess.run(
        [sys.executable, "-m", "riesbuch", "guide"],
        env=environment, capture_output=True, check=True, text=True, encoding="utf-8",
    )  # fmt: skip
    assert done.stdout.startswith(said)


def test_other_programs_modules_keep_their_words(monkeypatch: pytest.MonkeyPatch) -> None:
    other = types.ModuleType("another_program")
    untranslated = gettext.gettext
    monkeypatch.setattr(other, "_", untranslated, raising=False)
    monkeypatch.setitem(sys.modules, "another_program", other)
    words = users_words({"RIESBUCH_LANGUAGE": "de"})
    assert words is not None
    with click_in(words):
        assert other._ is untranslated
        assert vars(click.exceptions)["_"] == words.gettext
    assert vars(click.exceptions)["_"] is untranslated


def test_the_guide_in_german() -> None:
    words = users_words({"RIESBUCH_LANGUAGE": "de"})
    translated = {path.stem: path.read_text(encoding="utf-8") for path in translated_pages()}
    listed = invoke("guide", words=words).out
    for page in guide_pages():
        english = page.read_text(encoding="utf-8")
        title = english.partition("\n")[0].removeprefix("# ")
        assert page.stem in listed
        assert title not in listed
        shown = invoke("guide", page.stem, words=words).out
        if page.stem in translated:
            assert shown == translated[page.stem]
        else:
            assert shown == f"Diese Seite des Handbuchs gibt es nur auf Englisch.\n\n{english}"


def test_what_programs_type_is_the_same_in_german() -> None:
    words = users_words({"RIESBUCH_LANGUAGE": "de"})
    shown = invoke("--help", words=words).out
    assert all(f"  {name} " in shown for name in COMMANDS if name != "for-git")
