"""What signatures prove in a review. The keys and the league's demand are those of the base, or a
change could bring along the key that agrees to it."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.folder.archive import league_of, read_signers
from riesbuch.folder.club_folder import Kind, kind_of_path
from riesbuch.review.finding import find_openssh
from riesbuch.review.revisions import clubs_in, compare_revisions
from riesbuch.review.signatures import answers, signing_openssh, usable_key, verdicts
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError, UsageError, all_of
from riesbuch.trade.sealing import fits_seal
from riesbuch.trade.signing import (
    Agreement,
    Proof,
    Signer,
    agreed_questions,
    agreed_text,
    agreements,
    key_changes,
    lost_agreements,
    read_signature,
    signed_seal,
)

if TYPE_CHECKING:
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.review.changes import SheetChange
    from riesbuch.review.revisions import RevisionComparison
    from riesbuch.trade.ids import ClubId
    from riesbuch.trade.match import Match
    from riesbuch.trade.signing import KeyChange, SealVerdict


Tell = Callable[[str], None]


class SignedSheet(NamedTuple):
    """What the signatures of a sheet prove as it is now: ``clause`` says it of the clubs by name.
    An ``objection`` is why its change is not sanctioned for want of them."""

    proof: Proof
    signed_by: tuple[ClubId, ...]
    clause: str
    objection: str = ""


class Signatures(NamedTuple):
    """``sheets`` by path, of those whose seal is new or another one. ``keys`` are the changes of
    ``signers``, ``agreed`` the clubs that signed them with a key of before, ``lost`` those whose
    earlier agreement was taken out. ``demand`` is what the league asks for, before and after, where
    that differs, ``heirs`` are the clubs that carry on others and did not before, with these: they
    speak for them from here on. ``unable`` is why OpenSSH could not be asked."""

    sheets: Mapping[str, SignedSheet] = {}
    keys: tuple[KeyChange, ...] = ()
    agreed: frozenset[ClubId] = frozenset()
    lost: tuple[ClubId, ...] = ()
    demand: tuple[str, str] | None = None
    heirs: tuple[tuple[ClubId, tuple[ClubId, ...]], ...] = ()
    unable: str = ""

    @property
    def keys_not_agreed(self) -> tuple[KeyChange, ...]:
        """Those of clubs that had a key to agree with, and did not."""
        return tuple(key for key in self.keys if not key.is_first and key.club not in self.agreed)


def signatures_of(comparison: RevisionComparison, names: Mapping[str, str]) -> Signatures:
    """``names`` are those of the clubs by identifier."""
    base, head = comparison.base, comparison.head
    known, there = read_signers(base.folder).signers, read_signers(head.folder).signers
    before, after = (
        state.folder.content(state.folder.signers_file) or b"" for state in (base, head)
    )
    changed = key_changes(known, there)
    openssh = find_openssh(head.folder.root)
    asked = agreed_questions(before, after, known) if before != after else {}
    told, unable = (
        answers([one for each in asked.values() for one in each], openssh) if asked else ({}, "")
    )
    agreed = {club for club, each in asked.items() if any(told.get(one) for one in each)}
    sheets, why = _signed_sheets(comparison, names, known, there)
    return Signatures(
        sheets=sheets,
        keys=changed,
        agreed=frozenset(agreed),
        lost=lost_agreements(before, after, agreed),
        demand=_demand(comparison),
        heirs=tuple(_new_heirs(comparison)),
        unable=unable or why,
    )


def _demand(comparison: RevisionComparison) -> tuple[str, str] | None:
    first, second = (
        league_of(state.folder) if state.is_club else None
        for state in (comparison.base, comparison.head)
    )
    if first is None or second is None:
        return None
    before, after = (
        Message("not required")
        if league.signatures != "required"
        else Message("required from {year} on", year=str(league.signatures_from))
        if league.signatures_from
        else Message("required")
        for league in (first, second)
    )
    return None if before == after else (before, after)


def _new_heirs(comparison: RevisionComparison) -> Iterator[tuple[ClubId, tuple[ClubId, ...]]]:
    if all(kind_of_path(change.path).kind is not Kind.CLUB for change in comparison.files):
        return
    before, after = (
        {club.id: club.merged_from for club in clubs_in(state.folder)}
        for state in (comparison.base, comparison.head)
    )
    for club, former in sorted(after.items()):
        new = tuple(each for each in former if each not in before.get(club, ()))
        if new:
            yield club, new


def _signed_sheets(
    comparison: RevisionComparison,
    names: Mapping[str, str],
    known: tuple[Signer, ...],
    there: tuple[Signer, ...],
) -> tuple[dict[str, SignedSheet], str]:
    league = league_of(comparison.base.folder) if comparison.base.is_club else None
    sealed: dict[str, tuple[SheetChange, Match]] = {}
    for change in comparison.sheets:
        match = change.after.match if change.after is not None else None
        if match is not None and match.seal is not None and fits_seal(match):
            sealed[change.current.path] = change, match
    openssh = find_openssh(comparison.head.folder.root)
    old_keys, new_keys = ({signer.key for signer in signers} for signers in (known, there))
    seals = []
    for path, (_, match) in sealed.items():
        seal = signed_seal(match)
        # A key that only this change brings proves nothing yet, but is not wrong.
        counting = tuple(
            each
            for each in seal.signatures
            if (blob := read_signature(each.signature)) is None
            or blob.key in old_keys
            or blob.key not in new_keys
        )
        seals.append((path, seal._replace(signatures=counting)))
    # Who carries on whom is what the base says, or a new club could speak for an old one.
    heirs = tuple(clubs_in((comparison.head if league is None else comparison.base).folder))
    told = verdicts(seals, known, heirs, openssh)
    earlier = [
        (path, signed_seal(change.before.match))
        for path, (change, _) in sealed.items()
        if change.before is not None and change.before.match is not None
        and change.before.match.seal is not None and fits_seal(change.before.match)
    ]  # fmt: skip
    once = verdicts(earlier, known, heirs, openssh)
    found: dict[str, SignedSheet] = {}
    for path, verdict in told.by_path.items():
        change, match = sealed[path]
        required = league is not None and league.requires_signatures(match.season)
        found[path] = SignedSheet(
            verdict.proof,
            verdict.signed_by,
            verdict.clause(names),
            _objection(change, match, verdict, once.by_path.get(path), required, names),
        )
    return found, told.unable or once.unable


def _objection(
    change: SheetChange,
    match: Match,
    verdict: SealVerdict,
    before: SealVerdict | None,
    required: bool,
    names: Mapping[str, str],
) -> str:
    is_other = (
        change.before is None or change.before.match is None
        or change.before.match.seal != match.seal
        or change.before.match.corrections != match.corrections or change.renamed
    )  # fmt: skip
    if not is_other:
        return ""
    clause = verdict.clause(names)
    if verdict.proof is Proof.WRONG:
        return clause
    if required and verdict.proof is not Proof.SIGNED:
        return Message("signatures of both clubs are required, and it is {clause}", clause=clause)
    gone = [
        names.get(club, club)
        for club in (before.signed_by if before is not None else ())
        if club not in verdict.signed_by
    ]
    if gone and verdict.proof not in (Proof.UNCHECKED, Proof.SIGNED):
        return Message("{clubs} signed it before, and not as it is now", clubs=all_of(gone))
    return ""


class SignedKeys(NamedTuple):
    """The bytes of ``signers`` as they lie there, and with the remark that the club agreed."""

    club: ClubId
    before: bytes
    after: bytes


def with_agreement(
    folder: ClubFolder, key: Path, club: ClubId | None, on: datetime.date, tell: Tell
) -> SignedKeys:
    """The change of ``signers`` since the last commit, signed with the key in that file. Raises
    RiesbuchError where nothing changed, or where that key may not sign."""
    from riesbuch.review.git import Repository
    from riesbuch.review.openssh import fingerprint, sign

    openssh = signing_openssh(folder.root)
    key = usable_key(key, folder.root)
    repository = Repository.containing(folder.root, tell)
    if not repository.has_commits():
        raise RiesbuchError("nothing is committed yet, so `signers` has no change to agree to")
    base = compare_revisions(repository, folder, None, None).base.folder
    before, now = (each.content(each.signers_file) or b"" for each in (base, folder))
    known = read_signers(base).signers
    changed = {change.club for change in key_changes(known, read_signers(folder).signers)}
    if not changed:
        raise RiesbuchError("no key in `signers` is another one than in the last commit")
    held = fingerprint(openssh, key)
    may = sorted(
        {each.club for each in known if each.fingerprint == held and not each.valid_before}
    )
    if not may:
        raise RiesbuchError(
            "in the last commit `signers` has no line with the key {key} ({fingerprint}) that has"
            " no end; only such a key can agree to a change",
            key=key,
            fingerprint=held,
        )
    own = [each for each in may if each in changed] or may
    if club is None and len(own) > 1:
        raise UsageError(
            "the key is of {clubs}; tell with --club for which of them it signs", clubs=all_of(own)
        )
    club = club or own[0]
    if club not in may or club not in changed:
        raise RiesbuchError("no key of {club} changed that this one can agree to", club=club)
    kept = b"".join(
        line
        for line in now.splitlines(keepends=True)
        if all(each.club != club for each in agreements(line.rstrip(b"\r\n")))
    )
    end = b"" if not kept or kept.endswith(b"\n") else b"\n"
    signature = sign(openssh, key, agreed_text(club, on, before, kept))
    remark = Agreement(club, on, signature).line.encode("ascii")
    return SignedKeys(club, now, kept + end + remark + b"\n")
