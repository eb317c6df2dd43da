"""The sheets of a review: titles, lines and tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from riesbuch.review.changes import change_lines
from riesbuch.show.matches import pair
from riesbuch.show.output import Column, Table
from riesbuch.show.sheets import result_sentence
from riesbuch.trade.corrections import read_change

if TYPE_CHECKING:
    from riesbuch.review.changes import SheetChange
    from riesbuch.review.effects import ReviewedSheet
    from riesbuch.review.history import Commit
    from riesbuch.trade.cells import CellChange
    from riesbuch.trade.match import Correction, Match
    from riesbuch.trade.places import Names
    from riesbuch.trade.tally import Tally

_MOST_CELLS = 40
_MOST_COMMITS = 10
AGREED = "agreed by both clubs, not signed"


def agreement(each: ReviewedSheet) -> str:
    """What is to be said of the change of a sheet that was sealed."""
    if not each.sanctioned:
        return "NOT SANCTIONED"
    return AGREED if each.change is not None and each.change.claims else "its seal holds"


def sheet_title(each: ReviewedSheet) -> str:
    """The sheet, what became of it, and whether that is sanctioned."""
    change = each.change
    what = {"added": "new", "removed": "gone", "changed": "changed"}[each.kind]
    if change is not None and change.renamed and change.before is not None:
        what = f"was {change.before.sheet}"
    if not each.sealed:
        return f"{each.sheet}: {what}"
    return f"{each.sheet}: {what}, sealed, {agreement(each)}"


def sheet_lines(
    each: ReviewedSheet, names: Names, commits: Sequence[Commit], is_committed: bool
) -> Iterator[str]:
    """What changed in the sheet, cell by cell, and its result before and after; what corrections
    claim, and who committed it."""
    change = each.change
    assert change is not None
    if each.objection:
        yield f"Not sanctioned: {each.objection}."
    for side in change.unreadable:
        yield f"It {'could not be read before' if side == 'before' else 'cannot be read now'}."
    match = change.current.match
    cells = list(change_lines(change.cells, match, names))
    yield from cells[:_MOST_CELLS]
    if len(cells) > _MOST_CELLS:
        yield f"and {len(cells) - _MOST_CELLS} more changes; `--format csv` has all"
    yield from _figure_lines(each, names)
    yield from _result_lines(each, names)
    yield from _seal_lines(change, names)
    if each.sealed or change.seal:
        yield from _commit_lines(commits, is_committed)
    remarks = list(change_lines(change.remarks, match, names))
    for line in remarks[:_MOST_CELLS]:
        yield f"Beside the score: {line}"
    if not (cells or remarks or change.seal or change.unreadable or each.objection):
        yield "Only its name changed." if change.renamed else "Only layout or comments changed."


def _figure_lines(each: ReviewedSheet, names: Names) -> Iterator[str]:
    before, after = each.before, each.after
    if before is None or after is None:
        return
    for side in ("home", "away"):
        old, new = before.side(side), after.side(side)
        team = names.get(new.team or "", new.team) or f"{side} side"
        for index, (was, now) in enumerate(zip(old.ries or (), new.ries or (), strict=False), 1):
            if was != now:
                yield f"Ries {index} of {team}: {was} to {now}"
    for title, figures in (("Points", _points), ("Nummern", _nummern)):
        if figures(before) != figures(after):
            yield f"{title}: {figures(before) or 'unknown'} to {figures(after) or 'unknown'}"


def _result_lines(each: ReviewedSheet, names: Names) -> Iterator[str]:
    before, after = _result(each.before, names), _result(each.after, names)
    if before == after:
        if after and each.change is not None and each.change.cells:
            yield f"Result as before: {after}"
    else:
        if before:
            yield f"Result before: {before}"
        if after:
            yield f"Result now: {after}"
    if each.errors_before and each.kind != "added":
        yield "It had errors before and counted nowhere."
    if each.errors_after:
        yield "It has errors and counts nowhere until they are mended; `riesbuch check` names them."


def _seal_lines(change: SheetChange, names: Names) -> Iterator[str]:
    match = change.current.match
    claims = {
        f"corrections.{number}": entry
        for number, entry in enumerate(match.corrections if match is not None else (), start=1)
    }
    for cell in change.seal:
        if cell.at == "seal":
            yield _was_and_is("Seal", cell)
        elif cell.at.count(".") == 1 and cell.at.startswith("corrections."):
            yield _was_and_is("Correction", cell)
            if cell.at in claims and cell.after is not None:
                yield from _claim_lines(claims[cell.at], match, names)


def _claim_lines(entry: Correction, match: Match | None, names: Names) -> Iterator[str]:
    """What a correction says that it changed, whether it did or not."""
    lines: list[str] = []
    for written in entry.changed:
        step = read_change(written)
        lines += [written] if step is None else change_lines([step], match, names)
    for line in lines[:_MOST_CELLS]:
        yield f"Claims: {line}"
    if len(lines) > _MOST_CELLS:
        yield f"and {len(lines) - _MOST_CELLS} more claims"
    if not lines:
        yield "Claims nothing."


def _commit_lines(commits: Sequence[Commit], is_committed: bool) -> Iterator[str]:
    """Who wrote and who committed it, as git has it."""
    for commit in commits[:_MOST_COMMITS]:
        by = f"by {commit.author}"
        if commit.committer != commit.author:
            by += f", committed by {commit.committer}"
        day = commit.authored
        if commit.committed != day:
            day += f", committed {commit.committed}"
        yield f"Commit {commit.id[:10]} of {day}: {by}"
    if len(commits) > _MOST_COMMITS:
        yield f"and {len(commits) - _MOST_COMMITS} more commits"
    if not is_committed:
        yield "Not committed yet."


def _was_and_is(what: str, cell: CellChange) -> str:
    if cell.before is None:
        return f"New {what.lower()}: {cell.after}"
    if cell.after is None:
        return f"{what} that is gone: {cell.before}"
    return f"{what}: {cell.before}; now {cell.after}"


def _result(tally: Tally | None, names: Names) -> str:
    if tally is None:
        return ""
    return result_sentence(tally, lambda team: names.get(team, team))


def _points(tally: Tally | None) -> str | None:
    return None if tally is None else pair(tally.home.points, tally.away.points)


def _nummern(tally: Tally | None) -> str | None:
    return None if tally is None else pair(tally.home.nummern, tally.away.nummern)


def _winner(tally: Tally | None, errors: bool, names: Names) -> str | None:
    if errors:
        return "(errors)"
    if tally is None:
        return "(cannot be read)"
    if tally.winner is None:
        return "(draft)" if tally.is_draft else None
    if tally.winner == "draw":
        return "draw"
    team = tally.side(tally.winner).team
    return names.get(team, team) if team else tally.winner


def sheets_table(sheets: Sequence[ReviewedSheet], names: Names) -> Table[ReviewedSheet]:
    """New sheets, or those that are gone: a row each."""

    def tally(each: ReviewedSheet) -> Tally | None:
        return each.after if each.kind == "added" else each.before

    def winner(each: ReviewedSheet) -> str | None:
        errors = each.errors_after if each.kind == "added" else each.errors_before
        return _winner(tally(each), errors, names)

    columns: tuple[Column[ReviewedSheet], ...] = (
        Column("sheet", "Sheet"),
        Column(title="Points", shown=lambda each: _points(tally(each)), is_number=True),
        Column(title="Nummern", shown=lambda each: _nummern(tally(each)), is_number=True),
        Column(title="Winner", shown=winner),
    )
    return Table(columns, sheets)


def untouched_table(sheets: Sequence[ReviewedSheet], names: Names) -> Table[ReviewedSheet]:
    """Sheets that add up otherwise than before under other rules or another register."""

    def change(before: str | None, after: str | None) -> str | None:
        return after if before == after else f"{before or '–'} to {after or '–'}"

    def figure(title: str, of: Callable[[Tally | None], str | None]) -> Column[ReviewedSheet]:
        return Column(
            title=title, shown=lambda each: change(of(each.before), of(each.after)), is_number=True
        )

    columns: tuple[Column[ReviewedSheet], ...] = (
        Column("sheet", "Sheet"),
        Column(title="Sealed", shown=lambda each: "yes" if each.sealed else "no"),
        figure("Points", _points),
        figure("Nummern", _nummern),
        figure("Rank points", _rank_points),
        Column(
            title="Winner",
            shown=lambda each: change(
                _winner(each.before, each.errors_before, names),
                _winner(each.after, each.errors_after, names),
            ),
        ),
    )
    return Table(columns, sheets)


def _rank_points(tally: Tally | None) -> str | None:
    return None if tally is None else pair(tally.home.rank_points, tally.away.rank_points)
