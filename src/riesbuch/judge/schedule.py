"""Rules for fixtures beside one another and beside the sheets."""

import datetime
from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence
from typing import NamedTuple

from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.judge.holdings import Holdings, SheetEntry, problem_at
from riesbuch.judge.sheets import twins
from riesbuch.trade.appointments import Appointment, Fitted, Recorded, fit, is_same_match
from riesbuch.trade.ids import CompetitionId, PartId, TeamId
from riesbuch.trade.match import Outcome
from riesbuch.trade.messages import Message
from riesbuch.trade.planning import may_share_a_day
from riesbuch.trade.problems import Place, Problem, all_of
from riesbuch.trade.season import CompetitionKind, Fixture, Meeting, Season, may_be_same

_WITH_REPLAYS = (CompetitionKind.CUP, CompetitionKind.FRIENDLY)
_NOT_PLAYED_THEN = (Outcome.POSTPONED, Outcome.ANNULLED)


def meeting_of(entry: SheetEntry) -> Meeting:
    is_void = entry.outcome in _NOT_PLAYED_THEN
    return Meeting(entry.round, entry.date, entry.home, entry.away, is_void, entry.part)


def recorded_entry(entry: SheetEntry) -> Recorded[SheetEntry]:
    return Recorded(
        competition=entry.competition,
        meeting=meeting_of(entry),
        outcome=entry.outcome,
        moved_to=entry.moved_to if entry.outcome is Outcome.POSTPONED else None,
        source=entry,
    )


def fitted_season(holdings: Holdings, year: int) -> Fitted[SheetEntry]:
    """The fixtures of a year and its sheets held against one another."""
    recorded = [recorded_entry(entry) for entry in holdings.entries if entry.season == year]
    return fit(holdings.archive.fixtures.get(year, ()), recorded)


def fixtures_path(year: int) -> str:
    return season_path(year, Kind.FIXTURES)


def fixtures_once(holdings: Holdings) -> Iterator[Problem]:
    """A fixture is listed once: no other of its competition has the same home and away side on
    the same day, nor, but for replays and matches put off, in the same round."""
    for year in holdings.archive.fixtures:
        season = holdings.archive.seasons.get(year)
        earlier: dict[Hashable, list[Appointment[SheetEntry]]] = defaultdict(list)
        for appointment in fitted_season(holdings, year).appointments:
            fixture = appointment.fixture
            competition = season.competition(fixture.competition) if season else None
            may_be_replayed = competition is None or competition.kind in _WITH_REPLAYS
            same_sides = earlier[fixture.competition, fixture.home, fixture.away]
            twin = next(
                (
                    other.fixture
                    for other in same_sides
                    if is_same_match(
                        other.fixture,
                        fixture,
                        may_be_replayed=may_be_replayed or _was_put_off(other),
                    )
                ),
                None,
            )
            same_sides.append(appointment)
            if twin is not None:
                yield problem_at(
                    fixtures_path(year),
                    fixture.positions["date"],
                    "fixture-twice",
                    "{home} against {away} stands in the list already, in line {line}",
                    "delete one of the two, or set the right date, round or teams",
                    home=fixture.home,
                    away=fixture.away,
                    line=twin.positions["date"][0],
                )


def _was_put_off(appointment: Appointment[SheetEntry]) -> bool:
    return any(
        sheet.outcome in _NOT_PLAYED_THEN and sheet.meeting.date == appointment.fixture.date
        for sheet in appointment.sheets
    )


def one_match_a_day(holdings: Holdings) -> Iterator[Problem]:
    """No team has two matches on one day, as planned and as put off; festivals, friendlies and
    cups that are played out in a day are left aside."""
    for year in holdings.archive.fixtures:
        season = holdings.archive.seasons.get(year)
        if season is None:
            continue
        on_days: dict[tuple[datetime.date, TeamId], list[Appointment[SheetEntry]]] = defaultdict(
            list
        )
        wrong = {contradiction.entry.sheet for contradiction in contradictions(holdings, year)}
        for appointment in fitted_season(holdings, year).appointments:
            if appointment.mover is not None and appointment.mover.source.sheet in wrong:
                appointment = appointment._replace(day=appointment.fixture.date, mover=None)
            fixture = appointment.fixture
            if appointment.day is None or fixture.home == fixture.away:
                continue
            competition = season.competition(fixture.competition)
            clashes: dict[Fixture, tuple[Appointment[SheetEntry], list[TeamId]]] = {}
            for team in (fixture.home, fixture.away):
                others = on_days[appointment.day, team]
                for other in others:
                    if not _is_one_match(other, appointment) and not may_share_a_day(
                        competition, season.competition(other.fixture.competition)
                    ):
                        clashes.setdefault(other.fixture, (other, []))[1].append(team)
                        break
                others.append(appointment)
            for clash, teams in clashes.values():
                yield _clash_problem(year, appointment, teams, clash)


def _is_one_match(first: Appointment[SheetEntry], second: Appointment[SheetEntry]) -> bool:
    """On one day: the same home and away side, in different rounds only if both are given."""
    one, other = first.fixture, second.fixture
    same_sides = (one.competition, one.home, one.away) == (
        other.competition,
        other.home,
        other.away,
    )
    return same_sides and may_be_same(one.round, other.round)


def _clash_problem(
    year: int,
    appointment: Appointment[SheetEntry],
    teams: Sequence[TeamId],
    clash: Appointment[SheetEntry],
) -> Problem:
    path, *position = _place(year, appointment)
    other_place, other = _place(year, clash), clash.fixture
    return problem_at(
        path,
        (position[0], position[1]),
        "team-twice-one-day",
        Message.plural(
            len(teams),
            "{who} has another match on {day}: {home} against {away} in `{competition}`",
            "{who} have another match on {day}: {home} against {away} in `{competition}`",
            who=all_of(f"`{team}`" for team in teams),
            day=appointment.day,
            home=other.home,
            away=other.away,
            competition=other.competition,
        ),
        "put one of the two on another day",
        related=() if other_place.path == path else (other_place,),
    )


def _place(year: int, appointment: Appointment[SheetEntry]) -> Place:
    """Where the day of the match is written: in the sheet that moved it, or with the fixture."""
    mover = appointment.mover
    if mover is None:
        return _fixture_place(year, appointment.fixture)
    entry = mover.source
    return Place(entry.path, *entry.positions["moved_to" if mover.moved_to else "date"])


def _fixture_place(year: int, fixture: Fixture) -> Place:
    return Place(fixtures_path(year), *fixture.positions["date"])


class Misfit(NamedTuple):
    """A sheet that fits no fixture of its competition, with those of the same two teams.
    ``exchanged`` is the one that it fits but for who is at home."""

    entry: SheetEntry
    of_the_two: Sequence[Fixture]
    exchanged: Fixture | None


def misfits(holdings: Holdings, year: int) -> Iterator[Misfit]:
    """Sheets of leagues and festivals that fit none of their fixtures, but for those before the
    first of them, those of teams or parts that have none, and those with other faults to mend
    first."""
    season = holdings.archive.seasons.get(year)
    if season is None or year in holdings.archive.partial_fixtures:
        return
    first_days: dict[CompetitionId, datetime.date] = {}
    of_pair: dict[Hashable, list[Fixture]] = defaultdict(list)
    teams: dict[CompetitionId, set[TeamId | None]] = defaultdict(set)
    parts: set[tuple[CompetitionId, PartId | None]] = set()
    for fixture in holdings.archive.fixtures.get(year, ()):
        key = fixture.competition
        first_days[key] = min(fixture.date, first_days.get(key, fixture.date))
        of_pair[key, frozenset((fixture.home, fixture.away))].append(fixture)
        teams[key] |= {fixture.home, fixture.away}
        parts |= {(key, fixture.part)}
    told_already = {contradiction.entry.sheet for contradiction in contradictions(holdings, year)}
    for stray in fitted_season(holdings, year).strays:
        entry = stray.source
        if entry.sheet in told_already:
            continue
        competition = season.competition(entry.competition) if entry.competition else None
        if competition is None or competition.kind in _WITH_REPLAYS:
            continue
        pair = frozenset((entry.home, entry.away))
        if (
            entry.date is not None
            and entry.date.year == year
            and len(pair) == 2
            and pair <= teams[competition.id]
            and entry.date >= first_days[competition.id]
            and parts & {(competition.id, None), (competition.id, entry.part)}
        ):
            of_the_two = of_pair.get((competition.id, pair), [])
            exchanged = [fixture for fixture in of_the_two if differs_by_ground(entry, fixture)]
            yield Misfit(entry, of_the_two, exchanged[0] if exchanged else None)


def differs_by_ground(entry: SheetEntry, fixture: Fixture) -> bool:
    """Whether the sheet is of the fixture, of the same competition, but for who is at home."""
    return (entry.home, entry.away) == (fixture.away, fixture.home) and (
        entry.date == fixture.date or (entry.round is not None and entry.round == fixture.round)
    )


class Contradiction(NamedTuple):
    """A sheet that is of the ``fixture``, but says another day, round or competition. ``by_name``
    is whether its file's name says so too."""

    entry: SheetEntry
    fixture: Fixture
    by_name: bool

    @property
    def of_competition(self) -> bool:
        return self.entry.competition != self.fixture.competition

    @property
    def of_day(self) -> bool:
        return self.entry.date != self.fixture.date

    @property
    def of_round(self) -> bool:
        return None not in (self.entry.round, self.fixture.round) and (
            self.entry.round != self.fixture.round
        )


def contradictions(holdings: Holdings, year: int) -> Iterator[Contradiction]:
    """Sheets whose file is named by the day of a fixture that they do not give, but for matches
    put off to the day that they give; sheets of another round than the fixture of their day; and
    sheets named by a fixture of another competition, which has none."""
    season = holdings.archive.seasons.get(year)
    named: dict[Hashable, Fixture] = {}
    open_elsewhere: dict[Hashable, Fixture] = {}
    on_day: dict[Hashable, list[Fixture]] = defaultdict(list)
    put_off: set[Hashable] = set()
    for appointment in fitted_season(holdings, year).appointments:
        fixture = appointment.fixture
        sides = fixture.competition, fixture.home, fixture.away
        stem = fixture.stem
        named.setdefault((*sides, stem), fixture)
        if not appointment.sheets:
            open_elsewhere.setdefault((fixture.home, fixture.away, fixture.date, stem), fixture)
        on_day[(*sides, fixture.date)].append(fixture)
        put_off |= {(*sides, fixture.date, other.moved_to) for other in appointment.sheets}
    for entry in holdings.entries:
        if entry.season != year or entry.date is None or entry.date.year != year:
            continue
        sides_of = entry.competition, entry.home, entry.away
        stem = entry.sheet.partition("/")[2]
        of_name = named.get((*sides_of, stem))
        of_day = on_day.get((*sides_of, entry.date), ())
        if of_name is not None and of_name.date != entry.date:
            if (*sides_of, of_name.date, entry.date) not in put_off:
                yield Contradiction(entry, of_name, by_name=True)
        elif (
            entry.round is not None
            and of_day
            and all(fixture.round not in (None, entry.round) for fixture in of_day)
        ):
            yield Contradiction(entry, of_day[0], by_name=of_name is not None)
        elif not of_day:
            other = open_elsewhere.get((entry.home, entry.away, entry.date, stem))
            if other is not None and _may_be_of(season, entry):
                yield Contradiction(entry, other, by_name=True)


def _may_be_of(season: Season | None, entry: SheetEntry) -> bool:
    """Whether nothing is wrong with the competition of the sheet by itself."""
    competition = season.competition(entry.competition) if season and entry.competition else None
    return competition is not None and (
        not competition.teams or {entry.home, entry.away} <= {*competition.teams}
    )


def sheets_agree(holdings: Holdings) -> Iterator[Problem]:
    """A sheet gives the day, the round and the competition of the fixture that it is of."""
    if not holdings.archive.fixtures:
        return
    # A sheet copied from another one and not yet changed is told as the same match twice.
    told = {entry.sheet for pair in twins(holdings) for entry in pair}
    for year in holdings.archive.fixtures:
        for contradiction in contradictions(holdings, year):
            if contradiction.entry.sheet not in told:
                yield _contradiction_problem(year, contradiction)


def _contradiction_problem(year: int, contradiction: Contradiction) -> Problem:
    entry, fixture = contradiction.entry, contradiction.fixture
    place = _fixture_place(year, fixture)
    where = Message("fixtures.toml, line {line}", line=place.line)
    key = "date" if contradiction.of_day else "round"
    if contradiction.of_competition:
        key = "competition"
        message = Message(
            "the sheet is of `{competition}`, but its file's name and its date are those of"
            " a fixture of `{other}` ({where})",
            competition=entry.competition,
            other=fixture.competition,
            where=where,
        )
        hint = Message("set the right competition, here or in the fixture")
    elif contradiction.of_day:
        message = Message(
            "the sheet says {date}, but its file's name and the fixture ({where}) say {other}",
            date=entry.date,
            where=where,
            other=fixture.date,
        )
        hint = Message("set the right date; if the match was moved, rename the file by its new day")
        if contradiction.of_round:
            message = Message(
                "{message}; its round is {round}, that of the fixture {other}",
                message=message,
                round=entry.round,
                other=fixture.round,
            )
            hint = Message(
                "set the right date and round; if the match was moved, rename the file by its new"
                " day"
            )
    else:
        known_by = (
            Message("its file's name and its date")
            if contradiction.by_name
            else Message("its date")
        )
        message = Message(
            "the sheet says round {round}, but by {known_by} it is of the fixture of round {other}"
            " ({where})",
            round=entry.round,
            known_by=known_by,
            other=fixture.round,
            where=where,
        )
        hint = Message("set the right round, here or in the fixture")
    return problem_at(
        entry.path, entry.positions[key], "fixture-differs", message, hint, related=(place,)
    )


def sheets_fit(holdings: Holdings) -> Iterator[Problem]:
    """A league's or festival's sheet fits one of its fixtures."""
    for year in holdings.archive.fixtures:
        for misfit in misfits(holdings, year):
            entry = misfit.entry
            yield problem_at(
                entry.path,
                entry.positions["date"],
                "sheet-without-fixture",
                "{home} against {away} on {date} is not in fixtures.toml",
                _advice(misfit),
                related=(_fixture_place(year, misfit.exchanged),) if misfit.exchanged else (),
                home=entry.home,
                away=entry.away,
                date=entry.date,
            )


def _advice(misfit: Misfit) -> str:
    if misfit.exchanged is not None:
        line = misfit.exchanged.positions["date"][0]
        return Message(
            "there {home} is at home, in line {line}", home=misfit.exchanged.home, line=line
        )
    if misfit.of_the_two:
        days = all_of(str(fixture.date) for fixture in misfit.of_the_two)
        return Message(
            "there the two meet on {days}; set the right date, round or teams in one of them",
            days=days,
        )
    return Message("there the two do not meet; set the right teams, or add the fixture")
