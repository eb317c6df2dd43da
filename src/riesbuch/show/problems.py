"""Problems as lines, and as the contract's JSON."""

from collections import Counter
from collections.abc import Iterable, Sequence

from riesbuch.show.output import Answer, Column, Table, say, table_data
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import Problem, Severity

_COLUMNS: tuple[Column[Problem], ...] = (
    Column("path", Message("File"), lambda problem: problem.place.path),
    Column("line", Message("Line"), lambda problem: problem.place.line, is_number=True),
    Column("column", Message("Column"), lambda problem: problem.place.column, is_number=True),
    Column("severity", Message("Severity"), lambda problem: problem.severity.value),
    Column("code", Message("Code")),
    Column("message", Message("Problem")),
    Column("hint", Message("Advice")),
    Column(
        "related",
        value=lambda problem: [place._asdict() for place in problem.related],
        formats=("json",),
    ),
)


def problems_answer(sheets: int, problems: Sequence[Problem]) -> Answer:
    table = Table(_COLUMNS, problems)
    return Answer([table], data={"sheets": sheets, "problems": table_data(table)})


def summary(sheets: int, problems: Sequence[Problem], others: int = 0) -> str:
    """One sentence: "250 sheets: 2 errors, 1 warning". ``others`` are the files looked at that
    are no sheets; they are counted where there is no sheet."""
    numbers = Counter(problem.severity for problem in problems)
    errors, warnings, drafts = (numbers[severity] for severity in Severity)
    counts = [
        *([Message.plural(errors, "{count:,} error", "{count:,} errors")] if errors else ()),
        *(
            [Message.plural(warnings, "{count:,} warning", "{count:,} warnings")]
            if warnings
            else ()
        ),
        *([Message.plural(drafts, "{count:,} draft", "{count:,} drafts")] if drafts else ()),
    ]
    looked_at = (
        Message.plural(others, "{count:,} file", "{count:,} files")
        if others and not sheets
        else Message.plural(sheets, "{count:,} sheet", "{count:,} sheets")
    )
    found = joined(", ", counts) if counts else Message("nothing to mend")
    return Message.layout("{looked_at}: {found}", looked_at=looked_at, found=found)


def has_errors(problems: Iterable[Problem], path: str | None = None) -> bool:
    """Whether there are errors; in the file ``path`` itself where it is given, not in another
    that names it."""
    return any(
        problem.severity is Severity.ERROR and path in (None, problem.place.path)
        for problem in problems
    )


def say_problems(problems: Iterable[Problem]) -> None:
    for problem in problems:
        say(problem.as_line())
