"""Every attack on signatures is told or refused, and stands in the contributors' table."""

import os
from pathlib import Path

import pytest

from tests.clubfolder import FIRST
from tests.commandline import invoke
from tests.review.attacks import ATTACKS, Attack, League

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"


def run(league: League, words: list[str]) -> tuple[int, str]:
    outcome = invoke("--folder", league.root, *words)
    return outcome.status, f"{outcome.out}\n{outcome.err}"


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda attack: attack.what)
def test_each_attack_is_told_or_refused(
    attack: Attack, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)
    league = League(tmp_path)
    words = attack.does(league) or ["check"]
    before = (league.root / FIRST).read_bytes() if (league.root / FIRST).exists() else b""
    if league.path is not None:
        monkeypatch.setenv("PATH", os.pathsep.join([league.path, os.fspath(tmp_path / "none")]))
    status, said = run(league, words)
    if words[0] == "sign" and not attack.status:
        said += (league.root / FIRST).read_text("utf-8")
    assert attack.told in said, said
    assert (status != 0) == bool(attack.status), said
    if words[0] == "sign" and attack.status:
        assert (league.root / FIRST).read_bytes() == before


def test_without_an_attack_nothing_is_told(tmp_path: Path) -> None:
    league = League(tmp_path)
    assert run(league, ["check"]) == (0, "\n2 sheets: nothing to mend\n")
    assert "Seal: signed by Aarwald and Birkenfluh." in run(league, ["tally", "2026-04-12"])[1]


def test_the_table_of_attacks_stands_in_the_page_for_contributors() -> None:
    rows = [f"| {attack.what} | {attack.told} |" for attack in ATTACKS]
    text = DEVELOPERS.read_text("utf-8")
    table = text.partition("## Attacks on signatures")[2].partition("\n## ")[0].splitlines()
    assert [line for line in table if line.startswith("| ")][2:] == rows
    assert len(rows) >= 60
