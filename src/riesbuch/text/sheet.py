"""A match sheet, and a training evening: from their trees to records with positions."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache, cached_property
from typing import Any, NamedTuple

from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.fields import Fields, reader_of, writes_identifier
from riesbuch.text.nodes import (
    Entries,
    FileReading,
    Items,
    Node,
    Scalar,
    WrittenRows,
    behind_key,
)
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.ids import PlayerId, Position, SheetId
from riesbuch.trade.keys import Key, names_of
from riesbuch.trade.match import (
    DOUBT,
    CellPositions,
    Doubt,
    Match,
    PlayerPoints,
    Replacement,
    Row,
    RowText,
    ShortRow,
    Side,
)
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Finding
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import (
    UNKNOWN,
    UNREADABLE,
    Inning,
    Strike,
    StrikeKind,
    read_inning,
    read_strike,
    split_strikes,
    write_innings,
)
from riesbuch.trade.training import Training, TrainingRow

DEPTH_KEYS = ("strikes", "player_points", "ries", "points")
_UNPARTED_POINTS = re.compile(r"([a-z0-9]+(?:-[a-z0-9]+)*)(?: +|:| *[;=] *)([0-9]+)")
_NOT_TOLD = ("-", "–", "—", "x", "_", "??")
_SEAL_LINE = re.compile(rb"^[\"']?seal[\"']?\s*:", re.MULTILINE)


class SheetReading(NamedTuple):
    """``match`` is None where the file could not be read at all. Where it could be in part, the
    match holds what was read, and ``findings`` say what was not. ``before`` is what stands in
    front of the place from which on nothing can be read."""

    match: Match | None
    findings: tuple[Finding, ...]
    before: Match | None = None


RulesByKey = Callable[[str | None, str | None], RuleSet]
"""The rule set of a competition and a part of it, either of which may be nothing."""


def by_default(competition: str | None, part: str | None) -> RuleSet:
    return RuleSet()


def read_sheet(
    content: bytes, sheet: SheetId, season: int, rules_by_key: RulesByKey = by_default
) -> SheetReading:
    """Read the bytes of a sheet file; ``rules_by_key`` is asked where a row is typed short."""
    try:
        text = decode(content)
    except RefusedFileError as refused:
        return SheetReading(match=None, findings=(refused.finding,))
    tree, findings = read_tree(text)
    if tree is None and findings[0].code in ("yaml-syntax", "bad-text"):
        lines = text.split("\n")[: findings[0].position[0] - 1]
        return _read_before(lines, findings[0], sheet, season, rules_by_key)
    if tree is None:
        return SheetReading(match=None, findings=tuple(findings))
    reader = _SheetFields(tree, rules_by_key)
    reader.findings.extend(findings)
    if findings:
        # A row under a key that stands there already is not read.
        reader.incomplete_sides |= {"home", "away"}
    match = reader.match(tree, sheet, season)
    return SheetReading(match=match, findings=tuple(reader.findings))


def _read_before(
    lines: list[str], broken_off: Finding, sheet: SheetId, season: int, rules_by_key: RulesByKey
) -> SheetReading:
    """What is wrong in the lines in front of one that cannot be read, but for what may stand
    behind it."""
    while lines and (not lines[-1].strip() or lines[-1].split("#")[0].rstrip().endswith(":")):
        lines.pop()
    reading = read_sheet("\n".join(lines).encode(), sheet, season, rules_by_key)
    found = [
        finding
        for finding in reading.findings
        if reading.match is not None and finding.code != "missing-key"
    ]
    return SheetReading(None, (broken_off, *found), before=reading.match)


def looks_sealed(content: bytes) -> bool:
    """Whether a sheet that may be unreadable has a line that begins a seal."""
    return _SEAL_LINE.search(content) is not None


_new: Any = tuple.__new__
_read_number = reader_of(Key("number"))
_KEYS_OF_A_SIDE = frozenset(names_of(Side))


@cache
def _player_in(place: str) -> Message:
    return Message("the player in `{place}`", place=place)


def _written_rows(node: WrittenRows) -> tuple[Row, ...] | None:
    """The rows; None where one of them has a player or an inning that is none."""
    _, column = node.position
    behind = behind_key(column, "")
    players, texts, lines = zip(*node.lines, strict=True)
    in_rows = [tuple(map(read_inning, text[2:-2].split("], ["))) for text in texts]
    if not all(map(writes_identifier, players)) or not all(map(all, in_rows)):
        return None
    columns = [behind + len(player) for player in players]
    return tuple(
        [
            _new(Row, (player, innings, (line, column), _new(RowText, (text, (line, at)))))
            for player, innings, text, line, at in zip(
                players, in_rows, texts, lines, columns, strict=True
            )
        ]
    )


def _with_decimals(entries: Iterable[tuple[Scalar, Node]]) -> list[tuple[Scalar, Node]]:
    """A figure with a comma, as in ``{bigler-jonas: 85,5}``, is one value and not two entries."""
    found: list[tuple[Scalar, Node]] = []
    for key, value in entries:
        before = found[-1][1] if found and key.text.isdigit() else None
        if isinstance(before, Scalar) and isinstance(value, Scalar) and not value.text:
            found[-1] = found[-1][0], before._replace(text=f"{before.text},{key.text}")
        else:
            found.append((key, value))
    return found


class _SheetFields(Fields):
    def __init__(self, tree: Entries, rules_by_key: RulesByKey) -> None:
        super().__init__()
        self.incomplete_sides: set[str] = set()
        self.blank_totals: list[Position] = []
        self._tree = tree
        self._rules_by_key = rules_by_key

    @cached_property
    def rules(self) -> RuleSet:
        written = self._tree.get("competition"), self._tree.get("part")
        return self._rules_by_key(
            *[node.text if isinstance(node, Scalar) else None for node in written]
        )

    def match(self, tree: Entries, sheet: SheetId, season: int) -> Match:
        match: Match | None = self.made(
            tree,
            "",
            Match,
            Message("in a sheet"),
            sheet=sheet,
            season=season,
            home=Side(team=None),
            away=Side(team=None),
            positions=self.positions,
        )
        assert match is not None
        if "rules" in self.__dict__ or self.blank_totals:
            match = replace(
                match, read_by=self.rules, blank_totals=tuple(sorted(self.blank_totals))
            )
        return replace(match, whole=False) if self.findings else match

    def side(self, node: Node, place: str) -> Side | None:
        entries = self.mapping(
            node, f"`{place}`", Message("write the team in a line below: `team: birkenfluh-a`")
        )
        if entries is None:
            return None
        values = self.keyed(entries, place, Side, Message("in a side"))
        if any([key.text not in _KEYS_OF_A_SIDE for key, _ in entries.entries]):
            self.incomplete_sides.add(place)
        else:
            self.judge_depth([key.text for key, _ in entries.entries], place)
        given = {field: value for field, value in values.items() if value is not None}
        given.setdefault("team", None)
        return Side(**given, incomplete=place in self.incomplete_sides)

    def judge_depth(self, keys: Sequence[str], place: str) -> None:
        depths = [key for key in keys if key in DEPTH_KEYS]
        if len(depths) > 1 and set(depths) != {"ries", "points"}:
            self.report(
                self.positions[f"{place}.{depths[1]}"],
                "two-depths",
                "`{place}` gives both `{depths}` and `{depths_2}`; a side gives one of"
                " {depth_keys}",
                "totals that stand on the paper beside the strikes belong under `paper`",
                place=place,
                depths=depths[0],
                depths_2=depths[1],
                depth_keys=", ".join(DEPTH_KEYS),
            )
        of_everybody = [key for key in keys if key in ("strikes", "player_points")]
        if "named" in keys and of_everybody:
            self.report(
                self.positions[f"{place}.named"],
                "figures-misplaced",
                "`{place}.named` stands beside `{other}`, which tells of every player",
                "move those it names to `{other}`; where the others are not known, give the side's"
                " `points` instead of `{other}`",
                place=place,
                other=of_everybody[0],
            )
        beside_strikes = ("replacements", "supernumeraries")
        for key in beside_strikes:
            if key in keys and "strikes" not in keys:
                self.report(
                    self.positions[f"{place}.{key}"],
                    "figures-misplaced",
                    "`{place}.{key}` goes with `strikes` only",
                    place=place,
                    key=key,
                )
        if "nummern" in keys and "strikes" in keys:
            self.report(
                self.positions[f"{place}.nummern"],
                "figures-misplaced",
                "`{place}.nummern` stands beside strikes, from which Nummern are counted",
                "a total as written on the paper belongs under `paper`",
                place=place,
            )

    def rows(self, node: Node, place: str) -> tuple[Row, ...] | None:
        if type(node) is WrittenRows and (written := _written_rows(node)):
            return written
        rows = []
        what = _player_in(place)
        for key, value in self.players(node, place):
            row = None
            player = self.identifier_of(key, what)
            if player is not None:
                row = self.row(PlayerId(player), key.position, value, place)
            if row is not None:
                rows.append(row)
            elif place.endswith(".strikes"):
                self.incomplete_sides.add(place.partition(".")[0])
        return tuple(rows) if isinstance(node, Entries) else None

    def row(self, player: PlayerId, position: Position, node: Node, place: str) -> Row | None:
        """``place`` is that of the rows; it is told with the player's name where one is wrong."""
        if isinstance(node, Scalar) and _is_short(node):
            return self.short_row(player, position, node, place)
        if not isinstance(node, Items):
            self.report_row_shape(node, node, player, place)
            return None
        innings = []
        inning_positions: list[Position] = []
        strike_positions: list[tuple[Position, ...]] = []
        unparted: Scalar | None = None
        for inning in node.items:
            if not isinstance(inning, Items):
                self.report_row_shape(inning, node, player, place)
                return None
            strikes: list[tuple[Strike, Position]] = []
            for cell in inning.items:
                if isinstance(cell, Scalar) and read_strike(cell.text) is None:
                    several = split_strikes(cell.text)
                    if len(several) > 1:
                        unparted = unparted or cell
                        strikes += [(UNREADABLE, cell.position)] * len(several)
                        continue
                strikes.append((self.strike(cell, f"{place}.{player}"), cell.position))
            innings.append(Inning([strike for strike, _ in strikes]))
            inning_positions.append(inning.position)
            strike_positions.append(tuple([at for _, at in strikes]))
        if unparted is not None:
            self.wrong(
                unparted,
                "strike-unreadable",
                "`{text}` in `{place}` are several strikes without a comma between them",
                Message("write {row}", row=self.long_row(node)),
                place=f"{place}.{player}",
            )
        cells = CellPositions(tuple(inning_positions), tuple(strike_positions))
        return Row._make((player, tuple(innings), position, cells))

    def short_row(self, player: PlayerId, position: Position, node: Scalar, place: str) -> Row:
        rules = self.rules
        cells = ShortRow(node.text, node.position, rules.strikes_per_inning, rules.ries_count)
        written = iter(node.text.split() if node.text != "_" else "_" * rules.ries_count)
        innings = [
            Inning([self.strike(Scalar(next(written), at), f"{place}.{player}") for at in inning])
            for inning in cells.cell_positions().strikes
        ]
        return Row._make((player, tuple(innings), position, cells))

    def long_row(self, node: Node) -> str:
        """What is meant by a row in the wrong shape, as it would be written; empty where that is
        not plain to see."""
        written = split_strikes(" ".join(texts_in(node)))
        strikes = [strike for text in written if (strike := read_strike(text)) is not None]
        size = self.rules.strikes_per_inning
        if len(strikes) < 2:
            return ""
        return write_innings(strikes[at : at + size] for at in range(0, len(strikes), size))

    def report_row_shape(self, node: Node, row: Node, player: PlayerId, place: str) -> None:
        self.wrong(
            node,
            "wrong-shape",
            "`{place}.{player}` must be a list of innings, each a list of strikes",
            Message("write {row}", row=written)
            if (written := self.long_row(row))
            else "write it like [[18, 20], [17, 19]], or short: 18 20 17 19",
            place=place,
            player=player,
        )

    def strike(self, node: Node, place: str) -> Strike:
        if isinstance(node, Scalar):
            strike = read_strike(node.text)
            if strike is not None:
                return strike
            self.wrong(
                node,
                "strike-unreadable",
                "`{text}` in `{place}` is not a strike",
                _strike_advice(node.text),
                place=place,
            )
        else:
            self.wrong(
                node,
                "wrong-shape",
                "a strike in `{place}` must be a single value",
                "write ~ for an illegible strike, x for one not struck",
                place=place,
            )
        return UNREADABLE

    def replacements(self, node: Node, place: str) -> tuple[Row, ...]:
        return self.listed(
            node,
            place,
            self.replacement,
            Message("replacement strikes"),
            Message("write each in a line like - {by: PLAYER, strikes: [[14, 15], [16, 13]]}"),
        )

    def replacement(self, node: Node, place: str) -> Row | None:
        entries = self.mapping(node, f"`{place}`")
        if entries is None:
            return None
        values = self.keyed(entries, place, Replacement, Message("in a replacement"))
        player, written = values.get("by"), values.get("strikes")
        row = None
        if player is not None and written is not None:
            row = self.row(player, self.positions[f"{place}.by"], written, place)
        if row is None:
            self.incomplete_sides.add(place.partition(".")[0])
        return row

    def written_row(self, node: Node, place: str) -> Node:
        """A row's node, to be read when it is known whose it is."""
        return node

    def player_points(self, node: Node, place: str) -> tuple[PlayerPoints, ...] | None:
        listed = []
        advice = Message("write each player in a line below: aebi-ruedi: 74")
        for key, value in _with_decimals(self.players(node, place, advice)):
            unparted = _UNPARTED_POINTS.fullmatch(key.text)
            if unparted:
                self.wrong(
                    key,
                    "wrong-shape",
                    "`{text}` in `{place}` has no colon behind the player",
                    "write {player}: {points}",
                    place=place,
                    player=unparted[1],
                    points=unparted[2],
                )
                continue
            if self.identifier_of(key, _player_in(place)) is None:
                continue
            self.positions[f"{place}.{key.text}"] = value.position
            points = _read_number(self, value, f"{place}.{key.text}")
            listed.append(
                PlayerPoints(player=PlayerId(key.text), points=points, position=key.position)
            )
        return tuple(listed) if isinstance(node, Entries) else None

    def choice_meant(self, text: str, choices: Mapping[str, object]) -> str:
        for name in ("home", "away"):
            side = self._tree.get(name)
            team = side.get("team") if isinstance(side, Entries) else None
            if name in choices and isinstance(team, Scalar) and team.text == text:
                return Message("write {name}, the side of `{team}`", team=text, name=name)
        return super().choice_meant(text, choices)

    def number(self, scalar: Scalar, place: str, key: Key) -> int | None:
        if scalar.text == "_" and ".paper." in place:
            self.blank_totals.append(scalar.position)
            return None
        return super().number(scalar, place, key)

    def ries(self, node: Node, place: str) -> tuple[int | None, ...] | None:
        blanks, findings = len(self.blank_totals), len(self.findings)
        totals: list[int | None] = []
        for item_place, item in self.items(node, place, Message("Ries totals")):
            is_unknown = isinstance(item, Scalar) and read_strike(item.text) is UNKNOWN
            if is_unknown and ".paper." not in place:
                totals.append(None)
            elif isinstance(item, Scalar) and item.text in _NOT_TOLD and ".paper." not in place:
                self.wrong(
                    item,
                    "bad-number",
                    "`{place}` is `{text}`, which is no Ries total",
                    "write ~ for one that is not known, and the side's `points` in a line below",
                    place=item_place,
                )
            else:
                totals.append(_read_number(self, item, item_place))
        if not isinstance(node, Items) or len(self.findings) > findings:
            return None
        if len(self.blank_totals) > blanks:
            # Those in front of the first that is not entered yet, as they are entered in order.
            entered = [item.position for item in node.items].index(self.blank_totals[blanks])
            return tuple(totals[:entered])
        return tuple(totals)

    def doubt(self, node: Node, place: str) -> Doubt | None:
        doubt: Doubt | None = self.record(node, place, DOUBT)
        return doubt and replace(doubt, position=self.positions[f"{place}.at"])


def _is_short(row: Scalar) -> bool:
    """Whether a row is typed short, ``15 0 16N x``, be one of the strikes misspelt."""
    if not row.plain or row.given_end is not None or set(row.text) & set(",;"):
        return False
    written = row.text.split()
    return row.text == "_" or (
        len(written) > 1 and any(read_strike(text) is not None for text in written)
    )


def texts_in(node: Node) -> Iterator[str]:
    if isinstance(node, Scalar):
        yield node.text
    elif isinstance(node, Items):
        for item in node.items:
            yield from texts_in(item)


def _strike_advice(text: str) -> str:
    meant = text.strip(" \"'“”„«»‘’").lower().replace("o", "0").replace("l", "1").replace(" ", "")
    meant = re.sub(r"^n(?:r\.?)?(?=[0-9])|(?<=[0-9])nr\.?$", "n", meant)
    meant = re.sub(r"^n([0-9]+)$", r"\1n", re.sub(r"[.]0+$", "", meant))
    if meant == "x":
        return Message("write a small x for a strike not struck")
    if meant in ("", "-", "–", "—", "?"):
        return Message(
            "write x where nobody struck, ~ where it is illegible, _ where it is still to come"
        )
    if read_strike(meant) is not None:
        return Message("did you mean {near}?", near=meant.replace("n", "N"))
    return Message("a strike is its points, with N behind them for a Nummer, or x, ~ or _")


def read_training(content: bytes) -> FileReading[Training]:
    """Read the bytes of an evening's file; what cannot be read of it is a finding."""
    return _TrainingFields().read(content, Training, Message("in a training's file"))


class _TrainingFields(Fields):
    def training_rows(self, node: Node, place: str) -> tuple[TrainingRow, ...] | None:
        rows = []
        what = _player_in(place)
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
