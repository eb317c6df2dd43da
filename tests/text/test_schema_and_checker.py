"""Schema and checker against each other: an editor may not refuse what the checker lets pass."""

import dataclasses
import itertools
import re
import tomllib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any, get_args

import pytest

from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.judge.archive import check_archive
from riesbuch.judge.holdings import Holdings, sheet_entry
from riesbuch.judge.sheet import check_sheet
from riesbuch.judge.trainings import check_trainings
from riesbuch.text.league import (
    League,
    Publishing,
    read_fixtures,
    read_handed_down,
    read_league,
    read_rules,
    read_rulings,
    read_season,
)
from riesbuch.text.register import read_club, read_player
from riesbuch.text.sheet import read_sheet, read_training
from riesbuch.trade.agreement import Correction, Seal
from riesbuch.trade.handed_down import (
    Distinction,
    HandedDown,
    HandedDownStrikers,
    HandedDownTable,
    Honour,
    StrikerRow,
    TableRow,
)
from riesbuch.trade.ids import (
    ClubId,
    CompetitionId,
    Language,
    PlayerId,
    RuleSetId,
    SheetId,
    TeamId,
    Winner,
    is_identifier,
)
from riesbuch.trade.keys import names_of
from riesbuch.trade.match import (
    Doubt,
    Match,
    Outcome,
    PaperTotals,
    Replacement,
    Side,
    Source,
    SourceKind,
)
from riesbuch.trade.names import MinorsNamed
from riesbuch.trade.people import Club, FormerName, Membership, Player, Register
from riesbuch.trade.problems import CODES, Finding, Severity
from riesbuch.trade.rules import (
    Ages,
    Award,
    ResultCriterion,
    RuleSet,
    StandingsCriterion,
    StrikerClass,
    StrikersCriterion,
)
from riesbuch.trade.season import Competition, CompetitionKind, Fixture, Ruling, Season
from riesbuch.trade.training import Training
from tests.depth import runs
from tests.editor_loader import _json_value, yaml_as_editor
from tests.spoiling import spoilt_texts, written_again
from tests.text.test_schema_corpus import KINDS, VALIDATORS, corpus, schema

YEAR = 2026


class _EverybodyKnown(Register):
    """A register that has a file for whatever could have one, so that a file is judged by its
    own faults alone."""

    def knows_team(self, team: TeamId) -> bool:
        club, _, letter = team.rpartition("-")
        return is_identifier(club) and is_identifier(letter)

    def knows_player(self, player: PlayerId) -> bool:
        return True

    def knows_club(self, club: ClubId) -> bool:
        return True


def _archive(
    *,
    season: Season | None = None,
    fixtures: Sequence[Fixture] = (),
    clubs: dict[Any, Any] | None = None,
    players: dict[Any, Any] | None = None,
) -> Archive:
    return Archive(
        folder=ClubFolder(Path()),
        league=League(name="Oberhang League"),
        rules={},
        seasons={season.year: season} if season else {},
        fixtures={season.year: tuple(fixtures)} if season else {},
        register=_EverybodyKnown(clubs=clubs or {}, players=players or {}),
        unread_rules=frozenset(
            each.rules for each in (season.competitions if season else ()) if each.rules
        ),
    )


def _season(year: int, keys: Iterable[str], teams: Iterable[TeamId] = ()) -> Season:
    return Season(
        year=year,
        competitions=tuple(
            Competition(
                id=CompetitionId(key),
                name=key,
                kind=CompetitionKind.LEAGUE,
                rules=RuleSetId("2026"),
                teams=tuple(sorted(set(teams))),
                positions={},
            )
            for key in sorted(set(keys))
        ),
    )


def _rules_for(match: Match) -> RuleSet:
    """The rule set under which the sheet's longest row is of the right length."""
    if match.outcome is Outcome.ABANDONED:
        return RuleSet()
    rows = [row for _, side in match.sides for row in side.team_rows + side.supernumeraries]
    innings = max((len(row.innings) for row in rows), default=2)
    strikes = max((len(inning) for row in rows for inning in row.innings), default=2)
    ries = [each for _, side in match.sides for each in (side.ries,) if each is not None]
    if not rows and ries:
        innings, strikes = 1, max(len(each) for each in ries)
    return RuleSet(innings=innings or 2, strikes_per_inning=strikes or 2)


def _judge_sheet(content: bytes) -> list[Finding | Any]:
    reading = read_sheet(content, SheetId("2026/sheet"), YEAR)
    if reading.match is None:
        return list(reading.findings)
    match = reading.match
    year = match.date.year if match.date else YEAR
    match = dataclasses.replace(match, season=year)
    archive = _archive(season=_season(year, [match.competition] if match.competition else []))
    entry = sheet_entry("sheet.yaml", match)
    return [
        *reading.findings,
        *check_sheet(match, _rules_for(match)),
        *check_archive(Holdings(archive=archive, entries=(entry,))),
    ]


def _judge_fixtures(content: bytes) -> list[Finding | Any]:
    reading = read_fixtures(content)
    fixtures = reading.record or ()
    problems: list[Finding | Any] = list(reading.findings)
    for year in {fixture.date.year for fixture in fixtures}:
        named = [team for fixture in fixtures for team in (fixture.home, fixture.away)]
        teams = [team for team in named if _EverybodyKnown(clubs={}, players={}).knows_team(team)]
        season = _season(year, [fixture.competition for fixture in fixtures], teams)
        chosen = [fixture for fixture in fixtures if fixture.date.year == year]
        archive = _archive(season=season, fixtures=chosen)
        problems += check_archive(Holdings(archive=archive, entries=()))
    return problems


def _judge_season(content: bytes) -> list[Finding | Any]:
    try:
        written = tomllib.loads(content.decode("utf-8")).get("season")
    except tomllib.TOMLDecodeError:
        written = None
    # The folder a season lies in is named by its year.
    fits = isinstance(written, int) and re.fullmatch(r"[12][0-9]{3}", str(written))
    reading = read_season(content, int(str(written)) if fits else YEAR)
    problems: list[Finding | Any] = list(reading.findings)
    if reading.record is not None:
        archive = _archive(season=reading.record)
        problems += check_archive(Holdings(archive=archive, entries=()))
    return problems


def _judge_club(content: bytes) -> list[Finding | Any]:
    reading = read_club(content, ClubId("our-club"))
    clubs = {reading.record.id: reading.record} if reading.record else {}
    return [*reading.findings, *check_archive(Holdings(archive=_archive(clubs=clubs), entries=()))]


def _judge_player(content: bytes) -> list[Finding | Any]:
    reading = read_player(content, PlayerId("our-player"))
    players = {reading.record.id: reading.record} if reading.record else {}
    archive = _archive(players=players)
    return [*reading.findings, *check_archive(Holdings(archive=archive, entries=()))]


def _judge_training(content: bytes) -> list[Finding | Any]:
    reading = read_training(content)
    problems: list[Finding | Any] = list(reading.findings)
    if reading.record is not None:
        # The folder and the file are named by its day.
        day = reading.record.date
        path = f"trainings/{day and day.year}/{day}.yaml"
        year = day.year if day else YEAR
        problems += check_trainings(_archive(), year, {path: reading.record})
    return problems


JUDGES = {
    "club": _judge_club,
    "fixtures": _judge_fixtures,
    "handed-down": lambda content: list(read_handed_down(content).findings),
    "league": lambda content: list(read_league(content).findings),
    "player": _judge_player,
    "rules": lambda content: list(read_rules(content).findings),
    "rulings": lambda content: list(read_rulings(content).findings),
    "season": _judge_season,
    "sheet": _judge_sheet,
    "training": _judge_training,
}


def errors(kind: str, content: bytes) -> list[str]:
    """The checker's errors in a file of that kind, as "code message"."""
    return [
        f"{each.code} {each.message}"
        for each in JUDGES[kind](content)
        if (each.severity or CODES[each.code]) is Severity.ERROR
    ]


def schema_refuses(kind: str, text: str) -> bool:
    if kind in ("club", "player", "sheet", "training"):
        try:
            value = yaml_as_editor(text)
        except ValueError:
            return True
    else:
        value = _json_value(tomllib.loads(text))
    return not VALIDATORS[kind].is_valid(value)


@pytest.mark.parametrize(("kind", "path"), corpus("valid"))
def test_valid_file_has_no_error(kind: str, path: Path) -> None:
    assert errors(kind, path.read_bytes()) == []


@pytest.mark.parametrize(("kind", "path"), corpus("spoilt"))
def test_spoilt_file_is_refused_by_the_checker_too(kind: str, path: Path) -> None:
    assert errors(kind, path.read_bytes()) != []


@pytest.mark.parametrize(("kind", "path"), corpus("valid"))
def test_what_the_schema_refuses_of_a_spoilt_copy_the_checker_refuses(
    kind: str, path: Path
) -> None:
    assert errors(kind, written_again(path).encode("utf-8")) == []
    assert not schema_refuses(kind, written_again(path))
    every = list(itertools.islice(spoilt_texts(path), 0, None, runs(3, deep=1)))
    refused = [each for each in every if schema_refuses(kind, each.text)]
    let_pass = [each.what for each in refused if not errors(kind, each.text.encode("utf-8"))]
    assert let_pass == []
    # A file that may be empty, and is, has no place to spoil.
    assert bool(refused) == bool(every)


def keys_in(kind: str, *pointer: str) -> tuple[str, ...]:
    node = schema(kind)
    for step in pointer:
        node = node[step]
    return tuple(node["properties"])


@pytest.mark.parametrize(
    ("kind", "pointer", "keys"),
    [
        ("sheet", (), names_of(Match)),
        ("sheet", ("$defs", "side"), names_of(Side)),
        ("sheet", ("$defs", "paper"), names_of(PaperTotals)),
        ("sheet", ("$defs", "replacement"), names_of(Replacement)),
        ("sheet", ("properties", "source"), names_of(Source)),
        ("sheet", ("$defs", "doubt"), names_of(Doubt)),
        ("sheet", ("$defs", "correction"), names_of(Correction)),
        ("sheet", ("properties", "seal"), names_of(Seal)),
        ("club", (), names_of(Club)),
        ("club", ("$defs", "former_name"), names_of(FormerName)),
        ("player", (), names_of(Player)),
        ("player", ("$defs", "membership"), names_of(Membership)),
        ("league", (), names_of(League)),
        ("league", ("properties", "publish"), names_of(Publishing)),
        ("rules", (), names_of(RuleSet)),
        ("rules", ("$defs", "award"), names_of(Award)),
        ("rules", ("$defs", "class"), names_of(StrikerClass)),
        ("rules", ("$defs", "class", "properties", "ages"), names_of(Ages)),
        ("season", (), ("season", "competition")),
        ("season", ("$defs", "competition"), names_of(Competition)),
        ("fixtures", (), ("fixture",)),
        ("fixtures", ("$defs", "fixture"), names_of(Fixture)),
        ("handed-down", (), names_of(HandedDown)),
        ("handed-down", ("$defs", "table"), names_of(HandedDownTable)),
        ("handed-down", ("$defs", "row"), names_of(TableRow)),
        ("handed-down", ("$defs", "striker_table"), names_of(HandedDownStrikers)),
        ("handed-down", ("$defs", "striker_row"), names_of(StrikerRow)),
        ("handed-down", ("$defs", "honour"), names_of(Honour)),
        ("handed-down", ("$defs", "source"), names_of(Source)),
        ("rulings", (), ("ruling",)),
        ("rulings", ("$defs", "ruling"), names_of(Ruling)),
        ("training", (), names_of(Training)),
    ],
)
def test_keys_are_those_of_the_reader_in_its_order(
    kind: str, pointer: tuple[str, ...], keys: tuple[str, ...]
) -> None:
    assert keys_in(kind, *pointer) == keys


@pytest.mark.parametrize(
    ("kind", "pointer", "words"),
    [
        ("sheet", ("properties", "outcome"), [each.value for each in Outcome]),
        ("sheet", ("properties", "winner"), get_args(Winner)),
        (
            "sheet",
            ("properties", "source", "properties", "kind"),
            [str(each) for each in SourceKind],
        ),
        ("season", ("$defs", "competition", "properties", "kind"), list(CompetitionKind)),
        ("handed-down", ("$defs", "table", "properties", "kind"), list(CompetitionKind)),
        ("handed-down", ("$defs", "honour", "properties", "what"), get_args(Distinction)),
        ("handed-down", ("$defs", "source", "properties", "kind"), list(SourceKind)),
        ("league", ("properties", "language"), get_args(Language)),
        (
            "league",
            ("properties", "publish", "properties", "minors"),
            get_args(MinorsNamed),
        ),
        ("rules", ("properties", "result_order", "items"), get_args(ResultCriterion)),
        ("rules", ("properties", "standings_order", "items"), get_args(StandingsCriterion)),
        (
            "rules",
            ("properties", "strikers", "properties", "order", "items"),
            get_args(StrikersCriterion),
        ),
    ],
)
def test_words_to_choose_from_are_those_of_the_program(
    kind: str, pointer: tuple[str, ...], words: Sequence[str]
) -> None:
    node = schema(kind)
    for step in pointer:
        node = node[step]
    assert node["enum"] == [str(word) for word in words]


def rule_set_as_written(rules: RuleSet) -> dict[str, Any]:
    written = {
        key: value._asdict() if hasattr(value, "_asdict") else value
        for key, value in rules._asdict().items()
    }
    zone = written["nummer_zone"]
    written["nummer_zone"] = {"from": zone["first"], "to": zone["last"]}
    return written


def test_defaults_are_those_of_a_rule_set() -> None:
    expected = rule_set_as_written(RuleSet())
    tried = 0
    for name, node in schema("rules")["properties"].items():
        if "default" in node:
            value = expected[name]
            assert node["default"] == (list(value) if isinstance(value, tuple) else value), name
            tried += 1
        for below, inner in node.get("properties", {}).items():
            value = expected[name][below]
            assert inner["default"] == (list(value) if isinstance(value, tuple) else value), below
            tried += 1
    assert tried == 19
    assert rule_set_as_written(read_rules(b"").record or RuleSet(name="?")) == expected


def test_defaults_of_the_other_files_are_those_of_the_reader() -> None:
    league = schema("league")["properties"]
    read = read_league(b'name = "x"').record
    assert read is not None
    assert league["language"]["default"] == read.language
    assert league["register"]["default"] == ("strict" if read.strict else "open")
    for key in names_of(Publishing):
        default = league["publish"]["properties"][key]["default"]
        assert default == getattr(read.publishing, key)
    text = b'[[competition]]\nid = "a"\nname = "A"\nkind = "cup"\nrules = "2026"\n'
    season = read_season(b"season = 2026\n" + text, 2026).record
    assert season is not None
    defaults = schema("season")["$defs"]["competition"]["properties"]
    for key in ("cycles", "promoted", "relegated"):
        assert defaults[key]["default"] == getattr(season.competitions[0], key)
    sheet = schema("sheet")["properties"]
    sides = b"home: {team: a-a}\naway: {team: b-a}\n"
    match = read_sheet(b"competition: a\ndate: 2026-05-10\n" + sides, SheetId("2026/a"), 2026).match
    assert match is not None
    assert sheet["strikes_first"]["default"] == match.strikes_first
    assert sheet["outcome"]["default"] == match.outcome
    assert sheet["counts"]["default"] is match.counts


def test_every_kind_has_a_judge() -> None:
    assert tuple(sorted(JUDGES)) == KINDS


def test_fixture_of_teams_that_no_club_could_declare() -> None:
    text = 'competition = "cup"\ndate = 2026-09-06\nhome = "aarwald-a"\naway = "birkenfluh"\n'
    reading = read_fixtures(f"[[fixture]]\n{text}".encode())
    archive = _archive(season=_season(2026, ["cup"]), fixtures=reading.record or ())
    problems = check_archive(Holdings(archive=archive, entries=()))
    assert [each.code for each in problems] == ["unknown-team"]
