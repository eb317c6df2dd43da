"""``riesbuch review`` and ``git-setup``, and what git calls after it: ``for-git``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import PATH, Number, Session, format_option, pass_session
from riesbuch.show.output import say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    pass


@click.command("review")
@click.argument("base", required=False)
@click.argument("head", required=False)
@click.option(
    "--strict",
    is_flag=True,
    help="Exit status 1 also where sealed results come out otherwise, for whatever reason.",
)
@format_option
@pass_session
def review_command(
    session: Session, base: str | None, head: str | None, strict: bool, output_format: str
) -> int:
    """What changed between two git revisions, cell by cell, and what that does.

    Without HEAD the files as they lie there are compared with BASE, without BASE with the last
    commit. Both revisions are read with their own rules, register and seasons, and nothing in
    the folder is touched. The first lines say what became of sealed sheets and results, and why.
    Scores are told apart from remarks and from mere layout; then come the rows of tables, the
    records and the honours that are others now.

    Signatures are judged by the keys and the demand of BASE, so a key that comes along proves
    nothing yet.

    The exit status is 1 if a sealed sheet was changed without a correction that both clubs agreed
    to or counts nowhere any more, if signatures are wrong, gone or missing where they are required,
    if a club's keys changed and it did not sign that (`riesbuch sign --keys --key KEY`), if HEAD
    has links or submodules where files are read, or if it cannot be read.
    """
    from riesbuch.cli.streams import Progress
    from riesbuch.review.effects import review
    from riesbuch.review.git import Repository
    from riesbuch.review.revisions import compare_revisions
    from riesbuch.show.output import print_csv, print_json, say
    from riesbuch.show.review import cells_table, print_review, review_data

    folder = session.folder
    repository = Repository.containing(folder.root, say)
    comparison = compare_revisions(repository, folder, base, head)
    reviewed = review(comparison, say, Progress())
    if output_format == "json":
        print_json(review_data(reviewed))
    elif output_format == "csv":
        print_csv(cells_table(reviewed))
    else:
        print_review(reviewed, markdown=output_format == "markdown")
    is_refused = (
        reviewed.unsanctioned
        or reviewed.signatures.keys_not_agreed
        or reviewed.signatures.lost
        or reviewed.after.trouble
        or comparison.head.links
    )
    return 1 if is_refused or (strict and reviewed.other_results) else 0


A_CONFLICT = 3
"""Another status than that of any failure, after which the merge is left to git."""


@click.command("git-setup")
@click.option("--undo", is_flag=True, help="Take out what `riesbuch git-setup` put in.")
@pass_session
def git_setup_command(session: Session, undo: bool) -> int:
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
        write(sentence)
    against = [] if undo else undoings(repository)
    for sentence in against:
        say(sentence)
    if not done and not against:
        say(Message("nothing to undo") if undo else Message("all of it was set up already"))
    elsewhere = hooks_elsewhere(repository)
    if elsewhere and (done or against):
        say(elsewhere)
    return 1 if against else 0


@click.group("for-git")
def for_git_command() -> None:
    """What git calls after `riesbuch git-setup`; nothing to type by hand."""


@for_git_command.command("merge")
@click.argument("base", type=PATH)
@click.argument("ours", type=PATH)
@click.argument("theirs", type=PATH)
@click.argument("size", type=Number())
@click.argument("labels", nargs=3)
def merge(base: Path, ours: Path, theirs: Path, size: int, labels: tuple[str, str, str]) -> int:
    """Merge a sheet cell by cell into the file OURS; exit status 3 where there is a conflict."""
    from riesbuch.cli.sheets import year_of
    from riesbuch.folder.archive import rules_by_key
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.review.git_setup import conflicts_show_base
    from riesbuch.review.merge import Marks, merge_contents
    from riesbuch.text.atomic import replace_file

    # An older git passes the placeholders on as they are.
    of_base, of_ours, of_theirs = (
        word if label.startswith("%") or not label else label
        for label, word in zip(labels, ("base", "ours", "theirs"), strict=True)
    )
    marks = Marks(
        size=size,
        ours=of_ours,
        theirs=of_theirs,
        base=of_base if conflicts_show_base(Path.cwd()) else None,
    )
    contents = [path.read_bytes() for path in (base, ours, theirs)]
    # Git calls this at the top of the working tree, which mostly is the club folder.
    by_rules = rules_by_key(ClubFolder(Path.cwd()), year_of(contents[1]) or 0)
    merged = merge_contents(contents[0], contents[1], contents[2], marks, by_rules)
    replace_file(ours, merged.content)
    if merged.is_whole:
        say(
            "a sheet cannot be merged cell by cell; both versions stand in it as"
            " one conflict, from their first difference to their last"
        )
    return 0 if merged.is_clean else A_CONFLICT


@for_git_command.command("show")
@click.argument("file", type=PATH)
def show(file: Path) -> None:
    """Print the sheet in FILE added up; as it stands where it cannot be read."""
    from riesbuch.review.git_setup import club_folders
    from riesbuch.show.sheets import sheet_text

    content = file.read_bytes()
    folders = [repository.folder for repository in club_folders(Path.cwd())]
    shown = sheet_text(content, file, folders)
    write(content.decode("utf-8", "backslashreplace") if shown is None else shown, ends_line=False)


@for_git_command.command("check")
def check() -> int:
    """Check what is about to be committed; exit status 1 if the commit would bring errors in."""
    from riesbuch.review.git_setup import club_folders
    from riesbuch.review.staged import check_staged
    from riesbuch.show.problems import has_errors, say_problems

    status = 0
    for repository in club_folders(Path.cwd()):
        staged = check_staged(repository, say)
        if staged is None:
            continue
        problems, elsewhere = staged
        say_problems(problems)
        if elsewhere:
            say(
                "{errors} besides, in files that this commit leaves alone; `riesbuch"
                " check` names them",
                errors=counts.errors(elsewhere),
            )
        if has_errors(problems):
            status = 1
    if status:
        say(
            "nothing is committed: mend what is named above, `git add` it, and"
            " commit again (`git commit --no-verify` commits it as it is)"
        )
    return status
