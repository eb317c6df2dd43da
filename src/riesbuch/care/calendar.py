"""The fixtures of a season as entries of a calendar."""

import datetime
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from riesbuch.care.icalendar import Event
from riesbuch.language.catalogue import Catalogue
from riesbuch.language.outcomes import result_sentences
from riesbuch.trade.appointments import Appointment
from riesbuch.trade.ids import ClubId, TeamId
from riesbuch.trade.match import Outcome
from riesbuch.trade.people import Register
from riesbuch.trade.season import CompetitionKind, Fixture, Season
from riesbuch.trade.tally import Tally


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheduled:
    """An appointment with what its ``final`` sheet adds up to, None where it has none that can
    be relied on."""

    appointment: Appointment[str]
    tally: Tally | None


def season_events(
    season: Season,
    register: Register,
    words: Catalogue,
    scheduled: Sequence[Scheduled],
) -> tuple[Event, ...]:
    """One event a fixture, in order of the days; two fixtures that came to be one match on one
    day, where a new day was entered as one more fixture, are one event."""
    numbers = _meeting_numbers([each.appointment.fixture for each in scheduled])
    writer = _EventWriter(season, register, words)
    events: dict[Hashable, Event] = {}
    for each, number in zip(scheduled, numbers, strict=True):
        fixture = each.appointment.fixture
        day = each.appointment.day or fixture.date
        match = (fixture.competition, fixture.home, fixture.away, fixture.round, day)
        event = writer.event(each, number)
        if match not in events or events[match].sequence < event.sequence:
            events[match] = event
    return tuple(sorted(events.values(), key=lambda event: (event.day, event.uid)))


def _meeting_numbers(fixtures: Sequence[Fixture]) -> list[int]:
    """Of each fixture which one it is, from 1, of its competition with the same home and away
    side: that stays when the day changes."""
    order = sorted(
        range(len(fixtures)), key=lambda n: (fixtures[n].round or 0, fixtures[n].date, n)
    )
    counted: Counter[Hashable] = Counter()
    numbers = [0] * len(fixtures)
    for index in order:
        fixture = fixtures[index]
        pair = (fixture.competition, fixture.home, fixture.away)
        counted[pair] += 1
        numbers[index] = counted[pair]
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
        known_days = [each.meeting.date for each in appointment.sheets if each.meeting.date]
        return Event(
            uid=(
                f"{self.season.year}-{fixture.competition}-{fixture.home}-{fixture.away}-{number}"
                "@riesbuch"
            ),
            day=appointment.day or fixture.date,
            # The clock would make every calendar another one.
            revised=max(known_days, default=datetime.date(self.season.year, 1, 1)),
            sequence=appointment.changes,
            is_cancelled=appointment.day is None,
            summary=f"{self.name(home)} – {self.name(away)}",
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
        club = self.register.clubs.get(ClubId(team.rpartition("-")[0]))
        return (club.ground if club else None) or ""

    def description(self, scheduled: Scheduled) -> list[str]:
        appointment, words = scheduled.appointment, self.words
        fixture = appointment.fixture
        competition = self.season.competition(fixture.competition)
        name = competition.name if competition else fixture.competition
        if fixture.round is not None:
            name = words.say(
                "{competition}, round {number}", competition=name, number=fixture.round
            )
        lines = [name]
        if appointment.day is None:
            lines.append(words.say("Postponed; no new date yet."))
        elif appointment.day != fixture.date:
            lines.append(words.say("Postponed from {date}.", date=words.date(fixture.date)))
        if appointment.final is not None:
            lines += self.result(scheduled.tally)
        elif any(each.outcome is Outcome.ANNULLED for each in appointment.sheets):
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
