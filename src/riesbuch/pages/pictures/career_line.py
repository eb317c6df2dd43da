"""A player's career: one figure a season on a line of years, with gaps where nothing is known."""

from collections.abc import Mapping
from fractions import Fraction
from itertools import pairwise
from math import ceil

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    MARGIN,
    SMALL_SIZE,
    TEXT_SIZE,
    TITLE_BASELINE,
    WIDTH,
    Canvas,
    Picture,
    coordinate,
    fitted,
    text_width,
)

_HEIGHT = 260
_TOP, _FOOT = 84, 214
_YEARS_BASELINE = 240
_LEFT = MARGIN + 56
_RIGHT = WIDTH - MARGIN - 28
_MOST_STEPS = 6
_FEW = 12


Figure = int | Fraction


def career_picture(
    figures: Mapping[int, Figure | None], matches: Mapping[int, int], title: str, words: Catalogue
) -> Picture | None:
    """``figures`` are the average or the points of each season by year, None where not known;
    ``matches`` are on how many each rests. None where no figure is known; years between that are
    missing are gaps like those whose figure is not known. The scale starts at nought."""
    known = {year: figure for year, figure in sorted(figures.items()) if figure is not None}
    if not known:
        return None
    years = sorted(known)
    gaps = _gaps(years)
    best = max(years, key=lambda year: (known[year], -year))
    facts = [
        _span(years, words),
        words.say("best {figure} in {year}", year=best, figure=words.figure(known[best])),
    ]
    if best != years[-1]:
        latest = years[-1]
        facts.append(
            words.say(
                "{figure} in {year}, the latest", year=latest, figure=words.figure(known[latest])
            )
        )
    if gaps:
        facts.append(
            words.say(
                "no figures for {years}", years=words.listed(_year_span(*gap) for gap in gaps)
            )
        )
    canvas = Canvas(_HEIGHT, title, "; ".join(facts) + ".")
    shown = words.say("Points a strike")
    if gaps:
        shown = f"{shown} · {facts[-1]}"
    shown = fitted(shown, WIDTH - 2 * MARGIN, SMALL_SIZE)
    canvas.text(MARGIN, TITLE_BASELINE + 20, shown, "soft", SMALL_SIZE)
    scale = _Scale(years, [known[year] for year in years], words)
    _draw_field(canvas, scale, gaps, words)
    _draw_line(canvas, scale, known)
    dot = 8 if scale.x(years[0] + 1) - scale.x(years[0]) > 12 else 6
    dots = [
        (scale.x(year), scale.y(figure), _tooltip(year, figure, matches.get(year), words))
        for year, figure in known.items()
    ]
    canvas.dots(dots, "struck", dot)
    _letter_figures(canvas, scale, known, best, words)
    return canvas.picture()


class _Scale:
    def __init__(self, years: list[int], figures: list[Figure], words: Catalogue) -> None:
        self.first, self.last = years[0], years[-1]
        self.step = _step(max(figures))
        self.steps = max(1, ceil(Fraction(max(figures)) / self.step))
        self.top = self.step * self.steps
        self.left = max(_LEFT, MARGIN + text_width(words.number(self.top), SMALL_SIZE) + 18)

    def x(self, year: float) -> float:
        if self.first == self.last:
            return (self.left + _RIGHT) / 2 + (year - self.first) * 40
        return self.left + (_RIGHT - self.left) * (year - self.first) / (self.last - self.first)

    def y(self, figure: Figure) -> float:
        # A figure below nought is nobody's, and stands at the foot.
        return _FOOT - (_FOOT - _TOP) * max(figure.numerator, 0) / (figure.denominator * self.top)

    def at(self, year: int, figure: Figure) -> str:
        return f"{coordinate(self.x(year))} {coordinate(self.y(figure))}"


def _step(highest: Figure) -> int:
    """The least of 1, 2, 5, 10, 20 ... that reaches ``highest`` in a few steps."""
    size = 1
    while True:
        for step in (size, 2 * size, 5 * size):
            if step * _MOST_STEPS >= highest:
                return step
        size *= 10


def _gaps(years: list[int]) -> list[tuple[int, int]]:
    """First and last year of every gap between years that are known."""
    return [(before + 1, after - 1) for before, after in pairwise(years) if after - before > 1]


def _draw_field(
    canvas: Canvas, scale: _Scale, gaps: list[tuple[int, int]], words: Catalogue
) -> None:
    for first, last in gaps:
        x, end = scale.x(first - 0.5), scale.x(last + 0.5)
        canvas.rect(
            x, _TOP, end - x, _FOOT - _TOP, "lane",
            title=words.say("no figures for {years}", years=_year_span(first, last)),
        )  # fmt: skip
    for number in range(1, scale.steps + 1):
        figure = scale.step * number
        y = coordinate(scale.y(figure))
        canvas.line(f"M{coordinate(scale.left - 12)} {y}H{WIDTH - MARGIN}", "grid")
        canvas.text(
            scale.left - 18, scale.y(figure) + 4, words.number(figure), "soft", SMALL_SIZE, "end"
        )
    canvas.line(f"M{coordinate(scale.left - 12)} {_FOOT}H{WIDTH - MARGIN}", "soft")
    canvas.text(scale.left - 18, _FOOT + 4, "0", "soft", SMALL_SIZE, "end")
    _draw_years(canvas, scale)


def _draw_years(canvas: Canvas, scale: _Scale) -> None:
    """The first and the last year, between them as many round ones as stand side by side."""
    width = text_width("0000", SMALL_SIZE) + 10
    apart = scale.x(scale.first + 1) - scale.x(scale.first)
    every = next((step for step in (1, 2, 5, 10, 20, 50, 100) if step * apart >= width), 1000)
    named = [scale.first, scale.last]
    for year in range(scale.first, scale.last):
        if year % every == 0 and all(abs(year - other) * apart >= width for other in named):
            named.append(year)
    ticks = ""
    for year in sorted(set(named)):
        canvas.text(scale.x(year), _YEARS_BASELINE, str(year), "soft", SMALL_SIZE, "middle")
        ticks += f"M{coordinate(scale.x(year))} {_FOOT}v8"
    canvas.line(ticks, "soft")


def _draw_line(canvas: Canvas, scale: _Scale, known: Mapping[int, Figure]) -> None:
    path = ""
    for year, figure in known.items():
        path += f"{'L' if year - 1 in known else 'M'}{scale.at(year, figure)}"
    canvas.line(path, "struck", 2.5)


def _letter_figures(
    canvas: Canvas, scale: _Scale, known: Mapping[int, Figure], best: int,
    words: Catalogue,
) -> None:  # fmt: skip
    """The best, the latest and the first season by their figures, then others while there is
    room and the line leaves them free."""
    years = list(known)
    others = years if len(years) <= _FEW else []
    lettered: list[tuple[float, float]] = []
    for year in dict.fromkeys((best, years[-1], years[0], *others)):
        written = words.figure(known[year])
        bold = year == best
        size = TEXT_SIZE if bold else SMALL_SIZE
        half = text_width(written, size, bold) / 2
        x = max(min(scale.x(year), WIDTH - MARGIN - half), scale.left - 10 + half)
        if all(x - half >= end + 4 or x + half <= start - 4 for start, end in lettered):
            lettered.append((x - half, x + half))
            # Above all points over which the letters reach.
            under = [scale.y(known[near]) for near in years if abs(scale.x(near) - x) <= half + 4]
            canvas.figure(x, min(under) - 9, written, size, bold)


def _tooltip(year: int, figure: Figure, matches: int | None, words: Catalogue) -> str:
    said = f"{year}: {words.figure(figure)}"
    if matches is None:
        return said
    return said + " (" + words.counted(matches, "{count} match", "{count} matches") + ")"


def _span(years: list[int], words: Catalogue) -> str:
    if len(years) == 1:
        return words.say("one season, {first}", first=years[0])
    return words.say(
        "{count} seasons from {first} to {last}",
        first=years[0],
        last=years[-1],
        count=words.number(len(years)),
    )


def _year_span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"
