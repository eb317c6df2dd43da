"""What a review says: first what is true of results, then sheet by sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

from riesbuch.review.changes import change_lines, shortened
from riesbuch.show.matches import pair
from riesbuch.show.output import Column, Table, figure_column
from riesbuch.show.review_signatures import of_signatures
from riesbuch.show.sheets import result_sentence
from riesbuch.trade.cells import side_words
from riesbuch.trade.counts import Counted
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.sealing import NOTHING, read_change
from riesbuch.trade.signing import Proof

if TYPE_CHECKING:
    from riesbuch.review.causes import Cause
    from riesbuch.review.changes import SheetChange
    from riesbuch.review.effects import Review, ReviewedSheet, RowChange
    from riesbuch.review.git import FileChange
    from riesbuch.review.history import Commit
    from riesbuch.trade.agreement import Correction
    from riesbuch.trade.cells import CellChange, Names
    from riesbuch.trade.match import Match
    from riesbuch.trade.tally import Tally

_MOST = 12
_MOST_VALUES = 8
_MOST_CELLS = 40
_MOST_COMMITS = 10
MORE = Counted("and {count} more", "and {count} more")
_MORE_IN_JSON = Counted(
    "and {count} more; `--format json` has all", "and {count} more; `--format json` has all"
)
_MORE_CHANGES = Counted(
    "and {count} more change; `--format csv` has all",
    "and {count} more changes; `--format csv` has all",
)
_MORE_CLAIMS = Counted("and {count} more claim", "and {count} more claims")
_MORE_COMMITS = Counted("and {count} more commit", "and {count} more commits")
_HOLDS = Message("its seal holds")
_KINDS = {"added": Message("new"), "removed": Message("gone"), "changed": Message("changed")}
AGREED = Message("agreed by both clubs, not signed")
SIGNED = Message("agreed and signed by both clubs")

Verdict = tuple[str, Sequence[str]]
"""A sentence, and what it is about, a line each."""


def verdicts(review: Review) -> Iterator[Verdict]:
    """Sealed sheets edited; sealed results that come out otherwise, and why; rulings that changed,
    and the tables that come out otherwise; what is handed down and changed; sheets that no longer
    count; links and submodules; files that steer git or the automatic checks."""
    comparison = review.comparison
    found = [*_edited(review), *_results(review)]
    yield from found or [(_nothing_sealed(review), ())]
    for sentence, details in of_signatures(review):
        yield sentence, _listed(details)
    yield from _rulings(review)
    yield from _handed_down(review)
    lost = no_longer_counting(review)
    if lost:
        sentence = Message.plural(
            len(lost), "{count:,} sheet no longer counts:", "{count:,} sheets no longer count:"
        )
        yield sentence, _listed(map(_lost, lost))
    links = comparison.head.links
    if links:
        sentence = Message.plural(
            len(links),
            "A link or submodule stands in {count:,} place where only plain files and folders"
            " are read:",
            "A link or submodule stands in {count:,} places where only plain files and folders"
            " are read:",
        )
        yield sentence, _listed(_fate(path, what) for path, what in links.items())
    if comparison.automation:
        sentence = Message.plural(
            len(comparison.automation),
            "{count:,} file changed that steers git or the automatic checks:",
            "{count:,} files changed that steer git or the automatic checks:",
        )
        yield sentence, _listed(map(file_line, comparison.automation))


def _nothing_sealed(review: Review) -> Message:
    if not (review.sheets or review.comparison.files):
        return Message("No sheet changed, and nothing that a result depends on.")
    if review.comparable:
        return Message("No sealed sheet changed, and no sealed result comes out otherwise.")
    return Message("No sealed sheet changed.")


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
    refused = sum(not sheet.sanctioned for sheet in touched)
    # Of these nobody edited the sheet; what they rest on made them count no more.
    stopped = sum(sheet.change is None and not sheet.sanctioned for sheet in review.sheets)
    agreements = Counter(agreement(sheet) for sheet in touched if sheet.sanctioned)
    holding = agreements.pop(_HOLDS, 0)
    told = (
        Message.plural(
            refused,
            "{count:,} sealed sheet changed without a correction that both clubs agreed to:"
            " NOT SANCTIONED.",
            "{count:,} sealed sheets changed without a correction that both clubs agreed to:"
            " NOT SANCTIONED.",
        ),
        Message.plural(
            stopped,
            "{count:,} sealed sheet counts nowhere any more though nobody edited it:"
            " NOT SANCTIONED.",
            "{count:,} sealed sheets count nowhere any more though nobody edited them:"
            " NOT SANCTIONED.",
        ),
        *(
            Message.plural(
                number,
                "{count:,} sealed sheet corrected: {agreed}.",
                "{count:,} sealed sheets corrected: {agreed}.",
                agreed=agreed,
            )
            for agreed, number in sorted(agreements.items())
        ),
        Message.plural(
            holding,
            "{count:,} sealed sheet edited, in nothing that its seal covers.",
            "{count:,} sealed sheets edited, in nothing that their seals cover.",
        ),
    )
    numbers = refused, stopped, *(number for _, number in sorted(agreements.items())), holding
    for number, sentence in zip(numbers, told, strict=True):
        if number:
            yield sentence, ()


def _results(review: Review) -> Iterator[Verdict]:
    why = [cause_line(cause) for cause in review.other_results_because]
    # Whoever touches a sheet beside its score does not take the blame from what it rests on.
    rested = sum(
        not sheet.is_rescored and bool(why or sheet.change is None or not sheet.stopped_counting)
        for sheet in review.other_results
    )
    if rested:
        sentence = Message.plural(
            rested,
            "{count:,} sealed result comes out otherwise though nobody edited its score,"
            " because of:",
            "{count:,} sealed results come out otherwise though nobody edited their scores,"
            " because of:",
        )
        yield sentence, _listed(why or [Message("other sheets that changed")])
    rescored = sum(
        sheet.is_rescored and not sheet.stopped_counting for sheet in review.other_results
    )
    if rescored:
        is_told = bool(rested) or not why
        by_edits = Message.plural(
            rescored,
            "{count:,} sealed result comes out otherwise by the edit of its sheet",
            "{count:,} sealed results come out otherwise by the edits of their sheets",
        )
        end = "." if is_told else Message("; what they rest on changed too:")
        yield by_edits + end, () if is_told else _listed(why)


def changed_rulings(review: Review) -> list[Cause]:
    """Files of rulings of which not only layout or comments changed."""
    return [
        cause
        for cause in review.causes
        if cause.kind == "rulings" and (cause.values or cause.unreadable)
    ]


def _rulings(review: Review) -> Iterator[Verdict]:
    changed = changed_rulings(review)
    if not changed:
        return
    of_each = (line for cause in changed for line in _ruling_lines(cause))
    yield Message("Rulings of the match commission changed:"), _listed(of_each)
    years = {int(cause.path.split("/")[1]) for cause in changed}
    tables = groupby(
        (row for row in review.standings if row.key.season in years), lambda row: row.key[:2]
    )
    lines = [
        f"{competition} {season}: " + ", ".join(_moved(row, review.names) for row in rows)
        for (season, competition), rows in tables
    ]
    if lines:
        yield Message("Tables come out otherwise, by rank:"), _listed(lines)


def _moved(row: RowChange, names: Names) -> str:
    before, after = (NOTHING if of is None else str(of["rank"]) for of in (row.before, row.after))
    team = names.get(row.key.who, row.key.who)
    return f"{team} {after}" if before == after else f"{team} {before} -> {after}"


def _ruling_lines(cause: Cause) -> Iterator[str]:
    """One for each ruling, so that none hides behind the values of another."""
    if cause.unreadable:
        yield cause_line(cause)
    for on, values in cause.rulings.items():
        yield joined(": ", [cause.path, on, joined("; ", map(_value_line, values))])


def _fate(head: str, what: str) -> Message:
    return Message.layout("{head}: {what}", head=head, what=what)


def _lost(sheet: ReviewedSheet) -> str:
    head = Message("{sheet}, sealed", sheet=sheet.sheet) if sheet.sealed else sheet.sheet
    if sheet.change is not None and sheet.change.fate:
        return _fate(head, sheet.change.fate)
    if sheet.kind == "removed":
        return _fate(head, Message("is gone"))
    return _fate(head, Message("has errors now" if sheet.errors_after else "is no whole sheet now"))


def _handed_down(review: Review) -> Iterator[Verdict]:
    """Titles before tables, a line for each row."""
    lines: list[tuple[bool, str]] = []
    for cause in (cause for cause in review.causes if cause.kind == "handed-down"):
        if cause.unreadable:
            lines.append((True, cause_line(cause)))
        for row, of_row in groupby(cause.values, key=lambda cell: _row_of_table(cell.at)):
            cells = [cell._replace(at=cell.at[len(row) + 1 :]) for cell in of_row]
            told = joined("; ", map(_value_line, cells))
            for side, fate in ((1, Message("new")), (2, Message("gone"))):
                if all(cell[side] is None for cell in cells):
                    values = (f"{cell.at} {_shown(cell[3 - side])}" for cell in cells)
                    told = _fate(fate, joined("; ", values))
            place = f"{cause.path.split('/')[1]} {row.replace('.rows.', ', ').replace('.', ' ')}"
            lines.append((not row.startswith("honour"), _fate(place, told)))
    if lines:
        sentence = Message.plural(
            len(lines),
            "What is handed down changed in {count:,} place:",
            "What is handed down changed in {count:,} places:",
        )
        yield sentence, _listed(line for _, line in sorted(lines, key=itemgetter(0)))


def _row_of_table(at: str) -> str:
    parts = at.split(".")
    return ".".join(parts[: 4 if "rows" in parts[:3] else 2])


def cause_line(cause: Cause) -> str:
    """``rules/2024.toml: rank_points.clean 2 -> 3``."""
    if cause.before is None or cause.after is None:
        return _fate(cause.path, Message("new" if cause.before is None else "gone"))
    was = Message("was {before}", before=cause.before) if cause.before != cause.after else ""
    values = (
        [Message("cannot be read")] if cause.unreadable else list(map(_value_line, cause.values))
    )
    parts = [part for part in (was, *capped(values, _MOST_VALUES, MORE)) if part]
    return _fate(cause.path, joined("; ", parts) if parts else Message("layout or comments"))


def _value_line(cell: CellChange) -> str:
    return f"{cell.at} {_shown(cell.before)} -> {_shown(cell.after)}"


def _shown(value: str | None) -> str:
    return shortened(NOTHING if value is None else value)


def file_line(change: FileChange) -> str:
    """The file, and what became of it."""
    if change.before is None:
        return _fate(change.path, Message("new"))
    if change.after is None:
        return _fate(change.path, Message("gone"))
    if change.before == change.after:
        return _fate(change.path, Message("changed"))
    return _fate(change.path, Message("was {before}", before=change.before))


def capped(lines: Iterable[str], most: int, more: Counted) -> list[str]:
    """The first lines, and how many ``more`` there are."""
    every = list(lines)
    return every if len(every) <= most else [*every[:most], more(len(every) - most)]


def _listed(details: Iterable[str]) -> list[str]:
    return capped(details, _MOST, _MORE_IN_JSON)


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
    if sheet.change is None or not sheet.change.claims:
        return _HOLDS
    signed = sheet.signed
    if signed is None or not signed.signed_by:
        return AGREED
    if signed.proof is Proof.SIGNED:
        return SIGNED
    return Message("agreed by both clubs, {clause}", clause=signed.clause)


def sheet_title(sheet: ReviewedSheet) -> str:
    """The sheet, what became of it, and whether that is sanctioned."""
    change = sheet.change
    what = _KINDS[sheet.kind]
    if change is not None and change.renamed and change.before is not None:
        what = Message("was {sheet}", sheet=change.before.sheet)
    if not sheet.sealed:
        return _fate(sheet.sheet, what)
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
            "It could not be read before." if side == "before" else "It cannot be read now."
        )
    match = change.current.match
    cells = list(change_lines(change.cells, match, names))
    yield from capped(cells, _MOST_CELLS, _MORE_CHANGES)
    yield from _figure_lines(sheet, names)
    yield from _result_lines(sheet, names)
    yield from _seal_lines(change, names)
    if sheet.signed is not None and sheet.signed.proof is not Proof.NAMED:
        yield Message("Signatures: {clause}.", clause=sheet.signed.clause)
    if sheet.sealed or change.seal:
        yield from _commit_lines(commits, is_committed)
    remarks = list(change_lines(change.remarks, match, names))
    for line in remarks[:_MOST_CELLS]:
        yield Message("Beside the score: {line}", line=line)
    if not (cells or remarks or change.seal or change.unreadable or sheet.objection):
        yield Message(
            "Only its name changed." if change.renamed else "Only layout or comments changed."
        )


def _figure_lines(sheet: ReviewedSheet, names: Names) -> Iterator[str]:
    before, after = sheet.before, sheet.after
    if before is None or after is None:
        return
    for side in ("home", "away"):
        old, new = before.side(side), after.side(side)
        team = names.get(new.team or "", new.team) or side_words(side)
        for index, (was, now) in enumerate(zip(old.ries or (), new.ries or (), strict=False), 1):
            if was != now:
                said = {"index": index, "team": team, "was": was, "now": now}
                yield Message("Ries {index} of {team}: {was} to {now}", **said)
    unknown = Message("unknown")
    for key, title in (("points", Message("Points")), ("nummern", Message("Nummern"))):
        first, last = (_pair(tally, key) or unknown for tally in (before, after))
        if first != last:
            yield Message("{title}: {first} to {last}", title=title, first=first, last=last)


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
            yield _changed(
                cell,
                Message("New seal: {after}", after=cell.after),
                Message("Seal that is gone: {before}", before=cell.before),
                Message("Seal: {before}; now {after}", before=cell.before, after=cell.after),
            )
        elif cell.at.count(".") == 1 and cell.at.startswith("corrections."):
            yield _changed(
                cell,
                Message("New correction: {after}", after=cell.after),
                Message("Correction that is gone: {before}", before=cell.before),
                Message("Correction: {before}; now {after}", before=cell.before, after=cell.after),
            )
            if cell.at in claims and cell.after is not None:
                yield from _claim_lines(claims[cell.at], match, names)


def _claim_lines(entry: Correction, match: Match | None, names: Names) -> Iterator[str]:
    """What a correction says that it changed, whether it did or not."""
    lines: list[str] = []
    for written in entry.changed:
        step = read_change(written)
        lines += [written] if step is None else change_lines([step], match, names)
    claims = [Message("Claims: {line}", line=line) for line in lines]
    yield from capped(claims, _MOST_CELLS, _MORE_CLAIMS)
    if not lines:
        yield Message("Claims nothing.")


def _commit_lines(commits: Sequence[Commit], is_committed: bool) -> Iterator[str]:
    """Who wrote and who committed it, as git has it."""
    lines = []
    for commit in commits:
        by = Message("by {author}", author=commit.author)
        if commit.committer != commit.author:
            by += Message(", committed by {committer}", committer=commit.committer)
        day = commit.authored
        if commit.committed != day:
            day += Message(", committed {committed}", committed=commit.committed)
        lines.append(Message("Commit {id} of {day}: {by}", id=commit.id[:10], day=day, by=by))
    yield from capped(lines, _MOST_COMMITS, _MORE_COMMITS)
    if not is_committed:
        yield Message("Not committed yet.")


def _changed(cell: CellChange, new: Message, gone: Message, other: Message) -> Message:
    return new if cell.before is None else gone if cell.after is None else other


def _result(tally: Tally | None, names: Names) -> str:
    if tally is None:
        return ""
    return result_sentence(tally, lambda team: names.get(team, team))


def _pair(tally: Tally | None, key: str) -> str | None:
    """The figure ``key`` of both sides."""
    return None if tally is None else pair(getattr(tally.home, key), getattr(tally.away, key))


def _winner(tally: Tally | None, errors: bool, names: Names) -> str | None:
    if errors:
        return Message("(errors)")
    if tally is None:
        return Message("(cannot be read)")
    if tally.winner is None:
        return Message("(draft)") if tally.is_draft else None
    if tally.winner == "draw":
        return Message("draw")
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
        Column("sheet", "Sheet"),
        figure_column(title="Points", shown=lambda sheet: _pair(tally(sheet), "points")),
        figure_column(title="Nummern", shown=lambda sheet: _pair(tally(sheet), "nummern")),
        Column(title="Winner", shown=winner),
    )
    return Table(columns, sheets)


def untouched_table(sheets: Sequence[ReviewedSheet], names: Names) -> Table[ReviewedSheet]:
    """Sheets that add up otherwise than before under other rules or another register."""

    def change(before: str | None, after: str | None) -> str | None:
        changed = Message("{what} to {other_what}", what=before or "–", other_what=after or "–")
        return after if before == after else changed

    def figures(key: str) -> Callable[[ReviewedSheet], str | None]:
        return lambda sheet: change(_pair(sheet.before, key), _pair(sheet.after, key))

    columns: tuple[Column[ReviewedSheet], ...] = (
        Column("sheet", "Sheet"),
        Column(title="Sealed", shown=lambda sheet: Message("yes" if sheet.sealed else "no")),
        figure_column(title="Points", shown=figures("points")),
        figure_column(title="Nummern", shown=figures("nummern")),
        figure_column(title="Rank points", shown=figures("rank_points")),
        Column(
            title="Winner",
            shown=lambda sheet: change(
                _winner(sheet.before, sheet.errors_before, names),
                _winner(sheet.after, sheet.errors_after, names),
            ),
        ),
    )
    return Table(columns, sheets)
