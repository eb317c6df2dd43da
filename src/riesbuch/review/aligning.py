"""Which parts of two versions are the same part."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TypeVar

_Part = TypeVar("_Part")


def matched(
    first: Sequence[str], second: Sequence[str], weight: Callable[[str], int] = lambda _: 1
) -> list[tuple[int, int]]:
    """Pairs of indices of equal parts in the same order, as many by ``weight`` as can be."""
    rows, columns = len(first), len(second)
    best = [[0] * (columns + 1) for _ in range(rows + 1)]
    for row in range(rows - 1, -1, -1):
        own, below = best[row], best[row + 1]
        for column in range(columns - 1, -1, -1):
            most = max(below[column], own[column + 1])
            if first[row] == second[column]:
                most = max(most, below[column + 1] + weight(first[row]))
            own[column] = most
    pairs: list[tuple[int, int]] = []
    row = column = 0
    while row < rows and column < columns:
        if first[row] == second[column] and best[row][column] == best[row + 1][column + 1] + weight(
            first[row]
        ):
            pairs.append((row, column))
            row, column = row + 1, column + 1
        elif best[row + 1][column] >= best[row][column + 1]:
            row += 1
        else:
            column += 1
    return pairs


def insertions(
    side: Sequence[_Part], pairs: Sequence[tuple[int, int]], base_length: int
) -> list[list[_Part]]:
    """What ``side`` has besides the ``pairs``: for each index of the base what comes before it,
    and what comes after all."""
    gaps: list[list[_Part]] = [[] for _ in range(base_length + 1)]
    of_side = {column: row for row, column in pairs}
    gap = 0
    for index, part in enumerate(side):
        if index in of_side:
            gap = of_side[index] + 1
        else:
            gaps[gap].append(part)
    return gaps


def item_names(
    base: Sequence[tuple[str, str]], side: Sequence[tuple[str, str]]
) -> tuple[list[str], list[str]]:
    """Names for the items of a list, equal where an item of ``side`` is one of the ``base``,
    changed or not. An item is given by what it says and by what it is about."""
    base_names = [f"old {index}" for index in range(len(base))]
    names: dict[int, str] = {}
    pairs = matched([said for said, _ in base], [said for said, _ in side])
    for old, new in pairs:
        names[new] = base_names[old]
    for old_run, new_run in _runs_between(pairs, len(base), len(side)):
        left = list(old_run)
        for new in new_run:
            same = next((old for old in left if base[old][1] == side[new][1]), None)
            if same is not None:
                left.remove(same)
                names[new] = base_names[same]
        unnamed = [new for new in new_run if new not in names]
        if len(left) == len(unnamed):
            names.update((new, base_names[old]) for old, new in zip(left, unnamed, strict=True))
    counts: dict[str, int] = {}
    for index, (said, _) in enumerate(side):
        if index not in names:
            counts[said] = counts.get(said, 0) + 1
            names[index] = f"new {counts[said]} {said}"
    return base_names, [names[index] for index in range(len(side))]


def _runs_between(
    pairs: Sequence[tuple[int, int]], rows: int, columns: int
) -> list[tuple[range, range]]:
    ends = [(-1, -1), *pairs, (rows, columns)]
    return [
        (range(before[0] + 1, after[0]), range(before[1] + 1, after[1]))
        for before, after in pairwise(ends)
    ]


def merged_lines(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str]) -> list[str]:
    """Remarks and blank lines of both sides: what either added is there, what either removed is
    not."""
    if tuple(ours) == tuple(theirs) or tuple(theirs) == tuple(base):
        return list(ours)
    if tuple(ours) == tuple(base):
        return list(theirs)
    names = [[line.strip() for line in lines] for lines in (base, ours, theirs)]
    weigh = {"": 1}
    of_ours = matched(names[0], names[1], lambda line: weigh.get(line, 100))
    of_theirs = matched(names[0], names[2], lambda line: weigh.get(line, 100))
    added_by_ours = insertions(ours, of_ours, len(base))
    added_by_theirs = insertions(theirs, of_theirs, len(base))
    kept = dict(of_ours)
    kept_by_theirs = {row for row, _ in of_theirs}
    result: list[str] = []
    for gap in range(len(base) + 1):
        result += added_by_ours[gap]
        there = {line.strip() for line in added_by_ours[gap]}
        result += [line for line in added_by_theirs[gap] if line.strip() not in there]
        if gap in kept and gap in kept_by_theirs:
            result.append(ours[kept[gap]])
    return result
