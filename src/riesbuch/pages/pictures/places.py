"""A club's places over the years: a line for each team, through a band for each division."""

from collections.abc import Iterable, Mapping, Sequence
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
    coordinate,
    fitted,
    text_width,
)
from riesbuch.pages.pictures.years import Years, gaps_told, span_told

_LINE = 34
_SAMPLE = 44
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
