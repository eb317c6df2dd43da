"""League, rule sets, seasons and fixtures: from their TOML to records."""

from typing import Any, Generic, NamedTuple, TypeVar, cast, get_args

from riesbuch.text.settings import Table, TomlFields, parse_toml
from riesbuch.trade.ids import (
    CompetitionId,
    Language,
    Positions,
    RuleSetId,
    TeamId,
    is_identifier,
)
from riesbuch.trade.names import MinorsNamed
from riesbuch.trade.problems import Finding
from riesbuch.trade.rules import (
    Award,
    ForfeitPoints,
    NummerZone,
    RankPoints,
    ResultCriterion,
    RuleSet,
    StandingsCriterion,
    StrikersCriterion,
    StrikersScale,
)
from riesbuch.trade.season import Competition, CompetitionKind, Fixture, Season

LEAGUE_KEYS = ("name", "language", "register", "publish")
PUBLISH_KEYS = ("minors", "players", "ages")
RULES_KEYS = (
    "name", "team_size", "innings", "strikes_per_inning", "highest_points", "nummer_zone",
    "result_order", "standings_order", "rank_points", "forfeit", "strikers", "awards",
)  # fmt: skip
COMPETITION_KEYS = ("id", "name", "kind", "rules", "teams", "cycles", "promoted", "relegated")
FIXTURE_KEYS = ("competition", "round", "date", "home", "away")


_Record = TypeVar("_Record")


class Publishing(NamedTuple):
    """What the pages tell of people: how players under 16 are named, whether players have pages
    of their own, and whether the ages of all together are told, in bands."""

    minors: MinorsNamed = "first-name"
    players: bool = True
    ages: bool = False


class League(NamedTuple):
    """``strict`` is whether a player without a file is an error rather than a warning."""

    name: str
    language: Language = "en"
    strict: bool = True
    publishing: Publishing = Publishing()


class SettingsReading(NamedTuple, Generic[_Record]):
    """``record`` is None where the file could not be read at all."""

    record: _Record | None
    findings: tuple[Finding, ...]


def read_league(content: bytes) -> SettingsReading[League]:
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return SettingsReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    where = "in league.toml"
    fields.known_keys(tables, "", LEAGUE_KEYS, where)
    fields.required(tables, "", ("name",), where)
    league = League(
        name=fields.text(tables, "", "name") or "",
        language=cast(Language, fields.choice(tables, "", "language", ("en", "de")) or "en"),
        strict=fields.choice(tables, "", "register", ("strict", "open")) != "open",
        publishing=_publishing(fields, tables),
    )
    return SettingsReading(record=league, findings=tuple(fields.findings))


def _publishing(fields: TomlFields, tables: Table) -> Publishing:
    table = fields.table(tables, "", "publish")
    fields.known_keys(table, "publish", PUBLISH_KEYS, "under [publish]")
    minors = fields.choice(table, "publish", "minors", get_args(MinorsNamed))
    return Publishing(
        **_given(
            minors=minors,
            players=fields.yes_or_no(table, "publish", "players"),
            ages=fields.yes_or_no(table, "publish", "ages"),
        )
    )


def _given(**values: Any) -> dict[str, Any]:
    return {key: value for key, value in values.items() if value is not None}


def read_rules(content: bytes) -> SettingsReading[RuleSet]:
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return SettingsReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    fields.known_keys(tables, "", RULES_KEYS, "in a rule set")
    rules = RuleSet(
        **_given(
            name=fields.text(tables, "", "name"),
            team_size=fields.number(tables, "", "team_size", least=1, most=999),
            innings=fields.number(tables, "", "innings", least=1, most=99),
            strikes_per_inning=fields.number(tables, "", "strikes_per_inning", least=1, most=99),
            highest_points=fields.number(tables, "", "highest_points", least=1, most=999),
            result_order=fields.criteria(tables, "", "result_order", ResultCriterion),
            standings_order=fields.criteria(tables, "", "standings_order", StandingsCriterion),
        ),
        nummer_zone=_nummer_zone(fields, tables),
        rank_points=RankPoints(**_numbers(fields, tables, "rank_points", RankPoints._fields)),
        forfeit=ForfeitPoints(**_numbers(fields, tables, "forfeit", ForfeitPoints._fields)),
        strikers=_strikers(fields, tables),
        awards=_awards(fields, tables),
    )
    return SettingsReading(record=rules, findings=tuple(fields.findings))


def _numbers(fields: TomlFields, tables: Table, key: str, names: Any) -> dict[str, Any]:
    table = fields.table(tables, "", key)
    fields.known_keys(table, key, names, f"under [{key}]")
    return _given(**{name: fields.number(table, key, name) for name in names})


def _nummer_zone(fields: TomlFields, tables: Table) -> NummerZone:
    table = fields.table(tables, "", "nummer_zone")
    fields.known_keys(table, "nummer_zone", ("from", "to"), "under nummer_zone")
    zone = NummerZone(
        **_given(
            first=fields.number(table, "nummer_zone", "from"),
            last=fields.number(table, "nummer_zone", "to"),
        )
    )
    if zone.first > zone.last:
        fields.report(
            "nummer_zone",
            "zone-upside-down",
            f"the zone begins at {zone.first} and ends before it, at {zone.last}",
        )
        # No sheet is held against a zone that is not one.
        return NummerZone(first=0, last=1_000_000)
    return zone


def _strikers(fields: TomlFields, tables: Table) -> StrikersScale:
    table = fields.table(tables, "", "strikers")
    fields.known_keys(table, "strikers", ("best", "least", "order"), "under [strikers]")
    return StrikersScale(
        **_given(
            best=fields.number(table, "strikers", "best"),
            least=fields.number(table, "strikers", "least"),
            order=fields.criteria(table, "strikers", "order", StrikersCriterion),
        )
    )


def _awards(fields: TomlFields, tables: Table) -> tuple[Award, ...]:
    awards = []
    for place, table in fields.tables(tables, "awards"):
        fields.known_keys(table, place, ("name", "points"), "under [[awards]]")
        fields.required(table, place, ("name", "points"), "under [[awards]]")
        name = fields.text(table, place, "name")
        points = fields.number(table, place, "points")
        if name is not None and points is not None:
            awards.append(Award(name=name, points=points))
    return tuple(awards)


def read_season(content: bytes, year: int) -> SettingsReading[Season]:
    """Read the season.toml of the folder ``seasons/<year>``."""
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return SettingsReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    fields.known_keys(tables, "", ("season", "competition"), "in season.toml")
    fields.required(tables, "", ("season",), "in season.toml")
    written = fields.number(tables, "", "season")
    if written is not None and written != year:
        fields.report(
            "season",
            "wrong-season",
            f"the file says season {written} but stands in seasons/{year}",
            f"write `season = {year}`, or move the folder",
        )
    competitions: list[Competition] = []
    listed = tables.get("competition", [])
    for place, table in fields.tables(tables, "competition"):
        competition = _competition(fields, table, place)
        if competition is None:
            continue
        if any(each.id == competition.id for each in competitions):
            fields.report(
                f"{place}.id", "listed-twice", f"the competition `{competition.id}` stands twice"
            )
            continue
        competitions.append(competition)
    season = Season(
        year=year,
        competitions=tuple(competitions),
        whole=isinstance(listed, list) and len(competitions) == len(listed),
    )
    return SettingsReading(record=season, findings=tuple(fields.findings))


def _competition(fields: TomlFields, table: Table, place: str) -> Competition | None:
    where = "in a competition"
    fields.known_keys(table, place, COMPETITION_KEYS, where)
    fields.required(table, place, ("id", "name", "kind", "rules"), where)
    key = fields.identifier(table, place, "id")
    kind = fields.choice(table, place, "kind", [each.value for each in CompetitionKind])
    rules = fields.identifier(table, place, "rules")
    name = fields.text(table, place, "name")
    teams = fields.texts(table, place, "teams") or ()
    for team in teams:
        if not is_identifier(team):
            fields.report(
                f"{place}.teams", "bad-identifier", f"`{team}` in `teams` is not an identifier"
            )
    others = _given(
        cycles=fields.number(table, place, "cycles", least=1, most=99),
        promoted=fields.number(table, place, "promoted"),
        relegated=fields.number(table, place, "relegated"),
    )
    if key is None:
        return None
    return Competition(
        id=CompetitionId(key),
        name=name or key,
        kind=CompetitionKind(kind or "league"),
        rules=RuleSetId(rules or ""),
        teams=tuple(TeamId(team) for team in teams if is_identifier(team)),
        positions=_key_positions(fields, place, COMPETITION_KEYS),
        **others,
    )


def _key_positions(fields: TomlFields, place: str, keys: tuple[str, ...]) -> Positions:
    return {key: fields.position(f"{place}.{key}") for key in keys}


def read_fixtures(content: bytes) -> SettingsReading[tuple[Fixture, ...]]:
    tables, text, syntax = parse_toml(content)
    if tables is None:
        return SettingsReading(record=None, findings=tuple(syntax))
    fields = TomlFields(text)
    fields.known_keys(tables, "", ("fixture",), "in fixtures.toml")
    fixtures = []
    where = "in a fixture"
    for place, table in fields.tables(tables, "fixture"):
        fields.known_keys(table, place, FIXTURE_KEYS, where)
        fields.required(table, place, ("competition", "date", "home", "away"), where)
        competition = fields.identifier(table, place, "competition")
        date = fields.date(table, place, "date")
        home = fields.identifier(table, place, "home")
        away = fields.identifier(table, place, "away")
        number = fields.number(table, place, "round", least=1)
        if competition is None or date is None or home is None or away is None:
            continue
        fixtures.append(
            Fixture(
                competition=CompetitionId(competition),
                round=number,
                date=date,
                home=TeamId(home),
                away=TeamId(away),
                positions=_key_positions(fields, place, FIXTURE_KEYS),
            )
        )
    return SettingsReading(record=tuple(fixtures), findings=tuple(fields.findings))
