"""Attacks on signatures, a line each: what somebody does, and what is told or refused. The table
stands in DEVELOPERS.md too."""

import base64
import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from tests.clubfolder import FIRST, FIRST_SHEET, LEAGUE, SECOND, SECOND_SHEET, lay_out
from tests.problem_cases.seals import _CELLS, DIGEST, digest_of
from tests.signing import Agreed, Correction, key, public, signature

SHEET = "2026/2026-04-12-aarwald-a-birkenfluh-a"
CAPTAINS = {"aarwald": "Ruedi Aebi", "birkenfluh": "Urs Kipfer"}
AGREED = Agreed(SHEET, DIGEST, "2026-04-13", *CAPTAINS.values())
CHANGED = "home.strikes.bigler-jonas.2.2: 11 -> 14"
CORRECTION = Correction(
    "2026-04-20", "Lena Zaugg", ("aarwald", "birkenfluh"), "misread", (CHANGED,)
)
BEFORE = digest_of({**_CELLS, "home.strikes.bigler-jonas.2.2": "11"})
CORRECTED = AGREED._replace(on="2026-04-20", previous=BEFORE, corrections=(CORRECTION,))
SIGNERS = "".join(f"{club} {public(club)}\n" for club in CAPTAINS)
NO_KEY = "`signers` has no such key"
SOMETHING_ELSE = "is wrong: it is of something else"
NOT_WHOLE = "it is not whole, or no signature of OpenSSH's at all"


class Signed(NamedTuple):
    club: str
    by: str
    signature: str


class League:
    """A club folder with a sheet that both clubs signed, and the keys of everybody."""

    def __init__(self, scratch: Path) -> None:
        self.root = scratch / "league"
        self.keys = {
            name: key(scratch / "keys", name) for name in (*CAPTAINS, "nobody", "aarwald-rsa")
        }
        self.stolen = ""
        """What `signers` was while it had the key of a thief."""
        self.path: str | None = None
        """Where programs are searched, if elsewhere than before."""
        lay_out(self.root)
        self.write("signers", SIGNERS)
        self.seal()

    def write(self, path: str, text: str) -> None:
        (self.root / path).write_text(text, encoding="utf-8", newline="")

    def replace(self, path: str, old: str, new: str) -> None:
        text = (self.root / path).read_text("utf-8")
        assert old in text
        self.write(path, text.replace(old, new, 1))

    def sign(self, club: str, agreed: Agreed = AGREED, by: str = "", **how: str) -> Signed:
        """As the club would, or with the key, for the namespace and over the text given."""
        by = by or CAPTAINS[club]
        text = how.get("text", agreed.text(club, by))
        made = signature(self.keys[how.get("key", club)], text, how.get("namespace", "riesbuch"))
        return Signed(club, by, made)

    def both(self, agreed: Agreed = AGREED) -> list[Signed]:
        return [self.sign(club, agreed) for club in CAPTAINS]

    def seal(
        self,
        signatures: list[Signed] | None = None,
        agreed: Agreed = AGREED,
        *,
        path: str = FIRST,
        sheet: str = FIRST_SHEET,
    ) -> None:
        """Write the sheet with what ``agreed`` says under it, signed by both if not given."""
        lines = ["corrections:"] if agreed.corrections else []
        for entry in agreed.corrections:
            agreed_by = ", ".join(entry.agreed)
            lines.append(
                f"  - {{on: {entry.on}, by: {quoted(entry.by)}, agreed: [{agreed_by}],"
                f" reason: {quoted(entry.reason)},"
                f" changed: [{', '.join(map(quoted, entry.changed))}]}}"
            )
        lines += ["seal:", f"  on: {agreed.on}", f"  home: {quoted(agreed.home)}",
                  f"  away: {quoted(agreed.away)}", f"  digest: {agreed.digest}"]  # fmt: skip
        signatures = self.both(agreed) if signatures is None else signatures
        lines += ["  signatures:"] if signatures else []
        for each in signatures:
            lines.append(
                f"    - {{club: {quoted(each.club)}, by: {quoted(each.by)},"
                f" signature: {quoted(each.signature)}}}"
            )
        self.write(path, sheet + "\n".join([*lines, ""]))

    def program(self, folder: Path, script: str) -> None:
        """Let a program of that name be the one that is found."""
        folder.mkdir(exist_ok=True)
        (folder / "ssh-keygen").write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
        (folder / "ssh-keygen").chmod(0o755)
        self.path = os.fspath(folder)


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'


class Attack(NamedTuple):
    """``does`` changes the league; the command is `check` where it gives no other. ``told`` stands
    in what is said."""

    what: str
    told: str
    does: Callable[[League], list[str] | None]
    status: int = 1


def _resigned(agreed: Agreed, **others: object) -> Callable[[League], None]:
    """What was signed as ``agreed`` stands there with others of its values."""

    def does(league: League) -> None:
        league.seal(league.both(agreed), agreed._replace(**others))

    return does


def _corrected(**others: object) -> Callable[[League], None]:
    return _resigned(CORRECTED, corrections=(CORRECTION._replace(**others),))


def _signers(text: str) -> Callable[[League], None]:
    return lambda league: league.write("signers", text)


def _lines(option: str = "", club: str = "aarwald", key: str = "") -> Callable[[League], None]:
    """Another line for Aarwald's key."""
    line = f"{club} {option} {key or public('aarwald')}\n"
    return _signers(line + f"birkenfluh {public('birkenfluh')}\n")


def _signature(change: Callable[[str], str]) -> Callable[[League], None]:
    def does(league: League) -> None:
        first, second = league.both()
        league.seal([first._replace(signature=change(first.signature)), second])

    return does


def _by(**how: str) -> Callable[[League], None]:
    """Aarwald's signature, made in another way."""
    return lambda league: league.seal([league.sign("aarwald", **how), league.sign("birkenfluh")])


def _flipped(text: str, at: int) -> str:
    data = bytearray(base64.b64decode(text))
    data[at] ^= 1
    return base64.b64encode(data).decode()


def _with_key_of_aarwald(league: League) -> None:
    """The public key within a stranger's signature is taken out for Aarwald's."""
    stranger = base64.b64decode(league.sign("aarwald", key="nobody").signature)
    own, other = (base64.b64decode(public(name).split()[1]) for name in ("aarwald", "nobody"))
    assert other in stranger
    forged = base64.b64encode(stranger.replace(other, own)).decode()
    league.seal([Signed("aarwald", CAPTAINS["aarwald"], forged), league.sign("birkenfluh")])


def _replayed(league: League) -> None:
    cells = {
        "away.nummern": "1", "away.points": "90", "away.team": "aarwald-a",
        "competition": "oberhang-1", "counts": "true", "date": "2026-05-10", "home.nummern": "0",
        "home.ries.1": "24", "home.ries.2": "21", "home.ries.3": "22", "home.ries.4": "20",
        "home.team": "birkenfluh-a", "outcome": "played",
    }  # fmt: skip
    other = AGREED._replace(digest=digest_of(cells), on="2026-05-11")
    league.seal(league.both(), other, path=SECOND, sheet=SECOND_SHEET)


def _renamed(league: League) -> None:
    (league.root / FIRST).rename((league.root / FIRST).with_name("2026-04-12-aarwald-a.yaml"))


def _linked(league: League) -> None:
    signers = league.root / "signers"
    signers.rename(league.root.parent / "signers")
    signers.symlink_to(league.root.parent / "signers")


def _folder_of_signers(league: League) -> None:
    (league.root / "signers").unlink()
    (league.root / "signers").mkdir()


def _third_club(league: League) -> None:
    league.write("clubs/cholgrabe.yaml", "name: Cholgrabe\n")
    league.write("signers", f"{SIGNERS}cholgrabe {public('nobody')}\n")
    made = league.sign("aarwald", text=AGREED.text("cholgrabe", "Nobody"), key="nobody")
    league.seal([*league.both(), made._replace(club="cholgrabe", by="Nobody")])


def _both_labels(league: League) -> None:
    first, second = league.both()
    league.seal([first._replace(club="birkenfluh"), second._replace(club="aarwald")])


def _one_key(league: League) -> None:
    league.write("signers", f"aarwald,birkenfluh {public('aarwald')}\n")
    league.seal([league.sign("aarwald"), league.sign("birkenfluh", key="aarwald")])


def _digest_too(league: League) -> None:
    changed = digest_of({**_CELLS, "home.strikes.aebi-ruedi.1.2": "4"})
    league.seal(league.both(), AGREED._replace(digest=changed))
    league.replace(FIRST, "[[18, 20]", "[[18, 4]")


def _program(script: str, *, within: bool = False) -> Callable[[League], None]:
    return lambda league: league.program(
        league.root if within else league.root.parent / "bin", script
    )


def _missing(league: League) -> None:
    league.path = os.fspath(league.root.parent / "nowhere")


def _required(does: Callable[[League], object]) -> Callable[[League], None]:
    def of(league: League) -> None:
        league.write(LEAGUE, 'name = "Oberhang League"\nsignatures = "required"\n')
        does(league)

    return of


def _signing(key: str = "aarwald", *more: str) -> Callable[[League], list[str]]:
    """Aarwald, which has not signed yet, signs with a key."""

    def does(league: League) -> list[str]:
        league.seal([league.sign("birkenfluh")])
        path = league.keys.get(key, Path(key))
        return ["sign", SHEET, "--key", os.fspath(path), *more]

    return does


def _then(does: Callable[[League], object], *words: str) -> Callable[[League], list[str]]:
    def of(league: League) -> list[str]:
        does(league)
        return [*words, "--key", os.fspath(league.keys["aarwald"])]

    return of


def _key_within(league: League) -> list[str]:
    inside = key(league.root, "aarwald")
    league.seal([league.sign("birkenfluh")])
    return ["sign", SHEET, "--key", os.fspath(inside)]


def _agent_gone(league: League) -> list[str]:
    league.seal([league.sign("birkenfluh")])
    league.keys["aarwald"].unlink()
    return ["sign", SHEET, "--key", f"{league.keys['aarwald']}.pub"]


def _unsealed(league: League) -> None:
    league.write(FIRST, FIRST_SHEET)


ANOTHER = CORRECTION._replace(on="2026-04-21", reason="again", changed=("home.points: 1 -> 2",))
ATTACKS = (
    # Whose key it is
    Attack("signed with the other club's key", "its key is of birkenfluh, not of aarwald",
           _by(key="birkenfluh")),
    Attack("signed with a stranger's key", NO_KEY, _by(key="nobody")),
    Attack("a stranger's signature with the club's key put into it", SOMETHING_ELSE,
           _with_key_of_aarwald),
    Attack("a third club signs", "cholgrabe is no club of this match", _third_club),
    Attack("the two signatures change places", "not of birkenfluh", _both_labels),
    Attack("two signatures of one club", "it is the second one of aarwald",
           lambda league: league.seal([*league.both(), league.sign("aarwald")])),
    Attack("one key for both clubs", "its key signed for aarwald already",
           _one_key),
    # When it is valid
    Attack("a key valid only later", "its key is valid from 2026-04-14 on",
           _lines('valid-after="20260414"')),
    Attack("a key valid only before", "its key is valid before 2026-04-13",
           _lines('valid-before="20260413"')),
    Attack("a key that lapsed at 11 in the morning of the day", "before 2026-04-13",
           _lines('valid-before="20260413110000Z"')),
    # What was signed
    Attack("the signatures of another sheet", SOMETHING_ELSE, _replayed),
    Attack("the sheet under another name", SOMETHING_ELSE, _renamed),
    Attack("the signatures from before a correction", SOMETHING_ELSE,
           lambda league: league.seal(league.both(), CORRECTED)),
    Attack("the correction taken out, its signatures left", SOMETHING_ELSE,
           lambda league: league.seal(league.both(CORRECTED))),
    Attack("another correction put behind the signed one", SOMETHING_ELSE,
           _resigned(CORRECTED, corrections=(CORRECTION, ANOTHER))),
    Attack("another reason", SOMETHING_ELSE, _corrected(reason="settled")),
    Attack("another one who corrected", SOMETHING_ELSE, _corrected(by="Lena Zauggg")),
    Attack("another day of the correction", SOMETHING_ELSE, _corrected(on="2026-04-19")),
    Attack("the clubs that agreed in another order", SOMETHING_ELSE,
           _corrected(agreed=("birkenfluh", "aarwald"))),
    Attack("another value before the correction", SOMETHING_ELSE,
           _corrected(changed=(CHANGED.replace("11 ->", "12 ->"),))),
    Attack("another change of the correction, of a place that is not there", SOMETHING_ELSE,
           _corrected(changed=(CHANGED, "winner: nothing -> nothing"))),
    Attack("another day of the seal", SOMETHING_ELSE, _resigned(AGREED, on="2026-04-14")),
    Attack("another home captain", SOMETHING_ELSE, _resigned(AGREED, home="Lena Zaugg")),
    Attack("another away captain", SOMETHING_ELSE, _resigned(AGREED, away="Rosa Sahli")),
    Attack("another one who signed", SOMETHING_ELSE,
           lambda league: league.seal(
               [each._replace(by="Rosa Sahli") for each in league.both()])),
    Attack("a name with a letter that only looks the same", SOMETHING_ELSE,
           _resigned(AGREED, home="Ruedi \u0410ebi")),
    Attack("a strike changed under the signatures", "(seal-broken)",
           lambda league: league.replace(FIRST, "[[18, 20]", "[[18, 4]")),
    Attack("a strike and the digest changed", SOMETHING_ELSE,
           _digest_too),
    Attack("a signature for another purpose", "it was made for another purpose, `git`",
           _by(namespace="git")),
    Attack("a signature over the text with CRLF", SOMETHING_ELSE,
           _by(text=AGREED.text("aarwald", "Ruedi Aebi").replace("\n", "\r\n"))),
    Attack("a signature over the text without its last line end", SOMETHING_ELSE,
           _by(text=AGREED.text("aarwald", "Ruedi Aebi").removesuffix("\n"))),
    # Lines that are none
    Attack("a line end in the name of who signs", SOMETHING_ELSE,
           lambda league: league.seal([
               league.sign("aarwald")._replace(by=f'Ruedi Aebi"\nsheet: "{SHEET}'),
               league.sign("birkenfluh")])),
    Attack("a line end in the reason", SOMETHING_ELSE,
           _corrected(reason=f'misread"\ncorrections.1.changed: "{CHANGED}')),
    Attack("a line end in the club of a signature", "(bad-identifier)",
           lambda league: league.seal(
               [each._replace(club=f"{each.club}\naarwald") for each in league.both()])),
    Attack("a pattern for the club of a signature", "(bad-identifier)",
           lambda league: league.seal([each._replace(club="*") for each in league.both()])),
    # The bytes of a signature
    Attack("a shortened signature", NOT_WHOLE, _signature(lambda text: text[:-8])),
    Attack("a lengthened signature", NOT_WHOLE,
           _signature(lambda text: base64.b64encode(base64.b64decode(text) + b"\0" * 4).decode())),
    Attack("a signature with its last byte changed", SOMETHING_ELSE,
           _signature(lambda text: _flipped(text, -1))),
    Attack("a signature of another version", NOT_WHOLE,
           _signature(lambda text: _flipped(text, 9))),
    Attack("a signature of half a megabyte", NOT_WHOLE, _signature(lambda text: "U1NI" * 125_000)),
    Attack("a signature with its first and last line", NOT_WHOLE,
           _signature(lambda text: f"-----BEGIN SSH SIGNATURE-----\n{text}")),
    Attack("an empty signature", "(bad-text)", _signature(lambda text: "")),
    # signers
    Attack("a key for every club", "`*` is not the identifier of a club", _lines(club="*")),
    Attack("a key for every club but one", "is not the identifier of a club",
           _lines(club="!birkenfluh,aarwald")),
    Attack("a club in quotes with a blank", "(bad-signers)", _lines(club='"aarwald birkenfluh"')),
    Attack("a carriage return in a line of `signers`", "(bad-text)",
           _lines(club="nobody\raarwald")),
    Attack("an unseen character in a club of `signers`", "(bad-text)",
           _lines(club="aar\u200fwald")),
    Attack("a key that vouches for others", "(cert-authority) do not count",
           _lines("cert-authority")),
    Attack("a key for another purpose", "the key is for `git` alone", _lines('namespaces="git"')),
    Attack("an option that nobody knows", "`no-touch` is not understood", _lines("no-touch")),
    Attack("a day that no calendar has", "`20260431` is not a day",
           _lines('valid-before="20260431"')),
    Attack("a private key in `signers`", "this is a private key",
           lambda league: league.write("signers", league.keys["nobody"].read_text("utf-8"))),
    Attack("a shortened key", "the key is not whole", _lines(key=public("aarwald")[:-4])),
    Attack("a key that says it is of another kind", "the key is not whole",
           _lines(key=public("aarwald").replace("ssh-ed25519", "ssh-rsa"))),
    Attack("`signers` as a link", "(not-a-file)", _linked),
    Attack("`signers` as a folder", "signers:1:1: error", _folder_of_signers),
    Attack("`signers` gone", NO_KEY, lambda league: (league.root / "signers").unlink()),
    Attack("a club that nobody registered in `signers`", "(unknown-club)",
           _signers(f"{SIGNERS}oberaar {public('nobody')}\n")),
    # OpenSSH itself
    Attack("no ssh-keygen", "2 signatures could not be checked, since OpenSSH is not installed",
           _missing, 0),
    Attack("no ssh-keygen where signatures are required", "signatures are required and cannot be",
           _required(_missing)),
    Attack("an ssh-keygen in the club folder", "since OpenSSH is not installed",
           _program("exit 0", within=True), 0),
    Attack("an ssh-keygen that says yes to everything", "cannot say whether",
           _program('echo \'Good "riesbuch" signature for aarwald with\''), 0),
    Attack("an ssh-keygen that says no to everything", "cannot say whether",
           _program("echo 'Could not verify signature.'; exit 255"), 0),
    Attack("an ssh-keygen too old to know of days", "cannot say whether",
           _program("echo 'unknown option -- O' >&2; exit 1"), 0),
    Attack("a signature taken out where it is required", "birkenfluh did not sign it",
           _required(lambda league: league.seal([league.sign("aarwald")]))),
    # Signing
    Attack("`sign` of a sheet that is not sealed", "is not sealed yet",
           _then(_unsealed, "sign", SHEET)),
    Attack("`sign` of a sheet changed since it was sealed", "was changed by hand",
           _then(lambda league: league.replace(FIRST, "[[18, 20]", "[[18, 4]"), "sign", SHEET)),
    Attack("`sign` a second time", "aarwald has signed this sheet already",
           _then(lambda league: None, "sign", SHEET)),
    Attack("`sign` with a key that stands nowhere", "has no line with the key", _signing("nobody")),
    Attack("`sign` for the other club", "its key is of aarwald, not of birkenfluh",
           _then(lambda league: league.seal([league.sign("aarwald")]), "sign", SHEET, "--club",
                 "birkenfluh")),
    Attack("`sign` with a key that lapsed", "its key is valid before 2026-04-13",
           _then(lambda league: (league.seal([]), _lines('valid-before="20260413"')(league)),
                 "sign", SHEET)),
    Attack("`sign` with a key whose name is an option", "there is no key",
           _signing("-oProxyCommand=touch x")),
    Attack("`sign` with a key that lies in the club folder", "lies in the club folder",
           _key_within),
    Attack("`sign` with the public half, and no agent", "OpenSSH did not sign", _agent_gone),
    Attack("`sign` with a line end in the name", "Ruedi Aebi sheet: x",
           _signing("aarwald", "--by", "Ruedi Aebi\nsheet: x"), 0),
)  # fmt: skip
