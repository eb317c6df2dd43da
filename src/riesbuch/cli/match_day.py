"""``riesbuch due`` and ``finish``: a match day from its fixtures to the commit; ``training``: an
evening before it."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import clubs
from riesbuch.cli.context import DAY, Session, format_option, pass_session
from riesbuch.show.output import print_answer, say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.index.index import Index
    from riesbuch.review.effects import Closing
    from riesbuch.trade.tally import Tally


@click.command("due")
@click.option("--on", type=DAY, help="The day to ask for; else today.")
@format_option
@pass_session
def due_command(session: Session, on: datetime.date | None, output_format: str) -> int:
    """Say what is to be done, the most pressing first, and what to type for it.

    These are fixtures whose day is past and that have no sheet, open drafts, errors, sheets that
    are not sealed, or not signed where the league requires it, pages that are not up to date,
    changes that are not committed, and the next match day. Matches and seals are those of the
    season under way.

    The exit status is 1 if there are errors in the files.
    """
    from riesbuch.care.due import due
    from riesbuch.cli.sheets import check_selection
    from riesbuch.cli.streams import Progress
    from riesbuch.pages.publication import Publisher
    from riesbuch.show.secretary import due_answer, due_lines, due_tasks

    folder, index = session.folder, session.index()
    checked = check_selection(folder, index, ())
    found = due(folder, index, checked.problems, on or datetime.date.today())
    pages = Publisher(folder, index, progress=Progress(Message("Pages"))).outstanding()
    uncommitted, why_not = _uncommitted(session)
    if output_format == "table":
        lines = list(due_lines(due_tasks(found, pages, uncommitted)))
        for line in lines or [Message("there is nothing to do")]:
            write(line)
    else:
        print_answer(due_answer(found, pages, uncommitted), output_format)
    for reason in filter(None, (checked.note, why_not)):
        say(reason)
    return 1 if found.errors else 0


def _uncommitted(session: Session) -> tuple[int | None, str]:
    """How many of the folder's own files are not as committed last; where nobody can tell, None
    and why."""
    from riesbuch.pages.writer import is_page
    from riesbuch.review.committing import NO_REPOSITORY, own_changes
    from riesbuch.review.finding import found_repository
    from riesbuch.review.git import Repository
    from riesbuch.trade.problems import RiesbuchError

    root = session.folder.root
    try:
        if found_repository(root) is None:
            return None, NO_REPOSITORY
        repository = Repository.containing(root)
        repository.trust_looks()
        return len(own_changes(repository, is_page).own), ""
    except RiesbuchError as error:
        return None, error.message


@click.command("finish")
@click.option("--on", type=DAY, help="The day to close; else today.")
@click.option("--yes", is_flag=True, help="Do it without asking.")
@pass_session
def finish_command(session: Session, on: datetime.date | None, yes: bool) -> int:
    """Close a match day: check it, show what it changes, publish, and commit it.

    What is new since the last commit is checked, and shown: the results, the tables before and
    after, and whatever else was changed, first of all in sheets that were entered or sealed
    before. Then you are asked. After that the pages are brought up to date, and one commit holds
    the folder's own files and says the results. Other files stay as they are, and nothing is
    pushed.

    Nothing is done while what is new has errors or open drafts up to that day, or changes a
    sealed sheet without a correction; the exit status is 1 then. Stopped at any moment, it can
    be given again.
    """
    from riesbuch.cli.context import agreed
    from riesbuch.cli.streams import Progress
    from riesbuch.pages.publication import Publisher
    from riesbuch.pages.writer import is_page
    from riesbuch.review.committing import NO_REPOSITORY, commit_all
    from riesbuch.show.problems import say_kept, say_left_out, say_problems
    from riesbuch.show.secretary import print_closing
    from riesbuch.text.atomic import page_writer

    closing = _closing(session)
    index = session.index()
    if _is_hindered(session, index, closing, on or datetime.date.today()):
        say("nothing was done; mend this, then type `riesbuch finish` again")
        return 1
    publisher = Publisher(session.folder, index, progress=Progress(Message("Pages")))
    plan, errors = publisher.prepare()
    if plan is None:
        say_problems(errors)
        say("nothing is published while there are errors, so nothing was done")
        return 1
    say_left_out(sorted({error.place.path for error in errors}))
    pages = len(plan.write) + len(plan.remove)
    if not pages and (closing is None or not closing.files):
        say("there is nothing to finish" if closing is not None else NO_REPOSITORY)
        return 0
    message = _message(session, index, closing) if closing is not None else ""
    if closing is not None:
        print_closing(closing, message)
    write(Message("pages to be written or removed: {pages}", pages=pages))
    asked = Message("Publish and commit this?") if closing is not None else Message("Publish this?")
    if not yes and not agreed(asked):
        say("nothing was done")
        return 1
    publisher.publish(plan, page_writer())
    say_kept(session.folder.relative(plan.reports), plan.kept)
    if closing is None:
        say("the pages were published")
        say(NO_REPOSITORY)
        return 0
    made = commit_all(closing.repository, closing.files, message, is_page)
    say("committed as {made}; nothing was pushed, `git push` does that", made=made[:10])
    return 0


def _closing(session: Session) -> Closing | None:
    """What there is to commit; None where the folder is not kept in git."""
    from riesbuch.cli.streams import Progress
    from riesbuch.pages.writer import is_page
    from riesbuch.review.committing import expect_name, expect_to_commit
    from riesbuch.review.effects import closing_of
    from riesbuch.review.finding import found_repository
    from riesbuch.review.git import Repository

    if found_repository(session.folder.root) is None:
        return None
    repository = Repository.containing(session.folder.root, say)
    expect_to_commit(repository)
    expect_name(repository)
    return closing_of(repository, session.folder, is_page, say, Progress())


def _is_hindered(
    session: Session, index: Index, closing: Closing | None, day: datetime.date
) -> bool:
    """Tell what keeps the match day open; whether there was anything."""
    from riesbuch.care.due import sheets_of_last_day
    from riesbuch.cli.sheets import check_selection
    from riesbuch.show.problems import say_problems
    from riesbuch.show.secretary import say_unsanctioned
    from riesbuch.trade.problems import Severity

    problems = check_selection(session.folder, index, ()).problems
    if closing is None:
        files = open_sheets = sheets_of_last_day(session.folder, index, day)
    else:
        files = {*closing.files}
        open_sheets = {
            sheet.path
            for sheet in closing.drafts
            if sheet.after is None or sheet.after.date is None or sheet.after.date <= day
        }
    found = [
        problem
        for problem in problems
        if (problem.is_error and any(map(problem.is_of, files)))
        or (problem.severity is Severity.DRAFT and problem.place.path in open_sheets)
    ]
    say_problems(found)
    unsanctioned = closing.review.unsanctioned if closing is not None else ()
    if closing is not None and unsanctioned:
        say_unsanctioned(closing.review)
    return bool(found or unsanctioned)


def _message(session: Session, index: Index, closing: Closing) -> str:
    """The commit's, in the language of the reports."""
    from riesbuch.language.catalogue import catalogue
    from riesbuch.pages.round_lines import commit_message

    archive = index.archive(session.folder.years())

    def competition(tally: Tally) -> str:
        found = archive.competition(tally.season, tally.competition)
        return found.name_in(tally.part) if found is not None else tally.competition or "?"

    return commit_message(
        catalogue(archive.league.language, "reports"),
        [sheet.after for sheet in closing.entered if sheet.after is not None],
        [sheet.sheet for sheet in closing.older],
        [
            ruling
            for cause in closing.review.causes
            if cause.kind == "rulings"
            for ruling in cause.rulings or [cause.path]
        ],
        archive.register.team_name,
        competition,
    )


@click.command("training")
@click.argument("club", required=False, metavar="[CLUB]", shell_complete=clubs)
@click.option("--date", type=DAY, help="The day of the training; without it, today.")
@pass_session
def training_command(session: Session, club: str | None, date: datetime.date | None) -> int:
    """Write the file of a training evening with the club's members in it, to be filled in.

    CLUB may be left out where the folder has only one, or had a training before. Type each one's
    strikes in place of the `_`, as many as there were, `15 16 0 17`; move who was only there to
    `present: [NAME]`, and delete who did not come. No file is ever overwritten.

    Trainings are never published. `riesbuch guide trainings` says what may not be noted, and who
    can read them.
    """
    from riesbuch.care.training import club_meant, members_of, new_file, training_text
    from riesbuch.questions.sheets import Precedents
    from riesbuch.text.atomic import create_file

    folder, index = session.folder, session.index()
    past = Precedents(folder, index)
    register = index.register().register
    meant, day = club_meant(folder, register, club), date or datetime.date.today()
    path = new_file(folder, meant, day)
    members = members_of(register, past, meant, day.year)
    create_file(path, training_text(meant, day, members).encode())
    session.lay_out_schemas()
    name = folder.relative(path)
    write(Message("written: {relative}", relative=name))
    say(
        "{club}: {players}; type their strikes, and delete who did not come",
        club=register.clubs[meant].name if meant in register.clubs else meant,
        players=counts.players(len(members)),
    )
    _say_who_can_read_it(folder.root)
    say("next: `riesbuch desk {name}` beside the editor", name=name)
    return 0


def _say_who_can_read_it(root: Path) -> None:
    """Where git brings the folder elsewhere, and trainings with it."""
    from riesbuch.folder.club_folder import TRAININGS
    from riesbuch.review.finding import found_repository
    from riesbuch.review.git import Repository
    from riesbuch.trade.problems import RiesbuchError

    if found_repository(root) is None:
        return
    try:
        repository = Repository.containing(root)
        is_shared = bool(repository.run("remote").strip()) and not repository.ignores(TRAININGS)
    except RiesbuchError:
        return
    if is_shared:
        say(
            "this folder is shared by git: who can read it there will read the trainings too; the"
            " line `/{place}/` in the file .gitignore keeps them on this computer",
            place=TRAININGS,
        )
