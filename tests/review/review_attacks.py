"""Attacks on what a review says of signatures, a line each: what is changed since the base, and
what is told. The table stands in DEVELOPERS.md too."""

import os
from collections.abc import Callable
from typing import NamedTuple

from tests.clubfolder import FIRST, FIRST_SHEET, LEAGUE, SECOND, SECOND_SHEET
from tests.gitfolder import begin, commit
from tests.review.attacks import AGREED, BEFORE, CORRECTED, SIGNERS, League, Signed
from tests.signing import key, public

SIGNED = "agreed and signed by both clubs"
NOT_SIGNED = "NOT signed by aarwald with a key of before"
MISREAD = FIRST_SHEET.replace("[16N, 14]", "[16N, 11]", 1)
REQUIRED = 'signatures = "required"\n'
NOBODY = f"aarwald {public('nobody')}\n"
OLD = public("aarwald")
ENDED = f'aarwald valid-before="20260401" {OLD}\n'


class ReviewAttack(NamedTuple):
    """``before`` makes the base, ``does`` the change; the review is of the working tree where it
    gives no other words. ``told`` stands in what it says."""

    what: str
    told: str
    does: Callable[[League], list[str] | None]
    before: Callable[[League], None] = lambda league: None
    status: int = 1


def corrected(league: League, signatures: list[Signed] | None = None) -> None:
    """The correction that both agreed to, signed by both if not given."""
    league.seal(signatures, CORRECTED)


def misread(league: League) -> None:
    """As it was before the correction, signed by both."""
    agreed = AGREED._replace(digest=BEFORE)
    league.seal(league.both(agreed), agreed, sheet=MISREAD)


def demand(league: League, lines: str) -> None:
    text = (league.root / LEAGUE).read_text("utf-8").removeprefix(REQUIRED)
    league.write(LEAGUE, lines + text)


def required(league: League) -> None:
    demand(league, REQUIRED)
    misread(league)


def signers(text: str) -> Callable[[League], None]:
    return lambda league: league.write("signers", text)


def by_a_key_that_comes_along(league: League) -> None:
    league.write("signers", SIGNERS + NOBODY)
    own = league.sign("aarwald", CORRECTED, key="nobody")
    corrected(league, [own, league.sign("birkenfluh", CORRECTED)])


def by_a_key_of_the_commit_before(league: League) -> list[str]:
    league.write("signers", SIGNERS + NOBODY)
    commit(league.root)
    by_a_key_that_comes_along(league)
    commit(league.root)
    return ["HEAD~2", "HEAD"]


def loosened(league: League) -> None:
    demand(league, "")
    corrected(league, [])


def later(league: League) -> None:
    demand(league, "signatures_from = 2030\n" + REQUIRED)
    corrected(league, [])


def with_the_signatures_of_before(league: League) -> None:
    corrected(league, league.both(AGREED._replace(digest=BEFORE)))


def one_person_with_two_keys(league: League) -> None:
    own = league.sign("aarwald", CORRECTED)
    corrected(league, [own, league.sign("birkenfluh", CORRECTED, key="aarwald")])


def unsealed(league: League) -> None:
    league.write(FIRST, FIRST_SHEET)


def moved_to_another_sheet(league: League) -> None:
    league.seal(path=SECOND, sheet=SECOND_SHEET)


def signers_as_a_link(league: League) -> None:
    (league.root / "signers").unlink()
    (league.root / "other").write_text(SIGNERS + NOBODY, encoding="utf-8")
    os.symlink("other", league.root / "signers")


def agreed_by(who: str, then: str = "") -> Callable[[League], None]:
    """Another key of Aarwald, which somebody signs; then more is written."""

    def does(league: League) -> None:
        from tests.commandline import invoke

        league.write("signers", SIGNERS + NOBODY)
        words = ["sign", "--keys", "--key", league.keys[who], "--club", "aarwald"]
        invoke("--folder", league.root, *words)
        if then:
            text = (league.root / "signers").read_text("utf-8")
            league.write("signers", then + text)

    return does


def agreed_once(league: League) -> list[str]:
    """A change that was signed is taken back, and made once more out of what was signed."""
    agreed_by("aarwald")(league)
    signed = (league.root / "signers").read_text("utf-8")
    league.write("signers", SIGNERS + f"birkenfluh {public('ginsterwil')}\n")
    commit(league.root)
    league.write("signers", signed)
    return []


def agreed_and_taken_back(league: League) -> None:
    """A key that Aarwald agreed to is stolen, and Aarwald agrees that it goes."""
    from tests.commandline import invoke

    words = ["--folder", league.root, "sign", "--keys", "--key", league.keys["aarwald"]]
    begin(league.root)
    commit(league.root)
    agreed_by("aarwald")(league)
    league.stolen = (league.root / "signers").read_text("utf-8")
    commit(league.root)
    league.write("signers", SIGNERS)
    assert invoke(*words).status == 0


def stolen_again(league: League) -> None:
    league.write("signers", league.stolen)


def heir(league: League) -> None:
    """A club that carries Birkenfluh on, with a key of its own."""
    misread(league)
    league.write("clubs/neudorf.yaml", "name: Neudorf\nmerged_from: [birkenfluh]\n")
    league.write("signers", SIGNERS + f"neudorf {public('ginsterwil')}\n")
    league.keys["neudorf"] = key(league.root.parent / "keys", "ginsterwil")


def signed_by_the_heir(league: League) -> None:
    heirs = league.sign("neudorf", CORRECTED, by="Anna Probst")
    corrected(league, [league.sign("aarwald", CORRECTED), heirs])


def heir_that_comes_along(league: League) -> None:
    heir(league)
    signed_by_the_heir(league)


REVIEW_ATTACKS = [
    ReviewAttack("a correction that nobody signed", "signed it before, and not as it is now",
                 lambda league: corrected(league, []), misread),
    ReviewAttack("a correction that one club signed", "Birkenfluh signed it before, and not as it",
                 lambda league: corrected(league, [league.sign("aarwald", CORRECTED)]), misread),
    ReviewAttack("one person signs a correction for both clubs", "the signature of Birkenfluh is"
                 " wrong", one_person_with_two_keys, misread),
    ReviewAttack("a correction with the signatures of the seal before", "is wrong",
                 with_the_signatures_of_before, misread),
    ReviewAttack("a correction signed by a key that comes along with it",
                 "Aarwald signed it before, and not as it is now", by_a_key_that_comes_along,
                 misread),
    ReviewAttack("the key in one commit, what it signs in the next", NOT_SIGNED,
                 by_a_key_of_the_commit_before, misread),
    ReviewAttack("signatures taken out of a seal", "signed it before, and not as it is now",
                 lambda league: league.seal([])),
    ReviewAttack("one signature taken out", "Birkenfluh signed it before, and not as it is now",
                 lambda league: league.seal([league.sign("aarwald")])),
    ReviewAttack("the seal of a signed sheet taken out", "its seal is gone", unsealed),
    ReviewAttack("a signed seal moved under another sheet", "SANCTIONED", lambda league: (
                 unsealed(league), moved_to_another_sheet(league), None)[-1]),
    ReviewAttack("another day in a signed seal", "is wrong",
                 lambda league: league.seal(league.both(), AGREED._replace(on="2026-04-14"))),
    ReviewAttack("another captain in a signed seal", "is wrong",
                 lambda league: league.seal(league.both(), AGREED._replace(home="Max Muster"))),
    ReviewAttack("a key of its own given to a club", NOT_SIGNED, signers(SIGNERS + NOBODY)),
    ReviewAttack("a club's key taken out", NOT_SIGNED,
                 signers(f"birkenfluh {public('birkenfluh')}\n")),
    ReviewAttack("`signers` deleted", NOT_SIGNED,
                 lambda league: (league.root / "signers").unlink()),
    ReviewAttack("`signers` made a link to another file", NOT_SIGNED, signers_as_a_link),
    ReviewAttack("a key that ended made valid again", "it was valid before 2026-04-01",
                 signers(SIGNERS), signers(ENDED + SIGNERS.split("\n")[1] + "\n")),
    ReviewAttack("a club's key ended by somebody else", NOT_SIGNED,
                 signers(ENDED + SIGNERS.split("\n")[1] + "\n")),
    ReviewAttack("a new key agreed to by itself", NOT_SIGNED, agreed_by("nobody")),
    ReviewAttack("a new key agreed to by the other club", NOT_SIGNED, agreed_by("birkenfluh")),
    ReviewAttack("one key more than was agreed to", NOT_SIGNED,
                 agreed_by("aarwald", f"aarwald {public('ginsterwil')}\n")),
    ReviewAttack("an agreement to keys used for another change of them", NOT_SIGNED, agreed_once),
    ReviewAttack("an agreement that was taken back, once more", NOT_SIGNED, stolen_again,
                 agreed_and_taken_back),
    ReviewAttack("the remark taken out that says that it was taken back",
                 "the remark is gone that says that aarwald agreed", signers(SIGNERS),
                 agreed_and_taken_back),
    ReviewAttack("a correction signed by a club that comes along and carries the other on",
                 "signed it before, and not as it is now", heir_that_comes_along, misread),
    ReviewAttack("the first key of a club", "ask them whether it is theirs",
                 signers(SIGNERS), signers(f"birkenfluh {public('birkenfluh')}\n"), status=0),
    ReviewAttack("signatures required no longer, and a correction without", "are not required from"
                 " here on", loosened, required),
    ReviewAttack("signatures required later, and a correction without", "required from 2030 on",
                 later, required),
    ReviewAttack("where they are required, a new seal that nobody signed",
                 "signatures of both clubs are required, and it is named only, not signed",
                 lambda league: league.seal([]),
                 lambda league: (required(league), unsealed(league), None)[-1]),
    ReviewAttack("where they are required, a correction signed by one",
                 "signatures of both clubs are required, and it is signed by Aarwald, not by",
                 lambda league: corrected(league, [league.sign("aarwald", CORRECTED)]), required),
]  # fmt: skip

NO_ATTACKS = [
    ReviewAttack("a correction that both signed", SIGNED, corrected, misread),
    ReviewAttack("the same where signatures are required", SIGNED, corrected, required),
    ReviewAttack("lines of `signers` in another order, with remarks", "No sealed sheet changed",
                 signers("# keys\n" + "".join(sorted(SIGNERS.splitlines(True), reverse=True)))),
    ReviewAttack("a new key of a club agreed to by its old one", "signed by aarwald with a key of"
                 " before", agreed_by("aarwald")),
    ReviewAttack("a correction signed by the club that carries on the other", SIGNED,
                 signed_by_the_heir, heir),
    ReviewAttack("the second club's signature", "Signatures: signed by Aarwald and Birkenfluh.",
                 lambda league: league.seal(),
                 lambda league: league.seal([league.sign("aarwald")])),
    ReviewAttack("a remark in a signed sheet", "its seal holds", lambda league: league.replace(
                 FIRST, "competition:", "notes: mown on Saturday\ncompetition:")),
    ReviewAttack("a new seal signed by both", "signed by Aarwald and Birkenfluh",
                 lambda league: league.seal(), unsealed),
]  # fmt: skip
