"""New pieces of TOML files, written out from records: rule sets, competitions, fixtures."""

import json
from collections.abc import Iterable, Iterator, Sequence

from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind, Fixture


def toml_text(text: str) -> str:
    """``text`` as a basic string of TOML."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def season_head(year: int) -> str:
    return f"season = {year}\n"


def competition_text(competition: Competition) -> str:
    """A ``[[competition]]`` table that reads back as a record equal to ``competition``."""
    return "\n".join(["", "[[competition]]", *_competition(competition), ""])


def fixtures_text(fixtures: Iterable[Fixture]) -> str:
    """``[[fixture]]`` tables, each after a blank line."""
    return "".join("\n".join(["", "[[fixture]]", *_fixture(each), ""]) for each in fixtures)


def rules_text(rules: RuleSet) -> str:
    """The text of a rule set's file, every key written out."""
    return "\n".join([*_rules(rules), ""])


def _competition(competition: Competition) -> Iterator[str]:
    yield f"id = {toml_text(competition.id)}"
    yield f"name = {toml_text(competition.name)}"
    yield f"kind = {toml_text(competition.kind.value)}"
    yield f"rules = {toml_text(competition.rules)}"
    if competition.teams:
        yield f"teams = {_texts(competition.teams)}"
    if competition.cycles != 1 or competition.kind is CompetitionKind.LEAGUE:
        yield f"cycles = {competition.cycles}"
    if competition.promoted:
        yield f"promoted = {competition.promoted}"
    if competition.relegated:
        yield f"relegated = {competition.relegated}"


def _fixture(fixture: Fixture) -> Iterator[str]:
    yield f"competition = {toml_text(fixture.competition)}"
    if fixture.round is not None:
        yield f"round = {fixture.round}"
    yield f"date = {fixture.date}"
    yield f"home = {toml_text(fixture.home)}"
    yield f"away = {toml_text(fixture.away)}"


def _rules(rules: RuleSet) -> Iterator[str]:
    zone = rules.nummer_zone
    yield f"name = {toml_text(rules.name)}"
    yield f"team_size = {rules.team_size}"
    yield f"innings = {rules.innings}"
    yield f"strikes_per_inning = {rules.strikes_per_inning}"
    yield f"highest_points = {rules.highest_points}"
    yield f"nummer_zone = {{from = {zone.first}, to = {zone.last}}}"
    yield f"result_order = {_texts(rules.result_order)}"
    yield f"standings_order = {_texts(rules.standings_order)}"
    yield ""
    yield "[rank_points]"
    yield from (f"{key} = {value}" for key, value in rules.rank_points._asdict().items())
    yield ""
    yield "[forfeit]"
    yield from (f"{key} = {value}" for key, value in rules.forfeit._asdict().items())
    yield ""
    yield "[strikers]"
    yield f"best = {rules.strikers.best}"
    yield f"least = {rules.strikers.least}"
    yield f"order = {_texts(rules.strikers.order)}"
    for award in rules.awards:
        yield ""
        yield "[[awards]]"
        yield f"name = {toml_text(award.name)}"
        yield f"points = {award.points}"


def _texts(texts: Sequence[str]) -> str:
    return f"[{', '.join(toml_text(each) for each in texts)}]"
