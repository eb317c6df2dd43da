"""What is written under a sheet: the seal, and a correction to a sealed one with its new seal."""

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from riesbuch.text.editing import Written, edited, with_item
from riesbuch.text.nodes import Entries, Items, Node
from riesbuch.text.record_text import with_long_rows
from riesbuch.text.sheet import read_sheet
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.agreement import Signature
from riesbuch.trade.cells import CellChange, changed_cells, deciding_cells, remark_cells
from riesbuch.trade.match import PLAYER_KEYS, Match
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Finding, RiesbuchError, UsageError, did_you_mean
from riesbuch.trade.sealing import clubs_of, fits_seal, seal_digest, too_early, write_change
from riesbuch.trade.strikes import read_strike


@dataclass(frozen=True, slots=True, kw_only=True)
class Signatures:
    """The captains' names and the day they agreed."""

    on: datetime.date
    home: str
    away: str


def with_seal(content: bytes, match: Match, signed: Signatures) -> bytes:
    """``content``, which reads whole as ``match``, with a seal over what it says; one that is
    there is written anew in its own layout. Raises UsageError where nobody can have agreed on that
    day, RiesbuchError where the text cannot be changed."""
    entry = {
        "on": signed.on.isoformat(),
        "home": signed.home,
        "away": signed.away,
        "digest": seal_digest(match),
    }
    text = content.decode("utf-8")
    if match.seal is None:
        new = edited(text, {"seal": entry})
    else:
        new = edited(text, {f"seal.{key}": value for key, value in entry.items()})
        if match.seal.signatures:
            # They are of what was sealed before.
            new = edited(new, {"seal.signatures": None})
    sealed = new.encode("utf-8")
    reading = read_sheet(sealed, match.sheet, match.season, lambda *_: match.read_by)
    if reading.findings or reading.match is None or not fits_seal(reading.match):
        raise AssertionError(f"the seal of {match.sheet} does not fit as it was written")
    replaced = match.seal
    newest = len(match.corrections) if replaced is not None else 0
    before = [
        early.what for early in too_early(reading.match) if newest and early.correction == newest
    ]
    if replaced is not None and replaced.on is not None and signed.on < replaced.on:
        before.append(Message("the seal of {on} that it replaces", on=replaced.on))
    if before:
        raise UsageError(
            "{on} is before {what}; give the day on which both clubs agreed with"
            " --on, and nothing was written",
            on=signed.on,
            what=before[0],
        )
    return sealed


def with_signature(content: bytes, match: Match, signature: Signature) -> tuple[bytes, Match]:
    """``content``, which reads whole as the sealed ``match``, with one more signature under its
    seal, the home club's first, and read again; the seal then stands in lines of its own. Raises
    RiesbuchError where the text cannot be changed."""
    seal = match.seal
    assert seal is not None
    order = clubs_of(match)
    signatures = [*seal.signatures, signature]
    signatures.sort(key=lambda each: order.index(each.club) if each.club in order else len(order))
    entry: dict[str, Written] = {
        **{key: str(getattr(seal, key)) for key in ("on", "home", "away", "digest")},
        "signatures": [each._asdict() for each in signatures],
    }
    text = edited(edited(content.decode("utf-8"), {"seal": None}), {"seal": entry})
    signed = _read(text, match)
    if signed != replace(match, seal=seal._replace(signatures=tuple(signatures))):
        raise AssertionError(f"the signature of {match.sheet} does not stand as it was written")
    return text.encode("utf-8"), signed


_TOP_PLACES = ("outcome", "awarded", "counts", "winner")
_ID = "[a-z0-9]+(?:-[a-z0-9]+)*"
_MAY_BE_ADDED = re.compile(
    r"(?:home|away)\.(?:(?:paper\.)?(?:points|nummern|ries)"
    rf"|(?:{'|'.join(PLAYER_KEYS)})\.{_ID})"
)
_NEXT_ITEM = re.compile(r"((?:home|away)\.(?:(?:paper\.)?ries|replacements))\.([0-9]+)")


class CellOrder(NamedTuple):
    """What is to stand at a place; None where it is to be taken out."""

    at: str
    value: Written | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Who corrects, why, and the clubs that agreed."""

    by: str
    agreed: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """``content`` is the file as it becomes, ``entry`` what stands under `corrections`."""

    content: bytes
    match: Match
    changes: tuple[CellChange, ...]
    entry: Mapping[str, Written]


class CannotStandError(RiesbuchError):
    """A value that no sheet may have at its place; ``findings`` say why."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        super().__init__(Message("this cannot stand in a sheet, so nothing was written"))
        self.findings = tuple(findings)


def read_asked(match: Match, argument: str) -> CellOrder:
    """``home.strikes.bigler-jonas.2.1=15``; raises UsageError where the sheet has no such place
    and may have none, with the nearest that it has."""
    at, equals, written = argument.partition("=")
    at, written = at.strip(), written.strip()
    if not equals:
        raise UsageError(
            "`{argument}` names no value; write it like home.paper.points=1190", argument=argument
        )
    cells = deciding_cells(match)
    if at in remark_cells(match):
        raise UsageError(
            "`{at}` decides nothing, so no seal covers it; simply edit the file", at=at
        )
    if not (at in cells or _holds_cells(at, cells) or (written and _may_be_added(at, cells))):
        optional = [*_TOP_PLACES, *(f"{side}.paper.{key}" for side in ("home", "away")
                    for key in ("points", "nummern"))]  # fmt: skip
        raise UsageError(
            Message("the sheet has no place `{at}`; ", at=at)
            + (
                did_you_mean(at, {*cells, *optional})
                or Message(
                    "a place is written home.strikes.PLAYER.INNING.STRIKE or home.paper.points"
                )
            )
        )
    return CellOrder(at, _value(at, written) if written else None)


def _holds_cells(at: str, cells: Mapping[str, str]) -> bool:
    """Whether ``at`` is a row, a list or the like: more than a cell and less than a side."""
    return "." in at and any(place.startswith(f"{at}.") for place in cells)


def _may_be_added(at: str, cells: Mapping[str, str]) -> bool:
    next_item = _NEXT_ITEM.fullmatch(at)
    if next_item:
        return next_item[2] == "1" or any(
            place.startswith(f"{next_item[1]}.{int(next_item[2]) - 1}") for place in cells
        )
    return at in _TOP_PLACES or _MAY_BE_ADDED.fullmatch(at) is not None


def _value(at: str, written: str) -> Written:
    if written[0] not in "[{":
        return _spelt(at, written)
    tree, findings = read_tree(f"value: {written}")
    if tree is None or findings or len(tree.entries) != 1:
        raise UsageError(
            "`{written}` cannot be read; write a row like [[14, 15], [16N, x]]", written=written
        )
    return _plain(at, tree.entries[0][1])


def _plain(at: str, node: Node) -> Written:
    if isinstance(node, Entries):
        return {key.text: _plain(f"{at}.{key.text}", below) for key, below in node.entries}
    if isinstance(node, Items):
        return [_plain(at, item) for item in node.items]
    return _spelt(at, node.text)


def _spelt(at: str, text: str) -> str:
    """Strikes in their one spelling."""
    strike = read_strike(text) if {"strikes", "supernumeraries"} & set(at.split(".")) else None
    return text if strike is None else strike.written


def corrected(
    content: bytes, match: Match, asked: Sequence[CellOrder], reason: Reason, signed: Signatures
) -> Corrected:
    """``content``, which reads whole as the sealed ``match``, with what is ``asked``, an entry
    that says so, and a new seal.

    Raises CannotStandError where a value cannot be read at its place, UsageError where places
    overlap, RiesbuchError where something asked for changes nothing.
    """
    _expect_apart([order.at for order in asked])
    text = with_long_rows(content.decode("utf-8"), match, [order.at for order in asked])
    text = edited(text, {order.at: order.value for order in asked})
    after = _read(text, match)
    changes = changed_cells(deciding_cells(match), deciding_cells(after))
    for order in asked:
        if not any(_is_within(change.at, order.at) for change in changes):
            says = deciding_cells(match).get(order.at)
            raise RiesbuchError(
                "`{at}` {says}; there is nothing to correct, and nothing was written",
                at=order.at,
                says=(
                    Message("is {says} already", says=says) if says else Message("is so already")
                ),
            )
    entry: dict[str, Written] = {
        "on": signed.on.isoformat(),
        "by": reason.by,
        "agreed": list(reason.agreed),
        "reason": reason.text,
        "changed": [write_change(change) for change in changes],
    }
    text = with_item(text, "corrections", entry)
    entered = _read(text, match)
    if entered.corrections[-1] in match.corrections:
        raise UsageError(
            "an earlier correction says just the same, so this could be taken for a"
            " copy of it; tell in --reason what is different this time"
        )
    new = with_seal(text.encode("utf-8"), entered, signed)
    return Corrected(
        content=new, match=_read(new.decode("utf-8"), match), changes=changes, entry=entry
    )


def _read(text: str, match: Match) -> Match:
    reading = read_sheet(text.encode("utf-8"), match.sheet, match.season, lambda *_: match.read_by)
    if reading.match is None or reading.findings:
        raise CannotStandError(reading.findings)
    return reading.match


def _is_within(place: str, at: str) -> bool:
    return place == at or place.startswith(f"{at}.")


def _expect_apart(places: Sequence[str]) -> None:
    for number, at in enumerate(places):
        for other in places[number + 1 :]:
            if _is_within(other, at) or _is_within(at, other):
                raise UsageError(
                    "`{at}` and `{other}` are asked for at once; give one of them",
                    at=at,
                    other=other,
                )
