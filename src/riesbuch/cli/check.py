"""``riesbuch check``."""

import contextlib
from pathlib import Path

import click

from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.show.output import print_answer, say


@click.command("check")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path), metavar="[PATH]...")
@format_option
@pass_session
def command(session: Session, paths: tuple[Path, ...], output_format: str) -> int:
    """Say what cannot be right, where it stands, and what to do about it.

    Without PATH all files of the club folder are checked. With PATHs (files, folders, or sheet
    identifiers such as 2026/2026-05-10-aarwald-a-birkenfluh-a) only the problems in them and
    those that name them are shown, but the other files are still looked at, since a sheet may
    contradict them. A sheet that lies elsewhere is checked beside the register. What is neither
    a sheet nor another file that is read is refused.

    Each line reads PATH:LINE:COLUMN: SEVERITY: SENTENCE – ADVICE (CODE). `riesbuch guide problems`
    explains every code. The exit status is 1 if there are errors; warnings and drafts leave it 0.
    """
    from riesbuch.cli.sheets import check_selection
    from riesbuch.show.problems import has_errors, problems_answer, summary
    from riesbuch.text.schemas import lay_out_schemas
    from riesbuch.trade.problems import UnreadableLeagueError

    try:
        sheets, problems, others = check_selection(session.folder, session.index(), paths)
    except UnreadableLeagueError as error:
        say("without league.toml nothing else can be checked")
        sheets, problems, others = 0, list(error.problems), 1
    if any(problem.code == "seal-broken" for problem in problems):
        from riesbuch.review.broken_seals import with_changed_cells

        problems = with_changed_cells(session.folder, problems)
    with contextlib.suppress(OSError):
        # A checkout made elsewhere has no schemas yet, and a read-only one needs none.
        lay_out_schemas(session.folder.derived)
    if output_format == "table":
        for problem in problems:
            click.echo(problem.as_line())
    else:
        print_answer(problems_answer(sheets, problems), output_format)
    say(summary(sheets, problems, others))
    return 1 if has_errors(problems) else 0
