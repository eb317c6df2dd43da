"""``riesbuch git-setup``."""

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import say


@click.command("git-setup")
@click.option("--undo", is_flag=True, help="Take out what `riesbuch git-setup` put in.")
@pass_session
def command(session: Session, undo: bool) -> None:
    """Let git check, show and merge match sheets as Riesbuch does.

    From then on `git commit` checks what is to be committed and refuses errors, `git diff` shows
    sheets added up, and `git merge` merges sheets cell by cell. What you have set up yourself in
    hooks and attributes stays. To be done once in every clone; doing it again does no harm.
    """
    from riesbuch.review.git import Repository
    from riesbuch.review.setup import hooks_elsewhere, set_up, take_out

    repository = Repository.containing(session.folder.root)
    done = take_out(repository) if undo else set_up(repository)
    for sentence in done:
        click.echo(sentence)
    if not done:
        say("nothing to undo" if undo else "all of it was set up already")
    elsewhere = hooks_elsewhere(repository)
    if elsewhere is not None and done:
        say(f"the hooks of this repository lie in {elsewhere}, since core.hooksPath says so")
