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
    from riesbuch.trade.signers_change import Bounds, KeyChange


def of_signatures(review: Review) -> Iterator[tuple[str, list[str]]]:
    """Whose keys changed and who agreed to that, what the league demands, new seals."""
    signatures = review.signatures
    if signatures.keys:
        yield (
            Message.plural(
                len(signatures.keys),
                "{count:,} key changed in `signers`, which says who signs for whom; here the keys"
                " of before count:",
                "{count:,} keys changed in `signers`, which says who signs for whom; here the keys"
                " of before count:",
            ),
            [_key_line(key, signatures) for key in signatures.keys],
        )
    if signatures.lost:
        yield (
            Message(
                "In `signers` the remark is gone that says that {clubs} agreed to an earlier change"
                " of their keys; it belongs there.",
                clubs=all_of(signatures.lost),
            ),
            [],
        )
    if signatures.demand is not None:
        yield (
            Message(
                "Signatures of both clubs were {before}, and are {after} from here on; this"
                " change is judged by what was.",
                before=signatures.demand[0],
                after=signatures.demand[1],
            ),
            [],
        )
    for club, former in signatures.heirs:
        yield (
            Message(
                "{club} carries on {clubs}, and may agree and sign for it from here on; this change"
                " is judged by what was.",
                club=club,
                clubs=all_of(former),
            ),
            [],
        )
    new = [
        sheet
        for sheet in review.sheets
        if not sheet.sealed and sheet.signed is not None
        and (sheet.signed.signed_by or sheet.signed.objection)
    ]  # fmt: skip
    if new:
        yield (
            Message.plural(
                len(new), "{count:,} sheet newly sealed:", "{count:,} sheets newly sealed:"
            ),
            [
                Message.layout(
                    "{sheet}: {proof}",
                    sheet=sheet.sheet,
                    proof=sheet.signed.objection or sheet.signed.clause,
                )
                for sheet in new
                if sheet.signed is not None
            ],
        )
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
