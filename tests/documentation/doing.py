"""Doing what a page shows, in a fresh copy of the example folder."""

import contextlib
import io
import os
import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

import pytest

from riesbuch.cli.main import run, users_words
from tests.documentation.pages import ANY_LINES, Block, Section
from tests.example_copy import copy_example
from tests.signing import key, public
from tests.three_clubs import lay_out_clubs, without_the_day

_GIT_ENVIRONMENT = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_NOSYSTEM": "1",
    "GIT_PAGER": "cat",
    "GIT_AUTHOR_NAME": "Secretary",
    "GIT_AUTHOR_EMAIL": "secretary@example.org",
    "GIT_COMMITTER_NAME": "Secretary",
    "GIT_COMMITTER_EMAIL": "secretary@example.org",
    # So that commits have the same names in every run.
    "GIT_AUTHOR_DATE": "2026-07-14T19:30:00+02:00",
    "GIT_COMMITTER_DATE": "2026-07-14T19:30:00+02:00",
}


_WITH_CLUBS = ("$ riesbuch gather",)
_WITH_GIT = ("$ riesbuch due", "$ riesbuch finish")
_WITH_PAGES = ("$ riesbuch publish", *_WITH_GIT)


def run_riesbuch(words: list[str], directory: Path, language: str = "en") -> tuple[int, str]:
    """Exit status, and what a terminal would show: standard output and error together."""
    screen = io.StringIO()
    with (
        contextlib.chdir(directory),
        mock.patch.dict(os.environ, _GIT_ENVIRONMENT),
        contextlib.redirect_stdout(screen),
        contextlib.redirect_stderr(screen),
        pytest.raises(SystemExit) as leaving,
    ):
        run(words, users_words({"RIESBUCH_LANGUAGE": language}))
    assert isinstance(leaving.value.code, int)
    return leaving.value.code, screen.getvalue()


def run_git(words: list[str], directory: Path, language: str = "en") -> str:
    done = subprocess.run(
        ["git", *words],
        cwd=directory,
        env={**os.environ, **_GIT_ENVIRONMENT, "RIESBUCH_LANGUAGE": language},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        check=False,
    )
    return done.stdout


def run_command(command: str, folder: Path, language: str = "en") -> list[str]:
    """The lines that a documented command prints, typed in ``folder``."""
    program, *words = shlex.split(command)
    if program == "git":
        output = run_git(words, folder, language)
    else:
        assert program == "riesbuch", f"a page shows a command that is not ours: {command}"
        _, output = run_riesbuch(words, folder, language)
        # A commit is named by all that is in it, so pages show one name for any.
        output = re.sub(r"(?<=[Ss]ince commit )[0-9a-f]{10}\b", "5f0c3a9be1", output)
        output = re.sub(r"(?<=committed as )[0-9a-f]{10}\b", "5f0c3a9be1", output)
        output = re.sub(
            r"(?<=^Commit )[0-9a-f]{10}(?= ist gemacht)", "5f0c3a9be1", output, flags=re.M
        )
        output = re.sub(r"(?<=[Ss]eit Commit )[0-9a-f]{10}\b", "5f0c3a9be1", output)
    return output.rstrip("\n").split("\n") if output.strip() else []


def put_block(block: Block, folder: Path) -> None:
    """Write the complete file of ``block``, or make its changes."""
    assert block.path is not None
    target = folder / block.path
    if block.is_complete_file:
        target.parent.mkdir(parents=True, exist_ok=True)
        # CSV has no comments.
        lines = block.lines[1:] if block.language == "csv" else block.lines
        text = "".join(f"{line}\n" for line in lines)
        target.write_text(text, encoding="utf-8", newline="\n")
        return
    changes = block.lines[1:]
    assert all(line[:1] in ("-", "+", " ") for line in changes), block.text
    old = "".join(f"{line[1:]}\n" for line in changes if line[0] in "- ")
    new = "".join(f"{line[1:]}\n" for line in changes if line[0] in "+ ")
    text = target.read_text(encoding="utf-8")
    assert old, block.text
    assert text.count(old) == 1, f"{block.path} has {text.count(old)} times:\n{old}"
    target.write_text(text.replace(old, new), encoding="utf-8", newline="\n")


def lay_out_section(section: Section, root: Path) -> Path:
    """A copy of the example folder for ``section``: published if the section publishes or names
    a page, and under git if it uses git."""
    shown = [line for block in section.blocks for line in block.lines]
    pages = any(line.startswith((*_WITH_PAGES, "# reports/")) for line in shown)
    folder = copy_example(root / "example_league", pages=pages)
    if any("../keys/" in line for line in shown):
        for club in ("aarwald", "ginsterwil"):
            key(root / "keys", club)
        lines = [f"{club} {public(club)}\n" for club in ("aarwald", "ginsterwil")]
        (folder / "signers").write_text("".join(lines), encoding="utf-8")
    if any(line.startswith(_WITH_CLUBS) for line in shown):
        lay_out_clubs(root)
        without_the_day(folder)
    if any(line.startswith(("$ git ", *_WITH_GIT)) for line in shown):
        run_git(["init", "--quiet", "--initial-branch", "main"], folder)
        run_git(["add", "--all"], folder)
        run_git(["commit", "--quiet", "--message", "The season so far"], folder)
    return folder


def commands_and_output(block: Block) -> Iterator[tuple[str, list[str]]]:
    """The commands of a console block, each with the lines shown below it."""
    assert block.lines, "an empty console block"
    assert block.lines[0].startswith("$ "), block.text
    command, shown = block.lines[0], []
    for line in block.lines[1:]:
        if line.startswith("$ "):
            yield command.removeprefix("$ "), shown
            command, shown = line, []
        else:
            shown.append(line)
    yield command.removeprefix("$ "), shown


def agrees(shown: list[str], printed: list[str]) -> bool:
    """Whether ``printed`` is what is shown, where each line ``…`` stands for at least one."""
    if ANY_LINES not in shown:
        return shown == printed
    at = shown.index(ANY_LINES)
    rest = shown[at + 1 :]
    if printed[:at] != shown[:at]:
        return False
    return any(agrees(rest, printed[start:]) for start in range(at + 1, len(printed) + 1))


def refreshed(shown: list[str], printed: list[str]) -> list[str]:
    """``printed``, cut where ``shown`` was cut; whole where it was cut more than once and does
    not agree any more, to be cut anew by hand."""
    if agrees(shown, printed):
        return shown
    if shown.count(ANY_LINES) != 1:
        return printed
    at = shown.index(ANY_LINES)
    after = len(shown) - at - 1
    if at + after >= len(printed):
        return printed
    return [*printed[:at], ANY_LINES, *printed[len(printed) - after :]]
