"""``riesbuch git-setup``."""

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.show.output import say


@click.command("git-setup")
@click.option("--undo", is_flag=True, help="Take out what `riesbuch git-setup` put in.")
@pass_session
def command(session: Session, undo: bool) -> int:
    """Let git check, show and merge match sheets as Riesbuch does.

    From then on `git commit` checks what is to be committed and refuses errors, `git diff` shows
    sheets added up, and `git merge` merges sheets cell by cell. What you have set up yourself in
    hooks and attributes stays. To be done once in every clone; doing it again does no harm.

    Then git is asked what it will do. Where a file or a setting undoes a part of it, that is
    named, and the exit status is 1.
    """
    from riesbuch.review.git import Repository
    from riesbuch.review.git_setup import hooks_elsewhere, set_up, take_out, undoings

    repository = Repository.containing(session.folder.root, say)
    done = take_out(repository) if undo else set_up(repository)
    for sentence in done:
        click.echo(sentence)
    against = [] if undo else undoings(repository)
    for sentence in against:
        say(sentence)
    if not done and not against:
        say("nothing to undo" if undo else "all of it was set up already")
    elsewhere = hooks_elsewhere(repository)
    if elsewhere and (done or against):
        say(elsewhere)
    return 1 if against else 0
