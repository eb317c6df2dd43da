"""League, rule sets, seasons and fixtures: from their TOML to records."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import field
from typing import TYPE_CHECKING, Annotated, Literal, NamedTuple, TypeVar

from riesbuch.text.nodes import FileReading
from riesbuch.text.settings import Table, TomlFields, open_toml
from riesbuch.trade.ids import ClubId, Language, Positions, TeamId, is_identifier
from riesbuch.trade.keys import Key, keys_of, records, words
from riesbuch.trade.messages import Message
from riesbuch.trade.names import MinorsNamed
from riesbuch.trade.problems import Severity, did_you_mean, finding
from riesbuch.trade.record import record
from riesbuch.trade.rules import Ages, NummerZone, RuleSet
from riesbuch.trade.season import (
    PLACES_AND_NOTES,
    Competition,
    CompetitionKind,
    Fixture,
    Ruling,
    Season,
)

if TYPE_CHECKING:
    from riesbuch.trade.handed_down import HandedDown

_Listed = TypeVar("_Listed", Fixture, Ruling)


class Publishing(NamedTuple):
    """What the pages tell of people: how players under 16 are named, whether players have pages
    of their own, and whether the ages of all together are told, in bands."""

    minors: Annotated[MinorsNamed, Key("choice", choices=words(MinorsNamed))] = "first-name"
    players: Annotated[bool, Key("yes-no")] = True
    ages: Annotated[bool, Key("yes-no")] = False


@record
class Origin:
    """Whose folder is gathered, and from where git fetches it. With ``league`` it is that of the
    league, and this folder is the ``club``'s."""

    club: Annotated[ClubId, Key("identifier", required=True)]
    url: Annotated[str, Key("text", required=True)]
    league: Annotated[bool, Key("yes-no")] = False
    positions: Positions = field(compare=False, repr=False)


Signatures = Literal["optional", "required"]


class League(NamedTuple):
    """``strict`` is whether a player without a file is an error rather than a warning. Where
    ``signatures`` are required they are from the season ``signatures_from`` on, else in all."""

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
    signatures: Annotated[Signatures, Key("choice", choices=words(Signatures))] = "optional"
    signatures_from: Annotated[
        int | None,
        Key("number", least=1000, most=9999),
    ] = None
    publishing: Annotated[
        Publishing,
        Key("record", name="publish", record=Publishing, what=Message("under [publish]")),
    ] = Publishing()
    origins: Annotated[
        tuple[Origin, ...],
        records(Origin, Message("under [[from]]"), name="from", what=Message("folders")),
    ] = ()

    def requires_signatures(self, season: int) -> bool:
        return self.signatures == "required" and season >= (self.signatures_from or 0)


def read_league(content: bytes) -> FileReading[League]:
    tables, fields = open_toml(content)
    if tables is None:
        return fields.reading(None)
    league: League | None = fields.made(tables, "", League, Message("in league.toml"), name="")
    assert league is not None
    origins = tuple(_sound_origins(fields, league.origins))
    return fields.reading(league._replace(origins=origins))


# What git would take for another program's, or for an option: "GIT URLS" in git-fetch(1),
# gitremote-helpers(7). The schemes are those that git itself speaks.
_HELPER = re.compile(r"[A-Za-z0-9_+.-]*::")
_SCHEME = re.compile(r"([A-Za-z0-9_+.-]+)://(.*)", re.DOTALL)
_SCHEMES = ("https", "http", "ssh", "git", "file")
_PASSWORD = re.compile(r"[^/@]*:[^/@]*@")
_OPTION_AS_HOST = re.compile(r"([^/@]*@)?-")


def danger_of(url: str) -> str:
    """Why nothing is fetched from ``url``, in a clause; empty where git may be given it."""
    scheme = _SCHEME.match(url)
    if url.startswith("-"):
        return Message("it begins with a hyphen, as an option of git would")
    if not url.isprintable() or url != url.strip():
        return Message("it holds a line end, a blank at its end or another invisible character")
    if _HELPER.match(url) or (scheme and scheme[1].lower() not in _SCHEMES):
        return Message("git would start another program for it")
    if _OPTION_AS_HOST.match(scheme[2] if scheme else url) and (scheme or ":" in url):
        return Message("its host begins with a hyphen, as an option would")
    if scheme and _PASSWORD.match(scheme[2]):
        return Message("it holds a password, which everybody who has the folder can read")
    return ""


def _sound_origins(fields: TomlFields, origins: Iterable[Origin]) -> Iterator[Origin]:
    """Those that can be fetched, each club and the league once; the others are reported."""
    known: set[ClubId | None] = set()
    for origin in origins:
        danger, key = danger_of(origin.url), None if origin.league else origin.club
        if danger:
            fields.report_at(
                origin.positions["url"],
                "bad-url",
                "nothing is fetched from this address: {danger}",
                "write a path such as ../aarwald-folder, or an address that begins with"
                " https:// or ssh://",
                danger=danger,
            )
        elif key in known:
            fields.report_at(
                origin.positions["club"],
                "listed-twice",
                "the league stands twice under [[from]]"
                if origin.league
                else "the club `{club}` stands twice under [[from]]",
                club=origin.club,
            )
        else:
            known.add(key)
            yield origin


def read_rules(content: bytes) -> FileReading[RuleSet]:
    tables, fields = open_toml(content)
    if tables is None:
        return fields.reading(None)
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
    _check_classes(fields, tables, rules)
    # Of two of one identifier the first is meant.
    classes = {ranked.id: ranked for ranked in reversed(rules.classes)}
    rules = rules._replace(classes=tuple(reversed(classes.values())))
    return fields.reading(rules)


def _check_classes(fields: TomlFields, tables: Table, rules: RuleSet) -> None:
    """Report classes that stand twice or take in nobody, and awards that nobody can tell for
    whom they are."""
    known: list[str] = []
    for place, table in fields.tables(tables, "classes"):
        if table.get("id") in known:
            fields.report(
                f"{place}.id", "listed-twice", "the class `{id}` stands twice", id=table["id"]
            )
        known.append(str(table.get("id")))
    for ranked in rules.classes:
        first, last = ranked.ages or Ages()
        if first is not None and last is not None and first > last:
            number = rules.classes.index(ranked) + 1
            fields.report(
                f"classes.{number}.ages",
                "ages-upside-down",
                "the class `{id}` is from {first} to {last} years, so it takes in nobody",
                "the younger age stands first: `ages = {{from = {last}, to = {first}}}`",
                id=ranked.id,
                first=first,
                last=last,
            )
    for place, table in fields.tables(tables, "awards"):
        if "points" not in table and "first" not in table:
            fields.report(
                place,
                "missing-key",
                "the award `{name}` says neither from how many `points` on it is given nor to the"
                " `first` how many",
                "write `points = 105`, or `first = 3` for the best three",
                name=table.get("name", ""),
            )
        wanted = table.get("class")
        if wanted is not None and table.get("for") == "teams":
            fields.report(
                f"{place}.class",
                "class-of-teams",
                "the award is for teams, but classes are of individuals",
                "delete `class`, or `for`",
            )
        elif is_identifier(str(wanted or "")) and wanted not in known:
            fields.findings.append(
                finding(
                    fields.position(f"{place}.class"),
                    "unknown-class",
                    "the award is for the class `{wanted}`, which these rules do not know",
                    did_you_mean(str(wanted), set(known))
                    or Message(
                        "add it: `[[classes]]` with `id = {quoted}` and a name",
                        quoted=f'"{wanted}"',
                    ),
                    wanted=wanted,
                )._replace(severity=Severity.ERROR)
            )


def read_season(content: bytes, year: int) -> FileReading[Season]:
    """Read the season.toml of the folder ``seasons/<year>``."""
    tables, fields = open_toml(content)
    if tables is None:
        return fields.reading(None)
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
    parts_whole = True
    for place, table in fields.tables(tables, "competition"):
        # What is amiss with it is told; without these its sheets would all be unknown.
        others = {"name": table.get("id"), "kind": CompetitionKind.LEAGUE, "rules": ""}
        where = Message("in a competition")
        competition = fields.made(table, place, Competition, where, **others)
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
        for number, part in enumerate(competition.parts):
            if part.id in [other.id for other in competition.parts[:number]]:
                fields.report_at(
                    part.positions["id"], "listed-twice", "the part `{id}` stands twice", id=part.id
                )
        written_parts = table.get("parts", [])
        parts_whole &= isinstance(written_parts, list) and len(written_parts) == len(
            competition.parts
        )
        _decisions(fields, table, place, competition)
        competitions.append(competition)
    season = Season(
        year=year,
        competitions=tuple(competitions),
        whole=parts_whole and isinstance(listed, list) and len(competitions) == len(listed),
    )
    return fields.reading(season)


def _decisions(fields: TomlFields, table: Table, place: str, competition: Competition) -> None:
    """Who is named to go up or down is so with a reason, and does not do both."""
    named: set[TeamId] = set()
    for key, note in PLACES_AND_NOTES:
        teams, why = getattr(competition, key), getattr(competition, note)
        if isinstance(teams, int):
            # What is no number and no list is told already.
            if why is not None and isinstance(table.get(key, 0), int):
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


def read_fixtures(content: bytes) -> FileReading[tuple[Fixture, ...]]:
    return _read_list(content, Fixture, "fixture", "fixtures.toml", Message("in a fixture"))


def read_rulings(content: bytes) -> FileReading[tuple[Ruling, ...]]:
    return _read_list(content, Ruling, "ruling", "rulings.toml", Message("in a ruling"))


def _read_list(
    content: bytes, record: type[_Listed], key: str, name: str, where: str
) -> FileReading[tuple[_Listed, ...]]:
    """The records of a file that is nothing but a list of them."""
    tables, fields = open_toml(content)
    if tables is None:
        return fields.reading(None)
    fields.known_keys(tables, "", (key,), Message("in {file}", file=name))
    listed = [fields.made(table, at, record, where) for at, table in fields.tables(tables, key)]
    found = tuple(made for made in listed if made is not None)
    return fields.reading(found)


def read_handed_down(content: bytes) -> "FileReading[HandedDown]":
    # Only here, since most folders have no such file.
    from riesbuch.trade.handed_down import HandedDown

    tables, fields = open_toml(content)
    if tables is None:
        return fields.reading(None)
    record = fields.made(tables, "", HandedDown, Message("in handed-down.toml"))
    return fields.reading(record)
