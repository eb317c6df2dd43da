"""What a review says: first what is true of results, then sheet by sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from riesbuch.review.changes import change_lines, shortened
from riesbuch.show.matches import pair
from riesbuch.show.output import Column, Table
from riesbuch.show.sheets import result_sentence
from riesbuch.trade.messages import Message
from riesbuch.trade.sealing import NOTHING, read_change

if TYPE_CHECKING:
    from riesbuch.review.causes import Cause
    from riesbuch.review.changes import SheetChange
    from riesbuch.review.effects import Review, ReviewedSheet
    from riesbuch.review.git import FileChange
    from riesbuch.review.history import Commit
    from riesbuch.trade.cells import CellChange
    from riesbuch.trade.match import Correction, Match
    from riesbuch.trade.places import Names
    from riesbuch.trade.tally import Tally

_MOST = 12
_MOST_VALUES = 8
_MOST_CELLS = 40
_MOST_COMMITS = 10
AGREED = Message("agreed by both clubs, not signed")

Verdict = tuple[str, Sequence[str]]
"""A sentence, and what it is about, a line each."""


def verdicts(review: Review) -> Iterator[Verdict]:
    """Sealed sheets edited; sealed results that come out otherwise, and why; sheets that no
    longer count; links and submodules; files that steer git or the automatic checks."""
    comparison = review.comparison
    edited = list(_edited(review))
    results = list(_results(review))
    if not (edited or results):
        if review.sheets or comparison.files:
            quiet = Message("No sealed sheet changed")
            more = (
                Message(", and no sealed result comes out otherwise") if review.comparable else ""
            )
            edited = [(f"{quiet}{more}.", ())]
        else:
            edited = [(Message("No sheet changed, and nothing that a result depends on."), ())]
    yield from edited
    yield from results
    lost = no_longer_counting(review)
    if lost:
        verb = Message("no longer counts") if len(lost) == 1 else Message("no longer count")
        yield (
            Message.layout(
                "{sheets} {verb}:",
                sheets=Message.plural(len(lost), "{count:,} sheet", "{count:,} sheets"),
                verb=verb,
            ),
            _capped(map(_lost, lost)),
        )
    links = comparison.head.links
    if links:
        yield (
            Message(
                "A link or submodule stands in {places} where only plain files and"
                " folders are read:",
                places=Message.plural(len(links), "{count:,} place", "{count:,} places"),
            ),
            _capped(f"{path}: {what}" for path, what in links.items()),
        )
    if comparison.automation:
        words = Message.plural(len(comparison.automation), "{count:,} file", "{count:,} files")
        yield (
            Message(
                "{words} changed that {automation} git or the automatic checks:",
                words=words,
                automation=(
                    Message("steers") if len(comparison.automation) == 1 else Message("steer")
                ),
            ),
            _capped(map(file_line, comparison.automation)),
        )


def no_longer_counting(review: Review) -> list[ReviewedSheet]:
    """Sheets that were whole and without errors, or only lay where sheets are read, and are not
    any more."""
    return [
        sheet
        for sheet in review.sheets
        if sheet.stopped_counting or (sheet.change is not None and sheet.change.fate)
    ]


def _edited(review: Review) -> Iterator[Verdict]:
    touched = [sheet for sheet in review.sheets if sheet.sealed and sheet.change is not None]
    refused = [sheet for sheet in touched if not sheet.sanctioned]
    # Of these nobody edited the sheet; what they rest on made them count no more.
    stopped = [sheet for sheet in review.sheets if sheet.change is None and not sheet.sanctioned]
    agreed = [sheet for sheet in touched if agreement(sheet) == AGREED]
    others = len(touched) - len(refused) - len(agreed)
    if refused:
        yield (
            Message(
                "{sealed_sheets} changed without a correction that both clubs agreed"
                " to: NOT SANCTIONED.",
                sealed_sheets=Message.plural(
                    len(refused), "{count:,} sealed sheet", "{count:,} sealed sheets"
                ),
            ),
            (),
        )
    if stopped:
        yield (
            Message(
                "{sealed_sheets} {stopped} nowhere any more though nobody edited"
                " {other_stopped}: NOT SANCTIONED.",
                sealed_sheets=Message.plural(
                    len(stopped), "{count:,} sealed sheet", "{count:,} sealed sheets"
                ),
                stopped=(Message("counts") if len(stopped) == 1 else Message("count")),
                other_stopped=(Message("it") if len(stopped) == 1 else Message("them")),
            ),
            (),
        )
    if agreed:
        yield (
            Message(
                "{sealed_sheets} corrected: {agreed}.",
                sealed_sheets=Message.plural(
                    len(agreed), "{count:,} sealed sheet", "{count:,} sealed sheets"
                ),
                agreed=AGREED,
            ),
            (),
        )
    if others:
        yield (
            Message(
                "{sealed_sheets} edited, in nothing that {others}.",
                sealed_sheets=Message.plural(
                    others, "{count:,} sealed sheet", "{count:,} sealed sheets"
                ),
                others=(
                    Message("its seal covers") if others == 1 else Message("their seals cover")
                ),
            ),
            (),
        )


def _results(review: Review) -> Iterator[Verdict]:
    why = [cause_line(cause) for cause in review.other_results_because]
    # Whoever touches a sheet beside its score does not take the blame from what it rests on.
    rested = [
        sheet
        for sheet in review.other_results
        if not sheet.is_rescored and (why or sheet.change is None or not sheet.stopped_counting)
    ]
    if rested:
        they = Message("its score") if len(rested) == 1 else Message("their scores")
        yield (
            Message(
                "{come_out} though nobody edited {they}, because of:",
                come_out=_come_out(len(rested)),
                they=they,
            ),
            _capped(why or [Message("other sheets that changed")]),
        )
    rescored = [
        sheet for sheet in review.other_results if sheet.is_rescored and not sheet.stopped_counting
    ]
    if rescored:
        they = (
            Message("the edit of its sheet")
            if len(rescored) == 1
            else Message("the edits of their sheets")
        )
        is_told = bool(rested) or not why
        yield (
            Message(
                "{come_out} by {they}{is_told}{other_is_told}",
                come_out=_come_out(len(rescored)),
                they=they,
                is_told=("." if is_told else Message("; what they rest on")),
                other_is_told=("" if is_told else Message(" changed too:")),
            ),
            () if is_told else _capped(why),
        )


def _come_out(number: int) -> str:
    verb = "comes" if number == 1 else "come"
    return Message(
        "{sealed_results} {verb} out otherwise",
        sealed_results=Message.plural(
            number, "{count:,} sealed result", "{count:,} sealed results"
        ),
        verb=verb,
    )


def _lost(sheet: ReviewedSheet) -> str:
    sealed = ", sealed" if sheet.sealed else ""
    if sheet.change is not None and sheet.change.fate:
        return f"{sheet.sheet}{sealed}: {sheet.change.fate}"
    if sheet.kind == "removed":
        return Message("{sheet}{sealed}: is gone", sheet=sheet.sheet, sealed=sealed)
    return (
        f"{sheet.sheet}{sealed}: {'has errors' if sheet.errors_after else 'is no whole sheet'} now"
    )


def cause_line(cause: Cause) -> str:
    """``rules/2024.toml: rank_points.clean 2 -> 3``."""
    if cause.before is None or cause.after is None:
        return f"{cause.path}: {'new' if cause.before is None else 'gone'}"
    was = Message("was {before}", before=cause.before) if cause.before != cause.after else ""
    values = [f"{cell.at} {_shown(cell.before)} -> {_shown(cell.after)}" for cell in cause.values]
    more = len(values) - _MOST_VALUES
    if more > 0:
        values = [*values[:_MOST_VALUES], Message("and {more} more", more=more)]
    if cause.unreadable:
        values = [Message("cannot be read")]
    return f"{cause.path}: {'; '.join(filter(None, [was, *values])) or 'layout or comments'}"


def _shown(value: str | None) -> str:
    return shortened(NOTHING if value is None else value)


def file_line(change: FileChange) -> str:
    """The file, and what became of it."""
    if change.before is None:
        return f"{change.after}: new"
    if change.after is None:
        return f"{change.before}: gone"
    return (
        f"{change.after}: {'changed' if change.before == change.after else f'was {change.before}'}"
    )


def _capped(lines: Iterable[str]) -> list[str]:
    shown = list(lines)
    more = len(shown) - _MOST
    return (
        shown
        if more <= 0
        else [*shown[:_MOST], Message("and {more} more; `--format json` has all", more=more)]
    )


def commits_of_sheet(review: Review, sheet: ReviewedSheet) -> tuple[list[Commit], bool]:
    """The commits that touched the sheet, and whether it is as it was committed."""
    comparison, change = review.comparison, sheet.change
    assert change is not None
    paths = {file.path for file in (change.before, change.after) if file is not None}
    commits = dict.fromkeys(
        commit for path in sorted(paths) for commit in comparison.commits.get(path, ())
    )
    return list(commits), not paths & comparison.uncommitted


def agreement(sheet: ReviewedSheet) -> str:
    """What is to be said of the change of a sheet that was sealed."""
    if not sheet.sanctioned:
        return Message("NOT SANCTIONED")
    return AGREED if sheet.change is not None and sheet.change.claims else Message("its seal holds")


def sheet_title(sheet: ReviewedSheet) -> str:
    """The sheet, what became of it, and whether that is sanctioned."""
    change = sheet.change
    what = {"added": "new", "removed": "gone", "changed": "changed"}[sheet.kind]
    if change is not None and change.renamed and change.before is not None:
        what = Message("was {sheet}", sheet=change.before.sheet)
    if not sheet.sealed:
        return f"{sheet.sheet}: {what}"
    return Message(
        "{sheet}: {what}, sealed, {agreement}",
        sheet=sheet.sheet,
        what=what,
        agreement=agreement(sheet),
    )


def sheet_lines(
    sheet: ReviewedSheet, names: Names, commits: Sequence[Commit], is_committed: bool
) -> Iterator[str]:
    """What changed in the sheet, cell by cell, and its result before and after; what corrections
    claim, and who committed it."""
    change = sheet.change
    assert change is not None
    if sheet.objection:
        yield Message("Not sanctioned: {objection}.", objection=sheet.objection)
    for side in change.unreadable:
        yield Message(
            "It {side}.",
            side=(
                Message("could not be read before")
                if side == "before"
                else Message("cannot be read now")
            ),
        )
    match = change.current.match
    cells = list(change_lines(change.cells, match, names))
    yield from cells[:_MOST_CELLS]
    if len(cells) > _MOST_CELLS:
        yield Message(
            "and {cells} more changes; `--format csv` has all", cells=len(cells) - _MOST_CELLS
        )
    yield from _figure_lines(sheet, names)
    yield from _result_lines(sheet, names)
    yield from _seal_lines(change, names)
    if sheet.sealed or change.seal:
        yield from _commit_lines(commits, is_committed)
    remarks = list(change_lines(change.remarks, match, names))
    for line in remarks[:_MOST_CELLS]:
        yield Message("Beside the score: {line}", line=line)
    if not (cells or remarks or change.seal or change.unreadable or sheet.objection):
        yield (
            Message("Only its name changed.")
            if change.renamed
            else Message("Only layout or comments changed.")
        )


def _figure_lines(sheet: ReviewedSheet, names: Names) -> Iterator[str]:
    before, after = sheet.before, sheet.after
    if before is None or after is None:
        return
    for side in ("home", "away"):
        old, new = before.side(side), after.side(side)
        team = names.get(new.team or "", new.team) or f"{side} side"
        for index, (was, now) in enumerate(zip(old.ries or (), new.ries or (), strict=False), 1):
            if was != now:
                yield Message(
                    "Ries {index} of {team}: {was} to {now}",
                    index=index,
                    team=team,
                    was=was,
                    now=now,
                )
    for title, figures in (("Points", _points), ("Nummern", _nummern)):
        if figures(before) != figures(after):
            yield Message(
                "{title}: {what} to {other_what}",
                title=title,
                what=figures(before) or Message("unknown"),
                other_what=figures(after) or Message("unknown"),
            )


def _result_lines(sheet: ReviewedSheet, names: Names) -> Iterator[str]:
    before, after = _result(sheet.before, names), _result(sheet.after, names)
    if before == after:
        if after and sheet.change is not None and sheet.change.cells:
            yield Message("Result as before: {after}", after=after)
    else:
        if before:
            yield Message("Result before: {before}", before=before)
        if after:
            yield Message("Result now: {after}", after=after)
    if sheet.errors_before and sheet.kind != "added":
        yield Message("It had errors before and counted nowhere.")
    if sheet.errors_after:
        yield Message(
            "It has errors and counts nowhere until they are mended; `riesbuch check` names them."
        )


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
        yield Message("Claims: {line}", line=line)
    if len(lines) > _MOST_CELLS:
        yield Message("and {lines} more claims", lines=len(lines) - _MOST_CELLS)
    if not lines:
        yield Message("Claims nothing.")


def _commit_lines(commits: Sequence[Commit], is_committed: bool) -> Iterator[str]:
    """Who wrote and who committed it, as git has it."""
    for commit in commits[:_MOST_COMMITS]:
        by = Message("by {author}", author=commit.author)
        if commit.committer != commit.author:
            by += Message(", committed by {committer}", committer=commit.committer)
        day = commit.authored
        if commit.committed != day:
            day += Message(", committed {committed}", committed=commit.committed)
        yield Message("Commit {id} of {day}: {by}", id=commit.id[:10], day=day, by=by)
    if len(commits) > _MOST_COMMITS:
        yield Message("and {commits} more commits", commits=len(commits) - _MOST_COMMITS)
    if not is_committed:
        yield Message("Not committed yet.")


def _was_and_is(what: str, cell: CellChange) -> str:
    if cell.before is None:
        return Message("New {what}: {after}", what=what.lower(), after=cell.after)
    if cell.after is None:
        return Message("{what} that is gone: {before}", what=what, before=cell.before)
    return Message("{what}: {before}; now {after}", what=what, before=cell.before, after=cell.after)


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
        return Message("(cannot be read)")
    if tally.winner is None:
        return "(draft)" if tally.is_draft else None
    if tally.winner == "draw":
        return "draw"
    team = tally.side(tally.winner).team
    return names.get(team, team) if team else tally.winner


def sheets_table(sheets: Sequence[ReviewedSheet], names: Names) -> Table[ReviewedSheet]:
    """New sheets, or those that are gone: a row each."""

    def tally(sheet: ReviewedSheet) -> Tally | None:
        return sheet.after if sheet.kind == "added" else sheet.before

    def winner(sheet: ReviewedSheet) -> str | None:
        errors = sheet.errors_after if sheet.kind == "added" else sheet.errors_before
        return _winner(tally(sheet), errors, names)

    columns: tuple[Column[ReviewedSheet], ...] = (
        Column("sheet", Message("Sheet")),
        Column(title=Message("Points"), shown=lambda sheet: _points(tally(sheet)), is_number=True),
        Column(
            title=Message("Nummern"), shown=lambda sheet: _nummern(tally(sheet)), is_number=True
        ),
        Column(title=Message("Winner"), shown=winner),
    )
    return Table(columns, sheets)


def untouched_table(sheets: Sequence[ReviewedSheet], names: Names) -> Table[ReviewedSheet]:
    """Sheets that add up otherwise than before under other rules or another register."""

    def change(before: str | None, after: str | None) -> str | None:
        return (
            after
            if before == after
            else Message("{what} to {other_what}", what=before or "–", other_what=after or "–")
        )

    def figure(title: str, of: Callable[[Tally | None], str | None]) -> Column[ReviewedSheet]:
        return Column(
            title=title,
            shown=lambda sheet: change(of(sheet.before), of(sheet.after)),
            is_number=True,
        )

    columns: tuple[Column[ReviewedSheet], ...] = (
        Column("sheet", Message("Sheet")),
        Column(title=Message("Sealed"), shown=lambda sheet: "yes" if sheet.sealed else "no"),
        figure("Points", _points),
        figure("Nummern", _nummern),
        figure(Message("Rank points"), _rank_points),
        Column(
            title=Message("Winner"),
            shown=lambda sheet: change(
                _winner(sheet.before, sheet.errors_before, names),
                _winner(sheet.after, sheet.errors_after, names),
            ),
        ),
    )
    return Table(columns, sheets)


def _rank_points(tally: Tally | None) -> str | None:
    return None if tally is None else pair(tally.home.rank_points, tally.away.rank_points)
