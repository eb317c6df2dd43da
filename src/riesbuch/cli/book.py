"""``riesbuch book``."""

from pathlib import Path

import click

from riesbuch.cli.completion import clubs, season_years
from riesbuch.cli.context import Number, Session, pass_session
from riesbuch.show.output import say


@click.command("book")
@click.option("--club", metavar="CLUB", shell_complete=clubs, help="The book of one club.")
@click.option(
    "--from", "first", type=Number(), metavar="YEAR", shell_complete=season_years,
    help="From this season on.",
)  # fmt: skip
@click.option(
    "--to", "last", type=Number(), metavar="YEAR", shell_complete=season_years,
    help="Up to this season.",
)  # fmt: skip
@click.option(
    "--output",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where to write it; without it book.html, or book-CLUB.html, in the folder.",
)
@pass_session
def command(
    session: Session, club: str | None, first: int | None, last: int | None, output: Path | None
) -> int:
    """Write the chronicle of the league, or of a club, as one HTML file to be printed on A4.

    Decades and seasons with tables, strikers and results, honours, records, great matches, clubs,
    a register of persons with page numbers, and sources. Open the file in a browser and print it;
    `riesbuch guide book` tells how. Nobody is named who is not on the pages of `publish`.

    A file that `book` did not write, or that somebody edited since, is never written over. Sheets
    that have errors are left out and named, and the exit status is then 1.
    """
    from riesbuch.pages.book import Chronicle
    from riesbuch.pages.publication import Publisher
    from riesbuch.pages.writer import write_book
    from riesbuch.show.problems import say_left_out, say_problems
    from riesbuch.text.atomic import replace_file
    from riesbuch.trade.names import find_club
    from riesbuch.trade.problems import UsageError

    if first is not None and last is not None and first > last:
        raise UsageError("--from {first} is after --to {last}", first=first, last=last)
    publisher = Publisher(session.folder, session.index())
    errors = publisher.look()
    if not publisher.can_tell:
        say_problems(errors)
        say("there is no book while there are errors")
        return 1
    past = publisher.past
    register, of = past.archive.register, None
    if club is not None:
        of = register.clubs[find_club(register, club)]
    newest = max((known.season for known in past.overview), default=0)
    limits = (first or 0, last or newest) if first is not None or last is not None else None
    chronicle = Chronicle(past=past, results_of=publisher.results, club=of, limits=limits)
    if not chronicle.years:
        raise UsageError("there is nothing to tell: no season on record is in this book")
    name = f"book-{of.id}.html" if of else "book.html"
    size = write_book(output or session.folder.root / name, chronicle.text(), replace_file)
    say_left_out(sorted({error.place.path for error in errors}))
    say(
        "{file} written, {size:,} kB; open it in a browser and print it",
        file=output or name,
        size=-(-size // 1000),
    )
    return 1 if errors else 0
