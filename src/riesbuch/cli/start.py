"""``riesbuch start`` and ``season``."""

import datetime
from pathlib import Path
from typing import cast

import click

from riesbuch.cli.context import PATH, YEAR, Session, pass_session
from riesbuch.show.output import say, users_words, write
from riesbuch.trade.ids import LANGUAGES, Language


@click.command("start")
@click.argument("directory", type=PATH, metavar="DIR")
@click.option("--name", help="The league's or club's name; without it, the folder's.")
@click.option(
    "--language",
    type=click.Choice(LANGUAGES),
    help="The language of the reports; without it, yours.",
)
@click.option(
    "--season",
    type=YEAR,
    metavar="YEAR",
    help="The first season; without it, this year.",
)
def command(
    directory: Path, name: str | None, language: Language | None, season: int | None
) -> None:
    """Lay out a new club folder in DIR that passes `riesbuch check`.

    Its README.md says what to write first. Nothing that is there already is overwritten.
    """
    from riesbuch.care.starting import start_folder

    year = season if season is not None else datetime.date.today().year
    league = name or directory.resolve().name
    words = users_words()
    yours: Language = cast(Language, words.language) if words else "en"
    for path in start_folder(directory, league, language or yours, year, explained_in=yours):
        write(f"{directory / path}")
    say(
        "the folder is laid out; {directory} says what to write first",
        directory=directory / "README.md",
    )


@click.command("season")
@click.argument("year", type=YEAR, metavar="YEAR")
@click.option("--dry-run", is_flag=True, help="Write nothing; show the season.")
@pass_session
def season_command(session: Session, year: int, dry_run: bool) -> None:
    """Lay out the season YEAR from the last one before it.

    It gets the same competitions with their rules and teams. Who goes up or down is moved where
    that is decided: leagues stand in season.toml from the highest down. Who is not decided stays,
    and is named. A season that is there is never changed. Fixtures are not copied; `riesbuch plan`
    makes new ones.
    """
    from riesbuch.care.starting import next_season, season_before
    from riesbuch.questions.honours import honours
    from riesbuch.show.secretary import season_lines
    from riesbuch.text.atomic import write_all

    index = session.index()
    last = season_before(session.folder, year)
    tables = index.connection([last])
    archive = index.archive([last])
    laid_out = next_season(archive, last, year, honours(tables, season=last))
    if dry_run:
        write(laid_out.writes[-1].after.decode("utf-8"), ends_line=False)
    else:
        write_all(laid_out.writes)
    for line in season_lines(laid_out, archive, dry_run=dry_run):
        say(line)
