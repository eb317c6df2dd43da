"""``riesbuch plan``."""

from __future__ import annotations

import datetime

import click

from riesbuch.cli.completion import competitions, season_years
from riesbuch.cli.context import DateType, Session, format_option, pass_session
from riesbuch.show.output import print_answer


@click.command("plan")
@click.argument("competition", shell_complete=competitions)
@click.option(
    "--season",
    type=int,
    required=True,
    metavar="YEAR",
    shell_complete=season_years,
    help="The season to plan.",
)
@click.option(
    "--from", "first", type=DateType(), required=True, metavar="DATE", help="The first match day."
)
@click.option(
    "--every",
    type=click.IntRange(1, 366),
    default=7,
    show_default=True,
    metavar="DAYS",
    help="How many days from one round to the next.",
)
@click.option(
    "--not",
    "left_out",
    type=DateType(),
    multiple=True,
    metavar="DATE",
    help="A day to leave out: its round and those after it move on. May be given several times.",
)
@click.option(
    "--replace", is_flag=True, help="Plan anew the fixtures that are there and have no sheet."
)
@click.option("--dry-run", is_flag=True, help="Write nothing; show the plan.")
@format_option
@pass_session
def command(
    session: Session,
    competition: str,
    season: int,
    first: datetime.date,
    every: int,
    left_out: tuple[datetime.date, ...],
    replace: bool,
    dry_run: bool,
    output_format: str,
) -> int:
    """Plan who meets whom and when in COMPETITION, by the Berger tables.

    The teams are numbered in the order of season.toml, and meet as often as its `cycles` say;
    every second time home and away are swapped. The fixtures are added to the season's
    fixtures.toml, where all else stays as it is, comments too.

    Fixtures that are there already are never changed without --replace, and those that have a
    sheet not even then: the rest is planned around them.
    """
    from riesbuch.care.plan import PlanOrder, make_plan
    from riesbuch.cli.tables import find_competition
    from riesbuch.show.secretary import plan_answer, say_plan
    from riesbuch.text.atomic import replace_as_read, replace_file

    years = session.folder.years()
    _, planned, archive = find_competition(session.index(), years, competition, season)
    order = PlanOrder(
        year=season,
        competition=planned,
        first=first,
        every=every,
        left_out=frozenset(left_out),
        replaces=replace,
    )
    plan = make_plan(archive, order)
    path = archive.folder.fixtures_file(season)
    if not dry_run and plan.after != plan.before:
        if plan.before is None:
            replace_file(path, plan.after)
        else:
            replace_as_read(path, plan.before, plan.after)
    print_answer(plan_answer(archive, order, plan), output_format)
    say_plan(archive, order, plan, dry_run=dry_run)
    return 0
