"""Signatures of a seal and of a change of keys: what is signed, whose keys count, what it proves.

What is signed is a text of lines ``key: value``, each ended by a line feed (`signed_text`).
Whatever people may write freely stands in it as a JSON string in ASCII, so that no value can look
like a line of its own. The signature is OpenSSH's (PROTOCOL.sshsig), with the namespace
``riesbuch``. Only its mathematics is asked of OpenSSH, and asked elsewhere: here are the questions
and what their answers come to.

A club's agreement to a change of its own keys stands in ``signers`` itself, as a remark
``# agreed CLUB DAY SIGNATURE`` that OpenSSH passes over. What is signed are lines ``key: value``:
the digests of the whole file as it was, and without such remarks as it becomes. So it holds for
this one change alone: after the next the file is never again as it was, as long as the remark of
that next change stands in it.
"""

import base64
import binascii
import datetime
import json
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from typing import NamedTuple

from riesbuch.trade.ids import ClubId, Position, SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.people import Club
from riesbuch.trade.problems import all_of
from riesbuch.trade.sealing import cells_before, clubs_of, digest_of, missing_agreement

NAMESPACE = "riesbuch"
LONGEST_SIGNATURE = 8_192
"""In characters of base64; one by an RSA key of 16,384 bits has 5,700."""

_MAGIC = b"SSHSIG"


class Signer(NamedTuple):
    """A key that may sign for a club; ``key`` is base64 as in a file ``.pub``. A day counts where
    its noon, in UTC, is within the bounds."""

    club: ClubId
    kind: str
    key: str
    valid_after: datetime.datetime | None
    valid_before: datetime.datetime | None
    position: Position

    def is_valid_on(self, day: datetime.date) -> bool:
        noon = noon_of(day)
        return (self.valid_after is None or noon >= self.valid_after) and (
            self.valid_before is None or noon <= self.valid_before
        )

    @property
    def fingerprint(self) -> str:
        """As OpenSSH shows it: ``SHA256:…``."""
        from hashlib import sha256

        digest = sha256(base64.b64decode(self.key)).digest()
        return f"SHA256:{base64.b64encode(digest).decode().rstrip('=')}"

    @property
    def line(self) -> str:
        """The one spelling of its line in ``signers``."""
        options = [f'namespaces="{NAMESPACE}"']
        for option, bound in (
            ("valid-after", self.valid_after),
            ("valid-before", self.valid_before),
        ):
            if bound is not None:
                options.append(f'{option}="{bound:%Y%m%d%H%M%S}"')
        return f"{self.club} {','.join(options)} {self.kind} {self.key}"


def noon_of(day: datetime.date) -> datetime.datetime:
    """When a key must be valid to sign a seal of that day."""
    return datetime.datetime.combine(day, datetime.time(12))


class PlacedSignature(NamedTuple):
    club: ClubId
    by: str
    signature: str
    position: Position


class SignedSeal(NamedTuple):
    """A seal that holds, with all that its signatures depend on. ``statement`` is the signed text
    but for its first lines, which name who signs; ``meeting`` are the clubs of the match."""

    sheet: SheetId
    on: datetime.date
    meeting: tuple[ClubId, ...]
    statement: str
    signatures: tuple[PlacedSignature, ...]
    position: Position


def signed_seal(match: Match) -> SignedSeal:
    """The seal of a sheet that it fits."""
    assert match.seal is not None
    return SignedSeal(
        sheet=match.sheet,
        on=match.seal.on,
        meeting=clubs_of(match),
        statement=statement(match) if match.seal.signatures else "",
        signatures=tuple(
            PlacedSignature(*signature, match.position(f"seal.signatures.{number}"))
            for number, signature in enumerate(match.seal.signatures, start=1)
        ),
        position=match.position("seal"),
    )


def statement(match: Match) -> str:
    """What both clubs sign alike of a sheet that is sealed."""
    seal = match.seal
    assert seal is not None
    corrections = match.corrections
    before = digest_of(cells_before(match, corrections[-1:])) if corrections else "-"
    lines = [
        f"sheet: {_quoted(match.sheet)}",
        f"digest: {seal.digest.lower()}",
        f"previous: {before}",
        f"on: {seal.on}",
        f"home: {_quoted(seal.home)}",
        f"away: {_quoted(seal.away)}",
    ]
    for number, entry in enumerate(corrections, start=1):
        place = f"corrections.{number}"
        lines += [f"{place}.on: {entry.on}", f"{place}.by: {_quoted(entry.by)}"]
        lines += [f"{place}.agreed: {_quoted(club)}" for club in entry.agreed]
        lines += [f"{place}.reason: {_quoted(entry.reason)}"]
        lines += [f"{place}.changed: {_quoted(change)}" for change in entry.changed]
    return "".join(f"{line}\n" for line in lines)


def signed_text(stated: str, club: str, by: str) -> str:
    """The text that ``by`` signs for the club, of what `statement` gives."""
    return f"riesbuch signature 1\nclub: {club}\nby: {_quoted(by)}\n{stated}"


def _quoted(text: str) -> str:
    return json.dumps(text)


class Blob(NamedTuple):
    """What a signature says of itself; ``key`` as of `Signer`."""

    key: str
    namespace: str


def read_signature(signature: str) -> Blob | None:
    """None for what is no signature of OpenSSH's, whole and in one line of base64."""
    if len(signature) > LONGEST_SIGNATURE:
        return None
    try:
        data = base64.b64decode(signature.encode("ascii"), validate=True)
        if data[:10] != _MAGIC + b"\0\0\0\1" or base64.b64encode(data).decode() != signature:
            return None
        key, namespace, _, _, _ = _strings(data[10:])
        return Blob(base64.b64encode(key).decode(), namespace.decode("utf-8"))
    except (ValueError, binascii.Error):
        return None


def _strings(data: bytes) -> Iterator[bytes]:
    """Those that ``data`` is made of, each behind its length; raises ValueError."""
    while data:
        length = int.from_bytes(data[:4], "big")
        if len(data) < 4 + length:
            raise ValueError
        yield data[4 : 4 + length]
        data = data[4 + length :]


def kind_of_key(key: str) -> str:
    """The type that a public key in base64 says it is, as ``ssh-ed25519``; empty for none."""
    try:
        kind, *others = _strings(base64.b64decode(key.encode("ascii"), validate=True))
        return kind.decode("ascii") if others else ""
    except ValueError:
        return ""


def armoured(signature: str) -> str:
    """The signature as OpenSSH keeps it in a file."""
    lines = [signature[at : at + 70] for at in range(0, len(signature), 70)]
    return "\n".join(["-----BEGIN SSH SIGNATURE-----", *lines, "-----END SSH SIGNATURE-----", ""])


def unarmoured(text: str) -> str:
    """The base64 between its first and last line."""
    return "".join(line for line in text.splitlines() if not line.startswith("-----"))


class Question(NamedTuple):
    """What OpenSSH is asked: whether ``signature`` is of the ``text``, by a key that one of the
    ``lines`` gives to the club, valid on that day."""

    club: ClubId
    text: str
    signature: str
    on: datetime.date
    lines: tuple[str, ...]


Answers = Mapping[Question, bool]


class Proof(StrEnum):
    """What the signatures of a seal prove."""

    SIGNED = "signed"
    PARTLY = "partly signed"
    NAMED = "named only"
    WRONG = "wrong"
    UNCHECKED = "unchecked"


class JudgedSignature(NamedTuple):
    """``wrong`` says in a clause why it is none, ``hint`` what to do; empty where nothing is wrong
    with it. It is not ``checked`` where OpenSSH could not be asked."""

    placed: PlacedSignature
    wrong: str = ""
    hint: str = ""
    checked: bool = True

    @property
    def is_good(self) -> bool:
        return self.checked and not self.wrong


class SealVerdict(NamedTuple):
    """``missing`` are the clubs of the match for which nobody has signed well."""

    seal: SignedSeal
    signatures: tuple[JudgedSignature, ...]
    missing: tuple[ClubId, ...]

    @property
    def proof(self) -> Proof:
        if any(signature.wrong for signature in self.signatures):
            return Proof.WRONG
        if not all(signature.checked for signature in self.signatures):
            return Proof.UNCHECKED
        if not self.signatures:
            return Proof.NAMED
        return Proof.PARTLY if self.missing else Proof.SIGNED

    @property
    def signed_by(self) -> tuple[ClubId, ...]:
        return tuple(each.placed.club for each in self.signatures if each.is_good)

    def clause(self, names: Mapping[str, str]) -> str:
        """In a clause; clubs are called by their ``names``."""
        proof = self.proof
        signed = [names.get(club, club) for club in self.signed_by]
        if proof is Proof.SIGNED:
            return Message("signed by {clubs}", clubs=all_of(signed))
        if proof is Proof.PARTLY:
            missing = [names.get(club, club) for club in self.missing]
            return Message(
                "signed by {clubs}, not by {others}", clubs=all_of(signed), others=all_of(missing)
            )
        if proof is Proof.WRONG:
            wrong = [names.get(each.placed.club, each.placed.club) for each in self.signatures
                     if each.wrong]  # fmt: skip
            return Message("the signature of {clubs} is wrong", clubs=all_of(wrong))
        if proof is Proof.UNCHECKED:
            return Message("named only, since the signatures could not be checked")
        return Message("named only, not signed")


def questions(
    seal: SignedSeal, signers: Sequence[Signer], clubs: Iterable[Club]
) -> Iterator[Question]:
    """What is to be asked before `judge` can tell."""
    for signature, (wrong, _) in zip(
        seal.signatures, _wrong_by_itself(seal, signers, clubs), strict=True
    ):
        if not wrong:
            yield _question(seal, signature, signers)


def judge(
    seal: SignedSeal, signers: Sequence[Signer], clubs: Iterable[Club], answers: Answers
) -> SealVerdict:
    """What the signatures prove, by the keys of the ``signers``; one that there is no answer about
    is not checked. ``clubs`` tell which carry on others."""
    clubs = tuple(clubs)
    judged: list[JudgedSignature] = []
    for signature, (wrong, hint) in zip(
        seal.signatures, _wrong_by_itself(seal, signers, clubs), strict=True
    ):
        fits = None if wrong else answers.get(_question(seal, signature, signers))
        if fits is False:
            wrong = Message(
                "it is of something else: the sheet, its name or place, its day, captains or"
                " corrections were other ones when it was made"
            )
            hint = Message("take the change back, or take the signature out and sign anew")
        judged.append(JudgedSignature(signature, wrong, hint, bool(wrong) or fits is not None))
    good = [each.placed.club for each in judged if each.is_good]
    return SealVerdict(seal, tuple(judged), missing_agreement(seal.meeting, good, clubs))


def _question(seal: SignedSeal, signature: PlacedSignature, signers: Sequence[Signer]) -> Question:
    blob = read_signature(signature.signature)
    lines = [
        signer.line
        for signer in signers
        if blob and signer.key == blob.key and signer.club == signature.club
        and signer.is_valid_on(seal.on)
    ]  # fmt: skip
    text = signed_text(seal.statement, signature.club, signature.by)
    return Question(signature.club, text, signature.signature, seal.on, tuple(sorted({*lines})))


def speaks_for(
    club: ClubId, meeting: Sequence[ClubId], clubs: Iterable[Club]
) -> tuple[ClubId, ...]:
    """Those of the ``meeting`` clubs that it is, or whose history it carries on."""
    missing = missing_agreement(meeting, [club], clubs)
    return tuple(each for each in meeting if each not in missing)


def _wrong_by_itself(
    seal: SignedSeal, signers: Sequence[Signer], clubs: Iterable[Club]
) -> Iterator[tuple[str, str]]:
    """Of each signature why it is wrong and what to do, as far as that shows without OpenSSH."""
    clubs = tuple(clubs)
    by_key: dict[str, ClubId] = {}
    signed: set[ClubId] = set()
    for signature in seal.signatures:
        club, blob = signature.club, read_signature(signature.signature)
        wrong: str = ""
        again: str = Message("take it out, and sign anew with `riesbuch sign`")
        if not speaks_for(club, seal.meeting, clubs):
            wrong = Message("{club} is no club of this match", club=club)
            again = Message("the match was of {clubs}", clubs=all_of(seal.meeting))
        elif club in signed:
            wrong, again = Message("it is the second one of {club}", club=club), _KEEP_ONE
        elif blob is None:
            wrong = Message("it is not whole, or no signature of OpenSSH's at all")
        elif blob.namespace != NAMESPACE:
            wrong = Message(
                "it was made for another purpose, `{namespace}`", namespace=blob.namespace
            )
        elif by_key.get(blob.key, club) != club:
            wrong = Message("its key signed for {club} already", club=by_key[blob.key])
            again = Message("each club signs with a key of its own")
        else:
            wrong, again = key_objection(blob.key, club, seal.on, signers)
        signed.add(club)
        if blob is not None:
            by_key.setdefault(blob.key, club)
        yield wrong, again if wrong else ""


_KEEP_ONE = Message("keep the one that is right")


def key_objection(
    key: str, club: ClubId, on: datetime.date, signers: Sequence[Signer]
) -> tuple[str, str]:
    """Why a key may not sign for the club on that day, and what to do; empty where it may."""
    own = [signer for signer in signers if signer.key == key]
    of_club = [signer for signer in own if signer.club == club]
    if not own:
        return (
            Message("`signers` has no such key"),
            Message(
                "put its line there: {club}, then what stands in the key's file .pub", club=club
            ),
        )
    if not of_club:
        others = sorted({signer.club for signer in own})
        return (
            Message("by `signers` its key is of {others}, not of {club}", others=all_of(others),
                    club=club),
            Message("sign with a key of {club}", club=club),
        )  # fmt: skip
    if any(signer.is_valid_on(on) for signer in of_club):
        return "", ""
    bounds = [valid_times(signer.valid_after, signer.valid_before) for signer in of_club]
    return (
        Message("its key is valid {bounds}, and the seal is of {on}", bounds=all_of(bounds), on=on),
        Message("sign with the key that was valid then"),
    )


def valid_times(after: datetime.datetime | None, before: datetime.datetime | None) -> str:
    """When a key is valid, in a clause: "from 2026-01-01 on"."""
    first, last = (None if bound is None else f"{bound:%Y-%m-%d}" for bound in (after, before))
    if first and last:
        return Message("from {first} to before {last}", first=first, last=last)
    if first:
        return Message("from {first} on", first=first)
    return Message("before {last}", last=last) if last else Message("on every day")


_AGREED = re.compile(
    rb"# agreed ([a-z0-9-]{1,100}) (\d{4}-\d\d-\d\d) ([A-Za-z0-9+/]{1,8192}={0,2})[ \t]*"
)

Bounds = tuple[datetime.datetime | None, datetime.datetime | None]


class KeyChange(NamedTuple):
    """A key of a club that came, went, or is valid at other times; empty bounds where it is not
    there. It ``is_first`` where no key of the club was known before."""

    club: ClubId
    fingerprint: str
    before: tuple[Bounds, ...]
    after: tuple[Bounds, ...]
    is_first: bool


class Agreement(NamedTuple):
    """What a remark in ``signers`` says; whether it holds is asked of OpenSSH."""

    club: ClubId
    on: datetime.date
    signature: str

    @property
    def line(self) -> str:
        return f"# agreed {self.club} {self.on} {self.signature}"


def key_changes(before: Sequence[Signer], after: Sequence[Signer]) -> tuple[KeyChange, ...]:
    """Each key of each club whose times differ, whatever the order of the lines."""
    known = {signer.club for signer in before}
    old, new = _times(before), _times(after)
    changed = sorted(key for key in {**old, **new} if old.get(key) != new.get(key))
    return tuple(
        KeyChange(club, print_, old.get((club, print_), ()), new.get((club, print_), ()),
                  club not in known)
        for club, print_ in changed
    )  # fmt: skip


def _times(signers: Iterable[Signer]) -> dict[tuple[ClubId, str], tuple[Bounds, ...]]:
    found: dict[tuple[ClubId, str], set[Bounds]] = {}
    for signer in signers:
        bounds = signer.valid_after, signer.valid_before
        found.setdefault((signer.club, signer.fingerprint), set()).add(bounds)
    return {key: tuple(sorted(bounds, key=repr)) for key, bounds in found.items()}


def agreements(content: bytes) -> tuple[Agreement, ...]:
    """The remarks of ``signers`` that say that a club agreed."""
    found = []
    for line in _lines(content):
        remark = _AGREED.fullmatch(line)
        if remark is not None:
            club, day, signature = (part.decode("ascii") for part in remark.groups())
            try:
                on = datetime.date.fromisoformat(day)
            except ValueError:
                continue
            found.append(Agreement(ClubId(club), on, signature))
    return tuple(found)


def agreed_text(club: ClubId, on: datetime.date, before: bytes, after: bytes) -> str:
    """The text that a club signs to agree that ``signers`` becomes ``after``."""
    return (
        f"riesbuch signers 1\nclub: {club}\non: {on}\n"
        f"previous: {_digest(_lines(before))}\n"
        f"signers: {_digest(line for line in _lines(after) if not _AGREED.fullmatch(line))}\n"
    )


def _lines(content: bytes) -> list[bytes]:
    return content.replace(b"\r\n", b"\n").split(b"\n")


def _digest(lines: Iterable[bytes]) -> str:
    from hashlib import sha256

    return sha256(b"".join(line + b"\n" for line in lines if line.strip())).hexdigest()


def lost_agreements(before: bytes, after: bytes, agreed: Collection[ClubId]) -> tuple[ClubId, ...]:
    """The clubs whose remark is gone that did not put a new one in its place: without it an
    earlier agreement could be used once more."""
    left = set(agreements(before)) - set(agreements(after))
    return tuple(sorted({each.club for each in left if each.club not in agreed}))


def agreed_questions(
    before: bytes, after: bytes, known: Sequence[Signer]
) -> dict[ClubId, list[Question]]:
    """What is to be asked of OpenSSH before a club counts as having agreed. Only a key counts that
    was ``known`` before and has no end: one that has may be in other hands by now."""
    asked: dict[ClubId, list[Question]] = {}
    for each in agreements(after):
        blob = read_signature(each.signature)
        lines = [
            signer.line
            for signer in known
            if blob and blob.namespace == NAMESPACE and signer.key == blob.key
            and signer.club == each.club and signer.valid_before is None
            and signer.is_valid_on(each.on)
        ]  # fmt: skip
        if lines:
            text = agreed_text(each.club, each.on, before, after)
            question = Question(each.club, text, each.signature, each.on, tuple(sorted(lines)))
            asked.setdefault(each.club, []).append(question)
    return asked
