"""Problems as lines, and as the contract's JSON."""

from collections import Counter
from collections.abc import Iterable, Sequence

from riesbuch.cli.output import Column, TableView, counted, say
from riesbuch.problems import Problem, Severity

_COLUMNS = (
    Column(key="path", title="File"),
    Column(key="line", title="Line", is_number=True),
    Column(key="column", title="Column", is_number=True),
    Column(key="severity", title="Severity"),
    Column(key="code", title="Code"),
    Column(key="message", title="Problem"),
    Column(key="hint", title="Advice"),
)


def problems_view(sheets: int, problems: Sequence[Problem]) -> TableView:
    rows = [
        (
            problem.place.path,
            problem.place.line,
            problem.place.column,
            problem.severity.value,
            problem.code,
            problem.message,
            problem.hint,
        )
        for problem in problems
    ]
    keys = [column.key for column in _COLUMNS]
    return TableView(
        columns=_COLUMNS,
        rows=rows,
        data={"sheets": sheets, "problems": [dict(zip(keys, row, strict=True)) for row in rows]},
    )


def summary(sheets: int, problems: Sequence[Problem]) -> str:
    """One sentence: "250 sheets: 2 errors, 1 warning"."""
    numbers = Counter(problem.severity for problem in problems)
    found = [counted(numbers[each], each.value) for each in Severity if numbers[each]]
    return f"{counted(sheets, 'sheet')}: {', '.join(found) if found else 'nothing to mend'}"


def has_errors(problems: Iterable[Problem]) -> bool:
    return any(problem.severity is Severity.ERROR for problem in problems)


def say_problems(problems: Iterable[Problem]) -> None:
    for problem in problems:
        say(problem.as_line())
