"""A review as the contract's JSON, and its cells as CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

from riesbuch.show.output import Cell, Column, TableView, two_decimals
from riesbuch.show.records import record_data
from riesbuch.show.review_sheets import agreement
from riesbuch.show.review_verdict import commits_of_sheet, no_longer_counting
from riesbuch.show.tally import tally_data
from riesbuch.trade.corrections import read_change
from riesbuch.trade.places import place_words

if TYPE_CHECKING:
    from riesbuch.review.answers import Row
    from riesbuch.review.effects import Review, ReviewedSheet
    from riesbuch.trade.cells import CellChange
    from riesbuch.trade.match import Correction
    from riesbuch.trade.tally import Tally

_CELL_COLUMNS = tuple(
    Column(key=key, title=key)
    for key in ("sheet", "change", "sealed", "sanctioned", "kind", "at", "from", "to", "words")
)


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
    average = two_decimals(row["struck_points"], row["strikes"])
    return {**shown, "average": None if average is None else float(average)}


def cells_view(review: Review) -> TableView:
    """A row for every cell that changed, and one for a sheet of which none did; before them one
    for every value that results rest on, every link and every file that steers the checks, their
    path in place of the sheet."""
    records: list[dict[str, Cell]] = list(_other_records(review))
    for each in review.sheets:
        of_sheet: dict[str, Cell] = {
            "sheet": each.sheet,
            "change": each.kind,
            "sealed": _yes_or_no(each.sealed),
            "sanctioned": _yes_or_no(each.sanctioned),
        }
        change = each.change
        cells = [("score", cell) for cell in change.cells] if change else []
        cells += [("remark", cell) for cell in change.remarks] if change else []
        match = change.current.match if change else None
        for kind, cell in cells:
            records.append(
                {
                    **of_sheet,
                    "kind": kind,
                    "at": cell.at,
                    "from": cell.before,
                    "to": cell.after,
                    "words": place_words(cell.at, match, review.names),
                }
            )
        if not cells:
            layout = "layout" if change is not None and change.layout_only else None
            records.append(
                {**of_sheet, "kind": layout, "at": None, "from": None, "to": None, "words": None}
            )
    rows = [list(record.values()) for record in records]
    return TableView(columns=_CELL_COLUMNS, rows=rows, data=None)


def _other_records(review: Review) -> Iterator[dict[str, Cell]]:
    def record(path: str, change: str, kind: str, cell: CellChange | None) -> dict[str, Cell]:
        at, before, after = cell or (None, None, None)
        return {
            "sheet": path, "change": change, "sealed": None, "sanctioned": None, "kind": kind,
            "at": at, "from": before, "to": after, "words": None,
        }  # fmt: skip

    for cause in review.causes:
        for cell in cause.values or (None,):
            yield record(cause.path, _fate(cause.before, cause.after), cause.kind, cell)
    for path, what in review.comparison.head.links.items():
        yield record(path, "there", what.removeprefix("a "), None)
    for each in review.comparison.automation:
        yield record(each.path, _fate(each.before, each.after), "automation", None)


def _fate(before: str | None, after: str | None) -> str:
    if before is None:
        return "added"
    return "removed" if after is None else "changed"


def _yes_or_no(value: bool) -> str:
    return "true" if value else "false"
