"""``riesbuch standings`` and ``strikers``, and finding the competition that is asked of."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from riesbuch.cli.completion import classes, competitions, rule_sets, teams
from riesbuch.cli.context import (
    DAY,
    Session,
    format_option,
    part_option,
    pass_session,
    season_option,
)
from riesbuch.questions.chronicle import handed_down_table
from riesbuch.questions.match_lines import names_of
from riesbuch.questions.tables import (
    CompetitionTable,
    RulingLine,
    TableName,
    basis_of,
    stored_table,
)
from riesbuch.questions.who import player_names
from riesbuch.show.output import Answer, print_answer
from riesbuch.show.problems import say_left_out, say_lost_rulings
from riesbuch.show.season import (
    handed_down_answer,
    standings_answer,
    strikers_answer,
    table_heading,
)
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import UsageError, all_of, no_season

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.index.index import Index
    from riesbuch.trade.ids import CompetitionId, RuleSetId, TeamId
    from riesbuch.trade.people import Register
    from riesbuch.trade.rules import RuleSet, StrikerClass
    from riesbuch.trade.season import Competition
    from riesbuch.trade.strikers import AwardGiven, Performance
    from riesbuch.trade.tally import Tally


_Function = TypeVar("_Function", bound=Callable[..., Any])
_NONE_LISTED = Message("no season.toml lists one yet")


def _table_options(function: _Function) -> _Function:
    for decorate in (
        click.option(
            "--rules",
            "rule_set",
            metavar="RULES",
            shell_complete=rule_sets,
            help="Add the season up under another rule set of the folder.",
        ),
        click.option("--until", type=DAY, help="Only matches up to that day."),
        part_option("Only this part of a festival, under its own rules."),
        season_option("The season; without it, the last that has the competition."),
    ):
        function = decorate(function)
    return function


class Selection(NamedTuple):
    """What a striker table is of besides its competition, ``others``; and of whom alone: those
    whom a class takes in, or what was struck for a team."""

    others: tuple[str, ...] = ()
    class_name: str | None = None
    team: str | None = None


_ALL = Selection()


@click.command("standings")
@click.argument("competition", required=False, shell_complete=competitions)
@_table_options
@format_option
@pass_session
def standings_command(session: Session, /, output_format: str, **choice: Any) -> int:
    """The team table of COMPETITION, its key in season.toml.

    Where there are no sheets, the table that is handed down is printed, with its source.

    Sheets that have errors count nowhere; they are named, and the exit status is then 1.
    """
    return _print_table(session, "standings", output_format, **choice)


@click.command("strikers")
@click.argument(
    "listed", metavar="[COMPETITION]...", nargs=-1, required=False, shell_complete=competitions
)
@_table_options
@click.option(
    "--class",
    "class_name",
    metavar="CLASS",
    shell_complete=classes,
    help="Only those in that class of the rules, ranked among themselves.",
)
@click.option(
    "--team",
    metavar="TEAM",
    shell_complete=teams,
    help="Only what was struck for that team, ranked anew.",
)
@format_option
@pass_session
def strikers_command(
    session: Session,
    /,
    listed: tuple[str, ...],
    class_name: str | None,
    team: str | None,
    output_format: str,
    **choice: Any,
) -> int:
    """The striker table of COMPETITION, its key in season.toml.

    Where there are no sheets, the table that is handed down is printed, with its source.

    Of several competitions of a season all is added up, in the order of the first one's rules: the
    groups of one class.

    The average is points per strike, over the matches known strike by strike. Sheets that have
    errors count nowhere; they are named, and the exit status is then 1.
    """
    return _print_table(
        session,
        "strikers",
        output_format,
        competition=listed[0] if listed else None,
        selection=Selection(listed[1:], class_name, team),
        **choice,
    )


_Table = tuple[str, CompetitionTable, Mapping[str, str], Mapping[str, str]]
"""What it is of, the table, and the names of teams and of players."""


def _print_table(
    session: Session,
    name: TableName,
    output_format: str,
    competition: str | None,
    season: int | None,
    until: datetime.date | None,
    rule_set: str | None,
    part: str | None,
    selection: Selection = _ALL,
) -> int:
    """Out of the index where it is the whole season's under its own rules, else worked out. The
    sheets left out are named on standard error, and the exit status is then 1."""
    answered: _Table | Answer | None = None
    narrowed = (until, rule_set, part, selection) != (None, None, None, _ALL)
    if competition is not None:
        answered = _stored_table(session, name, competition, season)
        if answered is None:
            competition = _meant(session.index(), session.folder.years(), competition, season)
            answered = _stored_table(session, name, competition, season)
    if isinstance(answered, Answer):
        if narrowed:
            raise UsageError(
                "this table is handed down, without sheets to add up: give the competition and"
                " --season alone"
            )
        print_answer(answered, output_format)
        return 0
    if answered is None or narrowed:
        answered = _worked_out_table(
            session, name, competition, season, until, rule_set, part, selection
        )
    heading, table, teams, players = answered
    say_left_out(table.left_out)
    if table.lost_rulings:
        say_lost_rulings(table.lost_rulings)
    print_answer(
        standings_answer(heading, table, teams)
        if name == "standings"
        else strikers_answer(heading, table, teams, players),
        output_format,
    )
    return 1 if table.left_out or table.lost_rulings else 0


def _stored_table(
    session: Session, name: TableName, key: str, year: int | None
) -> _Table | Answer | None:
    """The whole table of a season from the index's tables, or one that is handed down where there
    are no sheets; None where there is none of that name."""
    years = session.folder.years()
    if year is not None and year not in years:
        return None
    index = session.index()
    for candidate in [year] if year is not None else sorted(years, reverse=True):
        tables = index.connection([candidate])
        table = stored_table(tables, name, candidate, key)
        is_empty = table is None or not (table.basis.matches or table.left_out)
        told = handed_down_table(tables, name, candidate, key) if is_empty else None
        if table is None and told is None:
            continue
        players = player_names(tables, session.all_seasons) if name == "strikers" else {}
        if told is not None:
            return handed_down_answer(told, names_of(tables, "team"), players)
        if table is not None:
            return table_heading(key, candidate), table, names_of(tables, "team"), players
    return None


def _worked_out_table(
    session: Session,
    name: TableName,
    key: str | None,
    year: int | None,
    until: datetime.date | None,
    rule_set: str | None,
    part: str | None,
    selection: Selection,
) -> _Table:
    from riesbuch.trade.names import find_part, find_team
    from riesbuch.trade.season import CompetitionKind
    from riesbuch.trade.standings import goes_by_figures, standings
    from riesbuch.trade.strikers import awards_given

    index = session.index()
    years = session.folder.years()
    year, competition, archive = find_competition(index, years, key, year)
    of = {competition.id: competition}
    for other in selection.others:
        _, named, archive = find_competition(index, years, other, year)
        of[named.id] = named
    register = archive.register
    if part is not None:
        part = find_part(part, competition)
    own_rules = competition.rules_in(part)
    rules = {
        known.id: _find_rules(archive, known, known.rules_in(part), rule_set)
        for known in of.values()
    }
    if part is not None:
        # What is won, and who is ranked apart, is told by the rules of the whole.
        whole = _find_rules(archive, competition, competition.rules, rule_set)
        rules[competition.id] = rules[competition.id]._replace(classes=whole.classes, awards=())
    team = None if selection.team is None else find_team(register, selection.team)
    season = index.season(year)
    tallies: list[Tally] = []
    performances: list[Performance] = []
    left_out = []
    for path, (added_up, struck) in season.tallies.items():
        if added_up is not None and added_up.competition not in of:
            continue
        if added_up is None or path in season.with_errors:
            left_out.append(path)
            continue
        if part not in (None, added_up.part):
            continue
        assert added_up.competition is not None
        if rule_set is not None:
            known = of[added_up.competition]
            added_up, struck = _under_other_rules(archive, path, rules[known.id], known)
        tallies.append(added_up)
        performances += [each for each in struck if until is None or each.date <= until]
    # Rulings are about the whole.
    is_ruled = name == "standings" and part is None
    rulings = archive.rulings_of(year, competition) if is_ruled else ()
    rows: Sequence[Mapping[str, Any]]
    remarks: list[str] = []
    if name == "standings":
        table = standings(tallies, competition.teams, rules[competition.id], until, rulings)
        won = _awards_won(awards_given(table, (), rules[competition.id], {}))
        rows = [row._asdict() | {"awards": won.get(row.team, [])} for row in table]
    else:
        class_name = selection.class_name
        ranked = class_name and _find_class(rules[competition.id], class_name)
        rows, remarks = _striker_rows(
            performances, list(of.values()), rules, year, register, ranked or None, team
        )
        if team is not None:
            tallies = [tally for tally in tallies if team in (tally.home.team, tally.away.team)]
    return (
        table_heading(
            all_of(of),
            year,
            until,
            rule_set or own_rules,
            own_rules,
            next((known.name for known in competition.parts if known.id == part), None),
        ),
        CompetitionTable(
            is_league=competition.kind is CompetitionKind.LEAGUE,
            rows=rows,
            basis=basis_of(tallies, until),
            left_out=left_out,
            remarks=remarks,
            rulings=[
                RulingLine(
                    year,
                    competition.id,
                    ruling.on,
                    ruling.by,
                    ruling.team,
                    ruling.rank_points,
                    ruling.nummern,
                    ruling.points,
                    ruling.reason,
                )
                for ruling in rulings
                if until is None or ruling.on <= until
            ],
            lost_rulings=year if is_ruled and archive.lost_rulings(year) else None,
            by_figures=goes_by_figures(competition, rules[competition.id]),
        ),
        {str(team): shown for team, shown in register.team_names.items()},
        player_names(index.connection([year]), session.all_seasons),
    )


def _striker_rows(
    performances: Sequence[Performance],
    of: Sequence[Competition],
    rules_of: Mapping[CompetitionId, RuleSet],
    year: int,
    register: Register,
    ranked: StrikerClass | None,
    team: TeamId | None,
) -> tuple[list[dict[str, Any]], list[str]]:
    """Those of a class or a team alone, and what is to be said of the table."""
    from riesbuch.trade.strikers import awards_given, class_tables, strikers

    first, *others = of
    rules, born = rules_of[first.id], register.birth_years
    table = strikers(performances, born, rules)
    by_class = class_tables(table, rules, year, register.players)
    # What is won in each of several competitions is not told by their sum.
    given = [] if others else awards_given((), table, rules, by_class)
    if team is not None:
        struck_for = [each for each in performances if each.team == team]
        table = strikers(struck_for, born, rules)
        by_class = class_tables(table, rules, year, register.players)
    remarks: list[str] = []
    differ = [
        other.id
        for other in others
        if rules_of[other.id].strikers != rules.strikers
        or (ranked and ranked not in rules_of[other.id].classes)
    ]
    if differ:
        remarks.append(
            Message(
                "The order and the classes are those of the rules of {first}; the rules of {others}"
                " rank individuals otherwise.",
                first=first.id,
                others=all_of(differ),
            )
        )
    if team is not None:
        remarks.append(
            Message("Only what was struck for {team} is in it.", team=register.team_name(team))
        )
    if ranked is not None:
        undated = sum(row.player not in born for row in table) if ranked.ages else 0
        table = list(by_class[ranked.id])
        remarks.append(Message("Only the class {name} is in it.", name=ranked.name))
        if undated:
            remarks.append(
                Message.plural(
                    undated,
                    "{count:,} player has no year of birth on record and is in no class by age.",
                    "{count:,} players have no year of birth on record and are in no class by age.",
                )
            )
    won = _awards_won(given)
    return [row._asdict() | {"awards": won.get(row.player, [])} for row in table], remarks


def _awards_won(given: Iterable[AwardGiven]) -> dict[str, list[str]]:
    """The names of what each got, by player or team."""
    won: dict[str, list[str]] = {}
    for each in given:
        for winner in (*each.players, *each.teams):
            won.setdefault(winner, []).append(each.award.name)
    return won


def _find_class(rules: RuleSet, written: str) -> StrikerClass:
    from riesbuch.trade.names import folded
    from riesbuch.trade.problems import UsageError, did_you_mean

    for ranked in rules.classes:
        if folded(written) in (ranked.id, folded(ranked.name)):
            return ranked
    known = [ranked.id for ranked in rules.classes]
    raise UsageError(
        "the rules have no class `{written}`; {advice}",
        written=written,
        advice=did_you_mean(written, known)
        or (
            Message("the classes are {known}", known=all_of(known))
            if known
            else Message("they have no classes at all")
        ),
    )


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
    index.problems([])
    newest_first = [year] if year is not None else sorted(years, reverse=True)
    if key is not None:
        for candidate in newest_first if year is None or year in years else ():
            archive = index.archive([candidate])
            named = archive.competition(candidate, key)
            if named is not None:
                return candidate, named, archive
    meant = _meant(index, years, key, year)
    archive = index.archive(years)
    for candidate in newest_first:
        named = archive.competition(candidate, meant)
        if named is not None:
            return candidate, named, index.archive([candidate])
    raise UsageError(
        "no season.toml lists `{competition}`; `riesbuch honours` tells what is handed down of it"
        if year is None
        else "no season.toml of {year} lists `{competition}`; `riesbuch honours` tells what is"
        " handed down of it",
        competition=meant,
        year=year,
    )


def _meant(index: Index, years: Sequence[int], key: str | None, year: int | None) -> CompetitionId:
    """The competition by whatever name, be it one that only handed-down.toml has."""
    from riesbuch.trade.names import find_competition as find_named

    index.problems([])
    archive = index.archive(years)
    seasons = archive.seasons
    if key is None:
        keys = dict.fromkeys(
            competition.id for season in seasons.values() for competition in season.competitions
        )
        for told in archive.handed_down.values():
            keys.update(dict.fromkeys(told.competitions()))
        raise UsageError("name a competition: {listed}", listed=_listed(keys))
    if year is not None and year not in {*seasons, *archive.handed_down}:
        raise no_season(year, {*seasons, *archive.handed_down})
    return find_named(seasons, key, year, archive.handed_down)


def _listed(keys: Iterable[str]) -> str:
    """The competitions that there are."""
    every = list(keys)
    if len(every) == 1:
        return Message("the only one is {every}", every=every[0])
    return (
        Message("the competitions are {every}", every=", ".join(every)) if every else _NONE_LISTED
    )


def _find_rules(
    archive: Archive, competition: Competition, own: RuleSetId, rule_set: str | None
) -> RuleSet:
    from riesbuch.trade.ids import RuleSetId
    from riesbuch.trade.problems import RiesbuchError, did_you_mean

    key = RuleSetId(rule_set) if rule_set is not None else own
    rules = archive.rules.get(key)
    if rules is not None:
        return rules
    advice = did_you_mean(key, archive.rules) or (
        Message("the rule sets are {what}", what=", ".join(sorted(archive.rules)))
        if archive.rules
        else Message("there is no rule set in rules/")
    )
    if rule_set is not None:
        raise UsageError(
            "there is no rule set `{rule_set}`; {advice}", rule_set=rule_set, advice=advice
        )
    raise RiesbuchError(
        "the rule set `{key}` of `{id}` is missing or unreadable; {advice}",
        key=key,
        id=competition.id,
        advice=advice,
    )
