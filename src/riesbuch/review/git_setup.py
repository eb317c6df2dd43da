"""Telling git of the club folder: its attributes, the repository's configuration, its hooks; and
what in the repository undoes that, by what git says it will do.

A hook that is a shell script gets a marked block of ours under its first line; anything else that
the user has there is put aside, called by our script, and put back when the block is taken out.
"""

import os
import re
import shlex
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.review.git import Repository
from riesbuch.review.git_process import run_git
from riesbuch.text.atomic import replace_as_read
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError

HOOKS = ("pre-commit", "pre-merge-commit")
"""Before a commit, and before the commit that ends a merge without conflicts."""

_HOOK_BEGIN = b"# riesbuch git-setup: begin"
_OWN = b"# riesbuch git-setup: begin, in a file of its own"
_HOOK_END = b"# riesbuch git-setup: end\n"
_BLOCK = re.compile(rb"# riesbuch git-setup: begin.*?# riesbuch git-setup: end\n", re.DOTALL)
_FIRST_LINE = b"#!/bin/sh\n"
_SHELL = re.compile(rb"#![ \t]*(?:/usr)?/bin/(?:env[ \t]+)?(?:ba|da|k|z)?sh(?:[ \t][^\n]*)?\n")
_ASIDE = ".before-riesbuch"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hook:
    """One of git's hooks in its folder."""

    folder: Path
    name: str

    @property
    def path(self) -> Path:
        return self.folder / self.name

    @property
    def aside(self) -> Path:
        return self.folder / f"{self.name}{_ASIDE}"

    def put_in(self, command: str) -> str:
        """Let the hook run ``command``, a line for the shell; says what was done, empty where it
        was so already. Raises RiesbuchError where a hook of the user would be lost."""
        if not os.path.lexists(self.path):
            self._write(None, _FIRST_LINE + self._block(command, own=True))
            return Message("wrote the hook {name}", name=self.name)
        if self.path.is_symlink() or not self._is_running_shell():
            if os.path.lexists(self.aside):
                raise RiesbuchError(
                    "{folder} has both a hook {name} of yours and {other_name}, which was put"
                    " aside before; remove one of them, then do this again",
                    folder=self.folder,
                    name=self.name,
                    other_name=self.aside.name,
                )
            os.replace(self.path, self.aside)
            self._write(None, _FIRST_LINE + self._block(command, own=True))
            return Message(
                "put your hook {name} aside as {other_name}, which ours calls",
                name=self.name,
                other_name=self.aside.name,
            )
        content = self.path.read_bytes()
        found = _BLOCK.search(content)
        if found is None:
            first = _SHELL.match(content)
            assert first is not None
            new = first[0] + self._block(command, own=False) + content[first.end() :]
            said = Message("added a block to your hook {name}", name=self.name)
        else:
            block = self._block(command, own=found[0].startswith(_OWN))
            new = content[: found.start()] + block + content[found.end() :]
            said = Message("brought our block in the hook {name} up to date", name=self.name)
        if new == content:
            return ""
        self._write(content, new)
        return said

    def take_out(self) -> str:
        """The hook as it was before `put_in`; says what was done, empty where nothing was in."""
        if not self.path.is_file() or self.path.is_symlink():
            return ""
        content = self.path.read_bytes()
        found = _BLOCK.search(content)
        if found is None:
            return ""
        rest = content[: found.start()] + content[found.end() :]
        if not found[0].startswith(_OWN) or rest != _FIRST_LINE:
            self._write(content, rest)
            left = (
                Message("; {name} is yours too", name=self.aside.name)
                if os.path.lexists(self.aside)
                else ""
            )
            return Message("took our block out of the hook {name}{left}", name=self.name, left=left)
        if os.path.lexists(self.aside):
            os.replace(self.aside, self.path)
            return Message("put your hook {name} back", name=self.name)
        self.path.unlink()
        return Message("removed the hook {name}", name=self.name)

    def obstacle(self) -> str:
        """A sentence on what may keep our block from being run, empty where nothing does."""
        content = self.path.read_bytes() if self.path.is_file() else b""
        found = _BLOCK.search(content)
        if found is None:
            return Message(
                "the hook {name} has no block of ours: commits are not checked", name=self.name
            )
        above = content[: found.start()].splitlines()
        if any(line.strip() and not line.lstrip().startswith(b"#") for line in above):
            return Message(
                "the hook {name} undoes it: lines above our block may end it before the"
                " check; put them below the block",
                name=self.name,
            )
        return ""

    def _is_running_shell(self) -> bool:
        """Whether it is a shell script that git runs; one that may not be executed it passes
        over, and so must we."""
        runs = os.name != "posix" or os.access(self.path, os.X_OK)
        return runs and _SHELL.match(self.path.read_bytes()) is not None

    def _write(self, before: bytes | None, content: bytes) -> None:
        # At once: one that may not be run would be taken for somebody else's and put aside.
        replace_as_read(self.path, before, content, runs=True)

    def _block(self, command: str, *, own: bool) -> bytes:
        lines = [os.fsencode(command)]
        if own:
            theirs = f'"$(dirname "$0")/{self.aside.name}"'
            lines.append(f'if [ -x {theirs} ]; then {theirs} "$@" || exit $?; fi'.encode())
        mark = _OWN if own else _HOOK_BEGIN
        return b"\n".join([mark, *lines, _HOOK_END])


FOLDER_KEY = "riesbuch.folder"
"""The club folders of the repository, relative to its top folder; the value `.` is the top."""


ATTRIBUTES_FILE = ".gitattributes"
WANTED_ATTRIBUTES = {"diff": "riesbuch", "merge": "riesbuch"}
_LOST = {
    "diff": Message("`git diff` does not show it added up"),
    "merge": Message("`git merge` does not merge it cell by cell"),
}
_ANOTHER_DISPLAY = ("diff.riesbuch.command", "diff.external")
_SHEET_TO_COME = "a-sheet-to-come.yaml"
_BEGIN = "# riesbuch git-setup: begin; `riesbuch git-setup --undo` takes these lines out\n"
_END = "# riesbuch git-setup: end\n"
_OF_SHEETS = " ".join(f"{name}={value}" for name, value in WANTED_ATTRIBUTES.items())
_ATTRIBUTES = f"{_BEGIN}/seasons/*/matches/*.yaml {_OF_SHEETS}\n{_END}".encode()


def values(repository: Repository, key: str) -> list[str]:
    """The values that the repository itself gives to ``key``."""
    return _values(repository, "--local", "--get-all", key)


def _values(repository: Repository, *arguments: str) -> list[str]:
    answer = repository.answer("config", "-z", *arguments) or b""
    return [os.fsdecode(value) for value in answer.split(b"\0") if value]


def club_folders(where: Path) -> list[Repository]:
    """The club folders that were set up in the repository that calls this program with its top
    folder ``where``; none where it is no repository."""
    repository = Repository.calling(where)
    if repository is None:
        return []
    folders = [repository.top / value for value in values(repository, FOLDER_KEY)]
    return [repository.of_folder(folder) for folder in folders if folder.is_dir()]


def conflicts_show_base(where: Path) -> bool:
    """Whether whoever uses the repository wants to see what both sides of a conflict came from."""
    repository = Repository.calling(where)
    if repository is None:
        return False
    style = _values(repository, "--get", "merge.conflictStyle")
    return style[-1:] in (["diff3"], ["zdiff3"])


def set_up(repository: Repository) -> list[str]:
    """Do all that is not done yet; a sentence for each thing done, none where all was so."""
    done = [_put_attributes(repository.folder)]
    wanted = _configuration()
    changed = [key for key, value in wanted.items() if values(repository, key) != [value]]
    for key in changed:
        repository.run("config", "--local", "--replace-all", key, wanted[key])
    folder = _relative_folder(repository)
    if folder not in values(repository, FOLDER_KEY):
        repository.run("config", "--local", "--add", FOLDER_KEY, folder)
        changed.append(FOLDER_KEY)
    if changed:
        done.append(
            Message("set {changed} in the repository's configuration", changed=", ".join(changed))
        )
    done += [hook.put_in(_check_command()) for hook in _hooks(repository)]
    return [sentence for sentence in done if sentence]


def take_out(repository: Repository) -> list[str]:
    """Undo `set_up`; a sentence for each thing undone. The configuration and the hooks stay as
    long as another club folder of the repository needs them."""
    done = [_take_attributes(repository.folder)]
    folder = _relative_folder(repository)
    folders = values(repository, FOLDER_KEY)
    others = [other for other in folders if other != folder]
    if folder in folders:
        repository.run("config", "--local", "--unset-all", FOLDER_KEY)
        for other in others:
            repository.run("config", "--local", "--add", FOLDER_KEY, other)
    if others:
        named = ", ".join(others)
        done.append(
            Message(
                "left the configuration and the hooks to the other folder here: {named}",
                named=named,
            )
        )
        return [sentence for sentence in done if sentence]
    gone = [key for key in _configuration() if values(repository, key)]
    for key in gone:
        repository.run("config", "--local", "--unset-all", key)
    if folder in folders:
        gone.append(FOLDER_KEY)
    if gone:
        done.append(
            Message("took {gone} out of the repository's configuration", gone=", ".join(gone))
        )
    done += [hook.take_out() for hook in _hooks(repository)]
    return [sentence for sentence in done if sentence]


def undoings(repository: Repository) -> list[str]:
    """A sentence for each thing in the repository that undoes what `set_up` did."""
    blocked = [hook.obstacle() for hook in _hooks(repository)]
    return [
        *_attributes_undone(repository),
        *_configuration_undone(repository),
        *_hooks_undone(repository),
        *filter(None, blocked),
    ]


def hooks_elsewhere(repository: Repository) -> str:
    """A sentence on where the hooks lie and why, empty if that is the repository's own place for
    them."""
    folder = hooks_folder(repository)
    common = os.fsdecode(repository.run("rev-parse", "--git-common-dir")).removesuffix("\n")
    if folder.resolve() == (repository.folder / common / "hooks").resolve():
        return ""
    found = setting_origin(repository, "core.hooksPath")
    where = Message(" in {found}", found=found[1]) if found else ""
    said = Message(
        "the hooks of this repository lie in {folder}, since core.hooksPath{where} says so",
        folder=folder,
        where=where,
    )
    if folder.resolve().is_relative_to(repository.top):
        said += Message("; whoever changes that folder in a commit changes the hooks")
    return said


def _relative_folder(repository: Repository) -> str:
    return repository.prefix.rstrip("/") or "."


def _program() -> str:
    """This Python with this tool, for a shell, wherever and whenever git runs it."""
    if not sys.executable:
        raise RiesbuchError("the place of this Python is not known, so git cannot be told of it")
    # With -P nothing that lies in the club's folder is taken for a part of the program.
    python = Path(sys.executable).absolute().as_posix()
    return f"{shlex.quote(python)} -P -m riesbuch"


def _configuration() -> dict[str, str]:
    program = _program()
    # 3 is a conflict. Where the program fails, nothing is proven: against a common origin that is
    # empty git makes a conflict of whatever differs.
    merge = (
        f"{program} for-git merge %O %A %B %L %S %X %Y;"
        " case $? in 0) exit 0;; 3) exit 1;;"
        " *) git merge-file -q --marker-size=%L -L ours -L base -L theirs %A /dev/null %B;; esac"
    )
    return {
        "merge.riesbuch.name": "match sheets, cell by cell",
        "merge.riesbuch.driver": merge,
        # Git adds the file's name behind it.
        "diff.riesbuch.textconv": f'show() {{ {program} for-git show "$1" || cat "$1"; }}; show',
    }


def _check_command() -> str:
    python = shlex.quote(Path(sys.executable).absolute().as_posix())
    advice = shlex.quote(
        Message(
            "riesbuch is not where it was when `riesbuch git-setup` told git of it; run that once"
            " more, or commit without a check by `git commit --no-verify`"
        )
    )
    return (
        f"if git config --get {FOLDER_KEY} >/dev/null; then"
        f" if [ -x {python} ]; then {_program()} for-git check || exit 1;"
        f" else echo {advice} >&2; exit 1; fi; fi"
    )


def _hooks(repository: Repository) -> list[Hook]:
    folder = hooks_folder(repository)
    if folder.exists() and not folder.is_dir():
        return []
    return [Hook(folder=folder, name=name) for name in HOOKS]


def _put_attributes(folder: Path) -> str:
    path = folder / ATTRIBUTES_FILE
    if path.is_symlink():
        raise RiesbuchError(
            "{attributes_file} is a link, and git reads none; put the file itself in its place",
            attributes_file=ATTRIBUTES_FILE,
        )
    content = path.read_bytes() if path.exists() else None
    if content is None:
        replace_as_read(path, None, _ATTRIBUTES)
        return Message(
            "wrote {attributes_file}; commit it, so that others get it too",
            attributes_file=ATTRIBUTES_FILE,
        )
    # On top, since of two lines for one file the lower one has the last word: the user's.
    new = _ATTRIBUTES + _without_attributes(content)
    if new == content:
        return ""
    replace_as_read(path, content, new)
    return Message(
        "added lines to {attributes_file}; commit it, so that others get it too",
        attributes_file=ATTRIBUTES_FILE,
    )


def _take_attributes(folder: Path) -> str:
    path = folder / ATTRIBUTES_FILE
    content = path.read_bytes() if path.exists() else b""
    new = _without_attributes(content)
    if new == content:
        return ""
    if new:
        replace_as_read(path, content, new)
        return Message("took our lines out of {attributes_file}", attributes_file=ATTRIBUTES_FILE)
    path.unlink()
    return Message(
        "removed {attributes_file}, in which nothing else stood", attributes_file=ATTRIBUTES_FILE
    )


def _without_attributes(content: bytes) -> bytes:
    before, begin, rest = content.partition(_BEGIN.encode())
    _, end, behind = rest.partition(_END.encode())
    return before + behind if begin and end else content


class _Undone(NamedTuple):
    """An attribute of a sheet that git takes for ``value``; ``by`` is the file that says so."""

    by: str
    attribute: str
    path: str
    value: str


def hooks_folder(repository: Repository) -> Path:
    """Where git looks for hooks."""
    return _git_path(repository, "hooks")


def setting_origin(repository: Repository, key: str) -> tuple[str, str] | None:
    """What git takes for the setting, and the file that says so; None where nothing does."""
    answer = repository.answer("config", "-z", "--show-origin", "--includes", "--get", key)
    if answer is None:
        return None
    origin, _, value = os.fsdecode(answer).partition("\0")
    return value.removesuffix("\0"), _shown(repository, Path(origin.removeprefix("file:")))


def _attributes_undone(repository: Repository) -> Iterator[str]:
    found = list(_other_attributes(repository))
    for by in dict.fromkeys(place.by for place in found):
        for attribute in WANTED_ATTRIBUTES:
            these = [place for place in found if (place.by, place.attribute) == (by, attribute)]
            if these:
                first = these[0]
                more = (
                    Message(" (and {these} others)", these=len(these) - 1) if len(these) > 1 else ""
                )
                yield Message(
                    "{by} undoes it: for {path}{more} git has `{attribute}` as `{value}`,"
                    " so {lost}; take that out there",
                    by=by,
                    path=first.path,
                    more=more,
                    attribute=attribute,
                    value=first.value,
                    lost=_LOST[attribute],
                )


def _other_attributes(repository: Repository) -> Iterator[_Undone]:
    paths = b"".join(os.fsencode(path) + b"\0" for path in _sheets(repository.folder))
    answer = repository.run("check-attr", "-z", "--stdin", *WANTED_ATTRIBUTES, stdin=paths)
    words = [os.fsdecode(word) for word in answer.split(b"\0")]
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
    return Message("another file of attributes")


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
    with TemporaryDirectory() as made:
        for name in ("objects", "refs", "info"):
            (Path(made) / name).mkdir()
        (Path(made) / "HEAD").write_bytes(b"ref: refs/heads/main\n")
        lines = macros + f"* {_OF_SHEETS}\n".encode() + content
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


def _configuration_undone(repository: Repository) -> Iterator[str]:
    for key, value in _configuration().items():
        found = setting_origin(repository, key)
        if found is not None and found[0] != value:
            yield Message(
                "{found} undoes it: there `{key}` is set otherwise; take it out there",
                found=found[1],
                key=key,
            )
    for key in _ANOTHER_DISPLAY:
        found = setting_origin(repository, key)
        if found is not None:
            yield Message(
                "{found} undoes it: `{key}` there shows differences, so {lost}; take it out there",
                found=found[1],
                key=key,
                lost=_LOST["diff"],
            )


def _hooks_undone(repository: Repository) -> Iterator[str]:
    folder = hooks_folder(repository)
    if folder.exists() and not folder.is_dir():
        found = setting_origin(repository, "core.hooksPath")
        where = (
            ""
            if found is None
            else Message(", since `core.hooksPath` in {found} says so", found=found[1])
        )
        yield Message(
            "no hook can be in {folder}{where}: commits are not checked; take the"
            " setting out, then do this again",
            folder=folder,
            where=where,
        )


def _git_path(repository: Repository, name: str) -> Path:
    answer = repository.run("rev-parse", "--git-path", name)
    return repository.folder / os.fsdecode(answer).removesuffix("\n")
