"""Problems as lines, and as the contract's JSON."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from riesbuch.folder.club_folder import Kind, kind_of_path
from riesbuch.show.output import (
    FAINT,
    RED,
    YELLOW,
    Accent,
    Answer,
    Column,
    Table,
    accented,
    figure_column,
    said,
    say,
    table_data,
    write,
)
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import SEVERITIES, Problem, Severity

if TYPE_CHECKING:
    from riesbuch.pages.writer import KeptFile

STYLES = {Severity.ERROR: RED, Severity.WARNING: YELLOW, Severity.DRAFT: FAINT}

_COLUMNS: tuple[Column[Problem], ...] = (
    Column("path", "File", lambda problem: problem.place.path),
    figure_column("line", "Line number", lambda problem: problem.place.line),
    figure_column("column", "Column", lambda problem: problem.place.column),
    Column("severity", "Severity", lambda problem: problem.severity.value),
    Column("code", "Code"),
    Column("message", "Problem"),
    Column("hint", "Advice"),
    Column(
        "related",
        value=lambda problem: [place._asdict() for place in problem.related],
        formats=("json",),
    ),
)


_NOUNS = {
    Severity.ERROR: counts.errors,
    Severity.WARNING: counts.warnings,
    Severity.DRAFT: counts.drafts,
}


def problems_answer(sheets: int, problems: Sequence[Problem]) -> Answer:
    table = Table(_COLUMNS, problems)
    return Answer([table], data={"sheets": sheets, "problems": table_data(table)})


def summary(sheets: int, problems: Sequence[Problem], others: int = 0) -> str:
    """One sentence: "250 sheets: 2 errors, 1 warning". ``others`` are the files looked at that
    are no sheets; they are counted where there is no sheet."""
    numbers = Counter(
        counts.open_trainings
        if problem.severity is Severity.DRAFT
        and kind_of_path(problem.place.path).kind is Kind.TRAINING
        else _NOUNS[problem.severity]
        for problem in problems
    )
    nouns = (*_NOUNS.values(), counts.open_trainings)
    found = [noun(numbers[noun]) for noun in nouns if numbers[noun]]
    looked_at = counts.files(others) if others and not sheets else counts.sheets(sheets)
    told = joined(", ", found) if found else Message("nothing to mend")
    return Message.layout("{looked_at}: {found}", looked_at=looked_at, found=told)


def has_errors(problems: Iterable[Problem], path: str | None = None) -> bool:
    """Whether there are errors; in the file ``path`` itself where it is given, not in another
    that names it."""
    return any(
        problem.severity is Severity.ERROR and path in (None, problem.place.path)
        for problem in problems
    )


def say_left_out(paths: Sequence[str]) -> None:
    """Names the sheets whose errors keep them out of an answer."""
    if paths:
        say(
            "{sheets} left out: one with errors counts nowhere; `riesbuch check`"
            " says what to mend:",
            sheets=counts.sheets(len(paths)),
        )
    for path in paths:
        say(f"  {path}")


def say_lost_rulings(year: int) -> None:
    """That a season's rulings have errors, so that a table may want some of them."""
    say(
        "not every ruling of seasons/{year}/rulings.toml is in the table: the file has errors;"
        " `riesbuch check` says what to mend",
        year=year,
    )


def say_kept(reports: str, files: Iterable[KeptFile]) -> None:
    """Names the files in the way of pages, or left over, and why they are not touched."""
    from riesbuch.pages.writer import KeptReason

    for file in files:
        say(
            "{reports}/{path} {reason} and is left as it is; move or delete it to have the page"
            " written"
            if file.due
            else "{reports}/{path} {reason} and is left as it is",
            reports=reports,
            path=file.path,
            reason={
                KeptReason.FOREIGN: Message("was not written by `publish`"),
                KeptReason.EDITED: Message("was edited since `publish` wrote it"),
                KeptReason.LINK: Message("is a symbolic link or lies behind one"),
                KeptReason.NOT_A_FILE: Message("is not a file, or lies where a folder is needed"),
                KeptReason.UNREADABLE: Message("cannot be read"),
            }[file.reason],
        )


def say_problems(problems: Iterable[Problem]) -> None:
    for problem in problems:
        with accented(sys.stderr, _accent(problem)):
            say(problem.as_line())


def write_problems(problems: Iterable[Problem]) -> None:
    for problem in problems:
        with accented(sys.stdout, _accent(problem)):
            write(problem.as_line())


def _accent(problem: Problem) -> Accent:
    return Accent(f": {said(SEVERITIES[problem.severity])}:", STYLES[problem.severity])
