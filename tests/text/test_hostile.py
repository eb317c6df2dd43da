"""A short form of the bench of hostile files; what the bench found once stays here."""

import os
import random
import signal
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import Kind
from tests.bench.hostile import (
    COMMANDS,
    Harvest,
    command_mutations,
    compare_documents,
    folder_of_commands,
    interrupt,
    places,
    read,
    read_mutations,
    writing_mutations,
)
from tests.commandline import invoke
from tests.depth import runs


@pytest.fixture(autouse=True)
def _interrupted_when_too_slow() -> None:
    signal.signal(signal.SIGPROF, interrupt)


@pytest.mark.parametrize("block", range(runs(2, deep=40)))
def test_no_mutated_file_is_a_fault_of_the_program(block: int, tmp_path: Path) -> None:
    harvest = Harvest()
    chance = random.Random(f"short {block}")
    read_mutations(chance, 400, harvest)
    command_mutations(chance, 40, harvest, tmp_path)
    assert [found.what for found in harvest.found] == []
    assert harvest.outcomes["read with findings"] > 100
    assert harvest.outcomes["status 0"] > 0


@pytest.mark.skipif(os.name != "posix", reason="folders are laid out by forked children")
def test_no_command_that_writes_falls_over_a_mutated_file_or_changes_what_is_not_its_own(
    tmp_path: Path,
) -> None:
    harvest = Harvest()
    writing_mutations(random.Random("short"), runs(12, deep=1000), harvest, tmp_path)
    assert [found.what for found in harvest.found] == []
    assert harvest.outcomes["status 0"] > 0


def test_the_folder_of_the_commands_is_whole_so_that_they_go_beyond_refusals(
    tmp_path: Path,
) -> None:
    root = folder_of_commands(tmp_path)
    refused = {}
    for command in COMMANDS:
        told = (*command[:-1], str(tmp_path / "tables")) if command[0] == "export" else command
        done = invoke("--folder", root, *told)
        if done.status:
            refused[command] = done.err
    # Beyond a repository there is nothing to review; nothing is published at first.
    assert {command[0] for command in refused} <= {"review", "compare", "publish"}, refused
    assert ("publish",) not in refused


@pytest.mark.parametrize("block", range(runs(1, deep=20)))
def test_our_reader_gives_what_ruamel_gives_or_refuses(block: int) -> None:
    harvest = Harvest()
    compare_documents(random.Random(f"short {block}"), 300, harvest)
    assert [found.what for found in harvest.found] == []
    assert harvest.outcomes["equal"] > 100


@pytest.mark.parametrize(
    ("kind", "content"),
    [
        (Kind.CLUB, b'name: "\\UFFFFFFFF"\n'),
        (Kind.PLAYER, b"%YAML 1.3\n---\nname: Ruedi Aebi\n"),
        (Kind.SHEET, b"%YAML 1.2\n%YAML 1.2\n---\na: b\n"),
    ],
)
def test_what_was_a_fault_once_is_refused_at_its_place(kind: Kind, content: bytes) -> None:
    reading = read(kind, content)
    assert [finding.code for finding in reading.findings] == ["yaml-syntax"]
    assert places(reading.findings, content) == ""
