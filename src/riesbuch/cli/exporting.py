"""``riesbuch export``."""

from __future__ import annotations

from pathlib import Path

import click

from riesbuch.cli.completion import season_years
from riesbuch.cli.context import Session, pass_session
from riesbuch.show.output import counted, say


@click.command("export")
@click.argument("directory", type=click.Path(path_type=Path), metavar="DIR")
@click.option(
    "--season",
    "seasons",
    type=int,
    multiple=True,
    metavar="YEAR",
    shell_complete=season_years,
    help="Only this season; may be given several times.",
)
@click.option(
    "--with-private",
    is_flag=True,
    help="Also the names of people who are private, and the birth years of children.",
)
@click.option("--replace", is_flag=True, help="Write into a folder that holds other files as well.")
@pass_session
def command(
    session: Session, directory: Path, seasons: tuple[int, ...], with_private: bool, replace: bool
) -> int:
    """Everything as CSV tables in DIR, with a datapackage.json that describes them.

    DIR must be new, empty, or an earlier export, which is replaced. Players who are private stand
    there as private_1 and so on. `riesbuch guide exporting` lists the tables.
    """
    from riesbuch.exchange.exporting import (
        DESCRIPTOR,
        Export,
        descriptor,
        expect_room,
        unfinished_descriptor,
    )
    from riesbuch.show.problems import say_problems
    from riesbuch.text.atomic import replace_file
    from riesbuch.trade.problems import Severity, UsageError

    expect_room(directory, replace=replace)
    folder = session.folder
    years = folder.years()
    unknown = sorted(set(seasons) - set(years))
    if unknown:
        raise UsageError(f"there is no season {unknown[0]} in seasons/")
    years = sorted(set(seasons)) or years
    index = session.index()
    _, problems = index.problems()
    errors = [problem for problem in problems if problem.severity is Severity.ERROR]
    sheets = sorted({problem.place.path for problem in errors if "/matches/" in problem.place.path})
    others = [problem for problem in errors if problem.place.path not in sheets]
    if others:
        say_problems(others)
        say("nothing is exported while there are errors in files that are not sheets")
        return 1
    of_seasons = index.connection(years)
    export = Export(session.archive(), with_private=with_private)
    for year in years:
        export.season(year, of_seasons)
    tables = export.finish()
    # First and last, so that one broken off is known as an export, and not taken for a whole one.
    replace_file(directory / DESCRIPTOR, unfinished_descriptor().encode())
    for name, text in tables.items():
        replace_file(directory / name, text.encode())
    replace_file(directory / DESCRIPTOR, descriptor(export.archive.league.name).encode())
    left_out = [path for path in sheets if int(path.split("/")[1]) in years]
    if left_out:
        say(f"{counted(len(left_out), 'sheet')} left out: one with errors counts nowhere;"
            " `riesbuch check` says what to mend:")  # fmt: skip
        for path in left_out:
            say(f"  {path}")
    for line in export.withheld():
        say(line)
    for table in export.tables.values():
        click.echo(f"{directory / table.spec.path}: {counted(table.rows, 'row')}")
    say(f"{counted(export.tables['matches'].rows, 'sheet')} of {counted(len(years), 'season')}"
        f" exported; {directory / DESCRIPTOR} describes the tables")  # fmt: skip
    return 0
