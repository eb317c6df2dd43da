"""The course of a season's table: every team's place after each round."""

from collections.abc import Sequence
from dataclasses import dataclass

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    HUES,
    MARGIN,
    PHONE_BASELINE,
    WIDTH,
    Canvas,
    Cap,
    Picture,
    coordinate,
    fitted,
    text_width,
)

_ROW = 34
_TOP = 96
_HEAD = PHONE_BASELINE + 42
_LEFT = MARGIN + 12
_ROOM = 364
_RANKS, _NAMES = 50, 60
"""Where ranks end and names start, from the last round."""
_MOST_ROUNDS_APART = 80
_DASHES = ("", "10 6", "3 6")
_MARK_EVERY = 20
"""Where rounds stand nearer, only the places where a team changes rows are marked."""
_EVERY = (1, 2, 5, 10, 20, 50, 100)
_POINT = "h0"
_FORMS = (_POINT, _POINT, "m0-9 9 9-9 9-9-9z", "m0-9 8 15h-16z", "m0 9 8-15h-16z")
"""How a place is marked, drawn from its middle: a dot, a square, a diamond, triangles."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamCourse:
    """A team's rank and rank points after each round, None where it stood in no table; ranks may
    be shared."""

    team: str
    ranks: Sequence[int | None]
    rank_points: Sequence[int | None]


def season_course_picture(
    rounds: Sequence[str], courses: Sequence[TeamCourse], title: str, words: Catalogue
) -> Picture | None:
    """``rounds`` are those played and then those to come, named as above the picture. Each has its
    room from the first day on, so that a round adds to the picture and moves little of it. None
    where no team has a rank. Teams that share a rank stand in neighbouring rows with a bar between
    them, so no line covers another; a team's row is its place in the table.

    Raises ValueError where not all teams have a rank and a figure for each round played.
    """
    played = len(courses[0].ranks) if courses else 0
    for course in courses:
        if not played == len(course.ranks) == len(course.rank_points) <= len(rounds):
            raise ValueError(f"{course.team} has not a rank and a figure for each round")
    rows = _rows(courses, played)
    placed = [index for index, of_team in enumerate(rows) if any(of_team)]
    if not placed:
        return None
    ends = _ends(rows, placed)
    lanes = max(*ends.values(), *(row or 0 for of_team in rows for row in of_team))
    sentence = _sentence(rounds[played - 1], courses, words)
    canvas = Canvas(
        _TOP + _ROW * lanes + MARGIN, title, sentence, words.say("Place after each round")
    )
    columns = _Columns(len(rounds))
    _draw_lanes(canvas, columns, rounds, lanes, words)
    _draw_ties(canvas, columns, courses, rows)
    if played < len(rounds):
        last = coordinate(columns.x(played - 1))
        ways = (f"M{last} {_y(row)}H{coordinate(columns.end + 14)}" for row in ends.values())
        canvas.line("".join(ways), "grid", 2, "2 6")
    for index in placed:
        canvas.group(_course(courses[index], words))
        _letter_end(canvas, columns, courses[index], ends[index])
        _draw_line(canvas, columns, rows[index], index)
        canvas.end_group()
    return canvas.picture()


class _Columns:
    """Where the rounds stand, from left to right."""

    def __init__(self, rounds: int) -> None:
        apart = min(_ROOM / max(rounds - 1, 1), _MOST_ROUNDS_APART)
        # In fours where that can be, so that few coordinates have decimals.
        self.apart = apart // 4 * 4 if apart >= 8 else apart
        self.end = self.x(rounds - 1)

    def x(self, number: int) -> float:
        return _LEFT + self.apart * number


def _rows(courses: Sequence[TeamCourse], rounds: int) -> list[list[int | None]]:
    """Each team's row after each round, counted from 1. Within a shared rank teams keep the order
    they had, so that lines cross as little as can be."""
    rows: list[list[int | None]] = [[] for _ in courses]
    before = [0] * len(courses)
    for number in range(rounds):
        known = [
            (rank, before[index], index)
            for index, course in enumerate(courses)
            if (rank := course.ranks[number]) is not None
        ]
        placed = {index: row for row, (_, _, index) in enumerate(sorted(known), start=1)}
        for index, of_team in enumerate(rows):
            of_team.append(placed.get(index))
            before[index] = placed.get(index, before[index])
    return rows


def _ends(rows: list[list[int | None]], teams: list[int]) -> dict[int, int]:
    """The row in which each team is named: its last, or one below all for those that dropped out
    of the table."""
    free = max(of_team[-1] or 0 for of_team in rows)
    ends: dict[int, int] = {}
    for index in teams:
        row = rows[index][-1]
        if row is None:
            row = free = free + 1
        ends[index] = row
    return ends


def _y(row: int) -> int:
    return _TOP + _ROW * (row - 1) + _ROW // 2


def _draw_lanes(
    canvas: Canvas, columns: _Columns, rounds: Sequence[str], lanes: int, words: Catalogue
) -> None:
    for row in range(1, lanes + 1, 2):
        canvas.rect(MARGIN, _y(row) - _ROW / 2, WIDTH - 2 * MARGIN, _ROW, "lane")
    canvas.text(WIDTH - MARGIN, _HEAD, words.say("Rank points"), "soft", "end")
    names = [fitted(name, _MOST_ROUNDS_APART) for name in rounds]
    width = max(text_width(name) for name in names) + 10
    every = next(step for step in _EVERY if step * columns.apart >= width)
    free_from = float(MARGIN)
    for number, name in enumerate(names):
        x, half = columns.x(number), text_width(name) / 2
        # The first, then those that are even by the step.
        if number == 0 or ((number + 1) % every == 0 and x - half >= free_from):
            x = max(x, MARGIN + half)
            canvas.text(x, _HEAD, name, "soft", "middle")
            free_from = x + half + 6


def _draw_ties(
    canvas: Canvas, columns: _Columns, courses: Sequence[TeamCourse], rows: list[list[int | None]]
) -> None:
    bars = ""
    for number in range(len(rows[0])):
        rows_of_rank: dict[int, list[int]] = {}
        for of_team, course in zip(rows, courses, strict=True):
            row, rank = of_team[number], course.ranks[number]
            if row is not None and rank is not None:
                rows_of_rank.setdefault(rank, []).append(row)
        for shared in rows_of_rank.values():
            if len(shared) > 1:
                long = _ROW * (len(shared) - 1)
                bars += f"M{coordinate(columns.x(number))} {_y(min(shared))}v{long}\n"
    if bars:
        canvas.line(bars, "soft", 2)


def _draw_line(canvas: Canvas, columns: _Columns, rows: list[int | None], index: int) -> None:
    # A line of the file for each round, so that git shows what one adds.
    path = marks = ""
    # Teams of one colour have other forms.
    kind = (index + index // len(HUES)) % len(_FORMS)
    form = _FORMS[kind]
    before: int | None = None
    for number, row in enumerate(rows):
        if row is not None:
            x, y = columns.x(number), _y(row)
            if before is None:
                path += f"M{coordinate(x)} {y}\n"
            elif before == row:
                path += f"H{coordinate(x)}\n"
            else:
                # As one changes lanes: straight on, across, straight on.
                quarter = columns.apart / 4
                across = f"L{coordinate(x - quarter)} {y}H{coordinate(x)}"
                path += f"h{coordinate(quarter)}{across}\n"
            after = rows[number + 1] if number + 1 < len(rows) else None
            if columns.apart >= _MARK_EVERY or not before == row == after:
                marks += f"M{coordinate(x)} {y}{form}\n"
        before = row
    hue = HUES[index % len(HUES)]
    canvas.line(path, hue, 3, _DASHES[index // len(HUES) % len(_DASHES)])
    if form == _POINT:
        # A stroke of no length is seen by its ends alone.
        cap: Cap = "round" if kind == 0 else "square"
        canvas.line(marks, hue, 14 if cap == "round" else 12, cap=cap)
    else:
        canvas.area(marks, hue)


def _letter_end(canvas: Canvas, columns: _Columns, course: TeamCourse, row: int) -> None:
    y = _y(row) + 8
    rank, points = course.ranks[-1], course.rank_points[-1]
    room = WIDTH - MARGIN - columns.end - _NAMES
    if rank is not None:
        canvas.text(columns.end + _RANKS, y, str(rank), anchor="end")
    if points is not None:
        canvas.text(WIDTH - MARGIN, y, str(points), anchor="end")
        room -= text_width(str(points)) + 8
    name = fitted(course.team, room)
    canvas.text(columns.end + _NAMES, y, name)


def _course(course: TeamCourse, words: Catalogue) -> str:
    ranks = ", ".join("–" if rank is None else str(rank) for rank in course.ranks)
    return words.say("{team}: ranks after each round {ranks}", team=course.team, ranks=ranks)


def _sentence(last: str, courses: Sequence[TeamCourse], words: Catalogue) -> str:
    """The table after the last round played."""
    ranked = sorted(
        (rank, index)
        for index, course in enumerate(courses)
        if (rank := course.ranks[-1]) is not None
    )
    places = [
        words.say(
            "{team}: rank {rank}"
            if courses[index].rank_points[-1] is None
            else "{team}: rank {rank}, {points} rank points",
            team=courses[index].team,
            rank=rank,
            points=courses[index].rank_points[-1],
        )
        for rank, index in ranked
    ]
    if not places:
        return ""
    after = words.say("After round {round}", round=last)
    return f"{after}: {'; '.join(places)}."
