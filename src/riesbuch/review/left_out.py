"""Files that git has and that are not there without anybody being told."""

from pathlib import Path

from riesbuch.folder.club_folder import Kind, kind_of_path
from riesbuch.review.git import Repository
from riesbuch.review.staged import READ_PLACES
from riesbuch.trade.problems import RiesbuchError


def left_out_sentence(root: Path) -> str:
    """How many sheets and other files of the club folder are not checked out, and what to type;
    empty where none are, or git cannot be asked."""
    try:
        repository = Repository.containing(root)
        paths = repository.silently_missing(READ_PLACES)
        is_sparse = bool(paths) and repository.is_sparse()
    except RiesbuchError:
        return ""
    if not paths:
        return ""
    sheets = sum(kind_of_path(path).kind is Kind.SHEET for path in paths)
    others = len(paths) - sheets
    parts = [
        f"{number} {name}{'' if number == 1 else 's'}"
        for number, name in ((sheets, "sheet"), (others, "other file"))
        if number
    ]
    are = "is not checked out and counts" if len(paths) == 1 else "are not checked out and count"
    if is_sparse:
        advice = "`git sparse-checkout disable` brings all"
    else:
        path, flag = next(iter(paths.items()))
        advice = (
            f"`git update-index --no-{flag} -- {path}`, then `git checkout -- {path}`,"
            f" in {root}, brings {'it' if len(paths) == 1 else 'the first'} back"
        )
    return f"{' and '.join(parts)} {are} nowhere here; {advice}"
