"""``riesbuch for-git``: what git calls once ``riesbuch git-setup`` has told it to."""

from pathlib import Path

import click

from riesbuch.show.output import counted, say

A_CONFLICT = 3
"""Another status than that of any failure, after which the merge is left to git."""


@click.group("for-git")
def command() -> None:
    """What git calls after `riesbuch git-setup`; nothing to type by hand."""


@command.command("merge")
@click.argument("base", type=click.Path(path_type=Path))
@click.argument("ours", type=click.Path(path_type=Path))
@click.argument("theirs", type=click.Path(path_type=Path))
@click.argument("size", type=int)
@click.argument("labels", nargs=3)
def merge(base: Path, ours: Path, theirs: Path, size: int, labels: tuple[str, str, str]) -> int:
    """Merge a sheet cell by cell into the file OURS; exit status 3 where there is a conflict."""
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
    merged = merge_contents(
        base.read_bytes(),
        ours.read_bytes(),
        theirs.read_bytes(),
        marks,
    )
    replace_file(ours, merged.content)
    if merged.is_whole:
        say(
            "a sheet cannot be merged cell by cell; both versions stand in it as one conflict,"
            " from their first difference to their last"
        )
    return 0 if merged.is_clean else A_CONFLICT


@command.command("show")
@click.argument("file", type=click.Path(path_type=Path))
def show(file: Path) -> None:
    """Print the sheet in FILE added up; as it stands where it cannot be read."""
    from riesbuch.review.git_setup import club_folders
    from riesbuch.show.sheets import sheet_text

    content = file.read_bytes()
    folders = [each.folder for each in club_folders(Path.cwd())]
    shown = sheet_text(content, file, folders)
    click.echo(content.decode("utf-8", "backslashreplace") if shown is None else shown, nl=False)


@command.command("check")
def check() -> int:
    """Check what is about to be committed; exit status 1 if the commit would bring errors in."""
    from riesbuch.review.git_setup import club_folders
    from riesbuch.review.staged import check_staged
    from riesbuch.show.problems import has_errors

    status = 0
    for repository in club_folders(Path.cwd()):
        found = check_staged(repository, say)
        if found is None:
            continue
        for problem in found.problems:
            say(problem.as_line())
        if found.elsewhere:
            say(
                f"{counted(found.elsewhere, 'error')} besides, in files that this commit leaves"
                " alone; `riesbuch check` names them"
            )
        if has_errors(found.problems):
            status = 1
    if status:
        say(
            "nothing is committed: mend what is named above, `git add` it, and commit again"
            " (`git commit --no-verify` commits it as it is)"
        )
    return status
