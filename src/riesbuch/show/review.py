"""A review as a text for the terminal, and as Markdown for a discussion."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from riesbuch.folder.club_folder import kind_of_path
from riesbuch.pages.markdown import bullets, escape, heading
from riesbuch.show.output import Cell, Column, Table, counted, print_table, write
from riesbuch.show.records import RECORD_TITLES, record_figure
from riesbuch.show.review_sheets import (
    sheet_lines,
    sheet_title,
    sheets_table,
    untouched_table,
)
from riesbuch.show.review_verdict import (
    cause_line,
    commits_of_sheet,
    file_line,
    verdicts,
)
from riesbuch.show.season import standing_cell

if TYPE_CHECKING:
    from riesbuch.questions.scope import Record
    from riesbuch.review.effects import (
        HonoursChange,
        Review,
        ReviewedSheet,
        RowChange,
    )
    from riesbuch.trade.places import Names

_WIDTH = 100
_MOST_ROWS = 30
_STANDINGS = (
    "rank",
    "played",
    "won",
    "drawn",
    "lost",
    "nummern",
    "points",
    "rank_points",
)
_STRIKERS = ("rank", "matches", "points", "best", "rank_points")
_HONOURS = {
    "champions": "Champion",
    "promoted": "Promoted",
    "relegated": "Relegated",
    "best_strikers": "Best striker",
}
_FATES = {
    "set": "There is a record now",
    "fell": "The record fell",
    "corrected": "The record is corrected",
    "shared": "The record has other holders beside",
    "stands no more": "The record stands no more",
}


class _Page:
    """Titles, lines and tables, printed in one of the two ways."""

    def __init__(self, *, markdown: bool) -> None:
        self.markdown = markdown
        self._begun = False

    def _gap(self) -> None:
        if self._begun:
            write()
        self._begun = True

    def title(self, text: str, level: int = 2) -> None:
        self._gap()
        if self.markdown:
            write(heading(level, escape(text)))
        else:
            write("\n".join(_wrapped(text, "")))

    def lines(self, lines: Sequence[str]) -> None:
        if not lines:
            return
        if self.markdown:
            self._gap()
            write(bullets(escape(line) for line in lines))
            return
        for line in lines:
            write("\n".join(_wrapped(line, "  ")))

    def paragraph(self, text: str) -> None:
        self._gap()
        write(escape(text) if self.markdown else "\n".join(_wrapped(text, "")))

    def table(self, table: Table[Any]) -> None:
        if self.markdown:
            self._gap()
        more = len(table.rows) - _MOST_ROWS
        print_table(table._replace(rows=table.rows[:_MOST_ROWS]), markdown=self.markdown)
        if more > 0:
            self.lines([f"and {counted(more, 'more row')}; `--format json` has all"])


def _wrapped(text: str, indent: str) -> list[str]:
    line = " ".join(text.split())
    return textwrap.wrap(
        line, _WIDTH, initial_indent=indent, subsequent_indent=indent + "  ",
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def print_review(review: Review, *, markdown: bool) -> None:
    """Everything the review tells, the verdict first."""
    page = _Page(markdown=markdown)
    comparison = review.comparison
    page.title(f"Review from {comparison.base.shown} to {comparison.head.shown}")
    for verdict in verdicts(review):
        page.paragraph(verdict.sentence)
        page.lines(verdict.details)
    for state, trouble in (
        (comparison.base, review.before.trouble),
        (comparison.head, review.after.trouble),
    ):
        if trouble:
            page.paragraph(
                f"{state.shown} cannot be worked out, so results and tables are not compared:"
                f" {trouble}"
            )
    names = review.names
    _print_sheets(page, review, names)
    _print_rows(page, review.standings, "Table", _STANDINGS, names)
    _print_rows(page, _moved(review.strikers), "Strikers", _STRIKERS, names)
    silent = len(review.strikers) - len(_moved(review.strikers))
    if silent:
        page.paragraph(
            f"{counted(silent, 'more striker')}: other rank points, but the same rank and points."
        )
    if review.records:
        page.title("Records")
        page.lines(
            [
                f"{RECORD_TITLES[each.after.kind]}: {_FATES[each.fate].lower()}. Before:"
                f" {_record(each.before, names)}. Now: {_record(each.after, names)}."
                for each in review.records
            ]
        )
    if review.honours:
        page.title("Honours")
        page.lines([_honours_line(each, names) for each in review.honours])
    others = _other_lines(review)
    rests_on = [cause_line(each) for each in review.causes if each.kind != "register"]
    if rests_on and not review.other_results_because:
        page.title("What results rest on")
        page.lines(rests_on)
    if others:
        page.title("Other files")
        page.lines(others)


def _print_sheets(page: _Page, review: Review, names: Names) -> None:
    shown_alone: list[ReviewedSheet] = []
    new: list[ReviewedSheet] = []
    gone: list[ReviewedSheet] = []
    layout: list[ReviewedSheet] = []
    untouched: list[ReviewedSheet] = []
    for each in review.sheets:
        if each.change is None:
            untouched.append(each)
        elif not each.sanctioned:
            shown_alone.append(each)
        elif each.change.layout_only and not each.result_changed:
            layout.append(each)
        elif each.kind == "changed":
            shown_alone.append(each)
        else:
            (new if each.kind == "added" else gone).append(each)
    # What needs a decision stands first.
    for each in sorted(shown_alone, key=lambda each: each.sanctioned):
        page.title(sheet_title(each), 3)
        page.lines(list(sheet_lines(each, names, *commits_of_sheet(review, each))))
    for title, sheets in (("New sheets", new), ("Sheets that are gone", gone)):
        if sheets:
            page.title(f"{title}: {len(sheets)}", 3)
            page.table(sheets_table(sheets, names))
    if untouched:
        page.title(f"Add up or count otherwise though nobody touched them: {len(untouched)}", 3)
        page.table(untouched_table(untouched, names))
    if layout:
        page.title(f"Only layout or comments changed: {len(layout)}", 3)
        page.lines([str(each.sheet) for each in layout[:_MOST_ROWS]])
        if len(layout) > _MOST_ROWS:
            page.lines([f"and {len(layout) - _MOST_ROWS} more"])


def _moved(rows: Sequence[RowChange]) -> list[RowChange]:
    """Strikers whose rank or points are others; when one strike is corrected, rank points alone
    move all down the match."""
    return [
        each
        for each in rows
        if each.before is None
        or each.after is None
        or any(each.before[key] != each.after[key] for key in ("rank", "points", "team"))
    ]


def _print_rows(
    page: _Page, rows: Sequence[RowChange], title: str, keys: Sequence[str], names: Names
) -> None:
    for (season, competition), group in groupby(rows, key=lambda each: each.key[:2]):
        page.title(f"{title} of {competition} {season}")
        page.table(
            Table(
                [
                    Column(
                        title="Team" if title == "Table" else "Player",
                        shown=lambda row: names.get(row.key.who, row.key.who),
                    ),
                    *map(_figure_column, keys),
                ],
                list(group),
            )
        )


def _figure_column(key: str) -> Column[RowChange]:
    return Column(
        title=key.replace("_", " ").capitalize(),
        shown=lambda row: _cell(row, key),
        is_number=True,
    )


def _cell(change: RowChange, key: str) -> Cell:
    """ "2 to 1" for what changed; a row that is new or gone says so in its rank."""
    before = None if change.before is None else standing_cell(change.before, key)
    after = None if change.after is None else standing_cell(change.after, key)
    if before is None:
        return f"new {after}" if key == "rank" else after
    if after is None:
        return "gone" if key == "rank" else before
    return str(after) if before == after else f"{before} to {after}"


def _record(record: Record, names: Names) -> str:
    if record.value is None:
        return "nobody"
    first, *others = record.holders
    who = (
        names.get(first.player, first.player) if first.player else names.get(first.team, first.team)
    )
    when = first.sheets[0] if first.sheets else f"{first.season} {first.competition or ''}".strip()
    also = f" and {counted(len(others), 'other')}" if others else ""
    return f"{record_figure(record)}, {who}, {when}{also}"


def _honours_line(each: HonoursChange, names: Names) -> str:
    before, after = (
        " and ".join(names.get(holder, holder) for holder in holders) or "nobody"
        for holders in (each.before, each.after)
    )
    return f"{_HONOURS[each.honour]} of {each.competition} {each.season}: {before} to {after}"


def _other_lines(review: Review) -> list[str]:
    lines = []
    told = {each.path for each in review.causes if each.kind != "register"}
    for each in review.comparison.files:
        if each.path not in told:
            line, kind = file_line(each), kind_of_path(each.path)
            lines.append(f"{line}, not read: {kind.reason}" if kind.reason else line)
    more = len(lines) - _MOST_ROWS
    if more > 0:
        lines = [*lines[:_MOST_ROWS], f"and {more} more"]
    for before, after in (
        (review.before.players, review.after.players),
        (review.before.teams, review.after.teams),
    ):
        lines += [
            f"{before[key]} is now called {after[key]} ({key})"
            for key in sorted(before.keys() & after.keys())
            if before[key] != after[key]
        ]
    if review.comparison.pages:
        lines.append(f"{counted(review.comparison.pages, 'page')} of the reports")
    if review.comparison.others:
        lines.append(f"{counted(review.comparison.others, 'file')} that Riesbuch does not read")
    return lines
