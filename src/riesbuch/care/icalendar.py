"""Calendars as text by RFC 5545: whole days, no times, no alarms."""

import datetime
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

LONGEST_LINE = 75
"""In octets, the line's end not counted."""

_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """A whole day. ``revised`` is when what it says last changed, ``sequence`` how often its day
    did. Texts may have several lines; an empty one is left out."""

    uid: str
    day: datetime.date
    revised: datetime.date
    sequence: int
    is_cancelled: bool
    summary: str
    location: str
    description: str


def calendar_text(name: str, events: Iterable[Event]) -> str:
    """The calendar with its lines folded, each ended by CR and LF."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Riesbuch//Fixtures//EN",
        "CALSCALE:GREGORIAN",
        f"X-WR-CALNAME:{_escaped(name)}",
    ]
    for event in events:
        lines += _event_lines(event)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded}\r\n" for line in lines for folded in _folded(line))


def _event_lines(event: Event) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{event.uid}"
    yield f"DTSTAMP:{_day(event.revised)}T000000Z"
    yield f"SEQUENCE:{event.sequence}"
    yield f"DTSTART;VALUE=DATE:{_day(event.day)}"
    if event.day < datetime.date.max:
        yield f"DTEND;VALUE=DATE:{_day(event.day + datetime.timedelta(days=1))}"
    yield f"SUMMARY:{_escaped(event.summary)}"
    for key, text in (("LOCATION", event.location), ("DESCRIPTION", event.description)):
        if text:
            yield f"{key}:{_escaped(text)}"
    yield f"STATUS:{'CANCELLED' if event.is_cancelled else 'CONFIRMED'}"
    # A member may have an appointment on the same day; only the match's day is known, no time.
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _day(day: datetime.date) -> str:
    return f"{day.year:04}{day.month:02}{day.day:02}"


def _escaped(text: str) -> str:
    plain = _CONTROL.sub(" ", text.replace("\r\n", "\n").replace("\r", "\n"))
    for mark in ("\\", ";", ","):
        plain = plain.replace(mark, f"\\{mark}")
    return plain.replace("\n", "\\n")


def _folded(line: str) -> Iterator[str]:
    """The line in pieces of at most 75 octets, none of which cuts a character; all but the first
    begin with a blank."""
    piece, octets = "", 0
    for character in line:
        width = len(character.encode("utf-8", "replace"))
        if octets + width > LONGEST_LINE:
            yield piece
            piece, octets = " ", 1
        piece += character
        octets += width
    yield piece
