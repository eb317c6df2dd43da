"""A review as a text for the terminal and as Markdown, as the contract's JSON, and as CSV."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from riesbuch.folder.club_folder import kind_of_path
from riesbuch.pages.markdown import bullets, escape, heading
from riesbuch.show.output import (
    Cell,
    Column,
    Table,
    figure_column,
    in_width,
    print_table,
    said,
    write,
)
from riesbuch.show.records import RECORD_TITLES, record_data, record_figure
from riesbuch.show.review_lines import (
    MORE,
    agreement,
    capped,
    cause_line,
    changed_rulings,
    commits_of_sheet,
    file_line,
    no_longer_counting,
    sheet_lines,
    sheet_title,
    sheets_table,
    untouched_table,
    verdicts,
)
from riesbuch.show.season import standing_cell, striker_average
from riesbuch.show.sheets import tally_data
from riesbuch.trade import counts
from riesbuch.trade.cells import place_words
from riesbuch.trade.counts import Counted
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import all_of
from riesbuch.trade.sealing import read_change

if TYPE_CHECKING:
    from riesbuch.questions.ranked import Record
    from riesbuch.review.effects import (
        HonoursChange,
        RecordChange,
        Review,
        ReviewedSheet,
        Row,
        RowChange,
    )
    from riesbuch.review.git import FileChange
    from riesbuch.trade.agreement import Correction
    from riesbuch.trade.cells import CellChange, Names

_WIDTH = 100
_MOST_ROWS = 30
_STANDINGS = ("rank", "played", "won", "drawn", "lost", "nummern", "points", "rank_points")
_STANDINGS_IN_SHORT = ("rank", "played", "nummern", "points", "rank_points")
_STRIKERS = ("rank", "matches", "points", "best", "rank_points")
_HONOURS = {
    "champions": Message("Champion"),
    "promoted": Message("Promoted"),
    "relegated": Message("Relegated"),
    "best_strikers": Message("Best striker"),
}
_FATES = {
    "set": Message("there is a record now"),
    "fell": Message("the record fell"),
    "corrected": Message("the record is corrected"),
    "shared": Message("the record has other holders beside"),
    "stands no more": Message("the record stands no more"),
}
_SECTIONS = {
    "added": Message("New sheets"),
    "removed": Message("Sheets that are gone"),
    "untouched": Message("Add up or count otherwise though nobody touched them"),
    "layout": Message("Only layout or comments changed"),
}
_MORE_ROWS = Counted(
    "and {count:,} more row; `--format json` has all",
    "and {count:,} more rows; `--format json` has all",
)


class _PrintedReview:
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
            write(heading(level, escape(said(text))))
        else:
            write(_wrapped(text))

    def lines(self, lines: Sequence[str]) -> None:
        if not lines:
            return
        if self.markdown:
            self._gap()
            write(bullets(escape(said(line)) for line in lines))
            return
        for line in lines:
            write(_wrapped(line, "  "))

    def paragraph(self, text: str) -> None:
        self._gap()
        write(escape(said(text)) if self.markdown else _wrapped(text))

    def verdicts(self, review: Review) -> None:
        for sentence, details in verdicts(review):
            self.paragraph(sentence)
            self.lines(details)

    def section(self, title: str, lines: Sequence[str]) -> None:
        """Nothing where there are no lines."""
        if lines:
            self.title(title)
            self.lines(lines)

    def table(self, table: Table[Any]) -> None:
        if self.markdown:
            self._gap()
        print_table(table._replace(rows=table.rows[:_MOST_ROWS]), markdown=self.markdown)
        self.lines(capped(table.rows, _MOST_ROWS, _MORE_ROWS)[_MOST_ROWS:])


def _wrapped(text: str, indent: str = "") -> str:
    return in_width(text, indent, hanging=f"{indent}  ", most=_WIDTH)


def print_review(review: Review, *, markdown: bool) -> None:
    """Everything the review tells, the verdict first."""
    page = _PrintedReview(markdown=markdown)
    comparison = review.comparison
    base, head = comparison.base.shown, comparison.head.shown
    page.title(Message("Review from {shown} to {other_shown}", shown=base, other_shown=head))
    page.verdicts(review)
    for shown, trouble in ((base, review.before.trouble), (head, review.after.trouble)):
        if trouble:
            unknown = Message(
                "{shown} cannot be worked out, so results and tables are not compared: {trouble}",
                shown=shown,
                trouble=trouble,
            )
            page.paragraph(unknown)
    names = review.names
    _print_sheets(page, review)
    _print_rows(page, review.standings, "Team", _STANDINGS, names)
    _print_rows(page, _moved(review.strikers), "Player", _STRIKERS, names)
    silent = len(review.strikers) - len(_moved(review.strikers))
    if silent:
        more = Message.plural(
            silent,
            "{count:,} more striker: other rank points, but the same rank and points.",
            "{count:,} more strikers: other rank points, but the same rank and points.",
        )
        page.paragraph(more)
    page.section(Message("Records"), [_record_line(change, names) for change in review.records])
    page.section(Message("Honours"), [_honours_line(change, names) for change in review.honours])
    if not review.other_results_because:
        rests_on = _rests_on(review, but_for=("register", "handed-down"))
        page.section(Message("What results rest on"), rests_on)
    page.section(Message("Other files"), _other_lines(review))


def print_day(review: Review, older: Sequence[ReviewedSheet]) -> None:
    """What a match day changes: what is true of results, then the ``older`` sheets one by one,
    what else results rest on, and the tables."""
    page = _PrintedReview(markdown=False)
    page.verdicts(review)
    untouched = [sheet for sheet in older if sheet.change is None]
    _print_each(page, review, [sheet for sheet in older if sheet.change is not None])
    if untouched:
        page.title(Message("Sheets that add up or count otherwise though nobody touched them"), 3)
        page.table(untouched_table(untouched, review.names))
    rests_on = _rests_on(review, but_for=("handed-down",))
    page.section(Message("Register, seasons and rules"), rests_on)
    _print_rows(page, review.standings, "Team", _STANDINGS_IN_SHORT, review.names)


def _rests_on(review: Review, but_for: Sequence[str]) -> list[str]:
    """What changed that results rest on, rulings aside, which are told before."""
    ruled = changed_rulings(review)
    return [
        cause_line(cause)
        for cause in review.causes
        if cause.kind not in but_for and cause not in ruled
    ]


def _print_sheets(page: _PrintedReview, review: Review) -> None:
    names = review.names
    by_section: dict[str, list[ReviewedSheet]] = defaultdict(list)
    for sheet in review.sheets:
        by_section[_section(sheet)].append(sheet)
    _print_each(page, review, by_section["alone"])
    for section, title in _SECTIONS.items():
        sheets = by_section[section]
        if not sheets:
            continue
        page.title(Message.layout("{title}: {count}", title=title, count=len(sheets)), 3)
        if section == "layout":
            page.lines(capped([str(sheet.sheet) for sheet in sheets], _MOST_ROWS, MORE))
        else:
            table = untouched_table if section == "untouched" else sheets_table
            page.table(table(sheets, names))


def _print_each(page: _PrintedReview, review: Review, sheets: Sequence[ReviewedSheet]) -> None:
    """What needs a decision stands first."""
    for sheet in sorted(sheets, key=lambda sheet: sheet.sanctioned):
        page.title(sheet_title(sheet), 3)
        page.lines(list(sheet_lines(sheet, review.names, *commits_of_sheet(review, sheet))))


def _section(sheet: ReviewedSheet) -> str:
    """One of `_SECTIONS`, or "alone" for what is shown cell by cell."""
    if sheet.change is None:
        return "untouched"
    if sheet.sanctioned and sheet.change.layout_only and not sheet.result_changed:
        return "layout"
    return "alone" if sheet.kind == "changed" or not sheet.sanctioned else sheet.kind


def _moved(rows: Sequence[RowChange]) -> list[RowChange]:
    """Strikers whose rank or points are others; when one strike is corrected, rank points alone
    move all down the match."""
    return [
        row
        for row in rows
        if row.before is None
        or row.after is None
        or any(row.before[key] != row.after[key] for key in ("rank", "points", "team"))
    ]


def _print_rows(
    page: _PrintedReview, rows: Sequence[RowChange], who: str, keys: Sequence[str], names: Names
) -> None:
    for (season, competition), group in groupby(rows, key=lambda row: row.key[:2]):
        title = Message(
            "Table of {competition} {season}"
            if who == "Team"
            else "Strikers of {competition} {season}",
            competition=competition,
            season=season,
        )
        named: Column[RowChange] = Column(
            title=who, shown=lambda row: names.get(row.key.who, row.key.who)
        )
        page.title(title)
        page.table(Table([named, *map(_figure_column, keys)], list(group)))


def _figure_column(key: str) -> Column[RowChange]:
    return figure_column(
        title=key.replace("_", " ").capitalize(), shown=lambda row: _cell(row, key)
    )


def _cell(change: RowChange, key: str) -> Cell:
    """ "2 to 1" for what changed; a row that is new or gone says so in its rank."""
    before = None if change.before is None else standing_cell(change.before, key)
    after = None if change.after is None else standing_cell(change.after, key)
    if before is None:
        return Message("new {after}", after=after) if key == "rank" else after
    if after is None:
        return Message("gone") if key == "rank" else before
    changed = Message("{before} to {after}", before=before, after=after)
    return str(after) if before == after else changed


def _record_line(change: RecordChange, names: Names) -> str:
    return Message(
        "{record_titles}: {fates}. Before: {record}. Now: {other_record}.",
        record_titles=RECORD_TITLES[change.after.kind],
        fates=_FATES[change.fate],
        record=_record(change.before, names),
        other_record=_record(change.after, names),
    )


def _record(record: Record, names: Names) -> str:
    if record.value is None:
        return Message("nobody")
    first, *others = record.holders
    holder = first.player or first.team or ""
    when = first.sheets[0] if first.sheets else f"{first.season} {first.competition or ''}".strip()
    if others:
        more = Message.plural(len(others), "{count:,} other", "{count:,} others")
        when += Message(" and {others}", others=more)
    return joined(", ", (record_figure(record), names.get(holder, holder), when))


def _honours_line(change: HonoursChange, names: Names) -> str:
    before, after = (
        all_of(names.get(holder, holder) for holder in holders) if holders else Message("nobody")
        for holders in (change.before, change.after)
    )
    return Message(
        "{honours} of {competition} {season}: {before} to {after}",
        honours=_HONOURS[change.honour],
        competition=change.competition,
        season=change.season,
        before=before,
        after=after,
    )


def _other_lines(review: Review) -> list[str]:
    lines = []
    causes = {cause.path for cause in review.causes if cause.kind != "register"}
    for change in review.comparison.files:
        if change.path not in causes:
            line, reason = file_line(change), kind_of_path(change.path).reason
            unread = Message("{line}, not read: {reason}", line=line, reason=reason)
            lines.append(unread if reason else line)
    lines = capped(lines, _MOST_ROWS, MORE)
    for before, after in (
        (review.before.players, review.after.players),
        (review.before.teams, review.after.teams),
    ):
        lines += [
            Message("{before} is now called {after} ({key})", before=old, after=new, key=key)
            for key in sorted(before.keys() & after.keys())
            if (old := before[key]) != (new := after[key])
        ]
    if review.comparison.trainings:
        files = counts.files(review.comparison.trainings)
        lines.append(Message("trainings changed: {files}", files=files))
    if review.comparison.pages:
        lines.append(Message("{pages} of the reports", pages=counts.pages(review.comparison.pages)))
    if review.comparison.others:
        unread = Message.plural(
            review.comparison.others,
            "{count:,} file that Riesbuch does not read",
            "{count:,} files that Riesbuch does not read",
        )
        lines.append(unread)
    return lines


def review_data(review: Review) -> dict[str, Any]:
    """The contract's keys, and beside them whatever else the review tells."""
    comparison = review.comparison
    bearing = review.other_results_because
    return {
        "base": comparison.base.name,
        "head": comparison.head.name,
        "base_commit": comparison.base.commit,
        "head_commit": comparison.head.commit,
        "sheets": [_sheet(review, sheet) for sheet in review.sheets],
        "standings": [_row_change("team", row) for row in review.standings],
        "strikers": [_row_change("player", row) for row in review.strikers],
        "records": [
            {
                "record": change.after.kind,
                "fate": change.fate,
                "before": record_data(change.before),
                "after": record_data(change.after),
            }
            for change in review.records
        ],
        "honours": [change._asdict() for change in review.honours],
        "files": [_file(change) for change in comparison.files],
        "trainings": comparison.trainings,
        "keys": [
            {
                "club": key.club,
                "fingerprint": key.fingerprint,
                "change": "new" if not key.before else "changed" if key.after else "gone",
                "first": key.is_first,
                "agreed": key.club in review.signatures.agreed,
            }
            for key in review.signatures.keys
        ],
        "agreements_lost": list(review.signatures.lost),
        "heirs": [{"club": club, "of": list(former)} for club, former in review.signatures.heirs],
        "signatures_demanded": None
        if review.signatures.demand is None
        else dict(zip(("before", "after"), review.signatures.demand, strict=True)),
        "sealed_results": [sheet.sheet for sheet in review.other_results],
        "causes": [
            {
                "kind": cause.kind,
                "before": cause.before,
                "after": cause.after,
                "values": _cells(cause.values),
                "unreadable": cause.unreadable,
                "bears_on_sealed": cause in bearing,
            }
            for cause in review.causes
        ],
        "no_longer_count": [sheet.sheet for sheet in no_longer_counting(review)],
        "links": [{"path": path, "what": what} for path, what in comparison.head.links.items()],
        "automation": [_file(change) for change in comparison.automation],
    }


def _file(change: FileChange) -> dict[str, str | None]:
    return {"before": change.before, "after": change.after}


def _sheet(review: Review, sheet: ReviewedSheet) -> dict[str, Any]:
    change = sheet.change
    claims = change.claims if change is not None else ()
    return {
        "sheet": sheet.sheet,
        "change": sheet.kind,
        "cells": _cells(change.cells if change else ()),
        "before": sheet.before and tally_data(sheet.before),
        "after": sheet.after and tally_data(sheet.after),
        "sealed": sheet.sealed,
        "sanctioned": sheet.sanctioned,
        "path": sheet.path,
        "renamed_from": change.before.sheet
        if change is not None and change.before is not None and change.renamed
        else None,
        "objection": sheet.objection or None,
        "remarks": _cells(change.remarks if change else ()),
        "seal": _cells(change.seal if change else ()),
        "touched": change is not None,
        "layout_only": change is not None and change.layout_only,
        "unreadable": list(change.unreadable) if change is not None else [],
        "errors": {"before": sheet.errors_before, "after": sheet.errors_after},
        "signed": list(sheet.signed.signed_by) if sheet.signed is not None else [],
        "signature": sheet.signed.proof.value if sheet.signed is not None else None,
        "agreement": agreement(sheet) if sheet.sealed and change is not None else None,
        "claims": [_claim(claim) for claim in claims],
        "commits": [
            {
                "commit": commit.id,
                "author": commit.author,
                "authored": commit.authored,
                "committer": commit.committer,
                "committed": commit.committed,
            }
            for commit in (commits_of_sheet(review, sheet)[0] if change is not None else ())
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
    return [{"at": cell.at, "from": cell.before, "to": cell.after} for cell in cells]


def _row_change(kind: str, change: RowChange) -> dict[str, Any]:
    return {
        "season": change.key.season,
        "competition": change.key.competition,
        kind: change.key.who,
        "before": _table_row(change.before),
        "after": _table_row(change.after),
    }


def _table_row(row: Row | None) -> Row | None:
    if row is None or "struck_points" not in row:
        return row
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
    for sheet in review.sheets:
        change = sheet.change
        of_sheet = (sheet.sheet, sheet.kind, sheet.sealed, sheet.sanctioned)
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
    for file in review.comparison.automation:
        yield file.path, _fate(file.before, file.after), None, None, "automation", None, None


def _fate(before: str | None, after: str | None) -> str:
    if before is None:
        return "added"
    return "removed" if after is None else "changed"


def _yes_or_no(value: bool | None) -> str | None:
    return None if value is None else str(value).lower()
