"""A training evening: from its tree to a record with positions."""

import re

from riesbuch.text.fields import Fields
from riesbuch.text.nodes import Entries, FileReading, Node, Scalar
from riesbuch.text.sheet import texts_in
from riesbuch.trade.ids import PlayerId, Position
from riesbuch.trade.messages import Message
from riesbuch.trade.strikes import UNREADABLE, Strike, StrikeKind, read_strike
from riesbuch.trade.training import Training, TrainingRow


def read_training(content: bytes) -> FileReading[Training]:
    """Read the bytes of an evening's file; what cannot be read of it is a finding."""
    return _TrainingFields().read(content, Training, Message("in a training's file"))


class _TrainingFields(Fields):
    def training_rows(self, node: Node, place: str) -> tuple[TrainingRow, ...] | None:
        rows = []
        what = Message("the player in `{place}`", place=place)
        advice = Message("write each player in a line below: aebi-ruedi: 15 16 0 17")
        for key, value in self.players(node, place, advice):
            player = self.identifier_of(key, what)
            strikes = self.strikes(value, f"{place}.{key.text}")
            if player is not None and strikes:
                signs, cells = zip(*strikes, strict=True)
                rows.append(TrainingRow(PlayerId(player), signs, key.position, cells))
        return tuple(rows) if isinstance(node, Entries) else None

    def strikes(self, node: Node, place: str) -> list[tuple[Strike, Position]]:
        """Those of one player in a row, each with where it stands."""
        if not isinstance(node, Scalar) or "," in node.text or not node.text.strip():
            written = " ".join(" ".join(texts_in(node)).replace(",", " ").split())
            self.wrong(
                node,
                "wrong-shape",
                "`{place}` must be the strikes in a row, with blanks between them",
                Message("write {row}", row=written)
                if written
                else "write them like 15 16 0 17; who was only there stands under `present`",
                place=place,
            )
            return []
        line, column = node.position
        return [
            self.strike(
                found[0],
                node.position if node.given_end else (line, column + found.start()),
                place,
            )
            for found in re.finditer(r"\S+", node.text)
        ]

    def strike(self, text: str, at: Position, place: str) -> tuple[Strike, Position]:
        strike = read_strike(text)
        if strike is not None and strike.kind is not StrikeKind.NOT_STRUCK and not strike.nummer:
            return strike, at
        if strike is None:
            hint = Message(
                "write its points, ~ where nobody wrote it down, _ where it is still to come"
            )
        elif strike.nummer:
            hint = Message("nobody fields, so there are no Nummern: write {n}", n=strike.points)
        else:
            hint = Message("delete it: a row has as many strikes as were made")
        self.report(
            at,
            "strike-unreadable",
            "`{text}` in `{place}` is not a strike of a training",
            hint,
            text=text,
            place=place,
        )
        return UNREADABLE, at
