"""``riesbuch start``."""

import datetime
from pathlib import Path

import click

from riesbuch.show.output import say, write
from riesbuch.trade.ids import LANGUAGES, Language


@click.command("start")
@click.argument("directory", type=click.Path(path_type=Path), metavar="DIR")
@click.option("--name", help="The league's or club's name; without it, the folder's.")
@click.option(
    "--language",
    type=click.Choice(LANGUAGES),
    default="en",
    show_default=True,
    help="The language of the reports.",
)
@click.option(
    "--season",
    type=click.IntRange(1000, 2999),
    metavar="YEAR",
    help="The first season; without it, this year.",
)
def command(directory: Path, name: str | None, language: Language, season: int | None) -> None:
    """Lay out a new club folder in DIR that passes `riesbuch check`.

    Its README.md says what to write first. Nothing that is there already is overwritten.
    """
    from riesbuch.care.starting import start_folder

    year = season if season is not None else datetime.date.today().year
    league = name or directory.resolve().name
    for path in start_folder(directory, league, language, year):
        write(f"{directory / path}")
    say(
        "the folder is laid out; {directory} says what to write first",
        directory=directory / "README.md",
    )
