"""``riesbuch standings`` and ``strikers``, and finding the competition that is asked of."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import click

from riesbuch.cli.completion import competitions, rule_sets, season_years
from riesbuch.cli.context import DateType, Session, format_option, pass_session
from riesbuch.questions.match_lines import player_names, team_names
from riesbuch.questions.tables import TableName, basis_of, stored_table
from riesbuch.show.output import counted, print_answer, say
from riesbuch.show.season import (
    CompetitionTable,
    TableScope,
    standings_answer,
    strikers_answer,
)
from riesbuch.trade.years import listed_years

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.index.index import Index
    from riesbuch.trade.rules import RuleSet
    from riesbuch.trade.season import Competition
    from riesbuch.trade.standings import Standing
    from riesbuch.trade.strikers import Performance, Striker
    from riesbuch.trade.tally import Tally


_Function = TypeVar("_Function", bound=Callable[..., Any])
_NONE_LISTED = "no season.toml lists one yet"


def _competition_options(function: _Function) -> _Function:
    for decorate in (
        click.option(
            "--rules",
            "rule_set",
            metavar="RULES",
            shell_complete=rule_sets,
            help="Add the season up under another rule set of the folder.",
        ),
        click.option(
            "--until", type=DateType(), metavar="DATE", help="Only matches up to that day."
        ),
        click.option(
            "--season",
            type=int,
            metavar="YEAR",
            shell_complete=season_years,
            help="The season; without it, the last that has the competition.",
        ),
        click.argument("competition", required=False, shell_complete=competitions),
    ):
        function = decorate(function)
    return function


@click.command("standings")
@_competition_options
@format_option
@pass_session
def standings_command(
    session: Session,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
    output_format: str,
) -> int:
    """The team table of COMPETITION, its key in season.toml.

    Sheets that have errors count nowhere; they are named, and the exit status is then 1.
    """
    table = _competition_table(
        session, "standings", competition, season, until, rule_set, _standings
    )
    print_answer(standings_answer(table), output_format)
    return 1 if table.left_out else 0


def _standings(matter: TableMatter, until: datetime.date | None) -> Sequence[Standing]:
    from riesbuch.trade.standings import standings

    return standings(matter.tallies, matter.competition.teams, matter.rules, until)


@click.command("strikers")
@_competition_options
@format_option
@pass_session
def strikers_command(
    session: Session,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
    output_format: str,
) -> int:
    """The striker table of COMPETITION, its key in season.toml.

    The average is points a strike, over the matches known strike by strike. Sheets that have
    errors count nowhere; they are named, and the exit status is then 1.
    """
    table = _competition_table(session, "strikers", competition, season, until, rule_set, _strikers)
    print_answer(strikers_answer(table), output_format)
    return 1 if table.left_out else 0


def _strikers(matter: TableMatter, until: datetime.date | None) -> Sequence[Striker]:
    from riesbuch.trade.strikers import strikers

    born = matter.archive.register.birth_years
    return strikers(matter.performances, born, matter.rules, until)


def _competition_table(
    session: Session,
    name: TableName,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
    work_out: Callable[[TableMatter, datetime.date | None], Sequence[Standing | Striker]],
) -> CompetitionTable:
    """The table ``name`` of the index where it is the whole season's under its own rules; else
    ``work_out`` makes its rows."""
    if until is None and rule_set is None and competition is not None:
        table = _stored_table(session, name, competition, season)
        if table is None:
            season, known, _ = find_competition(
                session.index(), session.folder.years(), competition, season
            )
            table = _stored_table(session, name, known.id, season)
        if table is not None:
            return table
    from riesbuch.trade.season import CompetitionKind

    matter = table_matter(session, competition, season, rule_set)
    register = matter.archive.register
    return CompetitionTable(
        scope=TableScope(
            matter.year,
            matter.competition.id,
            until,
            rule_set or matter.competition.rules,
            matter.competition.rules,
        ),
        basis=basis_of(matter.tallies, until),
        is_league=matter.competition.kind is CompetitionKind.LEAGUE,
        rows=[row._asdict() for row in work_out(matter, until)],
        team_names={str(team): shown for team, shown in register.team_names.items()},
        player_names={player.id: player.name for player in register.players.values()},
        left_out=matter.left_out,
    )


def _stored_table(
    session: Session, table: TableName, key: str | None, year: int | None
) -> CompetitionTable | None:
    """The whole table of a season from the index's tables; None where there is none of that
    name, and `table_matter` will say why."""
    years = session.folder.years()
    if key is None or (year is not None and year not in years):
        return None
    index = session.index()
    for candidate in [year] if year is not None else sorted(years, reverse=True):
        tables = index.connection([candidate])
        found = stored_table(tables, table, candidate, key)
        if found is not None:
            return CompetitionTable(
                scope=TableScope(candidate, key),
                basis=found.basis,
                is_league=found.is_league,
                rows=found.rows,
                team_names=team_names(tables),
                player_names=player_names(tables) if table == "strikers" else {},
                left_out=say_left_out(found.left_out),
            )
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class TableMatter:
    """What a table is made of, where it is not the whole season's under its own rules."""

    archive: Archive
    year: int
    competition: Competition
    rules: RuleSet
    tallies: Sequence[Tally]
    performances: Sequence[Performance]
    left_out: Sequence[str]


def table_matter(
    session: Session, key: str | None, year: int | None, rule_set: str | None
) -> TableMatter:
    """The matter of the table asked for; what had to be left out is said on standard error."""
    index = session.index()
    year, competition, archive = find_competition(index, session.folder.years(), key, year)
    rules = _find_rules(archive, competition, rule_set)
    season = index.season(year)
    tallies: list[Tally] = []
    performances: list[Performance] = []
    left_out = []
    for path, (added_up, struck) in season.tallies.items():
        if added_up is not None and added_up.competition != competition.id:
            continue
        if added_up is None or path in season.with_errors:
            left_out.append(path)
            continue
        if rule_set is not None:
            added_up, struck = _under_other_rules(archive, path, rules, competition)
        tallies.append(added_up)
        performances += struck
    say_left_out(left_out)
    return TableMatter(
        archive=archive,
        year=year,
        competition=competition,
        rules=rules,
        tallies=tallies,
        performances=performances,
        left_out=left_out,
    )


def say_left_out(paths: Sequence[str]) -> Sequence[str]:
    if paths:
        say(
            f"{counted(len(paths), 'sheet')} left out: one with errors counts nowhere;"
            " `riesbuch check` says what to mend:"
        )
        for path in paths:
            say(f"  {path}")
    return paths


def _under_other_rules(
    archive: Archive, path: str, rules: RuleSet, competition: Competition
) -> tuple[Tally, list[Performance]]:
    from riesbuch.judge.examination import examine_sheet
    from riesbuch.trade.strikers import performances
    from riesbuch.trade.tally import tally

    match = examine_sheet(archive, archive.folder.root / path).match
    assert match is not None
    return tally(match, rules, competition.kind), performances(match, rules)


def find_competition(
    index: Index, years: Sequence[int], key: str | None, year: int | None
) -> tuple[int, Competition, Archive]:
    """The competition, the newest where no year is given, and the archive of its season."""
    from riesbuch.trade.names import find_competition as find_named
    from riesbuch.trade.problems import UsageError

    index.problems([])
    newest_first = [year] if year is not None else sorted(years, reverse=True)
    if key is not None:
        for candidate in newest_first if year is None or year in years else ():
            archive = index.archive([candidate])
            found = archive.competition(candidate, key)
            if found is not None:
                return candidate, found, archive
    archive = index.archive(years)
    seasons = archive.seasons
    if key is None:
        keys = dict.fromkeys(
            competition.id for season in seasons.values() for competition in season.competitions
        )
        raise UsageError(f"name a competition: {_listed(keys)}")
    if year is not None and year not in seasons:
        known = listed_years(sorted(seasons)) or "none"
        raise UsageError(f"there is no season {year} that can be read; the seasons are {known}")
    meant = find_named(seasons, key, year)
    for candidate in newest_first:
        found = archive.competition(candidate, meant)
        if found is not None:
            return candidate, found, index.archive([candidate])
    raise AssertionError(f"no season has `{meant}`, which was found in one")


def _listed(keys: Iterable[str]) -> str:
    """The competitions that there are."""
    every = list(keys)
    if len(every) == 1:
        return f"the only one is {every[0]}"
    return f"the competitions are {', '.join(every)}" if every else _NONE_LISTED


def _find_rules(archive: Archive, competition: Competition, rule_set: str | None) -> RuleSet:
    from riesbuch.trade.ids import RuleSetId
    from riesbuch.trade.problems import RiesbuchError, UsageError, did_you_mean

    key = RuleSetId(rule_set) if rule_set is not None else competition.rules
    rules = archive.rules.get(key)
    if rules is not None:
        return rules
    advice = did_you_mean(key, archive.rules) or (
        f"the rule sets are {', '.join(sorted(archive.rules)) or 'none'}"
    )
    if rule_set is not None:
        raise UsageError(f"there is no rule set `{rule_set}`; {advice}")
    raise RiesbuchError(
        f"the rule set `{key}` of `{competition.id}` is missing or unreadable; {advice}"
    )
