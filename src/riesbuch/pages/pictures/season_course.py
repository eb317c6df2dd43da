"""The course of a season's table: every team's place after each round."""

from collections.abc import Sequence
from dataclasses import dataclass

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    HUES,
    MARGIN,
    SMALL_SIZE,
    TEXT_SIZE,
    Canvas,
    Cap,
    Hue,
    Picture,
    coordinate,
    fitted,
    text_width,
)

_ROW = 22
_TOP = 66
_LEFT = MARGIN + 10
_ROOM = 424
_RANKS, _NAMES, _POINTS = 36, 44, 248
"""Where ranks end, names start and rank points end, from the last round."""
_MOST_ROUNDS_APART = 60
_DASHES = ("", "7 4", "2 4")
_MOST_MARKS = 160
"""With more, only the places where a team changes rows are marked."""
_POINT = "h0"
_FORMS = (_POINT, _POINT, "m0-6 6 6-6 6-6-6z", "m0-6 5.5 10h-11z", "m0 6 5.5-10h-11z")
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
    """``rounds`` are named as under the picture. None where no team has a rank. Teams that share a
    rank stand in neighbouring rows with a bar between them, so no line covers another; a team's
    row is its place in the table.

    Raises ValueError where a team has not one rank and one figure for each round.
    """
    for course in courses:
        if not len(rounds) == len(course.ranks) == len(course.rank_points):
            raise ValueError(f"{course.team} has not a rank and a figure for each round")
    rows = _rows(courses, len(rounds))
    placed = [index for index, of_team in enumerate(rows) if any(of_team)]
    if not placed:
        return None
    ends = _ends(rows, placed)
    lanes = max(*ends.values(), *(row or 0 for of_team in rows for row in of_team))
    canvas = Canvas(_TOP + _ROW * lanes + MARGIN, title, _sentence(rounds, courses, words))
    _draw_lanes(canvas, rounds, lanes, words)
    _draw_ties(canvas, courses, rows, len(rounds))
    every_mark = len(rounds) * len(placed) <= _MOST_MARKS
    for index in placed:
        canvas.group(_course(courses[index], words))
        _draw_line(canvas, rows[index], index, every_mark)
        _letter_end(canvas, courses[index], ends[index], _x(len(rounds) - 1, len(rounds)))
        canvas.end_group()
    return canvas.picture()


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


def _apart(rounds: int) -> float:
    apart = min(_ROOM / max(rounds - 1, 1), _MOST_ROUNDS_APART)
    # In fours where that can be, so that few coordinates have decimals.
    return apart // 4 * 4 if apart >= 8 else apart


def _x(number: int, rounds: int) -> float:
    return _LEFT + _apart(rounds) * number


def _y(row: int) -> int:
    return _TOP + _ROW * (row - 1) + _ROW // 2


def _draw_lanes(canvas: Canvas, rounds: Sequence[str], lanes: int, words: Catalogue) -> None:
    end = _x(len(rounds) - 1, len(rounds))
    for row in range(1, lanes + 1, 2):
        width = end + _POINTS + 6 - MARGIN
        canvas.rect(MARGIN, _y(row) - _ROW / 2, width, _ROW, "lane")
    canvas.text(end + _POINTS, _TOP - 8, words.say("Rank points"), "soft", SMALL_SIZE, "end")
    baseline = _TOP - 8
    # From the last round back, as many as stand side by side; the word for them goes in front.
    free_to = end + _NAMES
    for number in reversed(range(len(rounds))):
        x = _x(number, len(rounds))
        name = fitted(rounds[number], 60, SMALL_SIZE)
        half = text_width(name, SMALL_SIZE) / 2
        if x + half + 4 <= free_to and x - half >= MARGIN:
            canvas.text(x, baseline, name, "soft", SMALL_SIZE, "middle")
            free_to = x - half
    word = words.say("Round")
    if free_to - text_width(word, SMALL_SIZE) - 6 >= MARGIN:
        canvas.text(free_to - 6, baseline, word, "soft", SMALL_SIZE, "end")
    else:
        canvas.text(MARGIN, baseline - 14, word, "soft", SMALL_SIZE)


def _draw_ties(
    canvas: Canvas, courses: Sequence[TeamCourse], rows: list[list[int | None]], rounds: int
) -> None:
    bars = ""
    for number in range(rounds):
        rows_of_rank: dict[int, list[int]] = {}
        for of_team, course in zip(rows, courses, strict=True):
            row, rank = of_team[number], course.ranks[number]
            if row is not None and rank is not None:
                rows_of_rank.setdefault(rank, []).append(row)
        for shared in rows_of_rank.values():
            if len(shared) > 1:
                long = _ROW * (len(shared) - 1)
                bars += f"M{coordinate(_x(number, rounds))} {_y(min(shared))}v{long}"
    if bars:
        canvas.line(bars, "soft", 1.5)


def _draw_line(canvas: Canvas, rows: list[int | None], index: int, every_mark: bool) -> None:
    path = ""
    marks: list[tuple[str, int]] = []
    before: int | None = None
    for number, row in enumerate(rows):
        if row is None:
            before = None
            continue
        x, y = _x(number, len(rows)), _y(row)
        if before is None:
            path += f"M{coordinate(x)} {y}"
        elif before == row:
            # One stroke up to the next turn.
            if rows[number + 1 : number + 2] != [row]:
                path += f"H{coordinate(x)}"
        else:
            # As one changes lanes: straight on, across, straight on.
            apart = x - _x(number - 1, len(rows))
            path += f"h{coordinate(apart / 4)}L{coordinate(x - apart / 4)} {y}H{coordinate(x)}"
        after = rows[number + 1] if number + 1 < len(rows) else None
        if every_mark or not before == row == after:
            marks.append((coordinate(x), y))
        before = row
    hue = HUES[index % len(HUES)]
    dashes = _DASHES[index // len(HUES) % len(_DASHES)]
    canvas.line(path, hue, 2, dashes)
    _draw_marks(canvas, marks, index, hue)


def _draw_marks(canvas: Canvas, marks: list[tuple[str, int]], index: int, hue: Hue) -> None:
    # Teams of one colour have other forms.
    kind = (index + index // len(HUES)) % len(_FORMS)
    form = _FORMS[kind]
    path = "".join(f"M{x} {y}{form}" for x, y in marks)
    if form == _POINT:
        # A stroke of no length is seen by its ends alone.
        cap: Cap = "round" if kind == 0 else "square"
        canvas.line(path, hue, 9 if cap == "round" else 8, cap=cap)
    else:
        canvas.area(path, hue)


def _letter_end(canvas: Canvas, course: TeamCourse, row: int, end: float) -> None:
    y = _y(row) + 4
    rank, points = course.ranks[-1], course.rank_points[-1]
    room = float(_POINTS - _NAMES)
    if rank is not None:
        canvas.text(end + _RANKS, y, str(rank), anchor="end")
    if points is not None:
        canvas.text(end + _POINTS, y, str(points), anchor="end")
        room -= text_width(str(points), TEXT_SIZE, True) + 8
    canvas.text(end + _NAMES, y, fitted(course.team, room, TEXT_SIZE))


def _course(course: TeamCourse, words: Catalogue) -> str:
    ranks = ", ".join("–" if rank is None else str(rank) for rank in course.ranks)
    return words.say("{team}: ranks after each round {ranks}", team=course.team, ranks=ranks)


def _sentence(rounds: Sequence[str], courses: Sequence[TeamCourse], words: Catalogue) -> str:
    """The table after the last round."""
    ranked = sorted(
        (rank, index)
        for index, course in enumerate(courses)
        if (rank := course.ranks[-1]) is not None
    )
    places = []
    for rank, index in ranked:
        course = courses[index]
        points = course.rank_points[-1]
        places.append(
            words.say("{team}: rank {rank}", team=course.team, rank=rank)
            if points is None
            else words.say(
                "{team}: rank {rank}, {points} rank points",
                team=course.team,
                rank=rank,
                points=points,
            )
        )
    if not places:
        return ""
    after = words.say("After round {round}", round=rounds[-1])
    return f"{after}: {'; '.join(places)}."
