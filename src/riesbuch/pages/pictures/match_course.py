"""A match Ries by Ries: both sides' running totals, drawn to one scale."""

from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    MARGIN,
    SMALL_SIZE,
    TEXT_SIZE,
    WIDTH,
    Canvas,
    Picture,
    Tone,
    coordinate,
    fitted,
    text_width,
)

_HEIGHT = 252
_NAME_ABOVE, _NAME_BELOW = 58, 234
_BAR = 26
_BAR_ABOVE, _BAR_BELOW = 88, 172
_TOTALS_ABOVE, _TOTALS_BELOW = _BAR_ABOVE - 6, _BAR_BELOW + _BAR + 14
_LEADS = (_BAR_ABOVE + _BAR + _BAR_BELOW) / 2 + 4
_LEFT = MARGIN
_LONGEST = WIDTH - 2 * MARGIN - 108
_SLANT_AT_LETTERS = 0.2
"""How far to both sides, of its whole slant, a rung leans at the height of the letters."""


class SideCourse(NamedTuple):
    """A side's Ries totals in their order, none where they are unknown, its points and the
    Nummern it conceded. ``won`` letters the winner's name bold."""

    name: str
    ries: Sequence[int]
    points: int | None
    nummern: int | None
    won: bool = False

    @property
    def totals(self) -> list[int]:
        """After each Ries."""
        return list(accumulate(self.ries))


def match_course_picture(
    home: SideCourse, away: SideCourse, title: str, words: Catalogue
) -> Picture | None:
    """None where neither side's Ries totals are known. A side of which only the points are known
    has a bar without seams. The slant of a rung shows who leads after a Ries."""
    home_totals, away_totals = home.totals, away.totals
    if not home_totals and not away_totals:
        return None
    facts = [_facts(side, words) for side in (home, away)]
    canvas = Canvas(_HEIGHT, title, "; ".join(facts) + ".")
    longest = max(*home_totals, *away_totals, home.points or 0, away.points or 0, 1)
    scale = _LONGEST / longest
    _draw_side(canvas, home, "home", scale, words)
    _draw_side(canvas, away, "away", scale, words)
    free_from = float(_LEFT)
    for number, totals in enumerate(zip(home_totals, away_totals), start=1):  # noqa: B905
        above, below = (_LEFT + total * scale for total in totals)
        lead = totals[0] - totals[1]
        leader = home if lead > 0 else away
        canvas.group(
            words.say(
                "{name} leads by {points} after Ries {number}",
                name=leader.name,
                points=words.number(abs(lead)),
                number=number,
            )
            if lead
            else words.say("Level after Ries {number}", number=number)
        )
        canvas.line(
            f"M{coordinate(above)} {_BAR_ABOVE + _BAR}L{coordinate(below)} {_BAR_BELOW}",
            "ink", 1.5,
        )  # fmt: skip
        middle, slant = (above + below) / 2, abs(above - below) * _SLANT_AT_LETTERS
        free_from = _letter_rung(
            canvas, number, lead, free_from, (middle - slant, middle + slant), words
        )
        canvas.end_group()
    return canvas.picture()


def _draw_side(
    canvas: Canvas, side: SideCourse, tone: Tone, scale: float, words: Catalogue
) -> None:
    above = tone == "home"
    top = _BAR_ABOVE if above else _BAR_BELOW
    shown = ""
    if side.nummern is not None:
        shown = words.counted(side.nummern, "{count} Nummer conceded", "{count} Nummern conceded")
    room = WIDTH - 2 * MARGIN - text_width(shown, TEXT_SIZE) - 12
    baseline = _NAME_ABOVE if above else _NAME_BELOW
    name = fitted(side.name, room, TEXT_SIZE, True)
    canvas.group(side.name)
    canvas.text(MARGIN, baseline, name, bold=side.won)
    if shown:
        canvas.text(WIDTH - MARGIN, baseline, shown, "soft", anchor="end")
    canvas.end_group()
    start = 0
    for number, ries in enumerate(side.ries, start=1):
        x, width = _LEFT + start * scale, ries * scale
        written = words.number(ries)
        title = f"{words.say('Ries {number}', number=number)}: {written}"
        canvas.rect(x, top, width, _BAR, tone, title=title)
        if text_width(written, SMALL_SIZE, True) + 4 <= width:
            canvas.text_on(x + width / 2, top + 17, written)
        start += ries
    if side.points is not None and side.points > start:
        # What is left of the points fell in Ries whose totals nobody knows.
        x, width = _LEFT + start * scale, (side.points - start) * scale
        outline = f"M{coordinate(x)} {top + 1}h{coordinate(width)}v{_BAR - 2}h{coordinate(-width)}z"
        canvas.line(outline, tone, 2, "5 3")
    _letter_totals(canvas, side, above, scale, words)


def _letter_totals(
    canvas: Canvas, side: SideCourse, above: bool, scale: float, words: Catalogue
) -> None:
    """From the last one back, each under or over the end of its Ries where there is room."""
    top = _BAR_ABOVE if above else _BAR_BELOW
    baseline = _TOTALS_ABOVE if above else _TOTALS_BELOW
    totals = side.totals
    if side.points is not None:
        written = words.counted(side.points, "{count} point", "{count} points")
        end = _LEFT + max([side.points, *totals[-1:]]) * scale
        canvas.text(end + 8, top + 18, fitted(written, 100, TEXT_SIZE, True), bold=True)
    free_to = float(WIDTH)
    if totals[-1:] == [side.points]:
        totals = totals[:-1]
    for total in reversed(totals):
        written = words.number(total)
        half = text_width(written, SMALL_SIZE) / 2
        x = max(_LEFT + total * scale, _LEFT + half)
        if x + half + 4 <= free_to:
            canvas.text(x, baseline, written, "soft", SMALL_SIZE, "middle")
            free_to = x - half
    seams = "".join(
        f"M{coordinate(_LEFT + total * scale)} {top - 3 if above else top}v{_BAR + 3}"
        for total in totals
    )
    if seams:
        canvas.line(seams, "ink", 1.5)


def _letter_rung(
    canvas: Canvas,
    number: int,
    lead: int,
    free_from: float,
    rung: tuple[float, float],
    words: Catalogue,
) -> float:
    """Before the rung: which Ries, and by how much who leads; the arrow points at the leader."""
    written = f"+{words.number(abs(lead))}" if lead else "="
    arrow = 12 if lead else 0
    width = text_width(written, TEXT_SIZE, True)
    right = rung[0] - 8
    left = right - width - arrow
    if left < free_from:
        return max(free_from, rung[1] + 8)
    canvas.text(right, _LEADS, written, anchor="end", bold=True)
    if lead:
        up = "l4.5-9 4.5 9z" if lead > 0 else "m0-9l4.5 9 4.5-9z"
        canvas.area(f"M{coordinate(left)} {coordinate(_LEADS)}{up}", "home" if lead > 0 else "away")
    name = words.say("Ries {number}", number=number)
    if left - 10 - text_width(name, SMALL_SIZE) >= free_from:
        canvas.text(left - 10, _LEADS, name, "soft", SMALL_SIZE, "end")
    return rung[1] + 8


def _facts(side: SideCourse, words: Catalogue) -> str:
    facts = [
        words.say(
            "{name}: {totals} points from Ries to Ries",
            name=side.name,
            totals=", ".join(map(words.number, side.totals)),
        )
        if side.ries
        else words.say("{name}: course unknown", name=side.name)
    ]
    if side.points is not None and side.totals[-1:] != [side.points]:
        facts.append(words.counted(side.points, "{count} point", "{count} points"))
    if side.nummern is not None:
        facts.append(
            words.counted(side.nummern, "{count} Nummer conceded", "{count} Nummern conceded")
        )
    return ", ".join(facts)
