"""A review as the contract's JSON, and its cells as CSV."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from riesbuch.cli.output import Cell, Column, TableView, two_decimals
from riesbuch.cli.records_output import record_data
from riesbuch.cli.tally import tally_data
from riesbuch.trade.places import place_words

if TYPE_CHECKING:
    from riesbuch.review.answers import Row
    from riesbuch.review.effects import Review, ReviewedSheet
    from riesbuch.trade.cells import CellChange
    from riesbuch.trade.tally import Tally

_CELL_COLUMNS = tuple(
    Column(key=key, title=key)
    for key in ("sheet", "change", "sealed", "sanctioned", "kind", "at", "from", "to", "words")
)


def review_data(review: Review) -> dict[str, Any]:
    """The contract's keys, and beside them whatever else the review tells."""
    comparison = review.comparison
    return {
        "base": comparison.base.name,
        "head": comparison.head.name,
        "base_commit": comparison.base.commit,
        "head_commit": comparison.head.commit,
        "sheets": [_sheet(each) for each in review.sheets],
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
    }  # fmt: skip


def _sheet(each: ReviewedSheet) -> dict[str, Any]:
    change = each.change
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
        "objection": change.objection if change is not None and change.objection else None,
        "remarks": _cells(change.remarks if change else ()),
        "seal": _cells(change.seal if change else ()),
        "touched": change is not None,
        "layout_only": change is not None and change.layout_only,
        "unreadable": list(change.unreadable) if change is not None else [],
        "errors": {"before": each.errors_before, "after": each.errors_after},
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
    """A row for every cell that changed, and one for a sheet of which none did."""
    records: list[dict[str, Cell]] = []
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


def _yes_or_no(value: bool) -> str:
    return "true" if value else "false"
