"""A change of the keys that sign for clubs, and what a club signs to agree to a change of its own.

The agreement stands in ``signers`` itself, as a remark ``# agreed CLUB DAY SIGNATURE`` that OpenSSH
passes over. What is signed are lines ``key: value``: the digests of the whole file as it was, and
without such remarks as it becomes. So it holds for this one change alone: after the next the file
is never again as it was, as long as the remark of that next change stands in it.
"""

import datetime
import hashlib
import re
from collections.abc import Collection, Iterable, Sequence
from typing import NamedTuple

from riesbuch.trade.ids import ClubId
from riesbuch.trade.signing import NAMESPACE, Question, Signer, read_signature

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
    return hashlib.sha256(b"".join(line + b"\n" for line in lines if line.strip())).hexdigest()


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
