"""A review as the contract's JSON, and its cells as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from riesbuch.show.output import Column, Table
from riesbuch.show.records import record_data
from riesbuch.show.review_sheets import agreement
from riesbuch.show.review_verdict import commits_of_sheet, no_longer_counting
from riesbuch.show.season import striker_average
from riesbuch.show.sheets import tally_data
from riesbuch.trade.corrections import read_change
from riesbuch.trade.places import place_words

if TYPE_CHECKING:
    from riesbuch.review.answers import Row
    from riesbuch.review.effects import Review, ReviewedSheet
    from riesbuch.trade.cells import CellChange
    from riesbuch.trade.match import Correction
    from riesbuch.trade.tally import Tally


def review_data(review: Review) -> dict[str, Any]:
    """The contract's keys, and beside them whatever else the review tells."""
    comparison = review.comparison
    bearing = review.other_results_because
    return {
        "base": comparison.base.name,
        "head": comparison.head.name,
        "base_commit": comparison.base.commit,
        "head_commit": comparison.head.commit,
        "sheets": [_sheet(review, each) for each in review.sheets],
        "standings": [
            {
                "season": each.key.season,
                "competition": each.key.competition,
                "team": each.key.who,
                "before": None if each.before is None else dict(each.before),
                "after": None if each.after is None else dict(each.after),
            }
            for each in review.standings
        ],
        "strikers": [
            {
                "season": each.key.season,
                "competition": each.key.competition,
                "player": each.key.who,
                "before": _striker(each.before),
                "after": _striker(each.after),
            }
            for each in review.strikers
        ],
        "records": [
            {
                "record": each.after.kind,
                "fate": each.fate,
                "before": record_data(each.before),
                "after": record_data(each.after),
            }
            for each in review.records
        ],
        "honours": [
            {
                "season": each.season,
                "competition": each.competition,
                "honour": each.honour,
                "before": list(each.before),
                "after": list(each.after),
            }
            for each in review.honours
        ],
        "files": [
            {"before": each.before, "after": each.after} for each in comparison.files
        ],
        "sealed_results": [each.sheet for each in review.other_results],
        "causes": [
            {
                "kind": each.kind,
                "before": each.before,
                "after": each.after,
                "values": _cells(each.values),
                "unreadable": each.unreadable,
                "bears_on_sealed": each in bearing,
            }
            for each in review.causes
        ],
        "no_longer_count": [each.sheet for each in no_longer_counting(review)],
        "links": [{"path": path, "what": what} for path, what in comparison.head.links.items()],
        "automation": [
            {"before": each.before, "after": each.after} for each in comparison.automation
        ],
    }  # fmt: skip


def _sheet(review: Review, each: ReviewedSheet) -> dict[str, Any]:
    change = each.change
    claims = change.claims if change is not None else ()
    return {
        "sheet": each.sheet,
        "change": each.kind,
        "cells": _cells(change.cells if change else ()),
        "before": _tally(each.before),
        "after": _tally(each.after),
        "sealed": each.sealed,
        "sanctioned": each.sanctioned,
        "path": each.path,
        "renamed_from": change.before.sheet
        if change is not None and change.before is not None and change.renamed
        else None,
        "objection": each.objection or None,
        "remarks": _cells(change.remarks if change else ()),
        "seal": _cells(change.seal if change else ()),
        "touched": change is not None,
        "layout_only": change is not None and change.layout_only,
        "unreadable": list(change.unreadable) if change is not None else [],
        "errors": {"before": each.errors_before, "after": each.errors_after},
        "agreement": agreement(each) if each.sealed and change is not None else None,
        "claims": [_claim(claim) for claim in claims],
        "commits": [
            {
                "commit": commit.id,
                "author": commit.author,
                "authored": commit.authored,
                "committer": commit.committer,
                "committed": commit.committed,
            }
            for commit in (commits_of_sheet(review, each)[0] if change is not None else ())
        ],
    }


def _claim(entry: Correction) -> dict[str, Any]:
    steps = [(written, read_change(written)) for written in entry.changed]
    return {
        "on": entry.on.isoformat() if entry.on else None,
        "by": entry.by,
        "agreed": list(entry.agreed),
        "reason": entry.reason,
        "changed": [
            {"at": written, "from": None, "to": None}
            if step is None
            else {"at": step.at, "from": step.before, "to": step.after}
            for written, step in steps
        ],
        "signed": False,
    }


def _cells(cells: Iterable[CellChange]) -> list[dict[str, str | None]]:
    return [{"at": each.at, "from": each.before, "to": each.after} for each in cells]


def _tally(tally: Tally | None) -> dict[str, object] | None:
    return None if tally is None else tally_data(tally)


def _striker(row: Row | None) -> dict[str, Any] | None:
    if row is None:
        return None
    shown = {key: value for key, value in row.items() if key != "struck_points"}
    return {**shown, "average": striker_average(row).number}


_CellRow = tuple[str, str, bool | None, bool | None, str | None, "CellChange | None", str | None]


def cells_table(review: Review) -> Table[_CellRow]:
    """A row for every cell that changed, and one for a sheet of which none did; before them one
    for every value that results rest on, every link and every file that steers the checks, their
    path in place of the sheet."""
    columns: tuple[Column[_CellRow], ...] = (
        Column("sheet", value=lambda row: row[0]),
        Column("change", value=lambda row: row[1]),
        Column("sealed", value=lambda row: _yes_or_no(row[2])),
        Column("sanctioned", value=lambda row: _yes_or_no(row[3])),
        Column("kind", value=lambda row: row[4]),
        Column("at", value=lambda row: row[5] and row[5].at),
        Column("from", value=lambda row: row[5] and row[5].before),
        Column("to", value=lambda row: row[5] and row[5].after),
        Column("words", value=lambda row: row[6]),
    )
    rows = list(_other_cells(review))
    for each in review.sheets:
        change = each.change
        of_sheet = (each.sheet, each.kind, each.sealed, each.sanctioned)
        cells = [("score", cell) for cell in change.cells] if change else []
        cells += [("remark", cell) for cell in change.remarks] if change else []
        match = change.current.match if change else None
        rows += [
            (*of_sheet, kind, cell, place_words(cell.at, match, review.names))
            for kind, cell in cells
        ]
        if not cells:
            layout = "layout" if change is not None and change.layout_only else None
            rows.append((*of_sheet, layout, None, None))
    return Table(columns, rows)


def _other_cells(review: Review) -> Iterator[_CellRow]:
    for cause in review.causes:
        for cell in cause.values or (None,):
            fate = _fate(cause.before, cause.after)
            yield cause.path, fate, None, None, cause.kind, cell, None
    for path, what in review.comparison.head.links.items():
        yield path, "there", None, None, what.removeprefix("a "), None, None
    for each in review.comparison.automation:
        yield each.path, _fate(each.before, each.after), None, None, "automation", None, None


def _fate(before: str | None, after: str | None) -> str:
    if before is None:
        return "added"
    return "removed" if after is None else "changed"


def _yes_or_no(value: bool | None) -> str | None:
    return None if value is None else str(value).lower()
