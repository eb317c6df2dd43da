"""Pictures over a line of years: a player's career, and a club's places."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import chain, pairwise
from math import ceil, floor
from typing import NamedTuple

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    HUES,
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

_ROUND = (1, 2, 5, 10, 20, 50, 100)
_YEARS_BELOW = 32


class Years:
    """From the first to the last of ``years``, two at least, of which so many are ``known``, from
    ``left`` to the margin; those between that are missing are ``gaps``, each by its first and
    last year."""

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
        return (self._right - self.left) / (self.last - self.first)

    def x(self, year: float) -> float:
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
            canvas.text(self.x(year), foot + _YEARS_BELOW, str(year), "soft", "middle")
            ticks += f"M{coordinate(self.x(year))} {coordinate(foot)}v8"
        canvas.line(ticks, "soft")


def gaps_told(years: Years, words: Catalogue) -> list[str]:
    """Which years are missing, in words; nothing where none are."""
    if not years.gaps:
        return []
    listed = words.listed(year_span(*gap) for gap in years.gaps)
    return [words.say("no figures for {years}", years=listed)]


def span_told(years: Years, words: Catalogue) -> str:
    return words.say(
        "{count} seasons on record, from {first} to {last}",
        first=years.first,
        last=years.last,
        count=words.number(years.known),
    )


def year_span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}–{last}"


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

    def facts() -> Iterator[str]:
        yield span_told(years, words)
        yield words.say("best {figure} in {year}", year=best, figure=figure(best))
        if best != latest:
            yield words.say("{figure} in {year}, the latest", year=latest, figure=figure(latest))
        if compared:
            above = sum(known[year] > mean for year, mean in compared.items())
            yield words.say(
                "above the mean in {above} of {all} seasons",
                above=words.number(above),
                all=words.number(len(compared)),
            )
        yield from gaps_told(years, words)

    canvas = Canvas(_HEIGHT, title, "; ".join(facts()) + ".", words.say("Points per strike"))
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


_LINE = 34
_BAND_HEAD = 62
"""Above the first rank of each division, for its name and the last rank of the one above."""
_LEAST_HEIGHT, _MOST_HEIGHT = 60, 460
_MOST_A_RANK = 26
_BELOW = 50
_DASHES = ("", "9 5", "3 5", "12 4 3 4")


class Place(NamedTuple):
    """A team's ``rank`` of ``teams`` in a ``division``, named by its place among those of the
    picture; ``qualified`` is said of it besides."""

    division: int
    rank: int
    teams: int
    qualified: str = ""


def places_picture(
    divisions: Sequence[str],
    teams: Mapping[str, Mapping[int, Place]],
    title: str,
    words: Catalogue,
) -> Picture | None:
    """``divisions`` are named from the top down; ``teams`` have their places by year. None where
    there are too few years for a line. Years without any place are gaps, and a line is broken
    where its team has none."""
    shown = {name: dict(sorted(places.items())) for name, places in teams.items() if places}
    if len({year for places in shown.values() for year in places}) < 2:
        return None
    years = Years({year for places in shown.values() for year in places}, MARGIN + 50)
    lines = list(_key_lines(shown))
    top = PHONE_BASELINE + 12 + _LINE * len(lines)
    bands = _Bands(top, [place for places in shown.values() for place in places.values()])
    facts = [_told(divisions, name, places, words) for name, places in shown.items()]
    sentence = "; ".join([span_told(years, words), *facts, *gaps_told(years, words)])
    height = round(bands.foot) + _BELOW
    canvas = Canvas(height, title, f"{sentence}.", words.say("Places over the years"))
    for number, line in enumerate(lines, start=1):
        x, y = MARGIN, PHONE_BASELINE + 4 + _LINE * number
        for index, name in line:
            hue, dashes = HUES[index % len(HUES)], _DASHES[index % len(_DASHES)]
            canvas.line(f"M{x} {y - 8}h{_SAMPLE}", hue, 4, dashes)
            room = WIDTH - MARGIN - x - _SAMPLE - 10
            name = fitted(name, room)
            canvas.text(x + _SAMPLE + 10, y, name, "ink")
            x += round(_sample_width(name))
    years.draw(canvas, top + 8, bands.foot + 8, words)
    bands.draw(canvas, divisions, words)
    for index, (name, places) in enumerate(shown.items()):
        _draw_team(canvas, years, bands, index, divisions, name, places, words)
    return canvas.picture()


class _Bands:
    """Of each division that has a place as much height as its lowest rank takes."""

    def __init__(self, top: float, places: Sequence[Place]) -> None:
        self._ranks = {
            division: max(
                max(place.rank, place.teams) for place in places if place.division == division
            )
            for division in sorted({place.division for place in places})
        }
        steps = sum(ranks - 1 for ranks in self._ranks.values())
        height = min(_MOST_HEIGHT, max(_LEAST_HEIGHT, _MOST_A_RANK * steps))
        self._apart = height / max(steps, 1)
        self._first: dict[int, float] = {}
        y = top
        for division, ranks in self._ranks.items():
            self._first[division] = y = y + _BAND_HEAD
            y += self._apart * (ranks - 1)
        self.foot = y + 14

    def y(self, place: Place) -> float:
        return self._first[place.division] + self._apart * (place.rank - 1)

    def draw(self, canvas: Canvas, divisions: Sequence[str], words: Catalogue) -> None:
        for division, last in self._ranks.items():
            name = fitted(divisions[division], WIDTH - 2 * MARGIN)
            canvas.text(MARGIN, self._first[division] - 24, name, "soft")
            for rank in (1, last) if last > 1 and self._apart * (last - 1) >= PHONE_TEXT else (1,):
                y = self._first[division] + self._apart * (rank - 1)
                canvas.line(f"M{MARGIN + 40} {coordinate(y)}H{WIDTH - MARGIN}", "grid")
                shown = words.number(rank)
                canvas.text(MARGIN + 30, y + 8, shown, "soft", "end")


def _sample_width(name: str) -> float:
    return _SAMPLE + 10 + text_width(name) + 26


def _key_lines(names: Iterable[str]) -> Iterable[list[tuple[int, str]]]:
    """The teams by number, as many on each line as have room."""
    line: list[tuple[int, str]] = []
    width = 0.0
    for index, name in enumerate(names):
        wide = _sample_width(name)
        if line and width + wide > WIDTH - 2 * MARGIN:
            yield line
            line, width = [], 0.0
        line.append((index, name))
        width += wide
    yield line


def _draw_team(
    canvas: Canvas,
    years: Years,
    bands: _Bands,
    index: int,
    divisions: Sequence[str],
    name: str,
    places: Mapping[int, Place],
    words: Catalogue,
) -> None:
    hue, dashes = HUES[index % len(HUES)], _DASHES[index % len(_DASHES)]
    path, before = "", None
    for year, place in places.items():
        at = f"{coordinate(years.x(year))} {coordinate(bands.y(place))}"
        path += f"{'L' if before == year - 1 else 'M'}{at}"
        before = year
    canvas.group(name)
    canvas.line(path, hue, 3.5, dashes)
    dots = (
        (years.x(year), bands.y(place), f"{name} {year}: {_place(divisions, place, words)}")
        for year, place in places.items()
    )
    canvas.dots(dots, hue, 11 if years.apart > 14 else 8)
    canvas.end_group()


def _place(divisions: Sequence[str], place: Place, words: Catalogue) -> str:
    said = words.say(
        "rank {rank} of {teams}, {division}",
        rank=words.number(place.rank),
        teams=words.number(place.teams),
        division=divisions[place.division],
    )
    return f"{said} ({place.qualified})" if place.qualified else said


def _told(
    divisions: Sequence[str], name: str, places: Mapping[int, Place], words: Catalogue
) -> str:
    """The best place, how often first, and the latest."""
    best = min(places, key=lambda year: (places[year][:2], year))
    latest = max(places)
    parts = [
        words.say(
            "{name}: best {place} in {year}",
            name=name,
            place=_place(divisions, places[best], words),
            year=best,
        )
    ]
    division = places[best].division
    firsts = sum(place.rank == 1 and place.division == division for place in places.values())
    if firsts > 1:
        parts.append(words.say("{count} times first there", count=words.number(firsts)))
    if latest != best:
        place = _place(divisions, places[latest], words)
        parts.append(words.say("{place} in {year}, the latest", place=place, year=latest))
    return ", ".join(parts)
