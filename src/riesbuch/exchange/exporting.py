"""The folder as CSV tables, with a data package that describes them."""

import csv
import hashlib
import io
import json
import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from itertools import groupby
from pathlib import Path
from typing import Any, TypeAlias

from riesbuch.exchange.csv_text import guarded
from riesbuch.exchange.tables import (
    BY_NAME,
    TABLES,
    TRAININGS,
    TableField,
    TableSpec,
    described_values,
)
from riesbuch.folder.archive import Archive
from riesbuch.index.index import Tables
from riesbuch.questions.form import attendances
from riesbuch.questions.sheets import ResultOfSheet, SideFigures, results_of_sheets
from riesbuch.questions.tables import TABLE_NAMES, WHO, rows_of_season
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.handed_down import HandedDown
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.match import Match, Row, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded, is_minor, name_in_text, naming_in_text, spellings
from riesbuch.trade.people import Club, Player
from riesbuch.trade.problems import UsageError
from riesbuch.trade.signing import Proof
from riesbuch.trade.strikes import StrikeKind, write_innings

_SOMEBODY = "private"


class Unnamed:
    """The stand-ins of ``people``: ``private_1`` and so on, which no identifier can be. The same
    people have the same ones in every export, and their order says nothing of their names."""

    def __init__(self, people: Iterable[Player]) -> None:
        ordered = sorted(people, key=lambda player: hashlib.sha256(player.id.encode()).digest())
        self.of_player = {
            player.id: f"{_SOMEBODY}_{number}" for number, player in enumerate(ordered, start=1)
        }
        self._of_spelling: dict[str, str] = {}
        for player in ordered:
            for spelling in spellings(player):
                self._of_spelling.setdefault(spelling, self.of_player[player.id])
        self._naming = naming_in_text(ordered)

    def player(self, player: str) -> str:
        return self.of_player.get(PlayerId(player), player)

    def text(self, written: str) -> str:
        """``written`` with the stand-ins where it names somebody."""
        if self._naming is None:
            return written
        return self._naming.sub(self._stand_in, unicodedata.normalize("NFC", written))

    def _stand_in(self, found: re.Match[str]) -> str:
        return self._of_spelling.get(name_in_text(found[0]), _SOMEBODY)


Value: TypeAlias = str | int | bool | date | Sequence[Any] | None


class TableText:
    """The CSV of one table, row after row, with the stand-ins of those who are ``unnamed``."""

    def __init__(self, table: str, unnamed: Unnamed, delimiter: str) -> None:
        self.spec = BY_NAME[table]
        self._unnamed = unnamed
        self.rows = 0
        self._text = io.StringIO(newline="")
        self._writer = csv.writer(self._text, delimiter=delimiter, lineterminator="\r\n")
        self._writer.writerow(self.spec.columns)
        self._is_text = [field.type == "string" for field in self.spec.fields]

    def add(self, *values: Value, of: object = None) -> None:
        """A row: ``values`` are those of the columns that no key describes; what keys do is taken
        of the record."""
        if of is not None:
            told, others = dict(described_values(of)), iter(values)
            values = tuple(
                [
                    told.get(field.name) if field.of_key else next(others)
                    for field in self.spec.fields
                ]
            )
        assert len(values) == len(self._is_text), self.spec.name
        self.rows += 1
        self._writer.writerow(
            [
                guarded(value) if is_text and isinstance(value, str) else _written(value)
                for value, is_text in zip(
                    map(self._told, values, self.spec.fields), self._is_text, strict=True
                )
            ]
        )

    def _told(self, value: Value, field: TableField) -> Value:
        if not field.tells or value is None:
            return value
        said = self._unnamed.player if field.tells == "player" else self._unnamed.text
        if isinstance(value, str):
            return said(value)
        assert isinstance(value, tuple | list)
        return [said(part) for part in value]

    def text(self) -> str:
        return self._text.getvalue()


def _written(value: Value) -> str | int:
    if value is None:
        return ""
    if value is True or value is False:
        return "true" if value else "false"
    if isinstance(value, str | int):
        return value
    if isinstance(value, date):
        return value.isoformat()
    return json.dumps(list(value), ensure_ascii=False)


class Export:
    """All tables, filled with the register and rules at once, and then season by season.

    Who is private is there without name and family, and who is a child in the newest season
    without year of birth; ``with_private`` has all of it."""

    def __init__(
        self,
        archive: Archive,
        *,
        with_private: bool = False,
        with_trainings: bool = False,
        delimiter: str = ",",
    ) -> None:
        self.archive = archive
        people = archive.register.players.values()
        private = () if with_private else tuple(player for player in people if player.private)
        self.unnamed = Unnamed(private)
        newest = max(archive.seasons, default=0)
        children = (player.id for player in people if is_minor(archive.register, player.id, newest))
        self.undated = frozenset(() if with_private else children)
        self.tables = {
            table.name: TableText(table.name, self.unnamed, delimiter)
            for table in tables_of(with_trainings=with_trainings)
        }
        self._strangers: set[PlayerId] = set()
        self._add("league", of=archive.league)
        for rule_set, rules in sorted(archive.rules.items()):
            self._add("rules", rule_set, rules.name, of=rules)
            for number, award in enumerate(rules.awards, start=1):
                self._add("awards", rule_set, number, of=award)
            for number, ranked in enumerate(rules.classes, start=1):
                self._add("classes", rule_set, number, of=ranked)
        for club in archive.register.clubs.values():
            self._club(club)
        # Behind the others, since a place in the order of the names tells much of one.
        for player in sorted(people, key=lambda person: self.unnamed.of_player.get(person.id, "")):
            self._player(player)

    def _add(self, table: str, *values: Value, of: object = None) -> None:
        self.tables[table].add(*values, of=of)

    def finish(self) -> dict[str, str]:
        """The text of each table by its file's name."""
        for player in sorted(self._strangers):
            self._add("players", player, False, of=Player(id=player, name=player, positions={}))
        return {table.spec.path: table.text() for table in self.tables.values()}

    def withheld(self) -> Iterator[str]:
        """What is not told of people, a sentence each."""
        if self.unnamed.of_player:
            yield Message.plural(
                len(self.unnamed.of_player),
                "{count} private player stands there as private_1; --with-private names everybody",
                "{count} private players stand there as private_1 to private_{count};"
                " --with-private names everybody",
            )
        if self.undated:
            yield Message.plural(
                len(self.undated),
                "the birth year of {count} player under 16 is left out; --with-private has it",
                "the birth years of {count} players under 16 are left out; --with-private has them",
            )

    def _club(self, club: Club) -> None:
        self._add("clubs", club.id, of=club)
        for number, (letter, name) in enumerate(club.teams, start=1):
            self._add("teams", f"{club.id}-{letter}", club.id, number, name)
        for number, former in enumerate(club.formerly, start=1):
            self._add("former_names", club.id, number, former.until, of=former)
        for number, merged in enumerate(club.merged_from, start=1):
            self._add("mergers", club.id, number, merged)

    def _player(self, player: Player) -> None:
        stand_in = self.unnamed.of_player.get(player.id)
        shown = Player(id=player.id, name=stand_in, positions={}) if stand_in else player
        if player.id in self.undated:
            shown = replace(shown, born=None)
        self._add("players", player.id, True, of=shown)
        for number, membership in enumerate(player.clubs, start=1):
            self._add("memberships", player.id, number, membership.since, of=membership)
        # Whose child somebody is would name them.
        parents = [] if stand_in else [
            parent for parent in player.parents if parent not in self.unnamed.of_player
        ]  # fmt: skip
        for number, parent in enumerate(parents, start=1):
            self._add("parents", player.id, number, parent)

    # Seasons

    def season(self, year: int, tables: Tables, proofs: Mapping[str, Proof]) -> None:
        """Add a season; ``tables`` are filled with it. ``proofs`` are what the signatures prove, by
        the paths of sheets; a seal that is not among them is named only."""
        season = self.archive.seasons.get(year)
        for number, competition in enumerate(season.competitions if season else (), start=1):
            named = (
                None if isinstance(places, int) else places
                for places in (competition.promoted, competition.relegated)
            )
            self._add("competitions", year, competition.id, number, *named, of=competition)
            for place, part in enumerate(competition.parts, start=1):
                self._add("parts", year, competition.id, place, part.id, of=part)
            for place, team in enumerate(competition.teams, start=1):
                self._add("entrants", year, competition.id, place, team)
        for number, fixture in enumerate(self.archive.fixtures.get(year, ()), start=1):
            self._add("fixtures", year, number, of=fixture)
        for number, ruling in enumerate(self.archive.rulings.get(year, ()), start=1):
            self._add("rulings", year, number, of=ruling)
        for result in results_of_sheets(tables, year):
            content = self.archive.folder.read(self.archive.folder.root / result.path)
            by_rules = self.archive.rules_by_key(year)
            match = read_sheet(content, result.sheet, year, by_rules).match
            assert match is not None
            self._match(match, result, proofs.get(result.path, Proof.NAMED))
        self._handed_down(year, self.archive.handed_down.get(year, HandedDown()))
        for table in TABLE_NAMES:
            rows = list(rows_of_season(tables, table, year))
            # Level players are in the order of what they are called here.
            rows.sort(
                key=lambda row: (row["competition"], row["rank"],
                                 self.unnamed.player(row[WHO[table]]))
            )  # fmt: skip
            for row in rows:
                self._add(table, *(row[column] for column in BY_NAME[table].columns))

    def trainings(self, tables: Tables, years: Collection[int]) -> None:
        """Add the trainings of these years; ``tables`` are filled with them."""
        found = (one for one in attendances(tables) if one.season in years)
        # As of the tables: a place in the order of the names tells much of one.
        by_evening = sorted(
            found, key=lambda one: (one.date, one.club, self.unnamed.player(one.player))
        )
        for _, evening in groupby(by_evening, lambda one: (one.date, one.club)):
            for number, one in enumerate(evening, start=1):
                self._add("trainings", *one[:3], number, one.player, one.points)
                self._meet(one.player)

    def _handed_down(self, year: int, told: HandedDown) -> None:
        tables: tuple[tuple[str, Sequence[Any]], ...] = (
            ("handed_down_standings", told.tables),
            ("handed_down_strikers", told.striker_tables),
        )
        for name, of_kind in tables:
            rows = ((table, row) for table in of_kind for row in table.rows)
            for number, (table, row) in enumerate(rows, start=1):
                of_table = (value for _, value in described_values(table))
                self._add(name, year, number, *of_table, of=row)
                self._meet(getattr(row, "player", None))
        for number, honour in enumerate(told.honours, start=1):
            self._add("handed_down_honours", year, number, of=honour)
            self._meet(honour.player)

    def _match(self, match: Match, result: ResultOfSheet, proof: Proof) -> None:
        if match.seal is not None and self._has_unnamed(match):
            # Whoever guesses the name could tell by the digest that it is the one.
            match = replace(match, seal=match.seal._replace(digest=""))
        self._add(
            "matches", match.sheet, match.season, match.home.team, match.away.team, result.winner,
            result.decided_by, result.is_draft, match.winner,
            None if match.seal is None else proof.value, of=match,
        )  # fmt: skip
        for name, side in match.sides:
            self._side(match, name, side, result.home if name == "home" else result.away)
        for number, doubt in enumerate(match.doubts, start=1):
            self._add("doubts", match.sheet, number, of=doubt)
        for number, correction in enumerate(match.corrections, start=1):
            self._add("corrections", match.sheet, number, of=correction)

    def _has_unnamed(self, match: Match) -> bool:
        return any(
            (row.player if row else known[0]) in self.unnamed.of_player
            for _, side in match.sides
            for _, row, known in _people(side)
        )

    def _side(self, match: Match, name: str, side: Side, figures: SideFigures) -> None:
        self._meet(side.captain)
        if figures.ries is None and side.ries is not None:
            figures = figures._replace(ries=[*side.ries])
        self._add(
            "sides", match.sheet, name, side.depth.value, *figures, side.nummern, of=side,
        )  # fmt: skip
        for number, (role, row, known) in enumerate(_people(side), start=1):
            if row is None:
                player, total = known
                self._meet(player)
                self._add("rows", match.sheet, name, number, player, role, None, total, None, None)
                continue
            self._meet(row.player)
            self._add(
                "rows", match.sheet, name, number, row.player, role, write_innings(row.innings),
                row.total, len(row.struck), row.nummern,
            )  # fmt: skip
            for inning, strikes in enumerate(row.innings, start=1):
                for place, strike in enumerate(strikes, start=1):
                    is_struck = strike.kind is StrikeKind.STRUCK
                    self._add(
                        "strikes", match.sheet, name, number, inning, place, strike.written,
                        strike.points if is_struck else None, strike.nummer,
                    )  # fmt: skip

    def _meet(self, player: PlayerId | None) -> None:
        if player is not None and player not in self.archive.register.players:
            self._strangers.add(player)


def _people(side: Side) -> Iterator[tuple[str, Row | None, tuple[PlayerId, int | None]]]:
    rows: Iterable[tuple[str, Iterable[Row]]] = (
        ("team", side.rows or ()),
        ("supernumerary", side.supernumeraries),
        ("replacement", side.replacements),
    )
    for role, of_role in rows:
        yield from ((role, row, (row.player, None)) for row in of_role)
    for known in side.by_points:
        yield "named" if side.named else "points", None, (known.player, known.points)


DESCRIPTOR = "datapackage.json"
LAYOUT = 1
_MARK = "riesbuch"
_UNFINISHED = re.compile(r"\.riesbuch-.*\.tmp")

ABOUT = (
    "Match sheets and tables of a club folder. A text that begins with = + - @, a tab, a carriage"
    " return or an apostrophe has an apostrophe before it, so that no spreadsheet takes it for a"
    " formula: take one away where a text begins with it. Arrays are JSON. Empty is unknown."
    " private_1 and so on are people who are not to be named."
)


def tables_of(*, with_trainings: bool) -> tuple[TableSpec, ...]:
    return (*TABLES, TRAININGS) if with_trainings else TABLES


def descriptor(league: str, delimiter: str = ",", *, with_trainings: bool = False) -> str:
    """The text of ``datapackage.json``."""
    dialect = {} if delimiter == "," else {"dialect": {"delimiter": delimiter}}
    data = {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": folded(league) or "export",
        "title": league,
        "description": ABOUT,
        _MARK: {"layout": LAYOUT},
        "resources": [
            {**_resource(table), **dialect} for table in tables_of(with_trainings=with_trainings)
        ],
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def unfinished_descriptor() -> str:
    """What stands in its place until all tables are written: it marks the folder as an export, and
    describes none."""
    return json.dumps({_MARK: {"layout": LAYOUT, "unfinished": True}}) + "\n"


def _resource(table: TableSpec) -> dict[str, Any]:
    about = f"{table.description} Follows from the other tables." if table.derived else None
    schema: dict[str, Any] = {
        "fields": [_field(table, place) for place in range(len(table.fields))],
        "missingValues": [""],
        "primaryKey": list(table.key),
    }
    if table.references:
        schema["foreignKeys"] = [
            {
                "fields": list(reference.fields),
                "reference": {"resource": reference.table, "fields": list(reference.theirs)},
            }
            for reference in table.references
        ]
    return {
        "name": table.name,
        "type": "table",
        "path": table.path,
        "description": about or table.description,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": schema,
    }


def _field(table: TableSpec, place: int) -> dict[str, Any]:
    field = table.fields[place]
    derived = field.derived and not table.derived
    data: dict[str, Any] = {
        "name": field.name,
        "type": field.type,
        "description": f"{field.description} (follows from others)" if derived
                       else field.description,
    }  # fmt: skip
    constraints: dict[str, Any] = {}
    if field.required:
        constraints["required"] = True
    if field.choices:
        constraints["enum"] = list(field.choices)
    if constraints:
        data["constraints"] = constraints
    return data


def is_export(folder: Path) -> bool:
    """Whether an export lies there."""
    try:
        data = json.loads((folder / DESCRIPTOR).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(data, dict) and isinstance(data.get(_MARK), dict)


def expect_room(folder: Path, *, replace: bool) -> None:
    """Raises UsageError where an export to ``folder`` would be among other things."""
    if folder.exists() and not folder.is_dir():
        raise UsageError("{folder} is a file, not a folder", folder=folder)
    if (folder / "league.toml").exists():
        raise UsageError("{folder} is a club folder; export to a folder of its own", folder=folder)
    if replace or not folder.is_dir() or is_export(folder):
        return
    if any(not _UNFINISHED.fullmatch(path.name) for path in folder.iterdir()):
        raise UsageError(
            "{folder} is not empty and no earlier export; name another folder, or give --replace to"
            " have the tables put there, in place of files of the same names",
            folder=folder,
        )
