"""Every attack on a review is told, and stands in the contributors' table."""

from pathlib import Path

import pytest

from tests.gitfolder import begin, commit
from tests.review.attacks import League
from tests.review.review_attacks import NO_ATTACKS, REVIEW_ATTACKS, ReviewAttack, heir
from tests.review.test_signature_attacks import DEVELOPERS, run


def reviewed(attack: ReviewAttack, scratch: Path) -> tuple[int, str]:
    league = League(scratch)
    attack.before(league)
    begin(league.root)
    commit(league.root)
    words = attack.does(league) or []
    status, said = run(league, ["review", *words])
    return status, " ".join(said.split())


@pytest.mark.parametrize("attack", REVIEW_ATTACKS, ids=lambda attack: attack.what)
def test_each_attack_is_told(attack: ReviewAttack, tmp_path: Path) -> None:
    status, said = reviewed(attack, tmp_path)
    assert attack.told in said
    assert status == attack.status


@pytest.mark.parametrize("change", NO_ATTACKS, ids=lambda change: change.what)
def test_what_is_right_is_let_through(change: ReviewAttack, tmp_path: Path) -> None:
    status, said = reviewed(change, tmp_path)
    assert change.told in said
    assert status == 0, said


def test_a_club_that_carries_on_another_is_told_to_speak_for_it(tmp_path: Path) -> None:
    league = League(tmp_path)
    begin(league.root)
    commit(league.root)
    heir(league)
    told = (
        "neudorf carries on birkenfluh, and may agree and sign for it from here on;"
        " this change is judged by what was."
    )
    assert told in " ".join(run(league, ["review"])[1].split())
    assert '"heirs": [ { "club": "neudorf", "of": [ "birkenfluh" ] } ]' in " ".join(
        run(league, ["review", "--format", "json"])[1].split()
    )
    commit(league.root)
    league.write("clubs/neudorf.yaml", "name: Neudorf im Moos\nmerged_from: [birkenfluh]\n")
    assert "carries on" not in run(league, ["review"])[1]


def test_the_table_of_attacks_stands_in_the_page_for_contributors() -> None:
    rows = [f"| {attack.what} | {attack.told} |" for attack in REVIEW_ATTACKS]
    text = DEVELOPERS.read_text("utf-8")
    table = text.partition("## Attacks on reviews")[2].partition("\n## ")[0].splitlines()
    assert [line for line in table if line.startswith("| ")][2:] == rows
