"""The tables of an export: their columns, keys and what they mean, as a Table Schema."""

from collections.abc import Iterator
from typing import Any, Literal, NamedTuple

from riesbuch.text.league import League
from riesbuch.trade.agreement import Correction
from riesbuch.trade.handed_down import (
    HandedDownStrikers,
    HandedDownTable,
    Honour,
    StrikerRow,
    TableRow,
)
from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import Depth, Doubt, Match, Side
from riesbuch.trade.people import Club, FormerName, Membership, Player
from riesbuch.trade.rules import Award, RuleSet, StrikerClass
from riesbuch.trade.season import Competition, Fixture, Part, Ruling, number_of
from riesbuch.trade.signing import Proof

FieldType = Literal["string", "integer", "date", "boolean", "array"]


class TableField(NamedTuple):
    """``derived`` columns follow from others; what is ``of_key`` is described by a key of the
    files. ``tells`` says where people are named: a column of players' identifiers, or text in
    somebody's own words."""

    name: str
    type: FieldType
    description: str
    required: bool = False
    derived: bool = False
    choices: tuple[str, ...] = ()
    tells: Literal["", "player", "text"] = ""
    of_key: bool = False


class Reference(NamedTuple):
    """The ``fields`` name a row of ``table`` by its ``theirs``."""

    fields: tuple[str, ...]
    table: str
    theirs: tuple[str, ...]


class TableSpec(NamedTuple):
    """``derived`` tables follow from others."""

    name: str
    description: str
    key: tuple[str, ...]
    fields: tuple[TableField, ...]
    references: tuple[Reference, ...] = ()
    derived: bool = False

    @property
    def columns(self) -> tuple[str, ...]:
        return tuple(field.name for field in self.fields)

    @property
    def path(self) -> str:
        return f"{self.name}.csv"


def _numbers(**named: str) -> tuple[TableField, ...]:
    return tuple(TableField(name, "integer", about) for name, about in named.items())


def _key(name: str, about: str, kind: FieldType = "string") -> TableField:
    return TableField(name, kind, about, required=True)


def _derived(name: str, about: str, kind: FieldType = "integer") -> TableField:
    return TableField(name, kind, about, derived=True)


_TYPES: dict[str, FieldType] = {
    "number": "integer", "places": "integer", "year": "integer", "date": "date",
    "yes-no": "boolean", "list": "array", "criteria": "array", "ries": "array",
}  # fmt: skip


def _columns(record: type, *listed: TableField | str) -> tuple[TableField, ...]:
    """The listed columns, those that keys of the record describe by their names alone; and behind
    them all others that its keys describe."""
    described = {field.name: field for key in keys_of(record) for field in _fields_of(key)}
    chosen = [described.pop(column) if isinstance(column, str) else column for column in listed]
    return (*chosen, *described.values())


def _fields_of(key: Key) -> Iterator[TableField]:
    if key.form == "record":
        assert key.record is not None
        for field in _columns(key.record):
            named = field._replace(name=f"{key.column}{field.name}")
            yield named._replace(required=False, choices=()) if key.default is None else named
    elif key.column:
        yield TableField(
            key.name,
            _TYPES.get(key.form, "string"),
            key.column,
            required=key.required or (key.form in ("choice", "yes-no") and key.default is not None),
            choices=tuple(key.choices) if key.form == "choice" else (),
            tells=key.tells,
            of_key=True,
        )


def described_values(record: Any, prefix: str = "") -> Iterator[tuple[str, Any]]:
    """What a record has in the columns that its keys describe, by their names."""
    for key in keys_of(record.__class__):
        value = getattr(record, key.field)
        if key.form == "record" and value is not None:
            yield from described_values(value, key.column)
        elif key.column:
            if key.form == "choice" and value is not None:
                value = key.word_for(value)
            elif key.form == "places":
                value = number_of(value)
            yield f"{prefix}{key.name}", None if value == () and not key.required else value


_SEASON = _key("season", "year", "integer")
_COMPETITION = _key("competition", "identifier of the competition within its season")
_SHEET = _key("sheet", "identifier of the match sheet: year/name of the file")
_SIDE = TableField("side", "string", "which side", required=True, choices=("home", "away"))
_PLAYER = TableField("player", "string", "identifier of the player", True, tells="player")
_RULES = _key("rules", "identifier of the rule set")
_CLUB = _key("club", "identifier of the club")
_TEAM = _key("team", "identifier of the team: club and letter")
_NUMBER = _key("number", "place in the order, from 1", "integer")
_NAME = _key("name", "name")

_TO_RULES = Reference(("rules",), "rules", ("rules",))
_TO_COMPETITION = Reference(("season", "competition"), "competitions", ("season", "competition"))
_TO_SHEET = Reference(("sheet",), "matches", ("sheet",))
_TO_SIDE = Reference(("sheet", "side"), "sides", ("sheet", "side"))
_TO_PLAYER = Reference(("player",), "players", ("player",))
_TO_CLUB = Reference(("club",), "clubs", ("club",))
_TO_TEAM = Reference(("team",), "teams", ("team",))


def _teams(*columns: str) -> tuple[Reference, ...]:
    return tuple(Reference((column,), "teams", ("team",)) for column in columns)


_SETTINGS = (
    TableSpec(
        "league", "The league or club that the export is about; one row.", ("name",),
        _columns(League),
    ),
    TableSpec(
        "rules", "Scoring rule sets.", ("rules",),
        _columns(RuleSet, _RULES, _NAME),
    ),
    TableSpec(
        "awards",
        "From how many points on, or to the first how many, a rule set gives"
        " individuals an award.",
        ("rules", "number"),
        _columns(Award, _RULES, _NUMBER),
        references=(_TO_RULES,),
    ),
    TableSpec(
        "classes",
        "Whom a rule set ranks apart: by age, else those whose players' rows say so.",
        ("rules", "number"),
        _columns(StrikerClass, _RULES, _NUMBER),
        references=(_TO_RULES,),
    ),
)  # fmt: skip

_REGISTER = (
    TableSpec("clubs", "Clubs.", ("club",), _columns(Club, _CLUB)),
    TableSpec(
        "teams", "Teams of the clubs.", ("team",),
        (_TEAM, _CLUB, _NUMBER, _NAME),
        references=(_TO_CLUB,),
    ),
    TableSpec(
        "former_names", "What clubs were called before.", ("club", "number"),
        _columns(FormerName, _CLUB, _NUMBER, "name", *_numbers(until="last year of this name")),
        references=(_TO_CLUB,),
    ),
    TableSpec(
        "mergers", "Clubs whose history another club carries on.", ("club", "number"),
        (_CLUB, _NUMBER, _key("merged", "the club that is carried on")),
        references=(_TO_CLUB, Reference(("merged",), "clubs", ("club",))),
    ),
    TableSpec(
        "players", "People.", ("player",),
        _columns(
            Player, _PLAYER, "name", "born", "also_written",
            _key("registered", "whether there is a file; else only sheets name the player",
                 "boolean"),
        ),
    ),
    TableSpec(
        "memberships", "Clubs of the players.", ("player", "number"),
        _columns(Membership, _PLAYER, _NUMBER, "club", *_numbers(since="first year")),
        references=(_TO_PLAYER, _TO_CLUB),
    ),
    TableSpec(
        "parents", "Parents of players.", ("player", "number"),
        (
            _PLAYER, _NUMBER,
            TableField("parent", "string", "identifier of the parent, a player too", True,
                       tells="player"),
        ),
        references=(_TO_PLAYER, Reference(("parent",), "players", ("player",))),
    ),
)  # fmt: skip

_SEASONS = (
    TableSpec(
        "competitions", "Competitions of the seasons.", ("season", "competition"),
        _columns(
            Competition, _SEASON, _COMPETITION, _NUMBER,
            TableField("promoted_teams", "array", "teams that go up by a decision"),
            TableField("relegated_teams", "array", "teams that go down by a decision"),
        ),
        references=(_TO_RULES,),
    ),
    TableSpec(
        "parts", "Parts of festivals that are struck in parts.", ("season", "competition", "part"),
        _columns(Part, _SEASON, _COMPETITION, _NUMBER, _key("part", "identifier of the part")),
        references=(_TO_COMPETITION, _TO_RULES),
    ),
    TableSpec(
        "entrants",
        "Teams of the competitions, where they are listed.",
        ("season", "competition", "number"),
        (_SEASON, _COMPETITION, _NUMBER, _TEAM),
        references=(_TO_COMPETITION, _TO_TEAM),
    ),
    TableSpec(
        "fixtures", "Who meets whom and when.", ("season", "number"),
        _columns(Fixture, _SEASON, _NUMBER),
        references=(_TO_COMPETITION, *_teams("home", "away")),
    ),
    TableSpec(
        "rulings",
        "What was added to figures in the tables by a decision, or taken away.",
        ("season", "number"),
        _columns(Ruling, _SEASON, _NUMBER),
        references=(_TO_COMPETITION, *_teams("team")),
    ),
)  # fmt: skip

_MATCHES = (
    TableSpec(
        "matches", "One row a match sheet.", ("sheet",),
        _columns(
            Match, _SHEET, _SEASON, "competition", "round", "date",
            _key("home", "team"), _key("away", "team"),
            _derived("winner", "home, away or draw; empty where not known", "string"),
            _derived("decided_by", "nummern, points, longest_ries, award or recorded", "string"),
            _derived("draft", "whether strikes are still to be entered", "boolean"),
            "outcome", "awarded", "moved_to", "counts",
            TableField("recorded_winner", "string", "the winner as the sheet gives it",
                       choices=("home", "away", "draw")),
            "strikes_first", "ground", "weather", "notes", "referees",
            TableField("seal_proof", "string", "what the signatures of the seal prove",
                       choices=tuple(Proof)),
        ),
        references=(_TO_COMPETITION, *_teams("home", "away")),
    ),
    TableSpec(
        "sides",
        "Two rows a match; points, Ries totals and Nummern as they add up.",
        ("sheet", "side"),
        _columns(
            Side, _SHEET, _SIDE, "team", "captain",
            TableField("depth", "string", "how much is known of the side", True,
                       choices=tuple(Depth)),
            *_numbers(points="points", nummern="Nummern that the side conceded"),
            TableField("ries", "array", "Ries totals; null is one that is not known"),
            _derived("rank_points", "rank points in a league match"),
            *_numbers(recorded_nummern="Nummern as given beside less than strikes"),
        ),
        references=(_TO_SHEET, _TO_TEAM, Reference(("captain",), "players", ("player",))),
    ),
    TableSpec(
        "rows",
        "One row a player of a match, in the order of the sheet.",
        ("sheet", "side", "number"),
        (
            _SHEET, _SIDE, _NUMBER, _PLAYER,
            TableField("role", "string", "as whom; points: no strikes are known; named: nor the"
                       " points of the others", True,
                       choices=("team", "supernumerary", "replacement", "points", "named")),
            TableField("strikes", "string", "as in the sheet: [[18, 20], [17N, x]]"),
            *_numbers(points="match points; empty where a strike is not known"),
            _derived("struck", "strikes that are struck and known"),
            _derived("nummern", "Nummern that the player struck"),
        ),
        references=(_TO_SIDE, _TO_PLAYER),
    ),
    TableSpec(
        "strikes", "One row a strike.", ("sheet", "side", "number", "inning", "strike"),
        (
            _SHEET, _SIDE, _key("number", "number of the row", "integer"),
            _key("inning", "inning", "integer"), _key("strike", "strike in the inning", "integer"),
            _key("written", "points, N behind them for a Nummer; x not struck, ~ unknown, _ blank"),
            *_numbers(points="points, where struck and known"),
            _key("nummer", "whether it is a Nummer", "boolean"),
        ),
        references=(
            Reference(("sheet", "side", "number"), "rows", ("sheet", "side", "number")),
        ),
        derived=True,
    ),
    TableSpec(
        "doubts", "What is uncertain in a sheet.", ("sheet", "number"),
        _columns(Doubt, _SHEET, _NUMBER),
        references=(_TO_SHEET,),
    ),
    TableSpec(
        "corrections", "Corrections to sealed sheets.", ("sheet", "number"),
        _columns(Correction, _SHEET, _NUMBER),
        references=(_TO_SHEET,),
    ),
)  # fmt: skip


def _of_table(record: type, row: type) -> tuple[TableField, ...]:
    """What is said of a whole table, and of a row of it."""
    name = {"name": "competition_name"}
    of_all = [
        field._replace(name=name.get(field.name, field.name), of_key=False)
        for field in _columns(record)
    ]
    return (_SEASON, _NUMBER, *of_all, *_columns(row))


_HANDED_DOWN = (
    TableSpec(
        "handed_down_standings",
        "Team tables handed down without their sheets, a row a team.",
        ("season", "number"),
        _of_table(HandedDownTable, TableRow),
        references=(_TO_TEAM,),
    ),
    TableSpec(
        "handed_down_strikers",
        "Striker tables handed down without their sheets, a row a person.",
        ("season", "number"),
        _of_table(HandedDownStrikers, StrikerRow),
        references=(_TO_PLAYER, _TO_TEAM),
    ),
    TableSpec(
        "handed_down_honours",
        "Titles and prizes handed down, one a row.",
        ("season", "number"),
        _columns(Honour, _SEASON, _NUMBER),
        references=(_TO_PLAYER, _TO_TEAM),
    ),
)

_DERIVED = (
    TableSpec(
        "standings", "Team tables of the competitions.", ("season", "competition", "team"),
        (
            _SEASON, _COMPETITION, _key("rank", "rank", "integer"), _TEAM,
            *_numbers(
                played="matches", won="matches won", drawn="matches drawn", lost="matches lost",
                nummern="Nummern conceded", points="points", rank_points="rank points",
                nummern_unknown="matches of which nobody knows the Nummern conceded",
                points_unknown="matches of which nobody knows the points",
                ruled="rank points among these that rulings added",
            ),
        ),
        references=(_TO_COMPETITION, _TO_TEAM), derived=True,
    ),
    TableSpec(
        "strikers", "Striker tables of the competitions.", ("season", "competition", "player"),
        (
            _SEASON, _COMPETITION, _key("rank", "rank", "integer"), _PLAYER, _TEAM,
            *_numbers(
                matches="matches", strikes="strikes struck and known", points="points",
                struck_points="points of these strikes", best="highest match points",
                rank_points="rank points",
            ),
        ),
        references=(_TO_COMPETITION, _TO_PLAYER, _TO_TEAM), derived=True,
    ),
)  # fmt: skip

TRAININGS = TableSpec(
    "trainings",
    "Who trained when, and the points of their strikes; only where it was asked for.",
    ("date", "club", "number"),
    (
        _SEASON, _key("date", "the day", "date"), _CLUB, _NUMBER, _PLAYER,
        TableField("strikes", "array", "points of each strike, null where not written down"),
    ),
    references=(_TO_CLUB, _TO_PLAYER),
)  # fmt: skip

TABLES = (*_SETTINGS, *_REGISTER, *_SEASONS, *_MATCHES, *_HANDED_DOWN, *_DERIVED)
BY_NAME = {table.name: table for table in (*TABLES, TRAININGS)}
