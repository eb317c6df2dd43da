"""``riesbuch check`` and ``tidy``."""

from pathlib import Path

import click

from riesbuch.cli.context import Session, format_option, pass_session, paths_argument
from riesbuch.show.output import print_answer, say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message


@click.command("check")
@paths_argument
@format_option
@pass_session
def check_command(session: Session, paths: tuple[Path, ...], output_format: str) -> int:
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
    from riesbuch.show.problems import has_errors, problems_answer, summary, write_problems
    from riesbuch.trade.problems import UnreadableLeagueError

    try:
        sheets, problems, others, note = check_selection(session.folder, session.index(), paths)
    except UnreadableLeagueError as error:
        say("without league.toml nothing else can be checked")
        sheets, problems, others, note = 0, list(error.problems), 1, None
    if any(problem.code == "seal-broken" for problem in problems):
        from riesbuch.review.history import with_changed_cells

        problems = with_changed_cells(session.folder, problems)
    session.lay_out_schemas()
    if output_format == "table":
        write_problems(problems)
    else:
        print_answer(problems_answer(sheets, problems), output_format)
    if note is not None:
        say(note)
    say(summary(sheets, problems, others))
    return 1 if has_errors(problems) else 0


@click.command("tidy")
@paths_argument
@click.option("--check", "only_check", is_flag=True, help="Write nothing; say what would change.")
@pass_session
def tidy_command(session: Session, paths: tuple[Path, ...], only_check: bool) -> int:
    """Bring sheets, clubs, players and trainings into the one layout.

    One player a line, keys in their usual order, no alignment. Comments and blank lines stay,
    and nothing that is scored changes. A file that cannot be read is left as it is and named.
    Without PATH all sheets, clubs, players and trainings are tidied; TOML files never are.

    With --check the exit status is 1 if a file would change.
    """
    from riesbuch.care.tidying import files_to_tidy, tidied
    from riesbuch.show.problems import say_problems
    from riesbuch.text.atomic import replace_as_read

    changed, refused = 0, 0
    for path, shape in files_to_tidy(session.folder, paths):
        outcome = tidied(session.folder, path, shape)
        if outcome.problems:
            refused += 1
            say_problems(outcome.problems)
        elif outcome.content is not None:
            changed += 1
            if not only_check:
                replace_as_read(path, outcome.before, outcome.content)
            write(session.folder.relative(path))
    say(
        counts.files_to_change(changed)
        if only_check
        else Message("{files} tidied", files=counts.files(changed))
    )
    if refused:
        say("{files} could not be read and left as before", files=counts.files(refused))
    return 1 if refused or (only_check and changed) else 0
