"""Problems to plain lists and back, without the weight of the other records."""

from collections.abc import Iterable, Sequence
from typing import Any

from riesbuch.trade.messages import packed, unpacked
from riesbuch.trade.problems import Place, Problem, Severity

PackedProblem = Sequence[Any]
"""Path, line, column, severity, code, message, hint, related places."""


def pack_problems(problems: Iterable[Problem]) -> list[Any]:
    return [
        [
            *_place(problem.place),
            problem.severity.value,
            problem.code,
            packed(problem.message),
            packed(problem.hint),
            [_place(other) for other in problem.related],
        ]
        for problem in problems
    ]


def _place(place: Place) -> tuple[str, int, int]:
    return place.path, place.line, place.column


def unpack_problems(kept: Sequence[Any]) -> list[Problem]:
    return [
        Problem(
            Place(path, line, column),
            Severity(severity),
            code,
            unpacked(message),
            unpacked(hint),
            tuple([Place(*other) for other in related]),
        )
        for path, line, column, severity, code, message, hint, related in kept
    ]
