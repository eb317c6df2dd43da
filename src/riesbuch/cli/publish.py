"""``riesbuch publish``."""

from functools import partial

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.streams import Progress
from riesbuch.show.output import say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message


@click.command("publish")
@click.option(
    "--check", "only_check", is_flag=True, help="Write nothing; say what is not up to date."
)
@click.option(
    "--only",
    type=click.Choice(["season", "club", "player", "history"]),
    help="Only the pages of seasons (with the front page), clubs, players or the history.",
)
@pass_session
def command(session: Session, only_check: bool, only: str | None) -> int:
    """Write tables, matches, clubs, players and the history as Markdown pages in reports/.

    Only pages that changed are written. Files that `publish` did not write are never touched,
    nor are pages that somebody edited since; they are named, and the exit status is then 1.
    While there are errors in the folder nothing is published.

    With --check the exit status is 1 if the reports are not up to date.
    """
    from riesbuch.pages.paths import FAMILIES
    from riesbuch.pages.publication import Publisher
    from riesbuch.show.problems import say_problems
    from riesbuch.text.atomic import replace_file

    publisher = Publisher(
        session.folder, session.index(), (only,) if only else FAMILIES, Progress(Message("Pages"))
    )
    plan, errors = publisher.prepare()
    if plan is None:
        say_problems(errors)
        say("nothing is published while there are errors")
        return 1
    if only_check:
        publisher.remember(plan)
    else:
        publisher.publish(plan, partial(replace_file, durable=False))
    reports = session.folder.relative(plan.reports)
    for path in plan.write:
        done = Message("not up to date") if only_check else Message("written")
        write(Message.layout("{done}: {path}", done=done, path=f"{reports}/{path}"))
    for path in plan.remove:
        done = Message("no longer due") if only_check else Message("removed")
        write(Message.layout("{done}: {path}", done=done, path=f"{reports}/{path}"))
    for file in plan.kept:
        remedy = Message("; move or delete it to have the page written") if file.due else ""
        say(
            "{reports}/{path} {reason} and is left as it is{remedy}",
            reports=reports,
            path=file.path,
            reason=file.reason,
            remedy=remedy,
        )
    if plan.is_current:
        say("{pages}, all up to date", pages=counts.pages(plan.unchanged))
        return 0
    if only_check:
        say("the reports are not up to date; `riesbuch publish` writes them")
        return 1
    say(
        "{pages} written, {remove} removed, {unchanged} as before",
        pages=counts.pages(len(plan.write)),
        remove=len(plan.remove),
        unchanged=plan.unchanged,
    )
    return 1 if any(file.due for file in plan.kept) else 0
