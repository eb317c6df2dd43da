"""Telling git of the club folder: its attributes, the repository's configuration, its hooks."""

import os
import shlex
import sys
from pathlib import Path

from riesbuch.review.git import Repository
from riesbuch.review.hooks import HOOKS, Hook
from riesbuch.review.settings import FOLDER_KEY, values
from riesbuch.review.undoing import (
    ATTRIBUTES_FILE,
    WANTED_ATTRIBUTES,
    hooks_folder,
    setting_origin,
    undone,
)
from riesbuch.text.atomic import replace_file
from riesbuch.trade.problems import RiesbuchError

_BEGIN = "# riesbuch git-setup: begin; `riesbuch git-setup --undo` takes these lines out\n"
_END = "# riesbuch git-setup: end\n"
_OF_SHEETS = " ".join(f"{name}={value}" for name, value in WANTED_ATTRIBUTES.items())
_ATTRIBUTES = f"{_BEGIN}/seasons/*/matches/*.yaml {_OF_SHEETS}\n{_END}".encode()


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
        done.append(f"set {', '.join(changed)} in the repository's configuration")
    done += [hook.put_in(_check_command()) for hook in _hooks(repository)]
    return [sentence for sentence in done if sentence]


def take_out(repository: Repository) -> list[str]:
    """Undo `set_up`; a sentence for each thing undone. The configuration and the hooks stay as
    long as another club folder of the repository needs them."""
    done = [_take_attributes(repository.folder)]
    folder = _relative_folder(repository)
    folders = values(repository, FOLDER_KEY)
    others = [each for each in folders if each != folder]
    if folder in folders:
        repository.run("config", "--local", "--unset-all", FOLDER_KEY)
        for other in others:
            repository.run("config", "--local", "--add", FOLDER_KEY, other)
    if others:
        named = ", ".join(others)
        done.append(f"left the configuration and the hooks to the other folder here: {named}")
        return [sentence for sentence in done if sentence]
    gone = [key for key in _configuration() if values(repository, key)]
    for key in gone:
        repository.run("config", "--local", "--unset-all", key)
    if folder in folders:
        gone.append(FOLDER_KEY)
    if gone:
        done.append(f"took {', '.join(gone)} out of the repository's configuration")
    done += [hook.take_out() for hook in _hooks(repository)]
    return [sentence for sentence in done if sentence]


def undoings(repository: Repository) -> list[str]:
    """A sentence for each thing in the repository that undoes what `set_up` did."""
    blocked = [each.obstacle() for each in _hooks(repository)]
    return [*undone(repository, _configuration()), *(each for each in blocked if each)]


def hooks_elsewhere(repository: Repository) -> str:
    """A sentence on where the hooks lie and why, empty if that is the repository's own place for
    them."""
    folder = hooks_folder(repository)
    common = os.fsdecode(repository.run("rev-parse", "--git-common-dir")).removesuffix("\n")
    if folder.resolve() == (repository.folder / common / "hooks").resolve():
        return ""
    found = setting_origin(repository, "core.hooksPath")
    where = f" in {found[1]}" if found else ""
    said = f"the hooks of this repository lie in {folder}, since core.hooksPath{where} says so"
    if folder.resolve().is_relative_to(repository.top):
        said += "; whoever changes that folder in a commit changes the hooks"
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
        "riesbuch is not where it was when `riesbuch git-setup` told git of it;"
        " run that once more, or commit without a check by `git commit --no-verify`"
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
            f"{ATTRIBUTES_FILE} is a link, and git reads none; put the file itself in its place"
        )
    content = path.read_bytes() if path.exists() else None
    if content is None:
        replace_file(path, _ATTRIBUTES)
        return f"wrote {ATTRIBUTES_FILE}; commit it, so that others get it too"
    # On top, since of two lines for one file the lower one has the last word: the user's.
    new = _ATTRIBUTES + _without_attributes(content)
    if new == content:
        return ""
    replace_file(path, new)
    return f"added lines to {ATTRIBUTES_FILE}; commit it, so that others get it too"


def _take_attributes(folder: Path) -> str:
    path = folder / ATTRIBUTES_FILE
    content = path.read_bytes() if path.exists() else b""
    new = _without_attributes(content)
    if new == content:
        return ""
    if new:
        replace_file(path, new)
        return f"took our lines out of {ATTRIBUTES_FILE}"
    path.unlink()
    return f"removed {ATTRIBUTES_FILE}, in which nothing else stood"


def _without_attributes(content: bytes) -> bytes:
    before, begin, rest = content.partition(_BEGIN.encode())
    _, end, behind = rest.partition(_END.encode())
    return before + behind if begin and end else content
