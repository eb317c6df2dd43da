"""``riesbuch plan`` and ``calendar``."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import competitions, parts, teams
from riesbuch.cli.context import (
    DAY,
    Number,
    Session,
    competition_option,
    format_option,
    part_option,
    pass_session,
    season_option,
)
from riesbuch.show.output import print_answer, say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.index.index import Index
    from riesbuch.trade.ids import TeamId
    from riesbuch.trade.season import Fixture


@click.command("plan")
@click.argument("competition", shell_complete=competitions)
@season_option("The season to plan; without it, the last that has the competition.")
@click.option("--from", "first", type=DAY, required=True, help="The first match day.")
@click.option(
    "--every",
    type=Number(1, 366),
    default=7,
    show_default=True,
    metavar="DAYS",
    help="How many days from one round to the next.",
)
@click.option(
    "--not",
    "left_out",
    type=DAY,
    multiple=True,
    help="A day to leave out: its round and those after it move on. May be given several times.",
)
@click.option(
    "--replace", is_flag=True, help="Plan anew the fixtures that are there and have no sheet."
)
@part_option("The part of a festival to plan, all on one day.")
@click.option(
    "--by-rank",
    "ranked_by",
    metavar="PART",
    shell_complete=parts,
    help="Pair neighbours of the table after that part: 1 and 2, 3 and 4.",
)
@click.option("--dry-run", is_flag=True, help="Write nothing; show the plan.")
@format_option
@pass_session
def plan_command(
    session: Session,
    competition: str,
    season: int | None,
    first: datetime.date,
    every: int,
    left_out: tuple[datetime.date, ...],
    replace: bool,
    part: str | None,
    ranked_by: str | None,
    dry_run: bool,
    output_format: str,
) -> int:
    """Plan who meets whom and when in COMPETITION, by the Berger tables.

    The teams are numbered in the order of season.toml, and meet as often as its `cycles` say;
    every second time home and away are swapped. The fixtures are added to the season's
    fixtures.toml, where all else stays as it is, comments too.

    Fixtures that are there already are never changed without --replace, and those that have a
    sheet not even then: the rest is planned around them.

    Of a festival in parts one is planned at a time: neighbours against one another, in the order of
    season.toml or of the table after another part.
    """
    from riesbuch.care.plan import PlanOrder, make_plan, teams_by_rank
    from riesbuch.cli.tables import find_competition
    from riesbuch.show.secretary import plan_answer, say_plan
    from riesbuch.text.atomic import replace_as_read
    from riesbuch.trade.names import find_part
    from riesbuch.trade.problems import UsageError

    index, years = session.index(), session.folder.years()
    year, planned, archive = find_competition(index, years, competition, season)
    if part is None and (planned.parts or ranked_by is not None):
        raise UsageError(
            "name the part to plan, as in --part {part}",
            part=planned.parts[-1].id if planned.parts else "afternoon",
        )
    key = find_part(part, planned) if part is not None else None
    paired = planned.teams
    if ranked_by is not None:
        paired = teams_by_rank(
            archive, index.season(year), year, planned, find_part(ranked_by, planned)
        )
    order = PlanOrder(
        year=year,
        competition=planned,
        first=first,
        every=every,
        left_out=frozenset(left_out),
        replaces=replace,
        part=key,
        paired=paired,
    )
    plan = make_plan(archive, order)
    path = archive.folder.fixtures_file(year)
    if not dry_run and plan.after != plan.before:
        replace_as_read(path, plan.before, plan.after)
    print_answer(plan_answer(archive, order, plan), output_format)
    say_plan(archive, order, plan, dry_run=dry_run)
    return 0


@click.command("calendar")
@click.option("--team", metavar="TEAM", shell_complete=teams, help="Only this team's matches.")
@season_option("The season; without it, the last that has such fixtures.")
@competition_option("Only this competition's.")
@pass_session
def calendar_command(
    session: Session, team: str | None, season: int | None, competition: str | None
) -> int:
    """The fixtures as a calendar file (iCalendar), for phones and calendar programs.

    A match that was put off moves to its new day when the calendar is read again, and one that
    was played says how it ended. The same folder gives the same file everywhere.

    Where fixtures.toml has errors they are told, and the exit status is 1.
    """
    from riesbuch.care.calendar import calendar_text, scheduled_season, season_events
    from riesbuch.language.catalogue import catalogue
    from riesbuch.show.problems import say_problems

    index = session.index()
    choice = _Choice(session, index, team, season, competition)
    archive, year = choice.archive, choice.year
    scheduled = [
        game
        for game in scheduled_season(index.season(year), archive.fixtures.get(year, ()))
        if choice.wants(game.appointment.fixture)
    ]
    events = season_events(
        archive.seasons[year],
        archive.register,
        catalogue(archive.league.language, "reports"),
        scheduled,
    )
    write(calendar_text(choice.name, events), ends_line=False)
    matches = counts.matches(len(events))
    say(Message.layout("{name}: {matches}", name=choice.name, matches=matches))
    path = archive.folder.relative(archive.folder.fixtures_file(year))
    _, problems = index.problems([year])
    errors = [problem for problem in problems if problem.place.path == path and problem.is_error]
    say_problems(errors)
    return 1 if errors else 0


class _Choice:
    """The season asked for, and which of its fixtures; raises UsageError where there are none."""

    def __init__(
        self,
        session: Session,
        index: Index,
        team: str | None,
        season: int | None,
        competition: str | None,
    ) -> None:
        from riesbuch.trade.names import find_team
        from riesbuch.trade.problems import UsageError, no_season

        self.competition = competition
        # Before anything is asked of it the index looks at the folder.
        index.problems([])
        register = index.archive([]).register
        self.team = find_team(register, team) if team is not None else None
        years = sorted(session.folder.years(), reverse=True)
        archives = {}
        if season is not None and season not in years:
            raise no_season(season, years)
        searched = [season] if season is not None else years
        if competition is not None:
            self.competition = _known_competition(index.archive(searched), competition, season)
        for year in searched:
            archives[year] = archive = index.archive([year])
            if year in archive.seasons and any(map(self.wants, archive.fixtures.get(year, ()))):
                self.archive, self.year = archive, year
                break
        else:
            raise UsageError(_why_none(archives, self.team, season, self.competition))
        self.name = self._name()

    def wants(self, fixture: Fixture) -> bool:
        return (self.competition in (None, fixture.competition)) and (
            self.team in (None, fixture.home, fixture.away)
        )

    def _name(self) -> str:
        parts = [self.archive.register.team_name(self.team)] if self.team else []
        if self.competition is not None:
            known = self.archive.competition(self.year, self.competition)
            parts.append(known.name if known else self.competition)
        return f"{', '.join(parts) or self.archive.league.name} {self.year}"


def _known_competition(archive: Archive, written: str, season: int | None) -> str:
    """The identifier; what was written where a season's file cannot be read, and might have it."""
    from riesbuch.trade.names import find_competition
    from riesbuch.trade.problems import UsageError

    try:
        return find_competition(archive.seasons, written, season)
    except UsageError:
        if archive.unread_seasons:
            return written
        raise


def _why_none(
    archives: dict[int, Archive], team: TeamId | None, season: int | None, competition: str | None
) -> str:
    """What is missing, in a sentence."""
    unread = [year for year, archive in archives.items() if year in archive.unread_seasons]
    if unread:
        return Message(
            "seasons/{unread}/season.toml cannot be read; `riesbuch check` says why",
            unread=unread[0],
        )
    of = Message(" in `{competition}`", competition=competition) if competition is not None else ""
    of += Message(" for `{team}`", team=team) if team is not None else ""
    where = (
        Message("season {season} has no fixtures", season=season)
        if season is not None
        else Message("there are no fixtures")
    )
    return Message(
        "{where}{of}; `riesbuch plan` writes them into fixtures.toml", where=where, of=of
    )
