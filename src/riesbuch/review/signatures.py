"""What the signatures of a folder's seals prove. OpenSSH is asked about each of them once; what it
said is kept in the index by all that it depends on."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.folder.club_folder import LEAGUE_FILE, ClubFolder
from riesbuch.index.index import Index
from riesbuch.index.packed import PackedProblem, pack_problems, unpack_problems
from riesbuch.index.store import digest_of
from riesbuch.review.finding import OpenSsh, find_openssh
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Problem, RiesbuchError, UsageError, all_of, finding

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.text.league import League
    from riesbuch.trade.agreement import Signature
    from riesbuch.trade.ids import ClubId
    from riesbuch.trade.match import Match
    from riesbuch.trade.people import Club
    from riesbuch.trade.signing import Question, SealVerdict, SignedSeal, Signer


class Verdicts(NamedTuple):
    """By the path of each sheet. ``unable`` says in a clause why OpenSSH could not be asked, empty
    where it could or need not be."""

    by_path: Mapping[str, SealVerdict]
    unable: str = ""


class Memory(NamedTuple):
    """What OpenSSH said before of the signatures under a name, as a year."""

    kept_in: Index
    name: str


def verdicts(
    seals: Sequence[tuple[str, SignedSeal]],
    signers: Sequence[Signer],
    clubs: Iterable[Club],
    openssh: OpenSsh | None,
    memory: Memory | None = None,
) -> Verdicts:
    """What the signatures of these seals prove, by the keys of the ``signers``, be they those of
    the folder or of another revision."""
    from riesbuch.trade.signing import judge, questions

    clubs = tuple(clubs)
    asked = [each for _, seal in seals for each in questions(seal, signers, clubs)]
    told, unable = answers(asked, openssh, memory) if asked else ({}, "")
    return Verdicts({path: judge(seal, signers, clubs, told) for path, seal in seals}, unable)


def answers(
    asked: Sequence[Question], openssh: OpenSsh | None, memory: Memory | None = None
) -> tuple[dict[Question, bool], str]:
    """What OpenSSH says of each, and why not of all, in a clause."""
    from riesbuch.review.openssh import unable, verify

    kind = f"answers about signatures, {memory.name}" if memory is not None else ""
    # What another program said once is as good, if it could be trusted at all.
    kept = memory.kept_in.recall(kind, b"") if memory is not None else None
    known: dict[str, bool] = json.loads(kept or "{}")
    keys = {question: digest_of(repr(question).encode()).hex() for question in asked}
    missing = [question for question, key in keys.items() if key not in known]
    why = unable(openssh) if missing or openssh is None else ""
    if missing and openssh is not None and not why:
        told = verify(openssh, missing)
        known |= {keys[question]: answer for question, answer in told.items()}
        if memory is not None and memory.kept_in.is_kept:
            now = {key: known[key] for key in keys.values() if key in known}
            memory.kept_in.remember(kind, b"", json.dumps(now))
        if len(told) < len(missing):
            why = Message("{program} gave no answer", program=openssh.program)
    return {question: known[key] for question, key in keys.items() if key in known}, why


class _Kept(NamedTuple):
    """What is kept of a season that has this ``basis``: the program that was asked, None where
    none needs to be; how many signatures were not checked, and why."""

    basis: str
    program: str | None
    unchecked: int
    unable: str
    problems: list[PackedProblem]


_KEPT = "problems with signatures"


def signature_problems(
    folder: ClubFolder, index: Index, years: Sequence[int]
) -> tuple[list[Problem], Message | None]:
    """The problems with signatures in these seasons, which the index has just looked at, and a
    note where some could not be checked."""
    from riesbuch.trade.messages import unpacked

    payload = index.recall(_KEPT, b"")
    known = {year: _Kept(*kept) for year, kept in json.loads(payload or "{}").items()}
    kept = {str(year): known.get(str(year)) for year in years}
    program = _identity(folder) if any(each and each.program for each in kept.values()) else None
    missing = [
        int(year)
        for year, each in kept.items()
        if each is None
        or each.basis != index.basis(year).hex()
        or each.program not in (None, program)
    ]
    if missing:
        known |= {str(year): each for year, each in _worked_out(folder, index, missing)}
        there = {*map(str, folder.years())}
        if index.is_kept:
            kept_now = {year: each for year, each in known.items() if year in there}
            index.remember(_KEPT, b"", json.dumps(kept_now))
    found = [known[str(year)] for year in years]
    unchecked = sum(each.unchecked for each in found)
    note = None
    if unchecked:
        note = Message.plural(
            unchecked,
            "{count:,} signature could not be checked, since {why}; the seal counts as named only",
            "{count:,} signatures could not be checked, since {why}; the seals count as named only",
            why=unpacked(next(each.unable for each in found if each.unable)),
        )
    problems = [problem for each in found for problem in unpack_problems(each.problems)]
    return list(dict.fromkeys(problems)), note


def _worked_out(
    folder: ClubFolder, index: Index, years: Sequence[int]
) -> Iterator[tuple[int, _Kept]]:
    from riesbuch.trade.messages import packed

    archive = index.archive(())
    for year in years:
        told = season_verdicts(folder, index, archive, year)
        signatures = [each for verdict in told.by_path.values() for each in verdict.signatures]
        yield (
            year,
            _Kept(
                basis=index.basis(str(year)).hex(),
                program=_identity(folder) if signatures else None,
                unchecked=sum(not signature.checked for signature in signatures),
                unable=packed(told.unable),
                problems=pack_problems(_problems(told, archive.league, year)),
            ),
        )


def _identity(folder: ClubFolder) -> str:
    found = find_openssh(folder.root)
    return found.identity if found is not None else ""


def season_verdicts(folder: ClubFolder, index: Index, archive: Archive, year: int) -> Verdicts:
    """What the signatures of a season prove by the folder's own signers; the index has just looked
    at it."""
    from riesbuch.folder.archive import read_signers

    seals = index.seals(year)
    is_signed = any(seal.signatures for _, seal in seals)
    if not is_signed and not archive.league.requires_signatures(year):
        return Verdicts({})
    return verdicts(
        seals,
        read_signers(folder).signers if is_signed else (),
        archive.register.clubs.values(),
        find_openssh(folder.root) if is_signed else None,
        Memory(index, str(year)),
    )


def _problems(told: Verdicts, league: League, year: int) -> Iterator[Problem]:
    from riesbuch.trade.signing import Proof

    required = league.requires_signatures(year)
    for path, verdict in told.by_path.items():
        for signature in verdict.signatures:
            if signature.wrong:
                yield finding(
                    signature.placed.position,
                    "wrong-signature",
                    "the signature of {club} is wrong: {why}",
                    signature.hint,
                    club=signature.placed.club,
                    why=signature.wrong,
                ).in_file(path)
        if required and verdict.proof is Proof.UNCHECKED:
            yield finding(
                (1, 1),
                "unsigned",
                "signatures are required and cannot be checked, since {why}",
                "install OpenSSH, or ask somebody who has it to run `riesbuch check`",
                why=told.unable,
            ).in_file(LEAGUE_FILE)
        elif required and verdict.missing and verdict.proof is not Proof.WRONG:
            yield finding(
                verdict.seal.position,
                "unsigned",
                "the seal is to be signed by both clubs, and {clubs} did not sign it",
                Message(
                    "whoever has the club's key types `riesbuch sign {sheet} --key KEY`",
                    sheet=verdict.seal.sheet,
                ),
                clubs=all_of(verdict.missing),
            ).in_file(path)


class Sealed(NamedTuple):
    """A sheet that its seal fits, and what is known of the clubs and their keys."""

    match: Match
    clubs: Sequence[Club]
    signers: Sequence[Signer]


def signed_with(
    sealed: Sealed, root: Path, key: Path, club: ClubId | None, by: str | None
) -> Signature:
    """A signature of the sheet with the key in that file, for ``club``, which is found by
    ``signers`` where it is not given, by its captain where nobody is named. It is tried before it
    is returned. Raises RiesbuchError where the key may not sign, or does not."""
    from riesbuch.review.openssh import fingerprint, sign
    from riesbuch.trade.agreement import Signature
    from riesbuch.trade.signing import signed_text, statement

    openssh = signing_openssh(root)
    key = usable_key(key, root)
    own = _lines_of(sealed, fingerprint(openssh, key), key)
    club = _club_of(sealed, own, club)
    if by is None:
        by = _captain(sealed, club)
    text = signed_text(statement(sealed.match), club, by)
    signature = Signature(club, by, sign(openssh, key, text))
    assert sealed.match.seal is not None
    seal = sealed.match.seal._replace(signatures=(*sealed.match.seal.signatures, signature))
    told = verdict_of(sealed._replace(match=replace(sealed.match, seal=seal)), root)
    wrong = told.by_path[""].signatures[-1].wrong
    if wrong:
        raise RiesbuchError("nothing was signed: {why}", why=wrong)
    if told.unable:
        raise RiesbuchError("nothing was signed, since {why}", why=told.unable)
    return signature


def signing_openssh(root: Path) -> OpenSsh:
    """Raises RiesbuchError where there is none that can tell what it signed."""
    from riesbuch.review.openssh import unable

    openssh = find_openssh(root)
    why = unable(openssh)
    if openssh is None or why:
        raise RiesbuchError("nothing was signed, since {why}", why=why)
    return openssh


def usable_key(key: Path, root: Path) -> Path:
    """Its whole path; raises RiesbuchError where it is not there, or private within the folder."""
    key = key.expanduser().resolve()
    if not key.is_file():
        raise UsageError(
            "there is no key {key}; `riesbuch guide sealing` shows how to make one", key=key
        )
    if root in key.parents and key.suffix != ".pub":
        raise RiesbuchError(
            "{key} lies in the club folder, where others get it too; move it out, as to ~/.ssh, and"
            " where it was handed on already, make a new one",
            key=key,
        )
    return key


def verdict_of(sealed: Sealed, root: Path) -> Verdicts:
    """Of one sheet, whose path is empty here; nothing is remembered."""
    from riesbuch.trade.signing import signed_seal

    seals = [("", signed_seal(sealed.match))]
    return verdicts(seals, sealed.signers, sealed.clubs, find_openssh(root))


def _lines_of(sealed: Sealed, fingerprint: str, key: Path) -> list[Signer]:
    own = [signer for signer in sealed.signers if signer.fingerprint == fingerprint]
    if not own:
        raise RiesbuchError(
            "`signers` has no line with the key {key} ({fingerprint}); whoever keeps the folder"
            " puts one there: the club, then what stands in {public}",
            key=key,
            fingerprint=fingerprint,
            public=f"{str(key).removesuffix('.pub')}.pub",
        )
    return own


def _club_of(sealed: Sealed, own: Sequence[Signer], wanted: ClubId | None) -> ClubId:
    """For which club one signs who has these lines of ``signers``."""
    from riesbuch.trade.sealing import clubs_of
    from riesbuch.trade.signing import key_objection, speaks_for

    meeting = clubs_of(sealed.match)
    its = sorted({signer.club for signer in own})
    may = [club for club in its if speaks_for(club, meeting, sealed.clubs)]
    if wanted is None and len(may) > 1:
        raise UsageError(
            "the key is of {clubs}; tell with --club for which of them it signs", clubs=all_of(may)
        )
    club = wanted or next(iter(may), its[0])
    if not speaks_for(club, meeting, sealed.clubs):
        raise RiesbuchError(
            "{club} is no club of this match, which was of {clubs}; nothing was signed",
            club=club,
            clubs=all_of(meeting),
        )
    seal = sealed.match.seal
    assert seal is not None
    if club in [signature.club for signature in seal.signatures]:
        raise RiesbuchError("{club} has signed this sheet already; nothing was signed", club=club)
    why, hint = key_objection(own[0].key, club, seal.on, sealed.signers)
    if why:
        raise RiesbuchError("nothing was signed: {why}; {hint}", why=why, hint=hint)
    return club


def _captain(sealed: Sealed, club: ClubId) -> str:
    """The one who agreed for the side of the club."""
    from riesbuch.trade.sealing import clubs_of
    from riesbuch.trade.signing import speaks_for

    seal = sealed.match.seal
    assert seal is not None
    meeting = clubs_of(sealed.match)
    is_home = meeting[0] in speaks_for(club, meeting, sealed.clubs)
    return seal.home if is_home else seal.away
