"""The merge of two versions of a sheet that git asks for.

Git's own merge of the lines is taken where it is clean and proven. Else it is taken with one
side's lines where they conflict, and whatever it then says otherwise than the three versions come
to, value by value, is set in it; that is proven in the same way.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import NamedTuple

from riesbuch.review.changes import shortened
from riesbuch.review.git_process import merge_lines
from riesbuch.review.merging import (
    CannotMergeError,
    Conflict,
    Merge,
    Place,
    Readings,
    Value,
    Versions,
)
from riesbuch.text.document import Document
from riesbuch.text.editing import brought_to
from riesbuch.text.nodes import Entries, Node, Scalar, scalars
from riesbuch.text.record_text import with_long_rows
from riesbuch.text.sheet import RulesByKey, by_default, read_sheet
from riesbuch.trade.cells import deciding_cells, place_words, remark_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.problems import RiesbuchError
from riesbuch.trade.sealing import fits_seal


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A version of a sheet: its text and what it says."""

    text: str
    match: Match


def read_whole(text: str) -> Sheet:
    """The sheet of a text that reads without a finding; raises `CannotMergeError` else."""
    reading = read_sheet(text.encode("utf-8"), SheetId("0/merged"), 0)
    if reading.match is None or reading.findings:
        raise CannotMergeError("a version of the sheet cannot be read whole")
    return Sheet(text=text, match=reading.match)


def must_be_merged(
    versions: Versions[Sheet], result: str, readings: Sequence[Sheet], conflicts: Sequence[Conflict]
) -> None:
    """Raise `CannotMergeError` unless each of the ``readings`` of ``result`` (with our values
    where there is a conflict, and with theirs) has just the cells of the base with the changes of
    both sides, rows in the order that one side gave them, and ``result`` all remarks."""
    lengths = [_lengths(sheet.match) for sheet in versions]
    by_number = {name for name in lengths[0] if len({counts[name] for counts in lengths}) == 1}
    base, ours, theirs = (_all_cells(sheet.match, by_number) for sheet in versions)
    open_places = [conflict.at for conflict in conflicts]
    for reading, preferred in zip(readings, (ours, theirs), strict=True):
        merged = _all_cells(reading.match, by_number)
        for place in {**base, **ours, **theirs, **merged}:
            if _within(place, open_places):
                expected = preferred.get(place)
            else:
                expected = _decided(base.get(place), ours.get(place), theirs.get(place), place)
            if merged.get(place) != expected:
                raise CannotMergeError(f"{place} would be {merged.get(place)}, not {expected}")
        _must_be_in_order(versions, reading)
    _must_keep_remarks(versions, result)


def _decided(base: str | None, ours: str | None, theirs: str | None, place: str) -> str | None:
    if theirs in (base, ours):
        return ours
    if ours == base:
        return theirs
    raise CannotMergeError(f"{place} differs on both sides and is no conflict")


def _within(place: str, open_places: Sequence[str]) -> bool:
    return any(
        place == open_place or place.startswith(f"{open_place}.") for open_place in open_places
    )


def _lengths(match: Match) -> dict[str, int]:
    return {
        "referees": len(match.referees),
        "doubts": len(match.doubts),
        **{f"{name}.replacements": len(side.replacements) for name, side in match.sides},
    }


def _all_cells(match: Match, by_number: set[str]) -> Mapping[str, str]:
    """All that the sheet says. Items of the lists ``by_number`` are known by their number, other
    ones by what they say, so that a list may grow on both sides."""
    by_content = set(_lengths(match)) - by_number
    cells = {
        place: written
        for place, written in {**deciding_cells(match), **remark_cells(match)}.items()
        if not any(place.startswith(f"{name}.") for name in by_content)
    }
    cells.update(_numbered(_items_by_content(match, by_content)))
    if match.seal is not None:
        seal = match.seal
        on = "" if seal.on is None else seal.on.isoformat()
        cells.update(
            {"seal.on": on, "seal.home": seal.home, "seal.away": seal.away,
             "seal.digest": seal.digest}
        )  # fmt: skip
    return cells


def _items_by_content(match: Match, by_content: set[str]) -> Iterator[str]:
    for correction in match.corrections:
        on = "" if correction.on is None else correction.on.isoformat()
        who, why = (on, correction.by, correction.agreed), (correction.reason, correction.changed)
        yield f"corrections[{(*who, *why)}]"
    for signature in match.seal.signatures if match.seal is not None else ():
        yield f"seal.signatures[{tuple(signature)}]"
    if "referees" in by_content:
        yield from (f"referees[{name}]" for name in match.referees)
    if "doubts" in by_content:
        yield from (f"doubts[{(doubt.at, doubt.note)}]" for doubt in match.doubts)
    for name, side in match.sides:
        if f"{name}.replacements" in by_content:
            for row in side.replacements:
                strikes = [[strike.written for strike in inning] for inning in row.innings]
                yield f"{name}.replacements[{row.player} {strikes}]"


def _numbered(items: Iterator[str]) -> Iterator[tuple[str, str]]:
    counts: Counter[str] = Counter()
    for item in items:
        counts[item] += 1
        yield f"{item}#{counts[item]}", ""


def _must_be_in_order(versions: Versions[Sheet], reading: Sheet) -> None:
    for of_merged, *of_versions in zip(
        _orders(reading.match), *(_orders(sheet.match) for sheet in versions), strict=True
    ):
        common = set(of_merged).intersection(*of_versions)
        merged, base, ours, theirs = (
            [name for name in names if name in common] for names in (of_merged, *of_versions)
        )
        if base not in (ours, theirs) and ours != theirs:
            raise CannotMergeError("both sides changed the order")
        if merged != (theirs if ours == base else ours):
            raise CannotMergeError("rows would stand in another order")


def _orders(match: Match) -> Iterator[Sequence[object]]:
    """The lists whose order says something; rows by player."""
    yield from (match.referees, match.doubts, match.corrections)
    for _, side in match.sides:
        yield [row.player for row in side.rows or ()]
        yield [row.player for row in side.supernumeraries]
        yield [points.player for points in side.by_points]
        yield side.replacements


def _must_keep_remarks(versions: Versions[Sheet], result: str) -> None:
    before = _remarks(versions.base)
    for side in (versions.ours, versions.theirs):
        for remark, count in _remarks(side).items():
            if count > before[remark] and remark not in result:
                raise CannotMergeError(f"the remark {remark} would be gone")


def _remarks(sheet: Sheet) -> Counter[str]:
    return Counter(Document(sheet.text).comments())


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """How a conflict is marked. ``base`` is the label of the common origin's lines, None where
    they are not shown."""

    size: int = 7
    ours: str = "ours"
    theirs: str = "theirs"
    base: str | None = None


class Merged(NamedTuple):
    """``is_whole`` is whether both versions stand in it as they are, as one conflict."""

    content: bytes
    is_clean: bool
    is_whole: bool = False


def merge_contents(
    base: bytes, ours: bytes, theirs: bytes, marks: Marks, rules_by_key: RulesByKey = by_default
) -> Merged:
    """Rows typed short are written out. What cannot be proven is left to people whole: a merge of
    lines may undo beside its conflicts what one side did, and nobody would see it."""
    try:
        contents, end = _with_one_line_end(base, ours, theirs)
        contents = {name: _long(text, rules_by_key) for name, text in contents.items()}
        versions = Versions(**{name: read_whole(text) for name, text in contents.items()})
    except CannotMergeError:
        if ours == theirs or base in (ours, theirs):
            return Merged(content=theirs if ours == base else ours, is_clean=True)
        return _whole_conflict(ours, theirs, marks)
    text = merge_lines(*contents.values())
    conflicts: Sequence[Conflict] = ()
    try:
        if text is None or not _is_right(versions, text):
            text, conflicts = _merged(versions, marks)
    except CannotMergeError:
        of_ours, of_theirs = (
            sheet.text.replace("\n", end).encode("utf-8")
            for sheet in (versions.ours, versions.theirs)
        )
        return _whole_conflict(of_ours, of_theirs, marks)
    return Merged(content=text.replace("\n", end).encode("utf-8"), is_clean=not conflicts)


def _long(text: str, rules_by_key: RulesByKey) -> str:
    match = read_sheet(text.encode(), SheetId("0/merged"), 0, rules_by_key).match
    return text if match is None else with_long_rows(text, match)


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
        if any(character in text for character in "\r\ufeff\x85\u2028\u2029"):
            raise CannotMergeError(f"{name} has characters that may be line ends")
        texts[name] = text if text.endswith("\n") else f"{text}\n"
    end = ends["theirs"] if ends["ours"] == ends["base"] else ends["ours"]
    return texts, end


def _merged(versions: Versions[Sheet], marks: Marks) -> tuple[str, Sequence[Conflict]]:
    """The merged text and the conflicts marked in it; raises `CannotMergeError` where no result
    could be shown to be right."""
    documents = [Document(sheet.text) for sheet in versions]
    values = [Value(document, document.root) for document in documents]
    merge = Merge()
    readings = merge.value((), *values)
    # A seal may be broken by what the other side changed.
    if _seal_is_broken(versions, readings, documents):
        merge = Merge(open_seal=True)
        readings = merge.value((), *values)
    best: tuple[int, str] | None = None
    for texts in _candidates(documents, readings):
        try:
            result = texts.ours
            if merge.conflicts:
                result = _marked(texts, merge.conflicts, marks, _seal_words(versions))
            sheets = [read_whole(text) for text in (texts.ours, texts.theirs)]
            must_be_merged(versions, result, sheets, merge.conflicts)
        except CannotMergeError:
            continue
        lost = _lost_layout(documents, texts.ours)
        if best is None or lost < best[0]:
            best = lost, result
        if not lost:
            break
    if best is None:
        raise CannotMergeError("no text could be shown to say what both sides made")
    return best[1], merge.conflicts


def _candidates(documents: Sequence[Document], readings: Readings) -> Iterator[Versions[str]]:
    """Texts that say what is merged, made of either side's lines."""
    base, ours, theirs = documents
    merged = (
        merge_lines(base.text, ours.text, theirs.text, favour) for favour in ("ours", "theirs")
    )
    for start in (*merged, ours.text, theirs.text):
        if start is None:
            continue
        try:
            in_ours = brought_to(start, readings.ours or {})
            for side in (ours, theirs):
                in_ours = _with_remarks(in_ours, side, base)
            if readings.theirs == readings.ours:
                yield Versions(in_ours, in_ours, in_ours)
                continue
            in_theirs = brought_to(in_ours, readings.theirs or {})
            for side in (ours, theirs):
                in_theirs = _with_remarks(in_theirs, side, base)
            yield Versions(brought_to(in_ours, readings.base or {}), in_ours, in_theirs)
        except RiesbuchError:
            continue


def _lost_layout(documents: Sequence[Document], text: str) -> int:
    """In how many lines what a side laid out otherwise than the base is not so in ``text``."""
    base, ours, theirs, merged = (
        Counter(_without_values(document)) for document in (*documents, Document(text))
    )
    return sum((((ours - base) | (theirs - base)) - merged).values())


def _without_values(document: Document) -> list[str]:
    """The lines with nothing where their values are, but keys."""
    lines = list(document.lines)
    for node in scalars(document.root):
        (line, begin), (last, end) = node.position, node.end
        if line == last:
            content = lines[line - 1]
            lines[line - 1] = content[: begin - 1] + "\0" * (end - begin) + content[end - 1 :]
    return [line.replace("\0", "") for line in lines]


def _with_remarks(text: str, side: Document, base: Document) -> str:
    """``text`` with the remarks that ``side`` added and that are lost in it, at the same keys; one
    at a key that is not there is left out."""
    document = Document(text)
    of_side, of_base, of_text = (Counter(version.comments()) for version in (side, base, document))
    lost = (of_side - of_base) & (of_side - of_text)
    missing = Counter(_placed(side)) - Counter(_placed(document))
    for (place, is_last, comment), remark in zip(
        _placed(side), (remark for remark in side.remarks if remark.text), strict=True
    ):
        lines = _lines_by_place(document)
        is_there = place in lines or (remark.own_line and not place)
        if not is_there or not lost[comment] or not missing[place, is_last, comment]:
            continue
        lost[comment] -= 1
        first, last = lines.get(place, (len(document.lines), len(document.lines)))
        if remark.own_line:
            at = document.line_start(first)
            text = f"{text[:at]}{side.line(remark.position[0])}\n{text[at:]}"
        else:
            at = document.line_start((last if is_last else first) + 1) - 1
            text = f"{text[:at]}  {comment}{text[at:]}"
        document = Document(text)
    return text


def _placed(document: Document) -> list[tuple[Place, bool, str]]:
    """The comments, each with the place that it stands above or behind, and whether it is behind
    the last line of that; none is above the end of the text."""
    lines = _lines_by_place(document)
    placed: list[tuple[Place, bool, str]] = []
    for remark in document.remarks:
        if not remark.text:
            continue
        line = remark.position[0]
        if remark.own_line:
            place = next((place for place, (first, _) in lines.items() if first > line), ())
            placed.append((place, False, remark.text))
        else:
            behind = [place for place, (first, last) in lines.items() if line in (first, last)]
            place = behind[-1] if behind else ()
            placed.append((place, bool(behind) and line != lines[place][0], remark.text))
    return placed


def _lines_by_place(document: Document) -> dict[Place, tuple[int, int]]:
    """The first and the last line of all that has lines of its own."""
    return dict(_placed_lines(document.root, ()))


def _placed_lines(node: Node, place: Place) -> Iterator[tuple[Place, tuple[int, int]]]:
    if isinstance(node, Scalar) or node.flow:
        return
    if isinstance(node, Entries):
        for key, value in node.entries:
            at = (*place, key.text)
            yield at, (key.position[0], max(key.end[0], value.end[0]))
            yield from _placed_lines(value, at)
    else:
        for number, item in enumerate(node.items, start=1):
            at = (*place, str(number))
            yield at, (item.position[0], item.end[0])
            yield from _placed_lines(item, at)


def _seal_is_broken(
    versions: Versions[Sheet], readings: Readings, documents: Sequence[Document]
) -> bool:
    """Whether one side sealed what it had, and the other side's changes are not in the seal."""
    before = versions.base.match.seal
    new = [side.match.seal for side in (versions.ours, versions.theirs)
           if side.match.seal not in (None, before) and fits_seal(side.match)]  # fmt: skip
    if not new:
        return False
    texts = next(_candidates(documents, readings), None)
    for text in () if texts is None else (texts.ours, texts.theirs, texts.base):
        merged = read_whole(text).match
        if merged.seal in new and not fits_seal(merged):
            return True
    return False


def _seal_words(versions: Versions[Sheet]) -> list[str]:
    """What to do where the seal is left to people."""
    seals = [side.match.seal for side in (versions.ours, versions.theirs)]
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


def _marked(
    texts: Versions[str], conflicts: Sequence[Conflict], marks: Marks, seal_words: Sequence[str]
) -> str:
    """Where the readings differ the lines of all, and what each side says."""
    of_base, of_ours, of_theirs = (text.splitlines(keepends=True) for text in texts)
    matcher = SequenceMatcher(None, of_ours, of_theirs, autojunk=False)
    hunks = [code for code in matcher.get_opcodes() if code[0] != "equal"]
    if not hunks:
        raise CannotMergeError("a conflict cannot be seen")
    by_hunk: dict[int, list[Conflict]] = {}
    documents = Document(texts.ours), Document(texts.theirs)
    for conflict in conflicts:
        by_hunk.setdefault(_hunk_of(conflict, hunks, documents), []).append(conflict)
    lines: list[str] = []
    end = 0
    for number, (_, first, last, their_first, their_last) in enumerate(hunks):
        own, other = of_ours[first:last], of_theirs[their_first:their_last]
        indent = "".join(own or other)
        indent = indent[: len(indent) - len(indent.lstrip(" "))]
        words = _words(by_hunk.get(number, ()), marks, seal_words)
        lines += [*of_ours[end:first], _marker("<", marks, marks.ours)]
        lines += [f"{indent}# {line}\n" for line in words]
        lines += own
        if marks.base is not None:
            lines += [_marker("|", marks, marks.base), *_between(of_ours, of_base, first, last)]
        lines += [_marker("=", marks, ""), *other, _marker(">", marks, marks.theirs)]
        end = last
    return "".join([*lines, *of_ours[end:]])


def _hunk_of(
    conflict: Conflict,
    hunks: Sequence[tuple[str, int, int, int, int]],
    documents: tuple[Document, Document],
) -> int:
    for side, document in enumerate(documents):
        lines = _lines_by_place(document)
        place = tuple(conflict.at.split("."))
        while place and place not in lines and conflict.at not in ("", "seal"):
            place = place[:-1]
        first, last = lines.get(place, (0, 0))
        for number, (_, *bounds) in enumerate(hunks):
            begin, end = bounds[2 * side] + 1, bounds[2 * side + 1]
            if first <= end and begin <= last and begin <= end:
                return number
    return 0


def _between(ours: Sequence[str], base: Sequence[str], first: int, last: int) -> Sequence[str]:
    """The lines of the base where ours are those from ``first`` to ``last``."""
    matcher = SequenceMatcher(None, ours, base, autojunk=False)
    begin, end = 0, len(base)
    for kind, own_first, own_last, base_first, base_last in matcher.get_opcodes():
        if kind == "equal" and own_last <= first:
            begin = base_last
        elif kind == "equal" and own_first <= first < own_last:
            begin = base_first + first - own_first
        if kind == "equal" and own_first >= last:
            end = min(end, base_first)
        elif kind == "equal" and own_first < last <= own_last:
            end = min(end, base_first + last - own_first)
    return base[begin:end]


def _marker(sign: str, marks: Marks, label: str) -> str:
    return f"{sign * marks.size} {label}".rstrip() + "\n"


def _words(conflicts: Sequence[Conflict], marks: Marks, seal_words: Sequence[str]) -> list[str]:
    """What each side says, and of whom, a line a conflict, and what to do."""
    lines: list[str] = []
    for conflict in conflicts:
        if conflict.at == "seal":
            lines += seal_words
            continue
        said = [
            f"{_shown(value)} in {label}"
            for value, label in ((conflict.ours, marks.ours), (conflict.theirs, marks.theirs))
        ]
        before = "not there" if conflict.base is None else _shown(conflict.base)
        lines.append(f"{place_words(conflict.at, None, {})}: {', '.join(said)}, {before} before")
    if conflicts and conflicts[-1].at != "seal":
        lines.append("keep one of the two versions, without this remark")
    return lines


def _shown(value: str | None) -> str:
    return "removed" if value is None else shortened(value)


def _is_right(versions: Versions[Sheet], text: str) -> bool:
    """Whether git's clean merge says what both sides made of the base."""
    try:
        reading: Sheet = read_whole(text)
        must_be_merged(versions, reading.text, [reading, reading], ())
    except CannotMergeError:
        return False
    seal = reading.match.seal
    fitted = any(fits_seal(side.match) for side in (versions.ours, versions.theirs)
                 if side.match.seal == seal)  # fmt: skip
    return not fitted or fits_seal(reading.match)


def _whole_conflict(ours: bytes, theirs: bytes, marks: Marks) -> Merged:
    """Both versions as they are: all lines from the first to the last in which they differ, as
    one conflict."""
    is_of_windows = b"\r\n" in ours and ours.count(b"\r\n") == ours.count(b"\n")
    end = b"\r\n" if is_of_windows else b"\n"
    our_lines, their_lines = (
        [line + b"\n" for line in content.removesuffix(b"\n").split(b"\n")] if content else []
        for content in (ours, theirs)
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
    return Merged(content=b"".join(lines), is_clean=False, is_whole=True)
