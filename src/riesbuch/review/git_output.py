"""Files and changed files, as git lists them."""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.review.working_tree import SUBMODULE, Entry

RAW = ("--raw", "-z", "-l1000", "--abbrev=64", "--no-ext-diff", "--no-textconv",
       "--ignore-submodules", "--relative")  # fmt: skip
"""Options of a git command whose output is read here."""

COMMIT = re.compile("[0-9a-f]{40}|[0-9a-f]{64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class FileChange:
    """One file; ``before`` and ``after`` are its paths relative to the club folder, None where it
    is not there. ``blob_before`` and ``blob_after`` are object ids, None where there is no file
    or it lies in the working tree."""

    before: str | None
    after: str | None
    blob_before: str | None = None
    blob_after: str | None = None

    @property
    def path(self) -> str:
        """Where it is, or was last."""
        path = self.after if self.after is not None else self.before
        assert path is not None
        return path


class RawPiece(NamedTuple):
    status: str
    before: str
    after: str
    mode_before: str
    mode_after: str
    blob_before: str
    blob_after: str


def raw_pieces(output: bytes) -> Iterator[RawPiece]:
    """The changes of ``--raw -z``: ``:mode mode blob blob status``, then one path, for a rename
    two."""
    pieces = iter(output.split(b"\0"))
    for piece in pieces:
        if not piece:
            continue
        mode_before, mode_after, blob_before, blob_after, status = piece[1:].decode().split(" ")
        before = os.fsdecode(next(pieces))
        after = os.fsdecode(next(pieces)) if status[0] in "RC" else before
        yield RawPiece(
            status[0], before, after, mode_before, mode_after, blob_before, blob_after
        )  # fmt: skip


def file_changes(output: bytes) -> Iterator[FileChange]:
    seen: set[str] = set()
    for piece in raw_pieces(output):
        # While a merge is open, a path comes once for the conflict and once for its file.
        is_submodule = SUBMODULE in (piece.mode_before, piece.mode_after)
        if piece.status == "U" or piece.after in seen or is_submodule:
            continue
        seen.add(piece.after)
        there_before, there_after = piece.status not in "AC", piece.status != "D"
        yield FileChange(
            before=piece.before if there_before else None,
            after=piece.after if there_after else None,
            blob_before=_blob(piece.blob_before) if there_before else None,
            blob_after=_blob(piece.blob_after) if there_after else None,
        )


def _blob(written: str) -> str | None:
    return written if written.strip("0") else None


class IndexEntry(NamedTuple):
    """``is_left_out`` is whether git was told that the file need not lie in the working tree,
    ``is_passed_over`` whether it was told not to look at what lies there."""

    entry: Entry
    is_left_out: bool
    is_passed_over: bool


def tree_entries(output: bytes) -> dict[str, Entry]:
    """The files of ``ls-tree -r -z``, by path."""
    found: dict[str, Entry] = {}
    for about, path in _listed(output):
        mode, _, blob = about.split(" ")
        found[path] = Entry(mode, blob)
    return found


def index_entries(output: bytes) -> dict[str, IndexEntry]:
    """The files of ``ls-files --stage -v -z``, by path."""
    found: dict[str, IndexEntry] = {}
    for about, path in _listed(output):
        tag, mode, blob, _ = about.split(" ")
        found[path] = IndexEntry(Entry(mode, blob), tag in "Ss", tag.islower())
    return found


def _listed(output: bytes) -> Iterator[tuple[str, str]]:
    for piece in output.split(b"\0"):
        about, tab, path = piece.partition(b"\t")
        if tab:
            yield about.decode("ascii"), os.fsdecode(path)
