"""The strip seen from above, and where strikes came down: by zone, Nummern in the strip itself."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from riesbuch.language.catalogue import Catalogue
from riesbuch.pages.pictures.canvas import (
    MARGIN,
    PHONE_BASELINE,
    WIDTH,
    Canvas,
    Picture,
    coordinate,
    fitted,
    text_width,
)

_HEIGHT = 486
_FACTS_BASELINE = PHONE_BASELINE + 36
_BARS_TOP = 122
_BARS_FOOT = 264
_STRIP_MIDDLE = 348
_PIXELS_A_METRE = 6
_WIDTH_IN_FRONT, _WIDTH_AT_THE_BACK = 8, 14
_ZONES_BASELINE = 290
_METRES_BASELINE = 424
_KEY_BASELINE = 464
_MARK_HEIGHT = 30
_FEWEST_ZONES = 18
_FARTHEST_ZONE = 30
"""Strikes beyond it share one place behind it."""
_FIRST_METRE, _ZONE_LENGTH = 100, 10


@dataclass(frozen=True, slots=True, kw_only=True)
class StripStrikes:
    """How many strikes reached each zone by its number, 0 being those worth nothing, and how
    many of them were Nummern; ``unknown`` are strikes whose points nobody knows. The strip is
    marked as far as ``last_zone``, the last one in which a Nummer can fall."""

    zones: Mapping[int, int]
    nummern: Mapping[int, int]
    unknown: int = 0
    last_zone: int = 18


def strip_picture(strikes: StripStrikes, title: str, words: Catalogue) -> Picture | None:
    """None where no strike is known. A bar stands over every zone, as long as strikes reached it;
    a mark in the strip says how many were Nummern. The average is over the known strikes."""
    bars = _put_together(strikes.zones)
    if not bars:
        return None
    nummern = _put_together(strikes.nummern)
    facts = _facts(strikes, words)
    lettered = words.say("Where the strikes came down")
    canvas = Canvas(_HEIGHT, title, "; ".join(facts) + ".", lettered)
    in_line = " · ".join(_facts(strikes, words, in_line=True))
    shown = fitted(in_line, WIDTH - 2 * MARGIN)
    canvas.text(MARGIN, _FACTS_BASELINE, shown, "soft")
    last = max(_FEWEST_ZONES, min(strikes.last_zone, _FARTHEST_ZONE), *bars, *nummern)
    field = _Field(last, max(1, min(strikes.last_zone, last)))
    _draw_strip(canvas, field, words)
    _draw_bars(canvas, field, bars, nummern, words)
    _draw_nummern(canvas, field, nummern, words)
    return canvas.picture()


class _Field:
    def __init__(self, last: int, last_of_strip: int) -> None:
        self.last = last
        self.last_of_strip = last_of_strip
        self.slot = (WIDTH - 2 * MARGIN) / (last + 1)

    def start_of(self, zone: int) -> float:
        return MARGIN + zone * self.slot

    def middle_of(self, zone: int) -> float:
        return self.start_of(zone) + self.slot / 2

    def half_width_at(self, zone: float) -> float:
        """Half of the strip's width, drawn, at the start of a zone."""
        wider = (_WIDTH_AT_THE_BACK - _WIDTH_IN_FRONT) * (zone - 1) / self.last_of_strip
        return (_WIDTH_IN_FRONT + wider) * _PIXELS_A_METRE / 2


def _put_together(counts: Mapping[int, int]) -> dict[int, int]:
    together: dict[int, int] = {}
    for zone, count in counts.items():
        if count > 0:
            place = min(zone, _FARTHEST_ZONE + 1)
            together[place] = together.get(place, 0) + count
    return together


def _facts(strikes: StripStrikes, words: Catalogue, in_line: bool = False) -> Iterator[str]:
    """The main facts; those ``in_line`` leave out what stands in the picture by itself."""
    known = {zone: count for zone, count in strikes.zones.items() if count > 0}
    count = sum(known.values())
    points = sum(zone * number for zone, number in known.items())
    yield words.counted(count, "{count} strike", "{count} strikes")
    yield words.say("{average} points per strike", average=words.figure(Fraction(points, count)))
    reached = {zone: number for zone, number in known.items() if zone}
    if reached and not in_line:
        zone = min(reached, key=lambda zone: (-reached[zone], -zone))
        yield words.say(
            "most often zone {zone} ({count})", zone=zone, count=words.number(reached[zone])
        )
    if not in_line:
        nummern = sum(strikes.nummern.values())
        yield words.counted(nummern, "{count} Nummer", "{count} Nummern")
    if known.get(0) and not in_line:
        yield words.counted(known[0], "{count} worth nothing", "{count} worth nothing")
    if strikes.unknown and in_line:
        yield words.counted(strikes.unknown, "{count} unknown", "{count} unknown")
    elif strikes.unknown:
        yield words.counted(
            strikes.unknown, "{count} more of unknown points", "{count} more of unknown points"
        )


def _draw_strip(canvas: Canvas, field: _Field, words: Catalogue) -> None:
    front, back = field.start_of(1), field.start_of(field.last_of_strip + 1)
    half_front = field.half_width_at(1)
    half_back = field.half_width_at(field.last_of_strip + 1)
    outline = (
        f"M{_at(front, -half_front)}L{_at(back, -half_back)}"
        f"L{_at(back, half_back)}L{_at(front, half_front)}z"
    )
    canvas.area(outline, "lane")
    marks = "".join(
        f"M{_at(field.start_of(zone), -half)}v{coordinate(2 * half)}"
        for zone in range(2, field.last_of_strip + 1)
        for half in [field.half_width_at(zone)]
    )
    canvas.line(marks, "grid")
    canvas.line(outline, "soft", 1.5)
    for zone in range(1, field.last_of_strip + 2, 5):
        metres = _FIRST_METRE + (zone - 1) * _ZONE_LENGTH
        x, half = field.start_of(zone), field.half_width_at(zone)
        if zone > 1:
            canvas.line(f"M{_at(x, -half)}v{coordinate(2 * half)}", "soft", 1.5)
        text = f"{metres} m"
        edge = MARGIN + text_width(text) / 2
        x = min(max(x, edge), WIDTH - edge)
        canvas.text(x, _METRES_BASELINE, text, "soft", "middle")


def _draw_bars(
    canvas: Canvas, field: _Field, bars: Mapping[int, int], nummern: Mapping[int, int],
    words: Catalogue,
) -> None:  # fmt: skip
    highest = max(bars.values())
    canvas.line(f"M{MARGIN} {_BARS_FOOT + 0.5}H{WIDTH - MARGIN}", "soft")
    lettered_to: list[tuple[float, float]] = []
    for zone, count in sorted(bars.items(), key=lambda bar: (-bar[1], bar[0])):
        long = (_BARS_FOOT - _BARS_TOP) * count
        height, top = long / highest, (_BARS_FOOT * highest - long) / highest
        x, width = field.start_of(zone) + field.slot * 0.14, field.slot * 0.72
        title = f"{_zone_name(zone, words)}: {_counts(count, nummern.get(zone, 0), words)}"
        canvas.rect(x, top, width, height, "struck", title=title)
        written = words.number(count)
        half = text_width(written) / 2
        middle = min(max(field.middle_of(zone), MARGIN + half), WIDTH - MARGIN - half)
        # Where figures are wider than their bars the higher ones are lettered.
        if all(
            middle + half + 4 <= start or middle - half - 4 >= end for start, end in lettered_to
        ):
            lettered_to.append((middle - half, middle + half))
            canvas.text(middle, top - 6, written, "ink", "middle")
    width = text_width("00") + 6
    every = next(step for step in (1, 2, 5) if step * field.slot >= width)
    for zone in range(0, field.last + 1, every):
        # What is beyond has the last place, and its name is wider.
        if field.last <= _FARTHEST_ZONE or zone + every <= field.last:
            canvas.text(field.middle_of(zone), _ZONES_BASELINE, str(zone), "soft", "middle")
    if field.last > _FARTHEST_ZONE:
        name = f"{field.last}+"
        canvas.text(WIDTH - MARGIN, _ZONES_BASELINE, name, "soft", "end")


def _draw_nummern(
    canvas: Canvas, field: _Field, nummern: Mapping[int, int], words: Catalogue
) -> None:
    widths = {
        zone: max(_MARK_HEIGHT, text_width(words.number(count), True) + 12)
        for zone, count in nummern.items()
    }
    # Marks wider than a zone stand in rows.
    rows = min(3, ceil((max(widths.values(), default=0) + 2) / field.slot))
    for zone, count in sorted(nummern.items()):
        width = widths[zone]
        middle = max(field.middle_of(zone), MARGIN + width / 2)
        middle = min(middle, WIDTH - MARGIN - width / 2)
        y = _STRIP_MIDDLE + (zone % rows - (rows - 1) / 2) * (_MARK_HEIGHT + 1)
        top = y - _MARK_HEIGHT / 2
        canvas.rect(middle - width / 2, top, width, _MARK_HEIGHT, "nummer", _MARK_HEIGHT / 2)
        canvas.text_on(middle, y + 8, words.number(count))
    counted = words.counted(sum(nummern.values()), "{count} Nummer", "{count} Nummern")
    canvas.rect(MARGIN, _KEY_BASELINE - 18, 20, 20, "nummer", rounded=10)
    canvas.text(MARGIN + 30, _KEY_BASELINE, counted, "ink")
    room = WIDTH - 2 * MARGIN - 30 - text_width(counted) - 20
    key = fitted(words.say("zones of 10 m; 0: worth nothing"), room)
    canvas.text(WIDTH - MARGIN, _KEY_BASELINE, key, "soft", "end")


def _zone_name(zone: int, words: Catalogue) -> str:
    shown = f"{zone}+" if zone > _FARTHEST_ZONE else str(zone)
    return words.say("Zone {zone}", zone=shown)


def _counts(count: int, nummern: int, words: Catalogue) -> str:
    written = words.counted(count, "{count} strike", "{count} strikes")
    if not nummern:
        return written
    return written + ", " + words.counted(nummern, "{count} Nummer", "{count} Nummern")


def _at(x: float, beside: float) -> str:
    return f"{coordinate(x)} {coordinate(_STRIP_MIDDLE + beside)}"
