"""Faults of seals and corrections."""

import hashlib

from tests.clubfolder import FIRST, FIRST_SHEET, LEAGUE, Replace, Write
from tests.problem_cases.model import Case, NearMiss
from tests.signing import public

# Written out by hand from guide/sealing.md, so that nothing here rests on the program.
_CELLS = {
    "competition": "oberhang-1",
    "date": "2026-04-12",
    "outcome": "played",
    "counts": "true",
    "home.team": "aarwald-a",
    "home.strikes.aebi-ruedi.1.1": "18",
    "home.strikes.aebi-ruedi.1.2": "20",
    "home.strikes.aebi-ruedi.2.1": "17",
    "home.strikes.aebi-ruedi.2.2": "19",
    "home.strikes.bigler-jonas.1.1": "15",
    "home.strikes.bigler-jonas.1.2": "0",
    "home.strikes.bigler-jonas.2.1": "16N",
    "home.strikes.bigler-jonas.2.2": "14",
    "away.team": "birkenfluh-a",
    "away.strikes.kipfer-urs.1.1": "14",
    "away.strikes.kipfer-urs.1.2": "9",
    "away.strikes.kipfer-urs.2.1": "12",
    "away.strikes.kipfer-urs.2.2": "16",
    "away.strikes.sahli-rosa.1.1": "8",
    "away.strikes.sahli-rosa.1.2": "13",
    "away.strikes.sahli-rosa.2.1": "11",
    "away.strikes.sahli-rosa.2.2": "10",
}


def digest_of(cells: dict[str, str]) -> str:
    text = "".join(sorted(f"{place} = {value}\n" for place, value in cells.items()))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


DIGEST = digest_of(_CELLS)
SEAL = f"seal: {{on: 2026-04-13, home: Ruedi Aebi, away: Urs Kipfer, digest: {DIGEST}}}\n"
AGREED = "[aarwald, birkenfluh]"
CHANGE = "home.strikes.bigler-jonas.2.2: 11 -> 14"


SIGNATURE = (
    "U1NIU0lHAAAAAQAAADMAAAALc3NoLWVkMjU1MTkAAAAgSjKKYd6lL7prr1M1KDYvqf7JNGAzlw5RKiuUhD+zPOsA"
    "AAAIcmllc2J1Y2gAAAAAAAAABnNoYTUxMgAAAFMAAAALc3NoLWVkMjU1MTkAAABAiiQP0jZCZT27QKDmUQ7KaTba"
    "FvWDrKz3Wk2QALF1+5MzY2Y1HFBMX1756gytVozMgK+Ut+7Le0XYs44N1R9lCA=="
)
"""Of this seal, by the key of Aarwald in tests/keys; `test_signing` makes it again."""

_NAMED = SEAL.removeprefix("seal: {").removesuffix("}\n").replace(", ", "\n  ")
_SIGNED_BY = f"    - {{club: aarwald, by: Ruedi Aebi, signature: {SIGNATURE}}}\n"
SIGNED = f"seal:\n  {_NAMED}\n  signatures:\n{_SIGNED_BY}"
SIGNERS = f"""\
aarwald {public("aarwald")} Ruedi Aebi
birkenfluh {public("birkenfluh")} Urs Kipfer
"""


def sealed(corrections: str = "", seal: str = SEAL) -> Write:
    return Write(FIRST, f"{FIRST_SHEET}{corrections}{seal}")


def corrections(*changes: str, agreed: str = AGREED) -> str:
    entries = [
        f"  - {{on: 2026-04-20, by: Lena Zaugg, agreed: {agreed}, reason: misread,"
        f' changed: ["{change}"]}}\n'
        for change in changes
    ]
    return "corrections:\n" + "".join(entries)


CASES = (
    Case(
        code="seal-broken",
        title="A strike was changed after the sheet was sealed.",
        edits=[sealed(), Replace(FIRST, "[16N, 14]", "[16N, 15]")],
        path=FIRST,
        excerpt=SEAL.removesuffix("\n"),
        points_at=DIGEST,
        says="the sheet was changed after both captains agreed on it",
        advises="make it with `riesbuch correct`",
        near_miss=NearMiss(
            title="The ground, a comment, the layout and the spelling of a strike were changed.",
            edits=[
                sealed(),
                Replace(FIRST, "round: 1\n", "round: 2\nground: Aarwald common\n# windy\n"),
                Replace(FIRST, "[[15, 0], [16N, 14]]", "[ [015, 0],  [16n, 14] ]"),
            ],
            also=("fixture-differs",),
        ),
    ),
    Case(
        code="correction-without-seal",
        title="A sheet with corrections has lost its seal.",
        edits=[sealed(corrections(CHANGE), seal="")],
        path=FIRST,
        excerpt=corrections(CHANGE).removesuffix("\n"),
        points_at=corrections(CHANGE).removesuffix("\n").partition("  ")[2],
        says="the sheet has corrections but no seal",
        advises="bring back the seal that the last correction made",
        near_miss=NearMiss(
            title="A corrected sheet with its seal.",
            edits=[sealed(corrections(CHANGE))],
        ),
    ),
    Case(
        code="correction-unreadable",
        title="A correction tells its change in other words.",
        edits=[sealed(corrections("the last strike of Jonas Bigler is 14"))],
        path=FIRST,
        excerpt='changed: ["the last strike of Jonas Bigler is 14"]',
        points_at='"the last',
        severity="warning",
        says="`the last strike of Jonas Bigler is 14` does not name a place and its values",
        advises="write it like home.strikes.PLAYER.2.1: 14 -> 15",
        near_miss=NearMiss(
            title="A correction that put a value where there was none, and one that took it out.",
            edits=[
                sealed(
                    corrections(
                        "home.paper.points: nothing -> 119", "home.paper.points: 119 -> nothing"
                    )
                )
            ],
        ),
    ),
    Case(
        code="correction-differs",
        title="A correction made another value than the sheet now has.",
        edits=[sealed(corrections("home.strikes.bigler-jonas.2.2: 11 -> 13"))],
        path=FIRST,
        excerpt='changed: ["home.strikes.bigler-jonas.2.2: 11 -> 13"]',
        points_at='"home.strikes',
        says="`home.strikes.bigler-jonas.2.2` made it 13, but the sheet says 14",
        advises="settle with both clubs which value they agreed on",
        near_miss=NearMiss(
            title="A later correction changed the same strike once more.",
            edits=[sealed(corrections("home.strikes.bigler-jonas.2.2: 11 -> 13", CHANGE))],
        ),
    ),
    Case(
        code="correction-not-agreed",
        title="Only one of the two clubs agreed to a correction.",
        edits=[sealed(corrections(CHANGE, agreed="[aarwald]"))],
        path=FIRST,
        excerpt="agreed: [aarwald]",
        points_at="[aarwald]",
        says="`birkenfluh` did not agree to this correction",
        advises="a correction needs both clubs of the match",
        near_miss=NearMiss(
            title="The club that carries on the other one agreed for it.",
            edits=[
                sealed(corrections(CHANGE, agreed="[aarwald, oberhang]")),
                Write("clubs/oberhang.yaml", "name: Oberhang\nmerged_from: [birkenfluh]\n"),
            ],
        ),
    ),
    Case(
        code="agreed-too-early",
        title="A correction is dated before the match.",
        edits=[sealed(corrections(CHANGE).replace("2026-04-20", "2026-04-02"))],
        path=FIRST,
        excerpt="on: 2026-04-02",
        points_at="2026-04-02",
        says="the correction is dated before the match of 2026-04-12",
        advises="write the day on which both clubs agreed",
        near_miss=NearMiss(
            title="The clubs agreed on the day of the match, and its date was corrected later.",
            edits=[
                sealed(
                    corrections(CHANGE).replace("2026-04-20", "2026-04-12")
                    + "  - {on: 2026-04-14, by: Lena Zaugg, agreed: [aarwald, birkenfluh],"
                    ' reason: typing error, changed: ["date: 2026-04-11 -> 2026-04-12"]}\n'
                ),
            ],
        ),
    ),
    Case(
        code="sealed-too-early",
        title="A sheet is sealed before the day of its match.",
        edits=[sealed(seal=SEAL.replace("2026-04-13", "2026-04-11"))],
        path=FIRST,
        excerpt="seal: {on: 2026-04-11",
        points_at="2026-04-11",
        severity="warning",
        says="the seal is dated before the match of 2026-04-12",
        advises="write the day on which both captains agreed",
        near_miss=NearMiss(
            title="A sheet is sealed on the day of its match.",
            edits=[sealed(seal=SEAL.replace("2026-04-13", "2026-04-12"))],
        ),
    ),
    Case(
        code="one-person-for-both",
        title="One person sealed the sheet for both sides.",
        edits=[sealed(seal=SEAL.replace("away: Urs Kipfer", "away: Aebi Ruedi"))],
        path=FIRST,
        excerpt="away: Aebi Ruedi",
        points_at="Aebi Ruedi",
        severity="warning",
        says="`Aebi Ruedi` agrees for both sides",
        advises="each side's own captain agrees",
        near_miss=NearMiss(
            title="The captains are brothers.",
            edits=[sealed(seal=SEAL.replace("away: Urs Kipfer", "away: Urs Aebi"))],
        ),
    ),
    Case(
        code="bad-signers",
        title="One key is to sign for all clubs.",
        edits=[Write("signers", SIGNERS.replace("aarwald", "*"))],
        path="signers",
        excerpt=SIGNERS.partition("\n")[0].replace("aarwald", "*"),
        points_at="*",
        says="`*` is not the identifier of a club",
        advises="write each club as it stands in `clubs`",
        near_miss=NearMiss(
            title="Two clubs share a key, which is valid from one day on.",
            edits=[
                Write(
                    "signers",
                    "# keys\n\n"
                    + SIGNERS.replace(
                        "birkenfluh ",
                        'aarwald,birkenfluh namespaces="git,riesbuch",valid-after="20260101" ',
                    ),
                )
            ],
        ),
    ),
    Case(
        code="wrong-signature",
        title="The captain's name was changed after the seal was signed.",
        edits=[
            Write("signers", SIGNERS),
            sealed(seal=SIGNED.replace("away: Urs Kipfer", "away: Ursula Kipfer")),
        ],
        path=FIRST,
        excerpt=_SIGNED_BY.removesuffix("\n"),
        points_at="{club",
        says="the signature of aarwald is wrong: it is of something else",
        advises="take the change back",
        near_miss=NearMiss(
            title="Remarks and the layout were changed, and the other club has not signed yet.",
            edits=[
                Write("signers", SIGNERS),
                sealed(seal=SIGNED),
                Replace(FIRST, "round: 1\n", "round: 1\nground: Aarwald common\n# windy\n"),
            ],
        ),
    ),
    Case(
        code="unsigned",
        title="The league requires signatures, and one club has not signed.",
        edits=[
            Write(LEAGUE, 'name = "Oberhang League"\nsignatures = "required"\n'),
            Write("signers", SIGNERS),
            sealed(seal=SIGNED),
        ],
        path=FIRST,
        excerpt=f"seal:\n  {_NAMED}",
        points_at="on: 2026-04-13",
        says="the seal is to be signed by both clubs, and birkenfluh did not sign it",
        advises="riesbuch sign 2026/2026-04-12-aarwald-a-birkenfluh-a --key KEY",
        near_miss=NearMiss(
            title="The league requires signatures from the next season on.",
            edits=[
                Write(
                    LEAGUE,
                    'name = "Oberhang League"\nsignatures = "required"\nsignatures_from = 2027\n',
                ),
                sealed(),
            ],
        ),
    ),
)
