"""A match sheet: from its tree to a `Match` with positions."""

from collections.abc import Callable
from typing import Any, NamedTuple, cast

from riesbuch.text.fields import Fields
from riesbuch.text.nodes import Entries, Items, Node, Scalar, WrittenRow
from riesbuch.text.yaml_tree import RefusedFileError, decode, read_tree
from riesbuch.trade.ids import PlayerId, Position, SheetId, SideName
from riesbuch.trade.match import (
    CellPositions,
    Correction,
    Doubt,
    Match,
    Outcome,
    PaperTotals,
    PlayerPoints,
    Row,
    RowText,
    Seal,
    Side,
    Source,
    SourceKind,
)
from riesbuch.trade.problems import Finding
from riesbuch.trade.strikes import (
    UNREADABLE,
    Inning,
    Strike,
    read_inning,
    read_strike,
)

SHEET_KEYS = (
    "competition", "round", "date", "ground", "weather", "notes", "strikes_first", "outcome",
    "awarded", "moved_to", "counts", "winner", "referees", "home", "away", "source", "doubts",
    "corrections", "seal",
)  # fmt: skip
SIDE_KEYS = (
    "team", "captain", "strikes", "player_points", "ries", "points", "nummern", "replacements",
    "supernumeraries", "paper",
)  # fmt: skip
PAPER_KEYS = ("ries", "points", "nummern")
REPLACEMENT_KEYS = ("by", "strikes")
SOURCE_KEYS = ("kind", "reference", "transcribed_by", "on")
DOUBT_KEYS = ("at", "note")
CORRECTION_KEYS = ("on", "by", "agreed", "reason", "changed")
SEAL_KEYS = ("on", "home", "away", "digest")

DEPTH_KEYS = ("strikes", "player_points", "ries", "points")

_SIDE_NAMES: dict[str, SideName] = {"home": "home", "away": "away"}
_WINNERS = {"home": "home", "away": "away", "draw": "draw"}
_OUTCOMES = {each.value: each for each in Outcome}
_YES_NO = {"true": True, "false": False}


class SheetReading(NamedTuple):
    """``match`` is None where the file could not be read at all. Where it could be in part, the
    match holds what was read, and ``findings`` say what was not."""

    match: Match | None
    findings: tuple[Finding, ...]


def read_sheet(content: bytes, sheet: SheetId, season: int) -> SheetReading:
    """Read the bytes of a sheet file."""
    try:
        text = decode(content)
    except RefusedFileError as refused:
        return SheetReading(match=None, findings=(refused.finding,))
    tree, findings = read_tree(text)
    if tree is None:
        return SheetReading(match=None, findings=tuple(findings))
    reader = _SheetFields()
    reader.findings.extend(findings)
    match = reader.match(tree, sheet, season)
    return SheetReading(match=match, findings=tuple(reader.findings))


Reader = Callable[[Node, str], object]

_new: Any = tuple.__new__


class _SheetFields(Fields):
    def __init__(self) -> None:
        super().__init__()
        self.incomplete_sides: set[str] = set()

    def match(self, tree: Entries, sheet: SheetId, season: int) -> Match:
        readers: dict[str, Reader] = dict.fromkeys(SHEET_KEYS, self.text)
        readers.update(
            competition=self.identifier,
            round=lambda node, place: self.number(node, place, least=1),
            date=self.date,
            strikes_first=lambda node, place: self.choice(node, place, _SIDE_NAMES),
            outcome=lambda node, place: self.choice(node, place, _OUTCOMES),
            awarded=lambda node, place: self.choice(node, place, _SIDE_NAMES),
            moved_to=self.date,
            counts=lambda node, place: self.choice(node, place, _YES_NO),
            winner=lambda node, place: self.choice(node, place, _WINNERS),
            referees=lambda node, place: self.listed(node, place, self.text, "names"),
            home=self.side,
            away=self.side,
            source=self.source,
            doubts=lambda node, place: self.listed(node, place, self.doubt, "doubts"),
            corrections=lambda node, place: self.listed(
                node, place, self.correction, "corrections"
            ),
            seal=self.seal,
        )
        values = self.keyed(
            tree, "", readers, required=("competition", "date", "home", "away"), what="in a sheet"
        )
        given: dict[str, Any] = {key: value for key, value in values.items() if value is not None}
        for name in ("competition", "date"):
            given.setdefault(name, None)
        for name in ("home", "away"):
            given.setdefault(name, Side(team=None))
        return Match(
            sheet=sheet,
            season=season,
            whole=not self.findings,
            positions=self.positions,
            **given,
        )

    def side(self, node: Node, place: str) -> Side | None:
        entries = self.mapping(
            node, f"`{place}`", "write the team in a line below: `team: birkenfluh-a`"
        )
        if entries is None:
            return None
        readers: dict[str, Reader] = {
            "team": self.identifier,
            "captain": self.identifier,
            "strikes": self.rows,
            "player_points": self.player_points,
            "ries": self.ries,
            "points": self.number,
            "nummern": self.number,
            "replacements": lambda node, place: self.listed(
                node,
                place,
                self.replacement,
                "replacement strikes",
                "write each in a line like - {by: PLAYER, strikes: [[14, 15], [16, 13]]}",
            ),
            "supernumeraries": self.rows,
            "paper": self.paper,
        }
        values = self.keyed(entries, place, readers, required=("team",), what="in a side")
        misspelt = [key.text for key, _ in entries.entries if key.text not in readers]
        if misspelt:
            self.incomplete_sides.add(place)
        else:
            self.judge_depth(values, place)
        given: dict[str, Any] = {key: value for key, value in values.items() if value is not None}
        given.setdefault("team", None)
        given["incomplete"] = place in self.incomplete_sides
        if "strikes" in given:
            given["rows"] = given.pop("strikes")
        return Side(**given)

    def judge_depth(self, values: dict[str, object], place: str) -> None:
        depths = [key for key in values if key in DEPTH_KEYS]
        if len(depths) > 1:
            self.report(
                self.positions[f"{place}.{depths[1]}"],
                "two-depths",
                f"`{place}` gives both `{depths[0]}` and `{depths[1]}`; a side gives one of"
                f" {', '.join(DEPTH_KEYS)}",
                "totals that stand on the paper beside the strikes belong under `paper`",
            )
        beside_strikes = ("replacements", "supernumeraries")
        for key in beside_strikes:
            if key in values and "strikes" not in values:
                self.report(
                    self.positions[f"{place}.{key}"],
                    "figures-misplaced",
                    f"`{place}.{key}` goes with `strikes` only",
                )
        if "nummern" in values and "strikes" in values:
            self.report(
                self.positions[f"{place}.nummern"],
                "figures-misplaced",
                f"`{place}.nummern` stands beside strikes, from which Nummern are counted",
                "a total as written on the paper belongs under `paper`",
            )

    def rows(self, node: Node, place: str) -> tuple[Row, ...] | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        rows = []
        for key, value in entries.entries:
            row = None
            player = self.identifier_of(key, f"the player in `{place}`")
            if player is not None:
                row = self.row(PlayerId(player), key.position, value, place)
            if row is not None:
                rows.append(row)
            elif place.endswith(".strikes"):
                self.incomplete_sides.add(place.partition(".")[0])
        self.expect_players(entries, place)
        return tuple(rows)

    def expect_players(self, entries: Entries, place: str) -> None:
        if not entries.entries:
            self.report(
                entries.position,
                "wrong-shape",
                f"`{place}` names no player",
                "give a line for each player, or leave it out",
            )

    def row(self, player: PlayerId, position: Position, node: Node, place: str) -> Row | None:
        """``place`` is that of the rows; it is told with the player's name where one is wrong."""
        if type(node) is WrittenRow:
            innings = [read_inning(each) for each in node.text[2:-2].split("], [")]
            if None not in innings:
                return cast(Row, _new(Row, (player, tuple(innings), position, _new(RowText, node))))
        if not isinstance(node, Items):
            self.report_row_shape(node, player, place)
            return None
        innings = []
        inning_positions: list[Position] = []
        strike_positions: list[tuple[Position, ...]] = []
        for inning in node.items:
            if not isinstance(inning, Items):
                self.report_row_shape(inning, player, place)
                return None
            innings.append(
                Inning([self.strike(cell, f"{place}.{player}") for cell in inning.items])
            )
            inning_positions.append(inning.position)
            strike_positions.append(tuple([cell.position for cell in inning.items]))
        cells = CellPositions(tuple(inning_positions), tuple(strike_positions))
        return Row._make((player, tuple(innings), position, cells))

    def report_row_shape(self, node: Node, player: PlayerId, place: str) -> None:
        self.report(
            node.position,
            "wrong-shape",
            f"`{place}.{player}` must be a list of innings, each a list of strikes",
            "write it like [[18, 20], [17, 19]]",
        )

    def strike(self, node: Node, place: str) -> Strike:
        if isinstance(node, Scalar):
            strike = read_strike(node.text)
            if strike is not None:
                return strike
            self.report(
                node.position,
                "strike-unreadable",
                f"`{node.text}` in `{place}` is not a strike",
                _strike_advice(node.text),
            )
        else:
            self.report(
                node.position,
                "wrong-shape",
                f"a strike in `{place}` must be a single value",
                "write ~ for an illegible strike, x for one not struck",
            )
        return UNREADABLE

    def replacement(self, node: Node, place: str) -> Row | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        player: list[tuple[PlayerId, Position]] = []

        def read_by(node: Node, place: str) -> None:
            text = self.identifier(node, place)
            if text is not None:
                player.append((PlayerId(text), node.position))

        row_node: list[Node] = []
        self.keyed(
            entries,
            place,
            {"by": read_by, "strikes": lambda node, _: row_node.append(node)},
            required=REPLACEMENT_KEYS,
            what="in a replacement",
        )
        row = self.row(*player[0], row_node[0], place) if player and row_node else None
        if row is None:
            self.incomplete_sides.add(place.partition(".")[0])
        return row

    def player_points(self, node: Node, place: str) -> tuple[PlayerPoints, ...] | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        listed = []
        for key, value in entries.entries:
            if self.identifier_of(key, f"the player in `{place}`") is None:
                continue
            self.positions[f"{place}.{key.text}"] = value.position
            points = self.number(value, f"{place}.{key.text}")
            listed.append(
                PlayerPoints(player=PlayerId(key.text), points=points, position=key.position)
            )
        self.expect_players(entries, place)
        return tuple(listed)

    def ries(self, node: Node, place: str) -> tuple[int, ...] | None:
        read = self.listed(node, place, self.number, "Ries totals")
        whole = isinstance(node, Items) and len(read) == len(node.items)
        return read if whole else None

    def paper(self, node: Node, place: str) -> PaperTotals | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        readers: dict[str, Reader] = {
            "ries": self.ries, "points": self.number, "nummern": self.number
        }  # fmt: skip
        values = cast(dict[str, Any], self.keyed(entries, place, readers, what="under `paper`"))
        return PaperTotals(**values)

    def source(self, node: Node, place: str) -> Source | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        readers: dict[str, Reader] = dict.fromkeys(SOURCE_KEYS, self.text)
        kinds = {each.value: each for each in SourceKind}
        readers.update(kind=lambda node, place: self.choice(node, place, kinds), on=self.date)
        values = self.keyed(entries, place, readers, required=("kind",), what="under `source`")
        return Source(**cast(dict[str, Any], {"kind": None, **values}))

    def doubt(self, node: Node, place: str) -> Doubt | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        readers: dict[str, Reader] = dict.fromkeys(DOUBT_KEYS, self.text)
        values = self.keyed(entries, place, readers, required=DOUBT_KEYS, what="in a doubt")
        if None in (values.get("at"), values.get("note")):
            return None
        at, note = str(values["at"]), str(values["note"])
        return Doubt(at=at, note=note, position=self.positions[f"{place}.at"])

    def correction(self, node: Node, place: str) -> Correction | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        readers: dict[str, Reader] = dict.fromkeys(CORRECTION_KEYS, self.text)
        readers.update(
            on=self.date,
            agreed=lambda node, place: self.listed(node, place, self.identifier, "clubs"),
            changed=lambda node, place: self.listed(node, place, self.text, "changes"),
        )
        values = self.keyed(
            entries, place, readers, required=CORRECTION_KEYS, what="in a correction"
        )
        if any(values.get(key) is None for key in CORRECTION_KEYS):
            return None
        return Correction(position=entries.position, **cast(dict[str, Any], values))

    def seal(self, node: Node, place: str) -> Seal | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        readers: dict[str, Reader] = dict.fromkeys(SEAL_KEYS, self.text)
        readers.update(on=self.date)
        values = self.keyed(entries, place, readers, required=SEAL_KEYS, what="under `seal`")
        if any(values.get(key) is None for key in SEAL_KEYS):
            return None
        return Seal(**cast(dict[str, Any], values))


def _strike_advice(text: str) -> str:
    meant = text.strip().lower().replace("o", "0").replace("l", "1").replace(" ", "")
    if meant == "x":
        return "write a small x for a strike not struck"
    if meant in ("", "-", "?"):
        return "write x where nobody struck, ~ where it is illegible, _ where it is still to come"
    if read_strike(meant) is not None:
        return f"did you mean {meant.replace('n', 'N')}?"
    return "a strike is its points, with N behind them for a Nummer, or x, ~ or _"
