"""Every command in a made-up language, that has words for all the messages that the code is seen
to say, the same in brackets with a mark in place of every letter. What is left of our English in
what people read has no message yet."""

import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import click
import pytest

from riesbuch.cli.main import COMMANDS, main
from riesbuch.language.catalogue import DOMAINS
from tests import catalogues
from tests.commandline import Outcome, invoke
from tests.example_copy import copy_example

# What is typed, in help: the usage, options, commands, values.
TYPED = re.compile(
    r"\A⟦¤+:⟧ riesbuch .*\n(?: {16,}.*\n)*"
    r"|^  (?:-\w, )?--[\w-]+(?: [A-Z_=|]+| \[[\w|-]+\])*"
    r"|^  [a-z-]+(?=\s)"
    r"|⟦¤+:\s+[\w-]+⟧|[\d<=]*x[<>=\d]+",
    re.M,
)
GAP = re.compile(r"(\{\w*(?:[:!]\S+?)?\}|%\(\w+\)s)|[^\W\d_]")


class MadeUp:
    def __init__(self) -> None:
        self.known: set[tuple[str | None, str]] = {
            (message.context or "", one)
            for domain in DOMAINS
            for message in catalogues.extracted(domain)
            for one in ([message.id] if isinstance(message.id, str) else message.id)
        }

    def gettext(self, message: str) -> str:
        return self.pgettext("", message)

    def pgettext(self, context: str, message: str) -> str:
        if (context, message) not in self.known:
            return message
        if message.startswith("\b"):
            return f"\b\n⟦{_marked(message[2:])}⟧"
        return f"⟦{_marked(message)}⟧" if len(message) > 1 else message

    def ngettext(self, one: str, many: str, number: int) -> str:
        return self.gettext(one if number == 1 else many)


def _marked(text: str) -> str:
    return GAP.sub(lambda found: found[1] or "¤", text)


@cache
def words() -> MadeUp:
    return MadeUp()


def in_made_up(*arguments: str) -> Outcome:
    return invoke(*arguments, words=words())


def commands() -> Iterator[tuple[str, ...]]:
    """Each as it is typed, with those within it."""
    yield ()
    for name in COMMANDS:
        yield (name,)
        command = main.get_command(click.Context(main), name)
        if isinstance(command, click.Group):
            yield from ((name, within) for within in command.commands)


@pytest.mark.parametrize("command", [*commands()], ids=" ".join)
def test_help_is_said_in_another_language(command: tuple[str, ...]) -> None:
    """The names of commands, options, values and arguments are the same in every language."""
    outcome = in_made_up(*command, "--help")
    assert (outcome.status, outcome.err) == (0, "")
    in_english = invoke(*command, "--help").out
    assert in_english.startswith("Usage: riesbuch")
    left = TYPED.sub("", outcome.out)
    assert not re.search(r"[^\W\d_¤]", left), left
    # And nothing of it stays for whoever comes next in the same process.
    assert invoke(*command, "--help").out == in_english


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ("nothing", "⟦¤: ⟦¤ ¤ ¤ ¤ `nothing`; ⟦`¤ --¤` ¤ ¤⟧⟧⟧"),
        ("tally", "⟦¤: ⟦¤ ¤⟧ 'SHEET'.⟧"),
        ("standings --nothing", "⟦¤: ⟦¤ ¤ ¤ '--nothing'.⟧ ⟦¤ ¤ ¤ '--until'?⟧⟧"),
        ("standings --format xml", "⟦¤: ⟦¤ ¤ ¤ '--format': ⟦'xml' ¤ ¤ ¤ ¤ 'table', 'markdown',"),
        ("standings a b", "⟦¤: ⟦¤ ¤ ¤ ¤ (b)⟧⟧"),
    ],
)
def test_clicks_own_words_are_said_in_another_language(arguments: str, said: str) -> None:
    outcome = in_made_up(*arguments.split())
    assert (outcome.status, outcome.out) == (2, "")
    *_, complaint = outcome.err.splitlines()
    assert re.sub("¤+", "¤", complaint).startswith(said)
    assert "¤" not in invoke(*arguments.split()).err


def test_a_failure_is_said_in_another_language(tmp_path: Path) -> None:
    outcome = in_made_up("--folder", str(tmp_path), "check")
    assert outcome.status == 2
    assert re.fullmatch(r"riesbuch: ⟦\S+ [¤ :]+ league\.toml⟧\n", outcome.err)


def test_what_programs_read_is_the_same_in_every_language(tmp_path: Path) -> None:
    root = copy_example(tmp_path / "club")
    for question in (("check",), ("standings", "oberhang-1"), ("find", "aebi")):
        for data_format in ("json", "csv"):
            asked = ("--folder", str(root), *question, "--format", data_format)
            assert in_made_up(*asked).out == invoke(*asked).out


def test_english_reads_no_catalogue_and_leaves_click_as_it_is() -> None:
    """Another language costs only those who have it."""
    seen = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from riesbuch.cli.main import run\n"
            "try: run(['--help'])\n"
            "finally: print(*sys.modules, file=sys.stderr)",
        ],
        capture_output=True,
        check=True,
        text=True,
    )
    assert "riesbuch.cli.main" in seen.stderr.split()
    assert not {"riesbuch.cli.speech", "riesbuch.language.catalogue", "click.shell_completion"} & {
        *seen.stderr.split()
    }
