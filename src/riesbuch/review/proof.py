"""The proof that a merged sheet says what the two sides made of their common origin."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from riesbuch.review.merging import CannotMergeError, Conflict, Versions
from riesbuch.text.document import Document
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import deciding_cells, remark_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match


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
