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
_BEHIND = 0.5
_MOST_MARKS = 160
"""With more, only the places where a team changes rows are marked."""
_POINT = "h0"
_FORMS = (_POINT, _POINT, "m0-6 6 6-6 6-6-6z", "m0-6 5.5 10h-11z", "m0 6 5.5-10h-11z")
"""How a place is marked, drawn from its middle: a dot, a square, a diamond, triangles."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TeamCourse:
    """A team's rank and rank points after each round, None where it stood in no table; ranks may
    be shared. ``picked_out`` is the team that the picture is about, where it is about one."""

    team: str
    ranks: Sequence[int | None]
    rank_points: Sequence[int | None]
    picked_out: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonCourse:
    """``rounds`` are named as under the picture, as many as every team has ranks."""

    rounds: Sequence[str]
    teams: Sequence[TeamCourse]


def season_course_picture(season: SeasonCourse, title: str, words: Catalogue) -> Picture | None:
    """None where no team has a rank. Teams that share a rank stand in neighbouring rows with a
    bar between them, so no line covers another; a team's row is its place in the table.

    Raises ValueError where a team has not one rank and one figure for each round.
    """
    for each in season.teams:
        if not len(season.rounds) == len(each.ranks) == len(each.rank_points):
            raise ValueError(f"{each.team} has not a rank and a figure for each round")
    rows = _rows(season)
    teams = [index for index, each in enumerate(rows) if any(row is not None for row in each)]
    if not teams:
        return None
    ends = _ends(rows, teams)
    lanes = max(max(ends.values()), max(row for each in rows for row in each if row is not None))
    height = _TOP + _ROW * lanes + MARGIN
    canvas = Canvas(height, title, _sentence(season, words))
    _draw_lanes(canvas, season, lanes, words)
    _draw_ties(canvas, season, rows)
    every_mark = len(season.rounds) * len(teams) <= _MOST_MARKS
    any_picked_out = any(each.picked_out for each in season.teams)
    order = sorted(teams, key=lambda index: (season.teams[index].picked_out, index))
    for index in order:
        team = season.teams[index]
        behind = any_picked_out and not team.picked_out
        canvas.group(_course(team, words))
        _draw_line(
            canvas, rows[index], index, every_mark, team.picked_out, _BEHIND if behind else 1
        )
        _letter_end(canvas, team, ends[index], _x(len(season.rounds) - 1, len(season.rounds)))
        canvas.end_group()
    return canvas.picture()


def _rows(season: SeasonCourse) -> list[list[int | None]]:
    """Each team's row after each round, counted from 1. Within a shared rank teams keep the order
    they had, so that lines cross as little as can be."""
    rows: list[list[int | None]] = [[] for _ in season.teams]
    before = [0] * len(season.teams)
    for number in range(len(season.rounds)):
        known = [
            (rank, before[index], index)
            for index, each in enumerate(season.teams)
            if (rank := each.ranks[number]) is not None
        ]
        placed = {index: row for row, (_, _, index) in enumerate(sorted(known), start=1)}
        for index, each_rows in enumerate(rows):
            each_rows.append(placed.get(index))
            before[index] = placed.get(index, before[index])
    return rows


def _ends(rows: list[list[int | None]], teams: list[int]) -> dict[int, int]:
    """The row in which each team is named: its last, or one below all for those that dropped out
    of the table."""
    free = max((row for each in rows if (row := each[-1]) is not None), default=0)
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


def _draw_lanes(canvas: Canvas, season: SeasonCourse, lanes: int, words: Catalogue) -> None:
    rounds = len(season.rounds)
    end = _x(rounds - 1, rounds)
    for row in range(1, lanes + 1, 2):
        width = end + _POINTS + 6 - MARGIN
        canvas.rect(MARGIN, _y(row) - _ROW / 2, width, _ROW, "lane")
    canvas.text(end + _POINTS, _TOP - 8, words.say("Rank points"), "soft", SMALL_SIZE, "end")
    baseline = _TOP - 8
    # From the last round back, as many as stand side by side; the word for them goes in front.
    free_to = end + _NAMES
    for number in reversed(range(rounds)):
        x = _x(number, rounds)
        name = fitted(season.rounds[number], 60, SMALL_SIZE)
        half = text_width(name, SMALL_SIZE) / 2
        if x + half + 4 <= free_to and x - half >= MARGIN:
            canvas.text(x, baseline, name, "soft", SMALL_SIZE, "middle")
            free_to = x - half
    word = words.say("Round")
    if free_to - text_width(word, SMALL_SIZE) - 6 >= MARGIN:
        canvas.text(free_to - 6, baseline, word, "soft", SMALL_SIZE, "end")
    else:
        canvas.text(MARGIN, baseline - 14, word, "soft", SMALL_SIZE)


def _draw_ties(canvas: Canvas, season: SeasonCourse, rows: list[list[int | None]]) -> None:
    rounds = len(season.rounds)
    bars = ""
    for number in range(rounds):
        rows_of_rank: dict[int, list[int]] = {}
        for each, team in zip(rows, season.teams, strict=True):
            row, rank = each[number], team.ranks[number]
            if row is not None and rank is not None:
                rows_of_rank.setdefault(rank, []).append(row)
        for shared in rows_of_rank.values():
            if len(shared) > 1:
                long = _ROW * (len(shared) - 1)
                bars += f"M{coordinate(_x(number, rounds))} {_y(min(shared))}v{long}"
    if bars:
        canvas.line(bars, "soft", 1.5)


def _draw_line(
    canvas: Canvas,
    rows: list[int | None],
    index: int,
    every_mark: bool,
    picked_out: bool,
    opacity: float,
) -> None:
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
    canvas.line(path, hue, 4 if picked_out else 2, dashes, opacity=opacity)
    _draw_marks(canvas, marks, index, hue, opacity)


def _draw_marks(
    canvas: Canvas, marks: list[tuple[str, int]], index: int, hue: Hue, opacity: float
) -> None:
    # Teams of one colour have other forms.
    kind = (index + index // len(HUES)) % len(_FORMS)
    form = _FORMS[kind]
    path = "".join(f"M{x} {y}{form}" for x, y in marks)
    if form == _POINT:
        # A stroke of no length is seen by its ends alone.
        cap: Cap = "round" if kind == 0 else "square"
        canvas.line(path, hue, 9 if cap == "round" else 8, cap=cap, opacity=opacity)
    else:
        canvas.area(path, hue, opacity)


def _letter_end(canvas: Canvas, team: TeamCourse, row: int, end: float) -> None:
    y = _y(row) + 4
    rank, points = team.ranks[-1], team.rank_points[-1]
    room = float(_POINTS - _NAMES)
    if rank is not None:
        canvas.text(end + _RANKS, y, str(rank), "ink", anchor="end", bold=team.picked_out)
    if points is not None:
        canvas.text(end + _POINTS, y, str(points), "ink", anchor="end", bold=team.picked_out)
        room -= text_width(str(points), TEXT_SIZE, True) + 8
    name = fitted(team.team, room, TEXT_SIZE, team.picked_out)
    canvas.text(end + _NAMES, y, name, "ink", bold=team.picked_out)


def _course(team: TeamCourse, words: Catalogue) -> str:
    ranks = ", ".join("–" if each is None else str(each) for each in team.ranks)
    return words.say("{team}: ranks after each round {ranks}", team=team.team, ranks=ranks)


def _sentence(season: SeasonCourse, words: Catalogue) -> str:
    """The table after the last round, and the whole course of teams that are picked out."""
    placed = sorted(
        (
            (rank, index, each)
            for index, each in enumerate(season.teams)
            if (rank := each.ranks[-1]) is not None
        ),
        key=lambda entry: entry[:2],
    )
    parts = []
    for rank, _, team in placed:
        points = team.rank_points[-1]
        if points is None:
            parts.append(words.say("{team}: rank {rank}", team=team.team, rank=rank))
        else:
            parts.append(
                words.say(
                    "{team}: rank {rank}, {points} rank points",
                    team=team.team,
                    rank=rank,
                    points=points,
                )
            )
    sentences = []
    if parts:
        after = words.say("After round {round}", round=season.rounds[-1])
        sentences.append(f"{after}: {'; '.join(parts)}.")
    sentences += [f"{_course(each, words)}." for each in season.teams if each.picked_out]
    return " ".join(sentences)
