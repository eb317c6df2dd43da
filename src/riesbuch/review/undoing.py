"""What in a repository undoes `riesbuch git-setup`: git is asked what it will do."""

import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.review.git import Repository
from riesbuch.review.git_process import run_git
from riesbuch.trade.problems import RiesbuchError

ATTRIBUTES_FILE = ".gitattributes"
WANTED_ATTRIBUTES = {"diff": "riesbuch", "merge": "riesbuch"}
_LOST = {
    "diff": "`git diff` does not show it added up",
    "merge": "`git merge` does not merge it cell by cell",
}
_ANOTHER_DISPLAY = ("diff.riesbuch.command", "diff.external")
_SHEET_TO_COME = "a-sheet-to-come.yaml"


class _Undone(NamedTuple):
    """An attribute of a sheet that git takes for ``value``; ``by`` is the file that says so."""

    by: str
    attribute: str
    path: str
    value: str


def undone(repository: Repository, wanted: dict[str, str]) -> list[str]:
    """A sentence for each thing that undoes what was set up; ``wanted`` is the configuration."""
    return [
        *_attributes_undone(repository),
        *_configuration_undone(repository, wanted),
        *_hooks_undone(repository),
    ]


def hooks_folder(repository: Repository) -> Path:
    """Where git looks for hooks."""
    return _git_path(repository, "hooks")


def setting_origin(repository: Repository, key: str) -> tuple[str, str] | None:
    """What git takes for the setting, and the file that says so; None where nothing does."""
    try:
        answer = repository.run("config", "-z", "--show-origin", "--includes", "--get", key)
    except RiesbuchError:
        return None
    origin, _, value = os.fsdecode(answer).partition("\0")
    return value.removesuffix("\0"), _shown(repository, Path(origin.removeprefix("file:")))


def _attributes_undone(repository: Repository) -> Iterator[str]:
    found = list(_other_attributes(repository))
    for by in dict.fromkeys(each.by for each in found):
        for attribute in WANTED_ATTRIBUTES:
            these = [each for each in found if (each.by, each.attribute) == (by, attribute)]
            if these:
                first = these[0]
                more = f" (and {len(these) - 1} others)" if len(these) > 1 else ""
                yield (
                    f"{by} undoes it: for {first.path}{more} git has `{attribute}` as"
                    f" `{first.value}`, so {_LOST[attribute]}; take that out there"
                )


def _other_attributes(repository: Repository) -> Iterator[_Undone]:
    paths = b"".join(os.fsencode(path) + b"\0" for path in _sheets(repository.folder))
    answer = repository.run("check-attr", "-z", "--stdin", *WANTED_ATTRIBUTES, stdin=paths)
    words = [os.fsdecode(each) for each in answer.split(b"\0")]
    # Sheets of one folder are mostly told of by the same file.
    asked: dict[tuple[str, str, str], str] = {}
    for path, attribute, value in zip(words[::3], words[1::3], words[2::3], strict=False):
        if value != WANTED_ATTRIBUTES[attribute]:
            key = (path.rpartition("/")[0], attribute, value)
            if key not in asked or _SHEET_TO_COME not in path:
                asked[key] = _file_that_says(repository, path, attribute)
            yield _Undone(asked[key], attribute, path, value)


def _sheets(root: Path) -> Iterator[str]:
    """All sheets, and one that may come in each season."""
    folder = ClubFolder(root)
    years = folder.years()
    for year in years:
        for path in folder.sheet_files(year):
            yield folder.relative(path)
    for year in (*years, years[-1] + 1 if years else 2000):
        yield f"{folder.relative(folder.matches(year))}/{_SHEET_TO_COME}"


def _file_that_says(repository: Repository, path: str, attribute: str) -> str:
    """The file that has the last word on an attribute. Which lines of it are about the path git
    says, asked of that file alone over ours."""
    top, full = repository.top, f"{repository.prefix}{path}"
    info = _git_path(repository, "info/attributes")
    # In the order of their weight, see gitattributes(5); what is above the club folder weighs less
    # than our lines in it.
    places = [(info, top)]
    directory = (top / full).parent
    while directory != repository.folder.parent:
        places.append((directory / ATTRIBUTES_FILE, directory))
        directory = directory.parent
    macros = b"".join(_macros((top / ATTRIBUTES_FILE, info)))
    for file, base in places:
        content = _read(file)
        if content is not None and _undoes(macros, content, base, top / full, attribute):
            return _shown(repository, file)
    return "another file of attributes"


def _shown(repository: Repository, file: Path) -> str:
    """A file as it is named: relative to the repository's top folder if it is in there."""
    top = repository.top
    return file.relative_to(top).as_posix() if file.is_relative_to(top) else str(file)


def _macros(files: Iterable[Path]) -> Iterator[bytes]:
    for file in files:
        for line in (_read(file) or b"").splitlines():
            if line.startswith(b"[attr]"):
                yield line + b"\n"


def _read(file: Path) -> bytes | None:
    try:
        # In the working tree git follows no link.
        is_followed = file.name != ATTRIBUTES_FILE or not file.is_symlink()
        return file.read_bytes() if is_followed else None
    except OSError:
        return None


def _undoes(macros: bytes, content: bytes, base: Path, sheet: Path, attribute: str) -> bool:
    ours = " ".join(f"{name}={value}" for name, value in WANTED_ATTRIBUTES.items())
    with TemporaryDirectory() as made:
        for name in ("objects", "refs", "info"):
            (Path(made) / name).mkdir()
        (Path(made) / "HEAD").write_bytes(b"ref: refs/heads/main\n")
        lines = macros + f"* {ours}\n".encode() + content
        (Path(made) / "info/attributes").write_bytes(lines)
        done = run_git(
            ["check-attr", "-z", attribute, "--", sheet.relative_to(base).as_posix()],
            where=Path(made),
            variables={
                "GIT_DIR": made,
                "GIT_WORK_TREE": os.fspath(Path(made) / "refs"),
                "GIT_ATTR_NOSYSTEM": "1",
            },
        )
    return os.fsdecode(done.stdout).split("\0")[2] != WANTED_ATTRIBUTES[attribute]


def _configuration_undone(repository: Repository, wanted: dict[str, str]) -> Iterator[str]:
    for key, value in wanted.items():
        found = setting_origin(repository, key)
        if found is not None and found[0] != value:
            yield f"{found[1]} undoes it: there `{key}` is set otherwise; take it out there"
    for key in _ANOTHER_DISPLAY:
        found = setting_origin(repository, key)
        if found is not None:
            yield (
                f"{found[1]} undoes it: `{key}` there shows differences, so {_LOST['diff']};"
                " take it out there"
            )


def _hooks_undone(repository: Repository) -> Iterator[str]:
    folder = hooks_folder(repository)
    if folder.exists() and not folder.is_dir():
        found = setting_origin(repository, "core.hooksPath")
        where = "" if found is None else f", since `core.hooksPath` in {found[1]} says so"
        yield (
            f"no hook can be in {folder}{where}: commits are not checked;"
            " take the setting out, then do this again"
        )


def _git_path(repository: Repository, name: str) -> Path:
    answer = repository.run("rev-parse", "--git-path", name)
    return repository.folder / os.fsdecode(answer).removesuffix("\n")
