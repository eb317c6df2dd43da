"""``riesbuch tidy``."""

from pathlib import Path

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.show.output import counted, say


@click.command("tidy")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path), metavar="[PATH]...")
@click.option("--check", "only_check", is_flag=True, help="Write nothing; say what would change.")
@pass_session
def command(session: Session, paths: tuple[Path, ...], only_check: bool) -> int:
    """Bring sheets, clubs and players into the one layout.

    One player a line, keys in their usual order, no alignment. Comments and blank lines stay,
    and nothing that is scored changes. A file that cannot be read is left as it is and named.
    Without PATH all sheets, clubs and players are tidied; TOML files never are.

    With --check the exit status is 1 if a file would change.
    """
    from riesbuch.care.tidying import files_to_tidy, tidied
    from riesbuch.show.problems import say_problems
    from riesbuch.text.atomic import replace_file

    changed, refused = 0, 0
    for path, shape in files_to_tidy(session.folder, paths):
        outcome = tidied(session.folder, path, shape)
        if outcome.problems:
            refused += 1
            say_problems(outcome.problems)
        elif outcome.content is not None:
            changed += 1
            if not only_check:
                replace_file(path, outcome.content)
            click.echo(session.folder.relative(path))
    verb = "would change" if only_check else "tidied"
    say(f"{counted(changed, 'file')} {verb}")
    if refused:
        say(f"{counted(refused, 'file')} could not be read and left as before")
    return 1 if refused or (only_check and changed) else 0
