"""The guide's signature can be made again, and checked as the guide says, by ssh-keygen alone."""

import re
import subprocess
from pathlib import Path

import pytest

from tests.clubfolder import Write
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.signing import key, public

GUIDE = Path(__file__).parents[2] / "src/riesbuch/guide"
PAGES = pytest.mark.parametrize("page", ["sealing.md", "de/sealing.md"])
SHEET = "2026/2026-06-07-ginsterwil-a-aarwald-a"
FILE = "seasons/2026/matches/2026-06-07-ginsterwil-a-aarwald-a.yaml"


def blocks(page: str) -> dict[str, str]:
    """Of the last section about signatures, and the lines of `signers`."""
    text = (GUIDE / page).read_text("utf-8")
    example = re.split(r"(?m)^## .*ssh-keygen.*$", text)[1].partition("\n## ")[0]
    found = re.findall(r"```(\w+)\n(.*?)```", example, re.DOTALL)
    names = ("yaml", "text", "signature", "sh")
    assert [language for language, _ in found] == ["yaml", "text", "text", "sh"]
    signers = re.search(r"```text\n(aarwald ssh-.*?)```", text, re.DOTALL)
    assert signers
    return {"signers": signers[1], **dict(zip(names, (block for _, block in found), strict=True))}


@PAGES
def test_ssh_keygen_alone_finds_it_good(page: str, tmp_path: Path) -> None:
    shown = blocks(page)
    for name in ("signers", "text", "signature"):
        Write(name, shown[name]).apply(tmp_path)
    done = subprocess.run(
        shown["sh"], shell=True, cwd=tmp_path, capture_output=True, check=False, encoding="utf-8"
    )
    assert done.stdout.startswith('Good "riesbuch" signature for aarwald'), done.stderr
    Write("text", shown["text"].replace("6 read as 5", "5 read as 6")).apply(tmp_path)
    assert subprocess.run(shown["sh"], shell=True, cwd=tmp_path, check=False).returncode


@PAGES
def test_the_page_shows_what_the_commands_write(page: str, tmp_path: Path) -> None:
    shown = blocks(page)
    root = copy_example(tmp_path / "example_league", pages=False)
    assert [line.split()[:3] for line in shown["signers"].splitlines()] == [
        [club, *public(club).split()] for club in ("aarwald", "ginsterwil")
    ]
    Write("signers", shown["signers"]).apply(root)
    for words in (
        ["seal", SHEET, "--home", "Thomas Kräyacher", "--away", "Ruedi Aebi",
         "--on", "2026-06-07", "--sign", key(tmp_path, "ginsterwil")],
        ["correct", SHEET, "away.strikes.bigler-jonas.1.2=16", "--reason", "6 read as 5",
         "--agreed", "ginsterwil", "--agreed", "aarwald", "--by", "Nadja Aebi",
         "--on", "2026-06-20", "--sign", key(tmp_path, "aarwald")],
    ):  # fmt: skip
        assert invoke("--folder", root, *words).status == 0
    text = (root / FILE).read_text("utf-8")
    assert "corrections:" + text.partition("corrections:")[2] == shown["yaml"]
    assert "".join(shown["signature"].splitlines()[1:-1]) in text
