"""Our block in git's hooks, beside whatever the user has there.

A shell script gets a marked block under its first line; anything else is put aside, called by our
script, and put back when the block is taken out.
"""

import os
import re
from dataclasses import dataclass
from pathlib import Path

from riesbuch.text.atomic import replace_file
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError

HOOKS = ("pre-commit", "pre-merge-commit")
"""Before a commit, and before the commit that ends a merge without conflicts."""

_BEGIN = b"# riesbuch git-setup: begin"
_OWN = b"# riesbuch git-setup: begin, in a file of its own"
_END = b"# riesbuch git-setup: end\n"
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
            self._write(_FIRST_LINE + self._block(command, own=True))
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
            self._write(_FIRST_LINE + self._block(command, own=True))
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
        self._write(new)
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
            self._write(rest)
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

    def _write(self, content: bytes) -> None:
        # At once: one that may not be run would be taken for somebody else's and put aside.
        replace_file(self.path, content, runs=True)

    def _block(self, command: str, *, own: bool) -> bytes:
        lines = [os.fsencode(command)]
        if own:
            theirs = f'"$(dirname "$0")/{self.aside.name}"'
            lines.append(f'if [ -x {theirs} ]; then {theirs} "$@" || exit $?; fi'.encode())
        mark = _OWN if own else _BEGIN
        return b"\n".join([mark, *lines, _END])
