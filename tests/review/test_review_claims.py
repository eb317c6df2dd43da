"""What a correction claims, held against what was changed: nothing more may ride on it, and
nothing old is played again."""

from pathlib import Path

import pytest

from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.sealing import seal_digest
from tests.clubfolder import FIRST, FIRST_SHEET
from tests.commandline import invoke
from tests.gitfolder import commit, git
from tests.review.test_review import FIRST_ID, JONAS, club, reviewed, shown

__all__ = ["club"]

CORRECTED = FIRST_SHEET.replace("16N", "17N")
STEP = f"{JONAS}: 16N -> 17N"
BACK = f"{JONAS}: 17N -> 16N"
ROSA = "away.strikes.sahli-rosa.1.1"
BOTH = "aarwald, birkenfluh"


def entry(*changed: str, on: str = "2026-04-20", agreed: str = BOTH, by: str = "Ruedi Aebi") -> str:
    listed = ", ".join(f'"{each}"' for each in changed)
    return f"{{on: {on}, by: {by}, agreed: [{agreed}], reason: misheard, changed: [{listed}]}}"


def sealed(text: str, *corrections: str, on: str = "2026-04-20") -> str:
    match = read_sheet(text.encode(), SheetId(FIRST_ID), 2026).match
    assert match is not None
    listed = "".join(f"  - {each}\n" for each in corrections)
    above = f"corrections:\n{listed}" if corrections else ""
    return (
        f"{text}{above}seal: {{on: {on}, home: Ruedi Aebi, away: Urs Kipfer,"
        f" digest: {seal_digest(match)}}}\n"
    )


def objection_to(root: Path, before: str, after: str) -> str | None:
    """What a review says against the change of the sealed sheet from ``before`` to ``after``."""
    (root / FIRST).write_text(before, encoding="utf-8")
    commit(root)
    (root / FIRST).write_text(after, encoding="utf-8")
    outcome = invoke("--folder", root, "review", "--format", "json")
    (sheet,) = outcome.data["sheets"]
    assert outcome.status == (0 if sheet["sanctioned"] else 1)
    told: str | None = sheet["objection"]
    return told


ONCE = sealed(FIRST_SHEET, on="2026-04-13")
TWICE = sealed(CORRECTED, entry(STEP))


@pytest.mark.parametrize(
    ("after", "objection"),
    [
        (sealed(CORRECTED, entry(STEP, f"{ROSA}: 18 -> 4")),
         f"the correction of 2026-04-20 says that {ROSA} was 18, but it was 8"),
        (sealed(CORRECTED, entry(STEP, f"{ROSA}: 8 -> 4")),
         f"the correction of 2026-04-20 made {ROSA} 4, but the sheet says 8"),
        (sealed(CORRECTED, entry(STEP, f"{ROSA}: 8 -> 8")),
         f"the correction of 2026-04-20 changes nothing at {ROSA}"),
        (sealed(CORRECTED, entry(STEP, "away.strikes.nobody.1.1: 3 -> 4")),
         "the correction of 2026-04-20 says that away.strikes.nobody.1.1 was 3, but it was"
         " nothing"),
        (sealed(CORRECTED, entry(STEP, "weather: sun -> rain")),
         "the correction of 2026-04-20 says that weather was sun, but it was nothing"),
        (sealed(CORRECTED, entry(STEP, "as agreed in the inn")),
         "the correction of 2026-04-20 does not name a place and its values in `as agreed in the"
         " inn`"),
        (sealed(CORRECTED, entry(STEP), entry()), "the correction of 2026-04-20 names no change"),
        (sealed(CORRECTED, entry(STEP, BACK, STEP)),
         f"the correction of 2026-04-20 names {JONAS} more than once"),
        # A sheet that did not change at all, with a story about it.
        (sealed(FIRST_SHEET, entry(STEP)),
         f"the correction of 2026-04-20 made {JONAS} 17N, but the sheet says 16N"),
        (sealed(FIRST_SHEET, entry()), "the correction of 2026-04-20 names no change"),
        # Several at once, one after the other; also two that cancel out.
        (sealed(CORRECTED, entry(f"{JONAS}: 16N -> 9"), entry(f"{JONAS}: 9 -> 17N")), None),
        (sealed(CORRECTED, entry(f"{JONAS}: 9 -> 17N"), entry(f"{JONAS}: 16N -> 9")),
         f"no correction names {JONAS} from 16N to 17N"),
        (sealed(FIRST_SHEET, entry(STEP), entry(BACK)), None),
        (sealed(FIRST_SHEET, entry(STEP), entry(BACK, agreed="aarwald")),
         "birkenfluh did not agree to the correction of 2026-04-20"),
        (sealed(CORRECTED.replace("[8, 13]", "[9, 13]"), entry(STEP), entry(f"{ROSA}: 8 -> 9")),
         None),
        # The match itself becomes another.
        (sealed(CORRECTED.replace("date: 2026-04-12", "date: 2026-04-15"),
                entry("date: 2026-04-12 -> 2026-04-15", STEP)), None),
        (sealed(FIRST_SHEET.replace("oberhang-1", "oberhang-cup").replace("round: 1\n", ""),
                entry("competition: oberhang-1 -> oberhang-cup")), None),
        (sealed(FIRST_SHEET.replace("oberhang-1", "oberhang-cup").replace("round: 1\n", "")
                .replace("team: birkenfluh-a", "team: birkenfluh-b"),
                entry("competition: oberhang-1 -> oberhang-cup",
                      "away.team: birkenfluh-a -> birkenfluh-b")), None),
        # It counts nowhere: the team does not take part in this league.
        (sealed(FIRST_SHEET.replace("team: birkenfluh-a", "team: birkenfluh-b"),
                entry("away.team: birkenfluh-a -> birkenfluh-b")),
         "it has errors now and counts nowhere"),
        (sealed(FIRST_SHEET.replace("team: birkenfluh-a", "team: aarwald-b"),
                entry("away.team: birkenfluh-a -> aarwald-b", agreed="aarwald")),
         "birkenfluh did not agree to the correction of 2026-04-20"),
        # Days.
        (sealed(CORRECTED, entry(STEP, on="2026-04-12")),
         "the correction of 2026-04-12 is dated before the seal of 2026-04-13 that it replaces"),
        (sealed(CORRECTED, entry(STEP, on="2026-04-13"), on="2026-04-13"), None),
        (sealed(CORRECTED, entry(STEP), on="2026-04-12"),
         "the new seal is dated 2026-04-12, before that of 2026-04-13 which it replaces"),
        (sealed(CORRECTED.replace("date: 2026-04-12", "date: 2026-04-19"),
                entry("date: 2026-04-12 -> 2026-04-19", STEP, on="2026-04-18")),
         "the correction of 2026-04-18 is dated before the match of 2026-04-19"),
    ],
)  # fmt: skip
def test_a_correction_names_just_what_was_changed(
    club: Path, after: str, objection: str | None
) -> None:
    assert objection_to(club, ONCE, after) == objection


@pytest.mark.parametrize(
    ("before", "after", "objection"),
    [
        # Once more what was taken back, with the entry of the first time.
        (sealed(FIRST_SHEET, entry(STEP), entry(BACK)),
         sealed(CORRECTED, entry(STEP), entry(BACK), entry(STEP)),
         "the correction of 2026-04-20 repeats an earlier one word for word"),
        (sealed(FIRST_SHEET, entry(STEP), entry(BACK)),
         sealed(CORRECTED, entry(STEP), entry(BACK), entry(STEP, on="2026-04-21"),
                on="2026-04-21"), None),
        (TWICE, sealed(CORRECTED, entry(STEP), entry(STEP)),
         "the correction of 2026-04-20 repeats an earlier one word for word"),
        (sealed(FIRST_SHEET, entry(STEP), entry(BACK)),
         sealed(FIRST_SHEET, entry(BACK), entry(STEP)),
         "an earlier correction is gone or was altered"),
        (TWICE, sealed(CORRECTED.replace("[8, 13]", "[9, 13]"),
                       entry(f"{ROSA}: 8 -> 9"), entry(STEP)),
         "an earlier correction is gone or was altered"),
        (TWICE, sealed(CORRECTED, entry(STEP).replace("misheard", "agreed by phone")),
         "an earlier correction is gone or was altered"),
        (TWICE, sealed(CORRECTED, entry(STEP, f"{ROSA}: 9 -> 8")),
         "an earlier correction is gone or was altered"),
        (TWICE, sealed(FIRST_SHEET, entry(STEP)), "no correction names the change"),
        (TWICE, sealed(CORRECTED, entry(STEP), on="2026-04-19"),
         "the new seal is dated 2026-04-19, before that of 2026-04-20 which it replaces"),
    ],
)  # fmt: skip
def test_nothing_old_is_played_again(
    club: Path, before: str, after: str, objection: str | None
) -> None:
    assert objection_to(club, before, after) == objection


def test_bringing_back_what_was_sealed_tells_no_false_story(club: Path) -> None:
    tampered = ONCE.replace("16N", "17N")
    assert objection_to(club, tampered, ONCE) is None
    story = sealed(FIRST_SHEET, entry(f"{ROSA}: 8 -> 8"), on="2026-04-20")
    assert objection_to(club, tampered, story) == (
        f"the correction of 2026-04-20 changes nothing at {ROSA}"
    )


@pytest.mark.parametrize(
    ("after", "objection"),
    [
        # Both clubs find that he was right; the correction starts from what they had sealed.
        (sealed(CORRECTED, entry(STEP)), None),
        (sealed(CORRECTED, on="2026-04-13"),
         "its new seal covers what was changed without a correction"),
        (sealed(CORRECTED, entry(f"{JONAS}: 15 -> 17N")),
         "its new seal covers what was changed without a correction"),
        (ONCE.replace("16N", "17N").replace("digest: ", "digest: 0"),
         "the seal does not fit what the sheet says now"),
        (ONCE.replace("16N", "17N") + "weather: rain\n", None),
    ],
)  # fmt: skip
def test_what_was_changed_without_a_word_is_not_sealed_over(
    club: Path, after: str, objection: str | None
) -> None:
    """The sheet was changed by hand and that is in BASE already."""
    assert objection_to(club, ONCE.replace("16N", "17N"), after) == objection


def test_the_review_shows_what_is_claimed_and_who_committed_it(club: Path) -> None:
    (club / FIRST).write_text(ONCE, encoding="utf-8")
    base = commit(club)
    (club / FIRST).write_text(sealed(CORRECTED, entry(STEP)), encoding="utf-8")
    git(club, "add", "--all")
    git(club, "commit", "--quiet", "--author", "Lena Zaugg <lena@oberhang.invalid>",
        "--message", "As agreed")  # fmt: skip
    head = git(club, "rev-parse", "HEAD").strip()
    text = " ".join(shown(club, base, "HEAD").out.split())
    assert "1 sealed sheet corrected: agreed by both clubs, not signed." in text
    assert f"{FIRST_ID}: changed, sealed, agreed by both clubs, not signed" in text
    assert (
        "New correction: 2026-04-20, by Ruedi Aebi, agreed by aarwald and birkenfluh: misheard"
        " Claims: Jonas Bigler (Aarwald A), second inning, first strike: 16N to 17N" in text
    )
    assert (
        f"Commit {head[:10]} of 2026-05-11: by Lena Zaugg <lena@oberhang.invalid>, committed by"
        " Vreni Oesch <vreni@oberhang.invalid>" in text
    )
    (sheet,) = reviewed(club, base, "HEAD")["sheets"]
    assert sheet["agreement"] == "agreed by both clubs, not signed"
    assert sheet["claims"] == [
        {
            "on": "2026-04-20",
            "by": "Ruedi Aebi",
            "agreed": ["aarwald", "birkenfluh"],
            "reason": "misheard",
            "changed": [{"at": JONAS, "from": "16N", "to": "17N"}],
            "signed": False,
        }
    ]
    assert sheet["commits"] == [
        {
            "commit": head,
            "author": "Lena Zaugg <lena@oberhang.invalid>",
            "authored": "2026-05-11",
            "committer": "Vreni Oesch <vreni@oberhang.invalid>",
            "committed": "2026-05-11",
        }
    ]


def test_what_is_not_committed_yet_has_no_commit(club: Path) -> None:
    (club / FIRST).write_text(ONCE, encoding="utf-8")
    commit(club)
    (club / FIRST).write_text(sealed(CORRECTED, entry(STEP)), encoding="utf-8")
    assert reviewed(club)["sheets"][0]["commits"] == []
    assert "Not committed yet." in " ".join(shown(club).out.split())


def test_commits_are_read_whatever_people_call_themselves(club: Path) -> None:
    (club / FIRST).write_text(ONCE, encoding="utf-8")
    base = commit(club)
    (club / FIRST).write_text(sealed(CORRECTED, entry(STEP)), encoding="utf-8")
    git(club, "add", "--all")
    author = f"A\x01B\x02 {'a' * 40} <a@b>"
    git(club, "commit", "--quiet", "--author", author, "--message", "x")
    (sheet,) = reviewed(club, base, "HEAD")["sheets"]
    assert [each["author"] for each in sheet["commits"]] == [author]


def test_a_merge_that_makes_something_else_of_a_sheet_is_among_its_commits(club: Path) -> None:
    (club / FIRST).write_text(ONCE, encoding="utf-8")
    base = commit(club)
    git(club, "checkout", "--quiet", "-b", "other")
    (club / "a.txt").write_text("a", encoding="utf-8")
    commit(club)
    git(club, "checkout", "--quiet", "main")
    (club / "b.txt").write_text("b", encoding="utf-8")
    commit(club)
    git(club, "merge", "--quiet", "--no-commit", "other")
    (club / FIRST).write_text(sealed(CORRECTED, entry(STEP)), encoding="utf-8")
    merge = commit(club)
    (sheet,) = reviewed(club, base, "HEAD")["sheets"]
    assert [each["commit"] for each in sheet["commits"]] == [merge]
