"""What git knows of a club folder: revisions, files, contents.

Git is asked of its objects and its index only; the files that lie there are read by
`riesbuch.review.working_tree`. Paths are given relative to the club folder.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from riesbuch.review.finding import found_repository
from riesbuch.review.git_process import SETTINGS, GitError, must_be_gits_own, run_git, warnings
from riesbuch.review.working_tree import SUBMODULE, Entry, WorkingTree, paired, seen_files
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError, UsageError, alternatives

_RAW = ("--raw", "-z", "-l1000", "--abbrev=64", "--no-ext-diff", "--no-textconv",
       "--ignore-submodules", "--relative")  # fmt: skip
"""Options of a git command whose output `_raw_pieces` reads."""

COMMIT = re.compile("[0-9a-f]{40}|[0-9a-f]{64}")
"""A commit's id, written out."""
# These tell of the user's settings, so they are asked without ours.
_ABOUT_SETTINGS = ("config", "check-attr")
# How git reads the name of a commit: "Specifying revisions" in gitrevisions(7). Of a tag and a
# branch of one name it takes the tag and only warns. What is behind these in a name says how to go
# on from what the name before them names.
_STEM = re.compile(r"[~^:]|@\{")
_MEANT = ("refs/{}", "refs/tags/{}", "refs/heads/{}", "refs/remotes/{}", "refs/remotes/{}/HEAD")
_IN_GIT_DIR = re.compile("[A-Z_]+HEAD")
_STANDS_FOR_ITSELF = ("HEAD", "@", "")
_PARTIAL = Message(
    "this clone leaves out contents that are needed here, and nothing is"
    " fetched on the way; `git fetch --refetch --no-filter` brings them"
)


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


class _RawPiece(NamedTuple):
    status: str
    before: str
    after: str
    mode_before: str
    mode_after: str
    blob_before: str
    blob_after: str


def _raw_pieces(output: bytes) -> Iterator[_RawPiece]:
    """The changes of ``--raw -z``: ``:mode mode blob blob status``, then one path, for a rename
    two."""
    pieces = iter(output.split(b"\0"))
    for piece in pieces:
        if not piece:
            continue
        mode_before, mode_after, blob_before, blob_after, status = piece[1:].decode().split(" ")
        before = os.fsdecode(next(pieces))
        after = os.fsdecode(next(pieces)) if status[0] in "RC" else before
        yield _RawPiece(
            status[0], before, after, mode_before, mode_after, blob_before, blob_after
        )  # fmt: skip


def _file_changes(output: bytes) -> Iterator[FileChange]:
    seen: set[str] = set()
    for piece in _raw_pieces(output):
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


def _listed(output: bytes) -> Iterator[tuple[str, str]]:
    for piece in output.split(b"\0"):
        about, tab, path = piece.partition(b"\t")
        if tab:
            yield about.decode("ascii"), os.fsdecode(path)


class Repository:
    """The git repository that a club folder lies in. ``prefix`` is where the folder is in it,
    ending in `/`, empty where it is the repository's own top folder; ``git_dir`` is where git
    keeps what it knows. ``tell`` gets what git warns of, each sentence once."""

    def __init__(
        self,
        *,
        folder: Path,
        top: Path,
        git_dir: Path,
        index: Path | None = None,
        tell: Callable[[str], None] = lambda _: None,
    ) -> None:
        self.folder = folder
        self.top = top
        self.git_dir = git_dir
        relative = folder.relative_to(top).as_posix()
        self.prefix = "" if relative == "." else f"{relative}/"
        self._index = index
        self._tell = tell
        self._told: set[str] = set()
        self._working_tree: WorkingTree | None = None
        self._known: dict[str, IndexEntry] | None = None

    @classmethod
    def containing(cls, folder: Path, tell: Callable[[str], None] = lambda _: None) -> Repository:
        """The repository of the nearest `.git` in ``folder`` or above it, whatever the
        environment says. Raises RiesbuchError where git is missing, or refuses it, or where
        ``folder`` is in no repository."""
        folder = folder.resolve()
        found = found_repository(folder)
        if found is None:
            run_git(["version"], where=folder)
            raise RiesbuchError(
                "{folder} is in no git repository, so nothing is known of its past;"
                " `git init` there begins one",
                folder=folder,
            )
        top, git_dir = found
        must_be_gits_own(folder, top, git_dir)
        return cls(folder=folder, top=top, git_dir=git_dir, tell=tell)

    @classmethod
    def calling(cls, where: Path) -> Repository | None:
        """The repository whose git calls this program, with its top folder ``where``; what git
        then says in the environment of its folder and its index holds."""
        where = where.resolve()
        given = os.environ.get("GIT_DIR")
        found = (where, where / given) if given else found_repository(where)
        if found is None:
            return None
        index = os.environ.get("GIT_INDEX_FILE")
        return cls(
            folder=where, top=found[0], git_dir=found[1], index=found[0] / index if index else None
        )

    def of_folder(self, folder: Path) -> Repository:
        """The same repository, asked of another folder in it."""
        return Repository(
            folder=folder.resolve(),
            top=self.top,
            git_dir=self.git_dir,
            index=self._index,
            tell=self._tell,
        )

    def trust_looks(self) -> None:
        """From now on take a file that looks as git saw it for what git saw."""
        seen = seen_files(self.git_dir, self.prefix)
        self._working_tree = WorkingTree(self.folder, seen)

    @property
    def working_tree(self) -> WorkingTree:
        if self._working_tree is None:
            self._working_tree = WorkingTree(self.folder)
        return self._working_tree

    def run(
        self,
        *arguments: str,
        stdin: bytes | None = None,
        variables: Mapping[str, str] | None = None,
    ) -> bytes:
        """What ``git`` with these arguments, run in the club folder, writes to its standard
        output; raises RiesbuchError with its own sentence where it fails. ``variables`` are more
        of its environment."""
        place = {"GIT_DIR": os.fspath(self.git_dir), "GIT_WORK_TREE": os.fspath(self.top)}
        if self._index is not None:
            place["GIT_INDEX_FILE"] = os.fspath(self._index)
        is_about_settings = bool(arguments) and (
            arguments[0] in _ABOUT_SETTINGS or arguments[:2] == ("rev-parse", "--git-path")
        )
        done = run_git(
            arguments,
            where=self.folder,
            settings=() if is_about_settings else SETTINGS,
            variables={**place, **(variables or {})},
            stdin=stdin or b"",
        )
        for warning in warnings(done.stderr):
            if warning not in self._told:
                self._told.add(warning)
                self._tell(Message("git: {warning}", warning=warning))
        return done.stdout

    def answer(self, *arguments: str) -> bytes | None:
        """The same, None where git fails."""
        try:
            return self.run(*arguments)
        except RiesbuchError:
            return None

    def revision(self, name: str) -> str:
        """The id of the commit that ``name`` names; raises UsageError where it names none, or
        may name more than one."""
        _must_be_clear(self, name, _STEM.split(name, maxsplit=1)[0])
        try:
            found = self.run("rev-parse", "--verify", "--end-of-options", f"{name}^{{commit}}")
        except RiesbuchError:
            raise UsageError(_no_revision(self, name)) from None
        return found.decode("ascii").split()[-1]

    def has_commits(self) -> bool:
        """Whether the branch one stands on has a commit."""
        return self.answer("rev-parse", "--verify", "--quiet", "HEAD^{commit}") is not None

    def is_shallow(self) -> bool:
        """Whether the clone lacks older commits."""
        return self.run("rev-parse", "--is-shallow-repository").strip() == b"true"

    def is_sparse(self) -> bool:
        """Whether git is told to lay out only some of the files."""
        said = self.answer("config", "--type=bool", "core.sparseCheckout")
        return said is not None and said.strip() == b"true"

    def empty_tree(self) -> str:
        """The id of a revision without files, to compare with."""
        return self.run("hash-object", "-t", "tree", "--stdin").decode("ascii").strip()

    def blobs(self, ids: Iterable[str]) -> dict[str, bytes]:
        """The contents of many objects by their ids, read by one process. An object may also be
        given as ``REVISION:path``, with the path relative to the repository's top folder."""
        wanted = list(dict.fromkeys(ids))
        if not wanted:
            return {}
        request = b"".join(os.fsencode(blob) + b"\n" for blob in wanted)
        try:
            answer = self.run("cat-file", "--batch", stdin=request)
        except GitError:
            if not self._is_partial():
                raise
            raise RiesbuchError(_PARTIAL) from None
        found: dict[str, bytes] = {}
        at = 0
        for blob in wanted:
            end = answer.index(b"\n", at)
            header = answer[at:end].rsplit(b" ", 2)
            if len(header) != 3 or not header[2].isdigit():
                raise RiesbuchError(
                    _PARTIAL
                    if self._is_partial()
                    else Message(
                        "git: the object {blob} is missing; the repository is not whole", blob=blob
                    )
                )
            size = int(header[2])
            found[blob] = answer[end + 1 : end + 1 + size]
            at = end + 1 + size + 1
        return found

    def small_blobs(self, ids: Iterable[str], most: int) -> dict[str, bytes]:
        """As `blobs`; those of more than ``most`` bytes, and what is missing, are left out."""
        wanted = list(dict.fromkeys(ids))
        if not wanted:
            return {}
        request = "".join(f"{blob}\n" for blob in wanted).encode("ascii")
        answer = self.run("cat-file", "--batch-check=%(objectsize)", stdin=request)
        sizes = zip(wanted, answer.splitlines(), strict=True)
        return self.blobs(blob for blob, size in sizes if size.isdigit() and int(size) <= most)

    def _is_partial(self) -> bool:
        """Whether the clone left contents out, to be fetched when they are needed."""
        return bool(self.answer("config", "--get-regexp", r"^remote\..*\.promisor$"))

    def entries(self, revision: str, places: Sequence[str] = ()) -> dict[str, Entry]:
        """The club folder's files at a revision, links and submodules among them, by path; those
        in just these ``places`` where any are given."""
        found: dict[str, Entry] = {}
        for about, path in _listed(self.run("ls-tree", "-r", "-z", revision, "--", *places)):
            mode, _, blob = about.split(" ")
            found[path] = Entry(mode, blob)
        return found

    def index_entries(self) -> dict[str, IndexEntry]:
        """The club folder's files as the index has them, by path."""
        if self._known is None:
            self._known = {}
            for about, path in _listed(self.run("ls-files", "--stage", "-v", "-z")):
                tag, mode, blob, _ = about.split(" ")
                self._known[path] = IndexEntry(Entry(mode, blob), tag in "Ss", tag.islower())
        return self._known

    def staged_entries(self) -> dict[str, Entry]:
        """The club folder's files as the next commit has them. A file that is only meant to be
        added is none of them."""
        base = self._last_tree()
        found = self.entries(base)
        for piece in _raw_pieces(self._staged_since(base, "--no-renames")):
            if piece.status == "D":
                found.pop(piece.before, None)
            elif piece.status != "U":
                found[piece.after] = Entry(piece.mode_after, piece.blob_after)
        return found

    def staged_changes(self) -> list[FileChange]:
        """How the next commit differs from the last one, renamed files followed."""
        return list(_file_changes(self._staged_since(self._last_tree(), "-M")))

    def _last_tree(self) -> str:
        return "HEAD" if self.has_commits() else self.empty_tree()

    def _staged_since(self, base: str, follow: str) -> bytes:
        options = ("--cached", "--ita-invisible-in-index", *_RAW, follow)
        return self.run("diff-index", *options, base, "--")

    def changes(
        self, base: str, head: str | None, *, ignored: Sequence[str] = (), renames: bool = True
    ) -> list[FileChange]:
        """The club folder's files that differ between two revisions, by path, renamed ones
        followed if wanted. ``head`` is None for the working tree; files that git neither knows
        nor ignores belong to it, or all that it does not know in just the places ``ignored``.
        What a sparse checkout leaves out is there as the index has it."""
        if head is None:
            found = self._since(base, ignored, renames=renames)
        else:
            follow = "-M" if renames else "--no-renames"
            found = list(
                _file_changes(self.run("diff-tree", "-r", *_RAW, follow, base, head, "--"))
            )
        return sorted(found, key=lambda change: (change.path, change.before or ""))

    def versions(self, revision: str, path: str) -> list[tuple[str, str]]:
        """Every version of the file in the history of ``revision``, renames followed, the newest
        first: the commit that brought it, and the blob's id. Empty where the file is not there.
        """
        output = self.run(
            "log", "--follow", "--format=%H", "--no-notes", *_RAW, "-M", revision, "--", path
        )  # fmt: skip
        found: list[tuple[str, str]] = []
        commit = ""
        for piece in output.split(b"\0"):
            words = piece.decode("utf-8", "replace").split()
            if len(words) == 1 and COMMIT.fullmatch(words[0]):
                commit = words[0]
            elif len(words) == 5 and words[0].startswith(":") and words[3].strip("0"):
                found.append((commit, words[3]))
        return found

    def untracked(self, *, ignored: Sequence[str] = ()) -> list[str]:
        """Files of the working tree that git neither knows nor ignores; with ``ignored`` all that
        it does not know, in just these places."""
        if ignored:
            known = self.index_entries()
            return sorted(path for path in self.working_tree.files(ignored) if path not in known)
        output = self.run("ls-files", "--others", "-z", "--exclude-standard")
        paths = (os.fsdecode(path) for path in output.split(b"\0") if path)
        # A repository within the folder is listed as a folder; its files are not ours.
        return [path for path in paths if not path.endswith("/")]

    def ignores(self, place: str) -> bool:
        """Whether git passes over the folder ``place``, relative to the club folder."""
        output = self.run(
            *("ls-files", "--others", "--ignored", "--exclude-standard", "--directory", "-z"),
            *("--", place),
        )
        paths = (os.fsdecode(path) for path in output.split(b"\0") if path)
        return any(f"{place}/".startswith(path) for path in paths)

    def left_out(self, places: Sequence[str]) -> dict[str, bytes]:
        """What git was told not to lay out in the working tree, as a sparse checkout does: of the
        files in these ``places`` the contents that the index has, by path."""
        entries = {
            path: state.entry.blob
            for path, state in self._missing(places).items()
            if state.is_left_out
        }
        contents = self.blobs(entries.values())
        return {path: contents[blob] for path, blob in entries.items()}

    def silently_missing(self, places: Sequence[str]) -> dict[str, str]:
        """Files in these ``places`` that the index has, that are not there, and that git does not
        miss: by path the flag because of which it leaves them out, or does not look."""
        return {
            path: "skip-worktree" if state.is_left_out else "assume-unchanged"
            for path, state in sorted(self._missing(places).items())
            if state.is_left_out or state.is_passed_over
        }

    def _missing(self, places: Sequence[str]) -> dict[str, IndexEntry]:
        return {
            path: state
            for path, state in self.index_entries().items()
            if _is_in(path, places)
            and not state.entry.is_submodule
            and not self.working_tree.has(path)
        }

    def laid_over(
        self, entries: Mapping[str, Entry], places: Sequence[str]
    ) -> dict[str, bytes | None]:
        """What ``entries`` have otherwise than the working tree in these ``places``, by path;
        None for a file that lies in the working tree only."""
        tree = self.working_tree
        there = {
            path: entry
            for path, entry in entries.items()
            if not entry.is_submodule and _is_in(path, places)
        }
        found: dict[str, bytes | None] = {
            path: None for path in tree.files(places) if path not in there
        }
        differing = {
            path: entry.blob for path, entry in there.items() if not tree.is_same(path, entry)
        }
        contents = self.blobs(differing.values())
        found.update((path, contents[blob]) for path, blob in differing.items())
        return found

    def _since(self, base: str, ignored: Sequence[str], *, renames: bool) -> list[FileChange]:
        """How the working tree differs from the revision ``base``."""
        tree = self.working_tree
        before = {
            path: entry for path, entry in self.entries(base).items() if not entry.is_submodule
        }
        index = self.index_entries()
        tracked = (path for path, state in index.items() if not state.entry.is_submodule)
        candidates = {*before, *tracked, *self.untracked(ignored=ignored)}
        found: list[FileChange] = []
        gone: dict[str, str] = {}
        new: list[str] = []
        for path in candidates:
            entry = before.get(path)
            if tree.has(path):
                if entry is None:
                    new.append(path)
                elif not tree.is_same(path, entry):
                    found.append(FileChange(before=path, after=path, blob_before=entry.blob))
                continue
            now = index[path].entry if path in index and index[path].is_left_out else None
            if now is None and entry is not None:
                gone[path] = entry.blob
            elif now is not None and now != entry:
                found.append(
                    FileChange(
                        before=None if entry is None else path,
                        after=path,
                        blob_before=None if entry is None else entry.blob,
                        blob_after=now.blob,
                    )
                )
        renamed: dict[str, str] = {}
        if new and gone and renames:
            contents = self.blobs(gone.values())
            renamed = paired(
                {path: contents[blob] for path, blob in gone.items()},
                {path: tree.content(path) for path in new},
            )
        moved = set(renamed.values())
        found += (
            FileChange(before=path, after=None, blob_before=blob)
            for path, blob in gone.items()
            if path not in moved
        )
        for path in new:
            old = renamed.get(path)
            blob = None if old is None else gone[old]
            found.append(FileChange(before=old, after=path, blob_before=blob))
        return found


def _is_in(path: str, places: Sequence[str]) -> bool:
    return path in places or path.startswith(tuple(f"{place}/" for place in places))


def _must_be_clear(repository: Repository, name: str, stem: str) -> None:
    if stem in _STANDS_FOR_ITSELF or COMMIT.fullmatch(stem):
        return
    if stem.startswith("refs/"):
        # Else git would go on and take a branch that is called so.
        if not _is_ref(repository, stem):
            raise UsageError(_no_revision(repository, name))
        return
    meant = [
        ref for ref in (pattern.format(stem) for pattern in _MEANT) if _is_ref(repository, ref)
    ]
    if _IN_GIT_DIR.fullmatch(stem) and (repository.git_dir / stem).is_file():
        meant.insert(0, stem)
    shown = [f"`{ref}`" for ref in meant]
    if meant and _begins_ids(repository, stem):
        shown.append(Message("an id that begins so"))
    if len(shown) > 1:
        raise UsageError(
            "`{name}` may mean {shown}; give the full name of the one you mean, or the commit's id",
            name=name,
            shown=alternatives(shown),
        )


def _is_ref(repository: Repository, name: str) -> bool:
    return repository.answer("show-ref", "--verify", "--quiet", "--", name) is not None


def _begins_ids(repository: Repository, beginning: str) -> bool:
    if not re.fullmatch("[0-9a-fA-F]{4,}", beginning):
        return False
    return bool(repository.answer("rev-parse", f"--disambiguate={beginning}"))


def _no_revision(repository: Repository, name: str) -> str:
    if ".." in name:
        return Message(
            "`{name}` is not one revision; give the two as `riesbuch review BASE HEAD`", name=name
        )
    if not repository.has_commits():
        return Message("there is no revision `{name}`: the repository has no commit yet", name=name)
    if repository.is_shallow():
        return Message(
            "there is no revision `{name}` here: this clone holds only the newest"
            " commits; `git fetch --unshallow` brings the others",
            name=name,
        )
    return Message(
        "there is no revision `{name}`; `git log --oneline` shows what there is", name=name
    )
