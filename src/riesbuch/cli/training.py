"""``riesbuch training``."""

from __future__ import annotations

import contextlib
import datetime
from pathlib import Path

import click

from riesbuch.cli.completion import clubs
from riesbuch.cli.context import DateType, Session, pass_session
from riesbuch.show.output import say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message


@click.command("training")
@click.argument("club", required=False, metavar="[CLUB]", shell_complete=clubs)
@click.option(
    "--date", type=DateType(), metavar="DATE", help="The day of the training; without it, today."
)
@pass_session
def command(session: Session, club: str | None, date: datetime.date | None) -> int:
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
    from riesbuch.text.schemas import lay_out_schemas

    folder, index = session.folder, session.index()
    past = Precedents(folder, index)
    register = index.register().register
    meant, day = club_meant(folder, register, club), date or datetime.date.today()
    path = new_file(folder, meant, day)
    members = members_of(register, past, meant, day.year)
    create_file(path, training_text(meant, day, members).encode())
    with contextlib.suppress(OSError):
        lay_out_schemas(folder.derived)
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
