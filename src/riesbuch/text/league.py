"""League, rule sets, seasons and fixtures: from their TOML to records."""

from typing import Annotated, Any, NamedTuple, TypeVar

from riesbuch.text.nodes import FileReading
from riesbuch.text.settings import Table, TomlFields, parse_toml
from riesbuch.trade.ids import Language, TeamId
from riesbuch.trade.keys import Key, keys_of, names_of, words
from riesbuch.trade.messages import Message
from riesbuch.trade.names import MinorsNamed
from riesbuch.trade.rules import NummerZone, RuleSet
from riesbuch.trade.season import (
    PLACES_AND_NOTES,
    Competition,
    CompetitionKind,
    Fixture,
    Season,
)

_Keyed = TypeVar("_Keyed", Competition, Fixture)


class Publishing(NamedTuple):
    """What the pages tell of people: how players under 16 are named, whether players have pages
    of their own, and whether the ages of all together are told, in bands."""

    minors: Annotated[MinorsNamed, Key("choice", choices=words(MinorsNamed))] = "first-name"
    players: Annotated[bool, Key("yes-no")] = True
    ages: Annotated[bool, Key("yes-no")] = False


class League(NamedTuple):
    """``strict`` is whether a player without a file is an error rather than a warning."""

    name: Annotated[str, Key("text", required=True, column="name")]
    language: Annotated[
        Language, Key("choice", choices=words(Language), column="of the reports")
    ] = "en"
    strict: Annotated[
        bool,
        Key(
            "choice",
            name="register",
            choices={"strict": True, "open": False},
            column="whether everybody needs a file",
        ),
    ] = True
    publishing: Annotated[
        Publishing,
        Key("record", name="publish", record=Publishing, what=Message("under [publish]")),
    ] = Publishing()


def read_league(content: bytes) -> FileReading[League]:
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return FileReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    league = fields.made(tables, "", League, Message("in league.toml"), name="")
    return FileReading(record=league, findings=tuple(fields.findings))


def read_rules(content: bytes) -> FileReading[RuleSet]:
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return FileReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    rules: RuleSet | None = fields.made(tables, "", RuleSet, Message("in a rule set"))
    assert rules is not None
    zone = rules.nummer_zone
    if zone.first > zone.last:
        fields.report(
            "nummer_zone",
            "zone-upside-down",
            "the zone begins at {first} and ends before it, at {last}",
            first=zone.first,
            last=zone.last,
        )
        # No sheet is held against a zone that is not one.
        rules = rules._replace(nummer_zone=NummerZone(first=0, last=1_000_000))
    return FileReading(record=rules, findings=tuple(fields.findings))


def read_season(content: bytes, year: int) -> FileReading[Season]:
    """Read the season.toml of the folder ``seasons/<year>``."""
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return FileReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    fields.described(tables, "", Season, Message("in season.toml"))
    written = fields.value(tables, "", keys_of(Season)[0])
    if written is not None and written != year:
        fields.report(
            "season",
            "wrong-season",
            "the file says season {written} but stands in seasons/{year}",
            "write `season = {year}`, or move the folder",
            written=written,
            year=year,
        )
    competitions: list[Competition] = []
    listed = tables.get("competition", [])
    for place, table in fields.tables(tables, "competition"):
        competition = _with_keys(fields, table, place, Competition, Message("in a competition"))
        if competition is None:
            continue
        if any(other.id == competition.id for other in competitions):
            fields.report(
                f"{place}.id",
                "listed-twice",
                "the competition `{id}` stands twice",
                id=competition.id,
            )
            continue
        _decisions(fields, place, competition)
        competitions.append(competition)
    season = Season(
        year=year,
        competitions=tuple(competitions),
        whole=isinstance(listed, list) and len(competitions) == len(listed),
    )
    return FileReading(record=season, findings=tuple(fields.findings))


def _decisions(fields: TomlFields, place: str, competition: Competition) -> None:
    """Who is named to go up or down is so with a reason, and does not do both."""
    named: set[TeamId] = set()
    for key, note in PLACES_AND_NOTES:
        teams, why = getattr(competition, key), getattr(competition, note)
        if isinstance(teams, int):
            if why is not None:
                fields.report(
                    f"{place}.{note}",
                    "decision-incomplete",
                    "`{note}` says why, but `{key}` does not name who",
                    'name the teams: {key} = ["aarwald-a"]',
                    note=note,
                    key=key,
                )
            continue
        if why is None:
            fields.report(
                f"{place}.{key}",
                "decision-incomplete",
                "`{key}` names teams, but nothing says why",
                'add a line {note} = "why"',
                note=note,
                key=key,
            )
        for team in sorted(named.intersection(teams)):
            fields.report(
                f"{place}.{key}",
                "listed-twice",
                "`{team}` is to go up and to go down",
                team=team,
            )
        named.update(teams)


def _with_keys(
    fields: TomlFields, table: Table, place: str, record: type[_Keyed], where: str
) -> _Keyed | None:
    """A competition or fixture with the positions of its keys."""
    positions = {key: fields.position(f"{place}.{key}") for key in names_of(record)}
    others: dict[str, Any] = {}
    if record is Competition:
        others = {"name": table.get("id"), "kind": CompetitionKind.LEAGUE, "rules": ""}
    return fields.made(table, place, record, where, positions=positions, **others)


def read_fixtures(content: bytes) -> FileReading[tuple[Fixture, ...]]:
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return FileReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    fields.known_keys(tables, "", ("fixture",), Message("in fixtures.toml"))
    fixtures = []
    for place, table in fields.tables(tables, "fixture"):
        fixture = _with_keys(fields, table, place, Fixture, Message("in a fixture"))
        if fixture is not None:
            fixtures.append(fixture)
    return FileReading(record=tuple(fixtures), findings=tuple(fields.findings))
