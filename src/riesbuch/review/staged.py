"""What the next commit is made of, and what is wrong with it."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import closing

from riesbuch.folder.club_folder import READ_PLACES, ClubFolder
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import Index
from riesbuch.review.git import Repository
from riesbuch.review.paths import is_read, is_training
from riesbuch.review.working_tree import Entry
from riesbuch.trade.problems import Problem


def check_staged(
    repository: Repository, tell: Callable[[str], None]
) -> tuple[list[Problem], int] | None:
    """Check the club folder of ``repository`` as the next commit would leave it; None where the
    commit holds none of its files. ``tell`` is as in `Index`.

    The problems are those that the commit would bring in: all in its own files, and the errors in
    other files that are not there without it. The number is that of errors besides, in files that
    the commit leaves alone."""
    # Of a renamed file both paths.
    paths = {path for file in repository.staged_changes() for path in (file.before, file.after)}
    staged = sorted(path for path in paths if path and (path in READ_PLACES or is_read(path)))
    if not staged:
        return None
    problems = _problems(repository, repository.staged_entries(), staged, tell)
    own = [problem for problem in problems if problem.place.path in staged]
    others = [
        problem for problem in problems if problem.is_error and problem.place.path not in staged
    ]
    brought: list[Problem] = []
    if others and repository.has_commits():
        before = {
            _said(problem)
            for problem in _problems(repository, repository.entries("HEAD"), staged, tell)
        }
        brought = [problem for problem in others if _said(problem) not in before]
    problems = sorted([*own, *brought], key=lambda problem: problem.sort_key)
    return problems, len(others) - len(brought)


def _said(problem: Problem) -> tuple[str, str, str]:
    return problem.place.path, problem.code, problem.message


def _problems(
    repository: Repository,
    entries: Mapping[str, Entry],
    staged: list[str],
    tell: Callable[[str], None],
) -> list[Problem]:
    """In the folder as ``entries`` have it."""
    changes = repository.laid_over(entries, READ_PLACES)
    root = repository.folder
    folder = OverlaidFolder(root, changes) if changes else ClubFolder(root)
    if not folder.exists(folder.league_file):
        # The commit takes the club folder itself away, or comes before it was laid out.
        return []
    with_trainings = any(not path.startswith("seasons/") for path in staged)
    with closing(Index(folder, tell)) as index:
        return index.problems(list(_years(folder, staged)), with_trainings=with_trainings)[1]


def _years(folder: ClubFolder, staged: list[str]) -> Iterator[int]:
    """The seasons that the staged files can make a difference to: no check compares seasons, so
    all of them only where a file that belongs to none is staged, and is no training."""
    of_seasons = {path.split("/")[1] for path in staged if path.startswith("seasons/")}
    everywhere = any(not (path.startswith("seasons/") or is_training(path)) for path in staged)
    return (year for year in folder.years() if everywhere or str(year) in of_seasons)
