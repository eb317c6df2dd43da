"""The fixtures of a season as entries of a calendar, and such calendars as text by RFC 5545."""

import datetime
import re
from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from riesbuch.index.index import SeasonTallies
from riesbuch.language.catalogue import Catalogue
from riesbuch.language.outcomes import result_sentences
from riesbuch.trade.appointments import Appointment, fit
from riesbuch.trade.certainty import recorded_tally
from riesbuch.trade.ids import TeamId, club_of
from riesbuch.trade.match import Outcome
from riesbuch.trade.people import Register
from riesbuch.trade.season import CompetitionKind, Fixture, Season
from riesbuch.trade.tally import Tally

LONGEST_LINE = 75
"""In octets, the line's end not counted."""

_HOURS = 4
"""A match takes three to four hours: common practice."""

_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """A whole day where ``time`` is None, else from then on. ``revised`` is when what it says last
    changed, ``sequence`` how often its day did. Texts may have several lines; an empty one is left
    out."""

    uid: str
    day: datetime.date
    time: str | None
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
    if event.time is not None:
        # Without a zone it is the clock's time wherever it is read: that of the ground.
        yield f"DTSTART:{_day(event.day)}T{event.time.replace(':', '')}00"
        yield f"DURATION:PT{_HOURS}H"
    else:
        yield f"DTSTART;VALUE=DATE:{_day(event.day)}"
        if event.day < datetime.date.max:
            yield f"DTEND;VALUE=DATE:{_day(event.day + datetime.timedelta(days=1))}"
    yield f"SUMMARY:{_escaped(event.summary)}"
    for key, text in (("LOCATION", event.location), ("DESCRIPTION", event.description)):
        if text:
            yield f"{key}:{_escaped(text)}"
    yield f"STATUS:{'CANCELLED' if event.is_cancelled else 'CONFIRMED'}"
    # A member may have an appointment on the same day, where only the match's day is known.
    yield f"TRANSP:{'TRANSPARENT' if event.time is None else 'OPAQUE'}"
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


class Scheduled(NamedTuple):
    """An appointment with what its ``final`` sheet adds up to, None where it has none that can
    be relied on."""

    appointment: Appointment[str]
    tally: Tally | None


def season_events(
    season: Season, register: Register, words: Catalogue, scheduled: Sequence[Scheduled]
) -> tuple[Event, ...]:
    """One event a fixture, in order of the days; two fixtures that came to be one match on one
    day, where a new day was entered as one more fixture, are one event."""
    numbers = _meeting_numbers([entry.appointment.fixture for entry in scheduled])
    writer = _EventWriter(season, register, words)
    events: dict[Hashable, Event] = {}
    for entry, number in zip(scheduled, numbers, strict=True):
        fixture = entry.appointment.fixture
        day = entry.appointment.day or fixture.date
        match = (*fixture.sides_met, fixture.round, day)
        event = writer.event(entry, number)
        if match not in events or events[match].sequence < event.sequence:
            events[match] = event
    return tuple(sorted(events.values(), key=lambda event: (event.day, event.uid)))


def _meeting_numbers(fixtures: Sequence[Fixture]) -> list[int]:
    """Of each fixture which one it is, from 1, of its competition with the same home and away
    side: that stays when the day changes."""
    counted: Counter[Hashable] = Counter()
    numbers = [0] * len(fixtures)
    for index, fixture in sorted(
        enumerate(fixtures), key=lambda numbered: (numbered[1].round or 0, numbered[1].date)
    ):
        counted[fixture.sides_met] += 1
        numbers[index] = counted[fixture.sides_met]
    return numbers


class _EventWriter:
    def __init__(self, season: Season, register: Register, words: Catalogue) -> None:
        self.season = season
        self.register = register
        self.words = words

    def event(self, scheduled: Scheduled, number: int) -> Event:
        appointment = scheduled.appointment
        fixture = appointment.fixture
        home, away = fixture.home, fixture.away
        if appointment.final is not None and appointment.final.meeting.home == away:
            home, away = away, home
        names = "-".join(filter(None, fixture.sides_met))
        part = self.season.part_of(fixture)
        known_days = [sheet.meeting.date for sheet in appointment.sheets if sheet.meeting.date]
        return Event(
            uid=f"{self.season.year}-{names}-{number}@riesbuch",
            day=appointment.day or fixture.date,
            time=fixture.time if appointment.day in (None, fixture.date) else None,
            # The clock would make every calendar another one.
            revised=max(known_days, default=datetime.date(self.season.year, 1, 1)),
            sequence=appointment.changes,
            is_cancelled=appointment.day is None,
            summary=f"{self.name(home)} – {self.name(away)}{f', {part.name}' if part else ''}",
            location="" if self.is_festival(fixture) else self.ground(home),
            description="\n".join(self.description(scheduled)),
        )

    def name(self, team: TeamId) -> str:
        return self.register.team_name(team)

    def is_festival(self, fixture: Fixture) -> bool:
        """Played on one ground by all, whoever is listed first; nothing says on which."""
        competition = self.season.competition(fixture.competition)
        return competition is not None and competition.kind is CompetitionKind.FESTIVAL

    def ground(self, team: TeamId) -> str:
        club = self.register.clubs.get(club_of(team))
        return (club.ground if club else None) or ""

    def description(self, scheduled: Scheduled) -> list[str]:
        appointment, words = scheduled.appointment, self.words
        fixture = appointment.fixture
        competition = self.season.competition(fixture.competition)
        name = competition.name_in(fixture.part) if competition else fixture.competition
        if fixture.round is not None and fixture.part is None:
            name = words.say(
                "{competition}, round {number}", competition=name, number=fixture.round
            )
        lines = [name]
        if fixture.meet and appointment.day == fixture.date:
            lines.append(words.say("Meet: {text}", text=fixture.meet))
        if appointment.day is None:
            lines.append(words.say("Postponed; no new date yet."))
        elif appointment.day != fixture.date:
            lines.append(words.say("Postponed from {date}.", date=words.date(fixture.date)))
        if appointment.final is not None:
            lines += self.result(scheduled.tally)
        elif any(sheet.outcome is Outcome.ANNULLED for sheet in appointment.sheets):
            lines.append(words.say("Annulled: the match counts nowhere."))
        return lines

    def result(self, tally: Tally | None) -> list[str]:
        """Who won, and the figures where they are known; nothing of a draft."""
        if tally is None or tally.is_draft:
            return []
        lines = result_sentences(self.words, tally, lambda team: self.name(team) if team else "")
        figures = [
            f"{title} {home} : {away}"
            for title, home, away in (
                (self.words.say("Points"), tally.home.points, tally.away.points),
                (self.words.say("Nummern"), tally.home.nummern, tally.away.nummern),
            )
            if home is not None and away is not None
        ]
        if figures and tally.outcome is not Outcome.FORFEITED:
            lines.append(", ".join(figures))
        return lines


def scheduled_season(season: SeasonTallies, fixtures: Sequence[Fixture]) -> tuple[Scheduled, ...]:
    """All ``fixtures`` of a season, in their order. Sheets with errors say when a match is, but
    not how it ended."""
    recorded = [
        recorded_tally(tally, path)
        for path, (tally, _) in sorted(season.tallies.items())
        if tally is not None
    ]
    return tuple(
        Scheduled(
            appointment=appointment,
            tally=season.tallies[appointment.final.source][0]
            if appointment.final is not None and appointment.final.source not in season.with_errors
            else None,
        )
        for appointment in fit(fixtures, recorded).appointments
    )
