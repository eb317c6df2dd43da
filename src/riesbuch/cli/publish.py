"""``riesbuch publish`` and ``book``."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import season_years
from riesbuch.cli.context import PATH, Number, Session, club_option, pass_session
from riesbuch.cli.streams import Progress
from riesbuch.show.output import say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.folder.club_folder import ClubFolder


@click.command("publish")
@click.option(
    "--check", "only_check", is_flag=True, help="Write nothing; say what is not up to date."
)
@click.option(
    "--only",
    type=click.Choice(["season", "club", "player", "history"]),
    help="Only the pages of seasons (with the front page), clubs, players or the history.",
)
@click.option(
    "--site",
    "given",
    type=PATH,
    metavar="DIR",
    help="Write the pages as a site of HTML files into DIR instead.",
)
@click.option("--strict", is_flag=True, help="Publish nothing while a sheet has errors.")
@click.option("--verbose", is_flag=True, help="Name every page that is written or removed.")
@pass_session
def publish_command(
    session: Session,
    only_check: bool,
    only: str | None,
    given: Path | None,
    strict: bool,
    verbose: bool,
) -> int:
    """Write tables, matches, clubs, players and the history as Markdown pages in reports/.

    Only pages that changed are written. Files that `publish` did not write are never touched,
    nor are pages that somebody edited since; they are named, and the exit status is then 1.

    Sheets that have errors count nowhere and have no page; the pages that miss them say so. They
    are named, and the exit status is then 1. While other files have errors nothing is published.

    With --check the exit status is 1 if the reports are not up to date.

    With --site the same pages are made as HTML that needs neither a server nor a network. Nothing
    is written outside DIR; the rules above hold there too.
    """
    from riesbuch.pages.paths import FAMILIES
    from riesbuch.pages.publication import Publisher, site_in
    from riesbuch.pages.writer import site_folder
    from riesbuch.show.problems import say_kept, say_left_out, say_problems
    from riesbuch.text.atomic import page_writer

    site = None if given is None else site_in(site_folder(session.folder, given))
    publisher = Publisher(
        session.folder,
        session.index(),
        (only,) if only else FAMILIES,
        Progress(Message("Pages")),
        site,
    )
    plan, errors = publisher.prepare(strict=strict)
    if plan is None:
        say_problems(errors)
        say("nothing is published while there are errors")
        return 1
    say_left_out(sorted({error.place.path for error in errors}))
    if only_check:
        publisher.remember(plan)
    else:
        publisher.publish(plan, page_writer())
    reports = str(given) if given is not None else session.folder.relative(plan.reports)
    again = "riesbuch publish" if given is None else f"riesbuch publish --site {given}"
    if verbose:
        written = Message("not up to date") if only_check else Message("written")
        removed = Message("no longer due") if only_check else Message("removed")
        for done, paths in ((written, plan.write), (removed, plan.remove)):
            for path in paths:
                write(Message.layout("{done}: {path}", done=done, path=f"{reports}/{path}"))
    say_kept(reports, plan.kept)
    if plan.is_current:
        say("{pages}, all up to date", pages=counts.pages(plan.unchanged))
    else:
        say(
            "{pages} not up to date, {remove:,} no longer due, {unchanged:,} as they should be;"
            " `{again}` writes them"
            if only_check
            else "{pages} written, {remove:,} removed, {unchanged:,} as before",
            pages=counts.pages(len(plan.write)),
            remove=len(plan.remove),
            unchanged=plan.unchanged,
            **({"again": again} if only_check else {}),
        )
    if given is not None and plan.write and not only_check:
        _say_what_git_makes_of(session.folder, given)
    is_due = not plan.is_current if only_check else any(file.due for file in plan.kept)
    return 1 if errors or is_due else 0


def _say_what_git_makes_of(folder: ClubFolder, site: Path) -> None:
    """Of a site within the club folder, where git may take it for part of that."""
    from riesbuch.review.finding import found_repository
    from riesbuch.review.git import Repository
    from riesbuch.trade.problems import RiesbuchError

    place, root = site.resolve(), folder.root.resolve()
    if not place.is_relative_to(root) or found_repository(root) is None:
        return
    name = place.relative_to(root).as_posix()
    # Who has no git to ask is not about to commit.
    with contextlib.suppress(RiesbuchError):
        if Repository.containing(root).ignores(name):
            say("git ignores {site}; copy it to where it is to be seen", site=site)
        else:
            say(
                "{site} lies in the club folder, where git sees it; if it is not to be committed,"
                " add the line `/{name}/` to .gitignore",
                site=site,
                name=name,
            )


@click.command("book")
@club_option("The book of one club.", or_team=False)
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
    type=PATH,
    metavar="FILE",
    help="Where to write it; without it book.html, or book-CLUB.html, in the folder.",
)
@pass_session
def book_command(
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
