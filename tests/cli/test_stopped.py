"""Every writing command stopped at some writing calls; `tests.bench.faults` tries them all."""

import os
import random
import shutil
import sys
from pathlib import Path

import pytest

from riesbuch.text.atomic import create_file, replace_file
from tests.depth import runs
from tests.stopping import (
    ERRORS,
    calls_within,
    files_of,
    in_child,
    stopped_within,
    undisturbed,
    verdict,
)
from tests.writing_commands import CASES, READING, Case, club, leaves

pytestmark = pytest.mark.skipif(os.name != "posix", reason="commands run in forked children")


def test_every_command_is_known_to_write_or_not_to() -> None:
    assert sorted(leaf.name for leaf in leaves()) == sorted(
        {each.command for each in CASES} | {*READING}
    )
    assert not {each.command for each in CASES} & {*READING}


def test_a_command_that_is_said_to_read_changes_no_file(tmp_path: Path) -> None:
    work = tmp_path / "work"
    work.mkdir()
    club(work)
    before = files_of(work)
    for command, given in READING.items():
        (ran,) = in_child(work, [["--folder", "club", *command.split(), *given]])
        assert ran.status in (0, 1, 2), (command, ran)
        assert files_of(work) == before, command


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_what_a_stop_leaves_is_whole_and_the_same_command_finishes_it(
    case: Case, tmp_path: Path
) -> None:
    template, work = tmp_path / "laid-out", tmp_path / "work"
    template.mkdir()
    case.lay(template)

    def fresh() -> Path:
        shutil.rmtree(work, ignore_errors=True)
        return shutil.copytree(template, work, symlinks=True)

    expected = undisturbed(fresh(), "club", case.words)
    assert expected.before != expected.after
    _, calls = calls_within(fresh(), case.words)
    stops = [
        (number, error)
        for number, call in enumerate(calls)
        for error in (None, *ERRORS[call.split()[0]])
    ]
    chance = random.Random(case.name)
    for number, error in chance.sample(stops, min(len(stops), runs(3, deep=1000))):
        stopped = stopped_within(fresh(), case.words, number, error)
        hit = calls[number].split()[0]
        judged = verdict(work, "club", case.words, expected, stopped, hit=hit)
        assert not judged.wrong, (number, error, calls[number], judged.wrong)


def test_a_file_is_flushed_before_it_takes_its_name_and_its_folder_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []

    def recorded(name: str) -> None:
        done = getattr(os, name)

        def call(*given: object, **named: object) -> object:
            is_folder = name == "fsync" and os.path.isdir(f"/proc/self/fd/{given[0]}")
            said.append("fsync of the folder" if is_folder else name)
            return done(*given, **named)

        monkeypatch.setattr(os, name, call)

    for name in ("fsync", "chmod", "replace", "link", "unlink"):
        recorded(name)
    replace_file(tmp_path / "a", b"new")
    made, said[:] = [*said], []
    create_file(tmp_path / "b", b"new")
    folder = "fsync of the folder" if sys.platform == "linux" else "fsync"
    assert made == ["fsync", "chmod", "replace", folder]
    assert said == ["fsync", "chmod", "link", "unlink", folder]
