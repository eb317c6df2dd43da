"""The merge of two versions of a sheet that git asks for, and reading the conflicts it leaves."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from riesbuch.review.merging import Hunk, Merge, Part
from riesbuch.review.pieces import CannotMergeError, read_pieces
from riesbuch.review.proof import Sheet, Versions, must_be_merged, read_whole
from riesbuch.review.values import Conflict
from riesbuch.trade.match import Match
from riesbuch.trade.places import place_words
from riesbuch.trade.sealing import fits_seal


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """How a conflict is marked. ``base`` is the label of the common origin's lines, None where
    they are not shown."""

    size: int = 7
    ours: str = "ours"
    theirs: str = "theirs"
    base: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """``by_cells`` is false where git's own merge of lines, shown to be right, is the result, or
    both versions as they are, as one conflict."""

    content: bytes
    is_clean: bool
    by_cells: bool


LineMerge = Callable[[], bytes | None]
"""Git's own merge of the three versions, None where it has a conflict."""


def merge_contents(
    base: bytes, ours: bytes, theirs: bytes, marks: Marks, line_merge: LineMerge
) -> Merged:
    """Merge cell by cell; where that cannot be done, take what ``line_merge`` makes if it can be
    shown to be right. What is not proven is left to people whole: a merge of lines may undo beside
    its conflicts what one side did, and nobody would see it."""
    try:
        contents, end = _with_one_line_end(base, ours, theirs)
        versions = Versions(**{name: read_whole(text) for name, text in contents.items()})
    except CannotMergeError:
        if ours == theirs or base in (ours, theirs):
            content = theirs if ours == base else ours
            return Merged(content=content, is_clean=True, by_cells=False)
        return _whole_conflict(ours, theirs, marks)
    try:
        text, conflicts = merge_sheets(versions, marks)
        content = text.replace("\n", end).encode("utf-8")
        return Merged(content=content, is_clean=not conflicts, by_cells=True)
    except CannotMergeError:
        merged = line_merge()
    if merged is None or not _is_right(versions, merged):
        of_ours, of_theirs = (
            each.text.replace("\n", end).encode("utf-8")
            for each in (versions.ours, versions.theirs)
        )
        return _whole_conflict(of_ours, of_theirs, marks)
    return Merged(content=merged, is_clean=True, by_cells=False)


def _with_one_line_end(base: bytes, ours: bytes, theirs: bytes) -> tuple[dict[str, str], str]:
    """The texts with line feeds, and the line end that the merged one has."""
    texts: dict[str, str] = {}
    ends: dict[str, str] = {}
    for name, content in (("base", base), ("ours", ours), ("theirs", theirs)):
        try:
            text = content.decode("utf-8")
        except UnicodeDecodeError:
            raise CannotMergeError(f"{name} is not UTF-8") from None
        ends[name] = "\r\n" if "\r\n" in text else "\n"
        if ends[name] == "\r\n" and text.count("\n") != text.count("\r\n"):
            raise CannotMergeError(f"{name} has lines that end in two ways")
        text = text.replace("\r\n", "\n")
        if any(each in text for each in "\r\ufeff\x85\u2028\u2029"):
            raise CannotMergeError(f"{name} has characters that may be line ends")
        texts[name] = text if text.endswith("\n") else f"{text}\n"
    end = ends["theirs"] if ends["ours"] == ends["base"] else ends["ours"]
    return texts, end


def merge_sheets(versions: Versions, marks: Marks) -> tuple[str, tuple[Conflict, ...]]:
    """The merged text and the conflicts marked in it; raises `CannotMergeError` where the
    result could not be shown to be right."""
    pieces = [read_pieces(each.text) for each in versions.all]
    parts = Merge().sheets(*pieces)
    if _seal_is_broken(versions, parts):
        parts = Merge(open_seal=True).sheets(*pieces)
    conflicts = tuple(
        conflict for part in parts if isinstance(part, Hunk) for conflict in part.conflicts
    )
    seal_words = _seal_words(versions)
    result = "".join(
        part if isinstance(part, str) else _marked(part, marks, seal_words) for part in parts
    )
    readings = [read_whole(_reading(parts, side)) for side in ("ours", "theirs")]
    must_be_merged(versions, result, readings, conflicts)
    return result, conflicts


def _reading(parts: Sequence[Part], side: str) -> str:
    return "".join(part if isinstance(part, str) else getattr(part, side) for part in parts)


def _seal_is_broken(versions: Versions, parts: Sequence[Part]) -> bool:
    """Whether one side sealed what it had, and the other side's changes are not in the seal."""
    before = versions.base.match.seal
    for side, name in ((versions.ours, "ours"), (versions.theirs, "theirs")):
        seal = side.match.seal
        if seal is None or seal == before or not fits_seal(side.match):
            continue
        merged: Match = read_whole(_reading(parts, name)).match
        if merged.seal == seal and not fits_seal(merged):
            return True
    return False


def _seal_words(versions: Versions) -> list[str]:
    """What to do where the seal is left to people."""
    seals = [each.match.seal for each in (versions.ours, versions.theirs)]
    if seals[0] and seals[1] and seals[0].digest.lower() == seals[1].digest.lower():
        return ["the seal: both sides sealed the same; keep one of the two, without this remark"]
    words = ["the seal: what came together here is more than either side had sealed"]
    if versions.ours.match.corrections or versions.theirs.match.corrections:
        return [
            *words,
            "take the sheet as one side sealed it (`git checkout --ours` or `--theirs`), and once",
            "both captains agree make the other side's change in it by `riesbuch correct`",
        ]
    return [*words, "delete it, and once both captains agree write it anew by `riesbuch seal`"]


def _marked(hunk: Hunk, marks: Marks, seal_words: Sequence[str] = ()) -> str:
    own = hunk.ours or hunk.theirs or hunk.base
    indent = own[: len(own) - len(own.lstrip(" "))]
    words = "".join(f"{indent}# {each}\n" for each in _words(hunk.conflicts, marks, seal_words))
    shown_base = ""
    if marks.base is not None:
        shown_base = f"{_marker('|', marks, marks.base)}{hunk.base}"
    return (
        f"{_marker('<', marks, marks.ours)}{words}{hunk.ours}{shown_base}"
        f"{_marker('=', marks, '')}{hunk.theirs}{_marker('>', marks, marks.theirs)}"
    )


def _marker(sign: str, marks: Marks, label: str) -> str:
    return f"{sign * marks.size} {label}".rstrip() + "\n"


def _words(conflicts: Sequence[Conflict], marks: Marks, seal_words: Sequence[str]) -> list[str]:
    """What each side says, and of whom, a line a conflict, and what to do."""
    lines: list[str] = []
    for each in conflicts:
        if each.at == "seal":
            lines += seal_words
            continue
        said = [
            f"{_shown(value)} in {label}"
            for value, label in ((each.ours, marks.ours), (each.theirs, marks.theirs))
        ]
        before = "not there" if each.base is None else _shown(each.base)
        lines.append(f"{place_words(each.at, None, {})}: {', '.join(said)}, {before} before")
    if conflicts and conflicts[-1].at != "seal":
        lines.append("keep one of the two versions, without this remark")
    return lines


_LONGEST_SHOWN = 60


def _shown(value: str | None) -> str:
    if value is None:
        return "removed"
    text = " ".join(value.split())
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


def _is_right(versions: Versions, content: bytes) -> bool:
    """Whether git's clean merge says what both sides made of the base."""
    try:
        reading: Sheet = read_whole(content.decode("utf-8").replace("\r\n", "\n"))
        must_be_merged(versions, reading.text, [reading, reading], ())
    except CannotMergeError:
        return False
    seal = reading.match.seal
    fitted = any(fits_seal(each.match) for each in (versions.ours, versions.theirs)
                 if each.match.seal == seal)  # fmt: skip
    return not fitted or fits_seal(reading.match)


def _whole_conflict(ours: bytes, theirs: bytes, marks: Marks) -> Merged:
    """Both versions as they are: all lines from the first to the last in which they differ, as
    one conflict."""
    is_of_windows = b"\r\n" in ours and ours.count(b"\r\n") == ours.count(b"\n")
    end = b"\r\n" if is_of_windows else b"\n"
    our_lines, their_lines = (
        [line + b"\n" for line in each.removesuffix(b"\n").split(b"\n")] if each else []
        for each in (ours, theirs)
    )
    shortest = min(len(our_lines), len(their_lines))
    before = next((n for n in range(shortest) if our_lines[n] != their_lines[n]), shortest)
    behind = next(
        (n for n in range(shortest - before) if our_lines[-1 - n] != their_lines[-1 - n]),
        shortest - before,
    )
    marker_lines = (
        _marker(sign, marks, label).rstrip("\n").encode("utf-8", "surrogateescape") + end
        for sign, label in (("<", marks.ours), ("=", ""), (">", marks.theirs))
    )
    first, middle, last = marker_lines
    lines = [
        *our_lines[:before],
        first,
        *our_lines[before : len(our_lines) - behind],
        middle,
        *their_lines[before : len(their_lines) - behind],
        last,
        *our_lines[len(our_lines) - behind :],
    ]
    return Merged(content=b"".join(lines), is_clean=False, by_cells=False)
