"""Problems as lines, and as the contract's JSON."""

from collections import Counter
from collections.abc import Iterable, Sequence

from riesbuch.show.output import Column, TableView, counted, say
from riesbuch.trade.problems import Problem, Severity

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
    data = [
        {
            **dict(zip(keys, row, strict=True)),
            "related": [place._asdict() for place in problem.related],
        }
        for row, problem in zip(rows, problems, strict=True)
    ]
    return TableView(columns=_COLUMNS, rows=rows, data={"sheets": sheets, "problems": data})


def summary(sheets: int, problems: Sequence[Problem], others: int = 0) -> str:
    """One sentence: "250 sheets: 2 errors, 1 warning". ``others`` are the files looked at that
    are no sheets; they are counted where there is no sheet."""
    numbers = Counter(problem.severity for problem in problems)
    found = [counted(numbers[each], each.value) for each in Severity if numbers[each]]
    looked_at = counted(others, "file") if others and not sheets else counted(sheets, "sheet")
    return f"{looked_at}: {', '.join(found) if found else 'nothing to mend'}"


def has_errors(problems: Iterable[Problem], path: str | None = None) -> bool:
    """Whether there are errors; in the file ``path`` itself where it is given, not in another
    that names it."""
    return any(
        each.severity is Severity.ERROR and path in (None, each.place.path) for each in problems
    )


def say_problems(problems: Iterable[Problem]) -> None:
    for problem in problems:
        say(problem.as_line())
