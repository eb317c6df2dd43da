"""A line of years, the same in all pictures that have one."""

from collections.abc import Collection
from itertools import pairwise

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    MARGIN,
    WIDTH,
    Canvas,
    coordinate,
    text_width,
)

_ROUND = (1, 2, 5, 10, 20, 50, 100)
_BELOW = 32


class Years:
    """From the first to the last of ``years``, of which so many are ``known``, from ``left`` to the
    margin; those between that are missing are ``gaps``, each by its first and last year."""

    def __init__(self, years: Collection[int], left: float) -> None:
        known = sorted(set(years))
        self.known = len(known)
        self.first, self.last = known[0], known[-1]
        self.gaps = [
            (before + 1, after - 1) for before, after in pairwise(known) if after - before > 1
        ]
        half = text_width("0000") / 2
        self.left, self._right = left, WIDTH - MARGIN - half

    @property
    def apart(self) -> float:
        """How far two years stand from each other."""
        return (self._right - self.left) / max(1, self.last - self.first)

    def x(self, year: float) -> float:
        if self.first == self.last:
            return (self.left + self._right) / 2
        return self.left + self.apart * (year - self.first)

    def draw(self, canvas: Canvas, top: float, foot: float, words: Catalogue) -> None:
        """A lane for each gap, and below the field the first and the last year, with as many
        round ones between them as stand side by side."""
        for first, last in self.gaps:
            x, end = self.x(first - 0.5), self.x(last + 0.5)
            title = words.say("no figures for {years}", years=year_span(first, last))
            canvas.rect(x, top, end - x, foot - top, "lane", title=title)
        width = text_width("0000") + 16
        every = next((step for step in _ROUND if step * self.apart >= width), 1000)
        named = [self.first, self.last]
        for year in range(self.first, self.last):
            if year % every == 0 and all(abs(year - each) * self.apart >= width for each in named):
                named.append(year)
        ticks = ""
        for year in sorted(set(named)):
            canvas.text(self.x(year), foot + _BELOW, str(year), "soft", "middle")
            ticks += f"M{coordinate(self.x(year))} {coordinate(foot)}v8"
        canvas.line(ticks, "soft")


def gaps_told(years: Years, words: Catalogue) -> list[str]:
    """Which years are missing, in words; nothing where none are."""
    if not years.gaps:
        return []
    listed = words.listed(year_span(*gap) for gap in years.gaps)
    return [words.say("no figures for {years}", years=listed)]


def span_told(years: Years, words: Catalogue) -> str:
    if years.known == 1:
        return words.say("one season on record, {first}", first=years.first)
    return words.say(
        "{count} seasons on record, from {first} to {last}",
        first=years.first,
        last=years.last,
        count=words.number(years.known),
    )


def year_span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"
