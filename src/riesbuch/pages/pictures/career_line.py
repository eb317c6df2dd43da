"""A player's career: points per strike on a line of years, beside what everybody there struck."""

from collections.abc import Collection, Mapping
from fractions import Fraction
from itertools import chain
from math import ceil, floor

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    MARGIN,
    PHONE_BASELINE,
    PHONE_TEXT,
    WIDTH,
    Canvas,
    Picture,
    Tone,
    coordinate,
    fitted,
    text_width,
)
from riesbuch.pages.pictures.years import Years, gaps_told, span_told

_HEIGHT = 400
_TOP, _FOOT = 126, 350
_KEY_BASELINE = PHONE_BASELINE + 38
_SAMPLE = 44
_STEPS = (Fraction(1, 10), Fraction(1, 5), Fraction(1, 2), 1, 2, 5, 10, 20, 50, 100)
_MOST_STEPS = 5
_FEW = 6
FEWEST_SEASONS = 2


def career_picture(
    averages: Mapping[int, Fraction],
    means: Mapping[int, Fraction],
    matches: Mapping[int, int],
    title: str,
    words: Catalogue,
) -> Picture | None:
    """``averages`` are the points per strike of each season by year, ``means`` those of everybody
    in the same competitions; ``matches`` are on how many each average rests. None where there are
    too few seasons for a line; years between that are missing are gaps. The scale reaches over
    what is drawn and no farther."""
    if len(averages) < FEWEST_SEASONS:
        return None
    known = dict(sorted(averages.items()))
    best = max(known, key=lambda year: (known[year], -year))
    latest = max(known)
    left = MARGIN + text_width("00.00") + 22
    years = Years(known, left + 12)
    compared = {year: means[year] for year in known if year in means}

    def figure(year: int) -> str:
        said = words.figure(known[year])
        if year not in compared:
            return said
        return words.say("{figure} (mean {mean})", figure=said, mean=words.figure(compared[year]))

    facts = [
        span_told(years, words),
        words.say("best {figure} in {year}", year=best, figure=figure(best)),
    ]
    if best != latest:
        facts.append(
            words.say("{figure} in {year}, the latest", year=latest, figure=figure(latest))
        )
    if compared:
        above = sum(known[year] > mean for year, mean in compared.items())
        facts.append(
            words.say(
                "above the mean in {above} of {all} seasons",
                above=words.number(above),
                all=words.number(len(compared)),
            )
        )
    facts += gaps_told(years, words)
    canvas = Canvas(_HEIGHT, title, "; ".join(facts) + ".", words.say("Points per strike"))
    scale = _Scale([*known.values(), *compared.values()])
    _draw_key(canvas, bool(compared), words)
    for mark in scale.marks():
        y = scale.y(mark)
        canvas.line(f"M{coordinate(left)} {coordinate(y)}H{WIDTH - MARGIN}", "grid")
        shown = words.number(int(mark)) if scale.step >= 1 else words.figure(mark)
        canvas.text(left - 10, y + 8, shown, "soft", "end")
    years.draw(canvas, _TOP, _FOOT, words)
    _draw_line(canvas, years, scale, compared, "soft", "7 5")
    _draw_line(canvas, years, scale, known, "struck")
    dots = []
    for year, average in known.items():
        said = f"{year}: {figure(year)}"
        if year in matches:
            count = words.counted(matches[year], "{count} match", "{count} matches")
            said = f"{said}, {count}"
        dots.append((years.x(year), scale.y(average), said))
    canvas.dots(dots, "struck", 12 if years.apart > 16 else 9)
    _letter_figures(canvas, years, scale, known, best, words)
    return canvas.picture()


class _Scale:
    """From the step below the lowest figure to the one above the highest."""

    def __init__(self, figures: Collection[Fraction]) -> None:
        low, high = min(figures), max(figures)
        self.step = next(
            (Fraction(step) for step in _STEPS if high - low <= step * (_MOST_STEPS - 2)),
            Fraction(1000),
        )
        self._size = float(self.step)
        self._bottom = floor(low / self.step)
        self._top = max(ceil(high / self.step), self._bottom + 1)

    def marks(self) -> list[Fraction]:
        return [self.step * number for number in range(self._bottom, self._top + 1)]

    def y(self, figure: Fraction) -> float:
        steps = figure.numerator / figure.denominator / self._size - self._bottom
        return _FOOT - (_FOOT - _TOP) * steps / (self._top - self._bottom)


def _draw_key(canvas: Canvas, has_means: bool, words: Catalogue) -> None:
    x, y = MARGIN, _KEY_BASELINE - 8
    own = words.say("own")
    canvas.line(f"M{x} {y}h{_SAMPLE}", "struck", 4)
    canvas.text(x + _SAMPLE + 10, _KEY_BASELINE, own, "ink")
    if has_means:
        x += _SAMPLE + 10 + round(text_width(own)) + 26
        canvas.line(f"M{x} {y}h{_SAMPLE}", "soft", 3, "7 5")
        x += _SAMPLE + 10
        mean = fitted(words.say("mean of all in the same competitions"), WIDTH - MARGIN - x)
        canvas.text(x, _KEY_BASELINE, mean, "soft")


def _draw_line(
    canvas: Canvas,
    years: Years,
    scale: _Scale,
    figures: Mapping[int, Fraction],
    tone: Tone,
    dashes: str = "",
) -> None:
    path = ""
    for year, figure in figures.items():
        at = f"{coordinate(years.x(year))} {coordinate(scale.y(figure))}"
        path += f"{'L' if year - 1 in figures else 'M'}{at}"
    if path:
        canvas.line(path, tone, 3 if dashes else 4, dashes)


def _letter_figures(
    canvas: Canvas,
    years: Years,
    scale: _Scale,
    known: Mapping[int, Fraction],
    best: int,
    words: Catalogue,
) -> None:
    """The best, the latest and the first season by their figures, then others while there is
    room and the line leaves them free."""
    others = known if len(known) <= _FEW else ()
    lettered: list[tuple[float, float]] = []
    for year in dict.fromkeys(chain((best, max(known), min(known)), others)):
        written = words.figure(known[year])
        half = text_width(written, year == best) / 2
        x = min(max(years.x(year), years.left + half), WIDTH - MARGIN - half)
        own = scale.y(known[year])
        beside = [scale.y(known[each]) for each in (year - 1, year + 1) if each in known]
        under = [scale.y(known[each]) for each in known if abs(years.x(each) - x) <= half + 6]
        # Clear of the line, below where it comes down to its lowest; far from its point a figure
        # would be taken for another's.
        below = own + PHONE_TEXT + 12
        if beside and own > max(beside) and own == max(under) and below < _FOOT - 6:
            y = below
        elif own - min(under) < PHONE_TEXT:
            y = min(under) - 14
        else:
            continue
        if all(x - half >= end + 6 or x + half <= start - 6 for start, end in lettered):
            lettered.append((x - half, x + half))
            canvas.figure(x, y, written, year == best)
