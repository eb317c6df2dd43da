"""What a review says of signatures, of those who may sign, and of what the league demands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from riesbuch.trade.messages import Message
from riesbuch.trade.problems import all_of
from riesbuch.trade.signing import valid_times

if TYPE_CHECKING:
    from riesbuch.review.effects import Review
    from riesbuch.review.signed_changes import Signatures
    from riesbuch.trade.signing import Bounds, KeyChange


def of_signatures(review: Review) -> Iterator[tuple[str, list[str]]]:
    """Whose keys changed and who agreed to that, what the league demands, new seals."""
    signatures = review.signatures
    if signatures.keys:
        sentence = Message.plural(
            len(signatures.keys),
            "{count:,} key changed in `signers`, which says who signs for whom; here the keys"
            " of before count:",
            "{count:,} keys changed in `signers`, which says who signs for whom; here the keys"
            " of before count:",
        )
        yield sentence, [_key_line(key, signatures) for key in signatures.keys]
    if signatures.lost:
        sentence = Message(
            "In `signers` the remark is gone that says that {clubs} agreed to an earlier change"
            " of their keys; it belongs there.",
            clubs=all_of(signatures.lost),
        )
        yield sentence, []
    if signatures.demand is not None:
        sentence = Message(
            "Signatures of both clubs were {before}, and are {after} from here on; this"
            " change is judged by what was.",
            before=signatures.demand[0],
            after=signatures.demand[1],
        )
        yield sentence, []
    for club, former in signatures.heirs:
        sentence = Message(
            "{club} carries on {clubs}, and may agree and sign for it from here on; this change"
            " is judged by what was.",
            club=club,
            clubs=all_of(former),
        )
        yield sentence, []
    new = [
        Message.layout("{sheet}: {proof}", sheet=sheet.sheet, proof=proof.objection or proof.clause)
        for sheet in review.sheets
        if not sheet.sealed and (proof := sheet.signed) is not None
        and (proof.signed_by or proof.objection)
    ]  # fmt: skip
    if new:
        sentence = Message.plural(
            len(new), "{count:,} sheet newly sealed:", "{count:,} sheets newly sealed:"
        )
        yield sentence, [*new]
    if signatures.unable:
        yield Message("Signatures were not checked: {why}.", why=signatures.unable), []


def _key_line(key: KeyChange, signatures: Signatures) -> Message:
    if not key.before:
        fate = Message("new, valid {times}", times=_times(key.after))
    elif not key.after:
        fate = Message("gone")
    else:
        fate = Message(
            "valid {times}; it was valid {earlier}",
            times=_times(key.after),
            earlier=_times(key.before),
        )
    if key.is_first:
        who: str = Message("the first key of {club}: ask them whether it is theirs", club=key.club)
    elif key.club in signatures.agreed:
        who = Message("signed by {club} with a key of before", club=key.club)
    else:
        who = Message("NOT signed by {club} with a key of before", club=key.club)
    return Message.layout(
        "{club} {fingerprint}: {fate}; {who}",
        club=key.club,
        fingerprint=key.fingerprint,
        fate=fate,
        who=who,
    )


def _times(times: Iterable[Bounds]) -> str:
    return all_of(valid_times(*bounds) for bounds in times)
