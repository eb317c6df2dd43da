"""The first lines of a review: what is true of results, before anything else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.review.changes import shortened
from riesbuch.show.output import counted
from riesbuch.show.review_sheets import AGREED, agreement
from riesbuch.trade.corrections import NOTHING

if TYPE_CHECKING:
    from riesbuch.review.causes import Cause
    from riesbuch.review.effects import Review, ReviewedSheet
    from riesbuch.review.git import FileChange
    from riesbuch.review.history import Commit

_MOST = 12
_MOST_VALUES = 8


class Verdict(NamedTuple):
    """A sentence, and what it is about, a line each."""

    sentence: str
    details: Sequence[str] = ()


def verdicts(review: Review) -> Iterator[Verdict]:
    """Sealed sheets edited; sealed results that come out otherwise, and why; sheets that no
    longer count; links and submodules; files that steer git or the automatic checks."""
    comparison = review.comparison
    edited = list(_edited(review))
    results = list(_results(review))
    if not (edited or results):
        if review.sheets or comparison.files:
            quiet = "No sealed sheet changed"
            more = ", and no sealed result comes out otherwise" if review.comparable else ""
            edited = [Verdict(f"{quiet}{more}.")]
        else:
            edited = [Verdict("No sheet changed, and nothing that a result depends on.")]
    yield from edited
    yield from results
    lost = no_longer_counting(review)
    if lost:
        verb = "no longer counts" if len(lost) == 1 else "no longer count"
        yield Verdict(f"{counted(len(lost), 'sheet')} {verb}:", _capped(map(_lost, lost)))
    links = comparison.head.links
    if links:
        yield Verdict(
            f"A link or submodule stands in {counted(len(links), 'place')} where only plain files"
            " and folders are read:",
            _capped(f"{path}: {what}" for path, what in links.items()),
        )
    if comparison.automation:
        words = counted(len(comparison.automation), "file")
        yield Verdict(
            f"{words} changed that {'steers' if len(comparison.automation) == 1 else 'steer'} git"
            " or the automatic checks:",
            _capped(map(file_line, comparison.automation)),
        )


def no_longer_counting(review: Review) -> list[ReviewedSheet]:
    """Sheets that were whole and without errors, or only lay where sheets are read, and are not
    any more."""
    return [
        each
        for each in review.sheets
        if each.stopped_counting or (each.change is not None and each.change.fate)
    ]


def _edited(review: Review) -> Iterator[Verdict]:
    touched = [each for each in review.sheets if each.sealed and each.change is not None]
    refused = [each for each in touched if not each.sanctioned]
    # Of these nobody edited the sheet; what they rest on made them count no more.
    stopped = [each for each in review.sheets if each.change is None and not each.sanctioned]
    agreed = [each for each in touched if agreement(each) == AGREED]
    others = len(touched) - len(refused) - len(agreed)
    if refused:
        yield Verdict(
            f"{counted(len(refused), 'sealed sheet')} changed without a correction that both"
            " clubs agreed to: NOT SANCTIONED."
        )
    if stopped:
        yield Verdict(
            f"{counted(len(stopped), 'sealed sheet')}"
            f" {'counts' if len(stopped) == 1 else 'count'} nowhere any more though nobody edited"
            f" {'it' if len(stopped) == 1 else 'them'}: NOT SANCTIONED."
        )
    if agreed:
        yield Verdict(f"{counted(len(agreed), 'sealed sheet')} corrected: {AGREED}.")
    if others:
        yield Verdict(
            f"{counted(others, 'sealed sheet')} edited, in nothing that"
            f" {'its seal covers' if others == 1 else 'their seals cover'}."
        )


def _results(review: Review) -> Iterator[Verdict]:
    why = [cause_line(each) for each in review.other_results_because]
    # Whoever touches a sheet beside its score does not take the blame from what it rests on.
    rested = [
        each
        for each in review.other_results
        if not each.is_rescored and (why or each.change is None or not each.stopped_counting)
    ]
    if rested:
        they = "its score" if len(rested) == 1 else "their scores"
        yield Verdict(
            f"{_come_out(len(rested))} though nobody edited {they}, because of:",
            _capped(why or ["other sheets that changed"]),
        )
    rescored = [
        each for each in review.other_results if each.is_rescored and not each.stopped_counting
    ]
    if rescored:
        they = "the edit of its sheet" if len(rescored) == 1 else "the edits of their sheets"
        is_told = bool(rested) or not why
        yield Verdict(
            f"{_come_out(len(rescored))} by {they}{'.' if is_told else '; what they rest on'}"
            f"{'' if is_told else ' changed too:'}",
            () if is_told else _capped(why),
        )


def _come_out(number: int) -> str:
    verb = "comes" if number == 1 else "come"
    return f"{counted(number, 'sealed result')} {verb} out otherwise"


def _lost(each: ReviewedSheet) -> str:
    sealed = ", sealed" if each.sealed else ""
    if each.change is not None and each.change.fate:
        return f"{each.sheet}{sealed}: {each.change.fate}"
    if each.kind == "removed":
        return f"{each.sheet}{sealed}: is gone"
    return f"{each.sheet}{sealed}: {'has errors' if each.errors_after else 'is no whole sheet'} now"


def cause_line(cause: Cause) -> str:
    """``rules/2024.toml: rank_points.clean 2 -> 3``."""
    if cause.before is None or cause.after is None:
        return f"{cause.path}: {'new' if cause.before is None else 'gone'}"
    was = f"was {cause.before}" if cause.before != cause.after else ""
    values = [f"{each.at} {_shown(each.before)} -> {_shown(each.after)}" for each in cause.values]
    more = len(values) - _MOST_VALUES
    if more > 0:
        values = [*values[:_MOST_VALUES], f"and {more} more"]
    if cause.unreadable:
        values = ["cannot be read"]
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
    told = list(lines)
    more = len(told) - _MOST
    return told if more <= 0 else [*told[:_MOST], f"and {more} more; `--format json` has all"]


def commits_of_sheet(review: Review, each: ReviewedSheet) -> tuple[list[Commit], bool]:
    """The commits that touched the sheet, and whether it is as it was committed."""
    comparison, change = review.comparison, each.change
    assert change is not None
    paths = {file.path for file in (change.before, change.after) if file is not None}
    found = dict.fromkeys(
        commit for path in sorted(paths) for commit in comparison.commits.get(path, ())
    )
    return list(found), not paths & comparison.uncommitted
