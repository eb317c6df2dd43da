"""Where a sheet names a player, and the same sheet with another identifier in these places."""

import re
from dataclasses import dataclass, replace

from riesbuch.trade.ids import PlayerId, SideName
from riesbuch.trade.match import PLAYER_KEYS, Match, PlayerPoints, Row, Side
from riesbuch.trade.sealing import read_change

_NOBODY = PlayerId("")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mentions:
    """``keys`` are places whose last step is the player, ``values`` maps other places to what
    is to stand there instead."""

    keys: tuple[str, ...]
    values: dict[str, str]

    def __bool__(self) -> bool:
        return bool(self.keys or self.values)


def mentions(match: Match, player: PlayerId, becomes: PlayerId) -> Mentions:
    """All places of ``match``, which reads whole, that name ``player``: rows and points, captain,
    who struck replacements, and the places that doubts and corrections are about."""
    keys: list[str] = []
    values: dict[str, str] = {}
    for name, side in match.sides:
        listed = {
            "strikes": [row.player for row in side.rows or ()],
            "supernumeraries": [row.player for row in side.supernumeraries],
            "player_points": [known.player for known in side.player_points or ()],
            "named": [known.player for known in side.named],
        }
        keys += [f"{name}.{field}.{player}" for field, named in listed.items() if player in named]
        if side.captain == player:
            values[f"{name}.captain"] = becomes
        for number, row in enumerate(side.replacements, start=1):
            if row.player == player:
                values[f"{name}.replacements.{number}.by"] = becomes
    texts = {f"doubts.{number}.at": (doubt.at, renamed_place(doubt.at, player, becomes))
             for number, doubt in enumerate(match.doubts, start=1)}  # fmt: skip
    for number, (correction, changed) in enumerate(
        zip(match.corrections, _renamed_changes(match, player, becomes), strict=True), start=1
    ):
        for index, both in enumerate(zip(correction.changed, changed, strict=True), start=1):
            texts[f"corrections.{number}.changed.{index}"] = both
    values.update({at: after for at, (before, after) in texts.items() if before != after})
    return Mentions(keys=tuple(keys), values=values)


def renamed_place(place: str, player: PlayerId, becomes: PlayerId) -> str:
    """``home.strikes.<player>.2.1`` with the other identifier; any other place as it is."""
    steps = place.split(".")
    if len(steps) > 2 and steps[1] in PLAYER_KEYS and steps[2] == player:
        steps[2] = becomes
    return ".".join(steps)


def renamed_change(written: str, player: PlayerId, becomes: PlayerId) -> str:
    """A change as corrections write it, with the other identifier; its spacing stays."""
    change = read_change(written)
    if change is None:
        return written
    at, colon, values = written.partition(":")
    indent = at[: len(at) - len(at.lstrip())]
    if change.at.endswith((".captain", ".by")):
        values = re.sub(rf"(?<!\S){re.escape(player)}(?!\S)", becomes, values)
    return f"{indent}{renamed_place(at.lstrip(), player, becomes)}{colon}{values}"


def _renamed_changes(
    match: Match, player: PlayerId, becomes: PlayerId
) -> tuple[tuple[str, ...], ...]:
    """What is written under ``changed`` of each correction with the other identifier, or as it is
    in a sheet that names both: there it says which of the two was meant."""
    written = tuple(correction.changed for correction in match.corrections)
    tells_apart = sides_naming(match, becomes) or _corrected(match, becomes)
    if tells_apart:
        return written
    return tuple(
        tuple(renamed_change(text, player, becomes) for text in texts) for texts in written
    )


def _corrected(match: Match, player: PlayerId) -> bool:
    """Whether a correction is about a place of ``player``."""
    texts = (text for correction in match.corrections for text in correction.changed)
    return any(renamed_change(text, player, _NOBODY) != text for text in texts)


def is_named(match: Match, player: PlayerId) -> bool:
    """Whether the sheet names ``player`` in any place that `mentions` knows."""
    doubted = any(renamed_place(doubt.at, player, _NOBODY) != doubt.at for doubt in match.doubts)
    return bool(sides_naming(match, player)) or doubted or _corrected(match, player)


def sides_naming(match: Match, player: PlayerId) -> tuple[SideName, ...]:
    """The sides that name ``player``, whatever as."""
    return tuple(name for name, side in match.sides if player in _named(side))


def _named(side: Side) -> set[PlayerId | None]:
    rows = (*side.individual_rows, *side.replacements)
    return {side.captain, *(row.player for row in rows)} | {
        known.player for known in side.by_points
    }


def renamed(match: Match, player: PlayerId, becomes: PlayerId) -> Match:
    """``match`` as it is after the places of `mentions` were written anew."""

    def rows(given: tuple[Row, ...]) -> tuple[Row, ...]:
        return tuple(row._replace(player=becomes) if row.player == player else row for row in given)

    def points(given: tuple[PlayerPoints, ...]) -> tuple[PlayerPoints, ...]:
        return tuple(
            replace(known, player=becomes) if known.player == player else known for known in given
        )

    def side(given: Side) -> Side:
        return replace(
            given,
            captain=becomes if given.captain == player else given.captain,
            rows=None if given.rows is None else rows(given.rows),
            supernumeraries=rows(given.supernumeraries),
            replacements=rows(given.replacements),
            player_points=None if given.player_points is None else points(given.player_points),
            named=points(given.named),
        )

    return replace(
        match,
        home=side(match.home),
        away=side(match.away),
        doubts=tuple(
            replace(doubt, at=renamed_place(doubt.at, player, becomes)) for doubt in match.doubts
        ),
        corrections=tuple(
            replace(correction, changed=changed)
            for correction, changed in zip(
                match.corrections, _renamed_changes(match, player, becomes), strict=True
            )
        ),
    )
