"""Writes sheets, clubs and players in the canonical layout of the folder."""

from __future__ import annotations

from collections.abc import Iterable

from . import sealing
from .model import Cells, Club, Person, Row, Sheet, Side

SPECIAL_FIRST = "!&*-?:,[]{}#|>@`\"'% "


def scalar(text: object, flow: bool = False) -> str:
    """A scalar, plain where YAML allows it and in double quotes elsewhere."""
    plain = str(text)
    quoted = (
        not plain
        or plain[0] in SPECIAL_FIRST
        or plain.endswith((":", " "))
        or ": " in plain
        or " #" in plain
        or (flow and any(mark in plain for mark in ",[]{}"))
    )
    if not quoted:
        return plain
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def flow(item: object) -> str:
    if isinstance(item, dict):
        return "{" + ", ".join(f"{key}: {flow(entry)}" for key, entry in item.items()) + "}"
    if isinstance(item, (list, tuple)):
        return "[" + ", ".join(flow(entry) for entry in item) + "]"
    return scalar(item, flow=True)


def document(lines: Iterable[str]) -> str:
    return "\n".join(lines) + "\n"


def with_comment(line: str, comment: str) -> str:
    return f"{line}  # {comment}" if comment else line


def club_file(club: Club) -> str:
    lines = [f"# {club.comment}"] if club.comment else []
    lines.append(f"name: {scalar(club.name)}")
    lines.append(f"founded: {club.founded}")
    lines.append(f"ground: {scalar(club.ground)}")
    lines.append(f"teams: {flow(club.teams)}")
    if club.formerly:
        names = [{"name": name, "until": until} for name, until in club.formerly]
        lines.append(f"formerly: {flow(names)}")
    if club.merged_from:
        lines.append(f"merged_from: {flow(club.merged_from)}")
    return document(lines)


def player_file(person: Person) -> str:
    lines = [f"name: {scalar(person.name)}"]
    if person.show_born:
        lines.append(f"born: {person.born}")
    if person.comment:
        lines.append(f"# {person.comment}")
    clubs = [{"club": club, "from": year} for club, year in person.clubs]
    lines.append(f"clubs: {flow(clubs)}")
    if person.parents:
        lines.append(f"parents: {flow(person.parents)}")
    if person.also_written:
        lines.append(f"also_written: {flow(person.also_written)}")
    if person.woman and person.born > 1950:
        lines.append("classes: [women]")
    return document(lines)


class SheetWriter:
    """Lays out one sheet line by line."""

    before_sides = (
        "competition",
        "part",
        "round",
        "date",
        "ground",
        "weather",
        "notes",
        "strikes_first",
        "outcome",
        "awarded",
        "moved_to",
        "counts",
        "winner",
        "referees",
    )

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.lines: list[str] = []

    def text(self) -> str:
        for key in self.before_sides:
            shown = self.top_value(key)
            if shown:
                self.key(key, shown)
        self.side("home", self.sheet.home)
        self.side("away", self.sheet.away)
        if self.sheet.source:
            self.key("source", flow(self.sheet.source))
        if self.sheet.doubts:
            self.key("doubts", "")
            for place, note in self.sheet.doubts:
                self.lines.append(f"  - {flow({'at': place, 'note': note})}")
        if self.sheet.corrections:
            self.key("corrections", "")
            for correction in self.sheet.corrections:
                self.lines.append(f"  - {flow(correction)}")
        if self.sheet.seal:
            digest = sealing.digest(document(self.lines), self.sheet.season)
            self.key("seal", flow({**self.sheet.seal, "digest": digest}))
        return document(self.lines)

    def top_value(self, key: str) -> str:
        sheet = self.sheet
        if key == "referees":
            return flow(sheet.referees) if sheet.referees else ""
        if key in ("competition", "part", "round", "date"):
            return str(getattr(sheet, key) or "")
        return scalar(sheet.text[key]) if key in sheet.text else ""

    def key(self, key: str, shown: str) -> None:
        if key in self.sheet.above:
            self.lines.append(f"# {self.sheet.above[key]}")
        line = f"{key}: {shown}" if shown else f"{key}:"
        self.lines.append(with_comment(line, self.sheet.behind.get(key, "")))

    def side(self, key: str, side: Side) -> None:
        self.lines.append("")
        self.key(key, "")
        self.entry(side, "team", side.team)
        if side.captain:
            self.entry(side, "captain", side.captain)
        if side.rows:
            self.rows(side, "strikes", side.rows)
        if side.player_points:
            self.entry(side, "player_points", "")
            for player, points, comment in side.player_points:
                self.lines.append(with_comment(f"    {player}: {points}", comment))
        if side.ries:
            self.entry(side, "ries", flow(side.ries))
        if side.points is not None:
            self.entry(side, "points", str(side.points))
        if side.nummern is not None:
            self.entry(side, "nummern", str(side.nummern))
        if side.named:
            self.entry(side, "named", "")
            self.lines += [f"    {player}: {points}" for player, points in side.named]
        self.extras(side)

    def extras(self, side: Side) -> None:
        if side.replacements:
            self.entry(side, "replacements", "")
            for row in side.replacements:
                self.replacement(row)
        if side.supernumeraries:
            self.rows(side, "supernumeraries", side.supernumeraries)
        if side.paper:
            self.entry(side, "paper", flow(side.paper))

    def entry(self, side: Side, key: str, shown: str) -> None:
        if key in side.above:
            self.lines.append(f"  # {side.above[key]}")
        line = f"  {key}: {shown}" if shown else f"  {key}:"
        self.lines.append(with_comment(line, side.behind.get(key, "")))

    def rows(self, side: Side, key: str, rows: list[Row]) -> None:
        self.entry(side, key, "")
        for row in rows:
            if row.above:
                self.lines.append(f"    # {row.above}")
            line = f"    {row.player}: {strikes(row.cells)}"
            self.lines.append(with_comment(line, row.behind))

    def replacement(self, row: Row) -> None:
        line = f"    - {{by: {row.player}, strikes: {strikes(row.cells)}}}"
        self.lines.append(with_comment(line, row.behind))


def strikes(cells: Cells) -> str:
    return flow(cells)


def sheet_file(sheet: Sheet) -> str:
    return SheetWriter(sheet).text()
