"""Planning a competition: a round robin on days, around what already has sheets."""

import datetime
import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from riesbuch.folder.archive import Archive
from riesbuch.index.index import SeasonTallies
from riesbuch.judge.examination import season_sheets
from riesbuch.judge.holdings import SheetEntry
from riesbuch.judge.schedule import differs_by_ground, recorded_entry
from riesbuch.text.league import read_fixtures
from riesbuch.text.toml_text import (
    CannotEditError,
    comments_in,
    new_fixtures_file,
    with_other_fixtures,
)
from riesbuch.trade.appointments import Appointment, Fitted, fit
from riesbuch.trade.certainty import recorded_tally
from riesbuch.trade.ids import PartId, TeamId
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.planning import (
    Pairing,
    SharedGround,
    Travel,
    match_days,
    may_share_a_day,
    round_robin,
    shared_grounds,
    travels,
)
from riesbuch.trade.problems import RiesbuchError, UsageError
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind, Fixture
from riesbuch.trade.standings import standings

Appointments = Sequence[Appointment[SheetEntry]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOrder:
    """``replaces`` is whether fixtures that are there and have no sheet may go. Of a festival in
    parts one ``part`` is planned, neighbours of the ``paired`` teams against one another."""

    year: int
    competition: Competition
    first: datetime.date
    every: int
    left_out: frozenset[datetime.date]
    replaces: bool
    part: PartId | None = None
    paired: tuple[TeamId, ...] = ()

    def is_of(self, fixture: Fixture) -> bool:
        """Whether it is one that is planned here."""
        return fixture.competition == self.competition.id and fixture.part == self.part


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A team of a new ``fixture`` that plays another match, elsewhere, on its day."""

    team: TeamId
    fixture: Fixture
    other: Fixture


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """``fixtures`` are all of the competition by round, of which the ``kept`` have sheets.
    ``before`` and ``after`` are the bytes of fixtures.toml; ``comments`` counts those kept of
    fixtures that go. ``needless`` are days left out on which nothing would have been."""

    fixtures: tuple[Fixture, ...]
    kept: tuple[Fixture, ...]
    new: tuple[Fixture, ...]
    before: bytes | None
    after: bytes
    comments: int
    needless: tuple[datetime.date, ...]
    travels: tuple[Travel, ...]
    shared_grounds: tuple[SharedGround, ...]
    clashes: tuple[Clash, ...]


def make_plan(archive: Archive, order: PlanOrder) -> Plan:
    """The plan as ordered; nothing is written. Raises UsageError where there are fixtures that
    may not go or the order cannot be met, and RiesbuchError where files must be mended first."""
    competition = order.competition
    _check_order(archive, order)
    path = archive.folder.fixtures_file(order.year)
    before = archive.folder.read(path) if archive.folder.exists(path) else None
    there = _read_there(archive, order, before)
    cut_or_kept = [n for n, fixture in enumerate(there) if order.is_of(fixture)]
    if cut_or_kept and not order.replaces:
        raise UsageError(
            "`{id}` has fixtures already ({fixtures}) in {path}; with --replace"
            " those that have no sheet yet are planned anew",
            id=competition.id,
            fixtures=len(cut_or_kept),
            path=archive.folder.relative(path),
        )
    fitted = _fitted(archive, order, there)
    appointed = fitted.appointments
    kept = {n for n in cut_or_kept if _has_sheet(appointed[n], fitted)}
    cut = [n for n in cut_or_kept if n not in kept]
    kept_ones = tuple(there[n] for n in sorted(kept))
    new, needless = (
        (_pairs(order, order.part, there, kept_ones), ())
        if order.part is not None
        else _new_fixtures(order, [appointed[n] for n in sorted(kept)])
    )
    others = [appointed[n] for n in range(len(there)) if n not in cut_or_kept]
    after = _edited(archive, order, before, cut, new)
    moved = {n: replace(there[n], date=appointed[n].day or there[n].date) for n in kept}
    as_played = [*moved.values(), *new]
    elsewhere = [
        replace(appointment.fixture, date=appointment.day)
        for appointment in others
        # A match on the same day is nothing to tell of where the two competitions share days.
        if appointment.day is not None
        and not may_share_a_day(
            competition, archive.competition(order.year, appointment.fixture.competition)
        )
    ]
    return Plan(
        fixtures=tuple(
            sorted([*kept_ones, *new], key=lambda fixture: (fixture.round or 0, fixture.date))
        ),
        kept=kept_ones,
        new=new,
        before=before,
        after=after,
        comments=comments_in(before, cut) if before else 0,
        needless=needless,
        travels=travels(competition.teams, as_played),
        shared_grounds=tuple(
            ground
            for ground in shared_grounds([*as_played, *elsewhere], archive.register)
            if any(fixture in new for fixture in ground.fixtures)
        ),
        clashes=_clashes(new, elsewhere),
    )


def _check_order(archive: Archive, order: PlanOrder) -> None:
    competition = order.competition
    season_file = archive.folder.relative(archive.folder.season_file(order.year))
    problems = [problem for problem in archive.problems if problem.place.path == season_file]
    if problems:
        lines = joined("\n", (problem.as_line() for problem in problems))
        raise RiesbuchError("first mend what the plan is made from:\n{lines}", lines=lines)
    if competition.kind is CompetitionKind.CUP:
        raise UsageError(
            "`{id}` is a cup: who meets whom follows from its draws and results;"
            " write its fixtures by hand",
            id=competition.id,
        )
    if len(competition.teams) < 2:
        raise UsageError(
            "`{id}` has only one team to plan for; list them under `teams` in {season_file}"
            if competition.teams
            else "`{id}` has no teams to plan for; list them under `teams` in {season_file}",
            id=competition.id,
            season_file=season_file,
        )
    if order.first.year != order.year:
        raise UsageError(
            "the plan cannot begin on {first}, outside the season {year}",
            first=order.first,
            year=order.year,
        )


def _read_there(archive: Archive, order: PlanOrder, before: bytes | None) -> Sequence[Fixture]:
    if before is None:
        return ()
    reading = read_fixtures(before)
    if reading.findings or reading.record is None:
        path = archive.folder.relative(archive.folder.fixtures_file(order.year))
        lines = joined("\n", (finding.in_file(path).as_line() for finding in reading.findings))
        raise RiesbuchError("first mend the fixtures that are there:\n{lines}", lines=lines)
    return reading.record


def _fitted(archive: Archive, order: PlanOrder, there: Sequence[Fixture]) -> Fitted[SheetEntry]:
    """The season's fixtures held against its sheets; raises RiesbuchError where it cannot be
    told which of them a sheet belongs to."""
    sheets = season_sheets(archive, [order.year]) if there else []
    in_doubt = [
        sheet.path
        for sheet in sheets
        if sheet.entry is None or _is_in_doubt(sheet.entry, order.competition)
    ]
    if in_doubt:
        lines = "\n".join(f"  {path}" for path in in_doubt)
        raise RiesbuchError(
            "fixtures that have a sheet stay, but it cannot be told which fixture"
            " these belong to; `riesbuch check` says what to mend first:\n{lines}",
            lines=lines,
        )
    return fit(there, [recorded_entry(sheet.entry) for sheet in sheets if sheet.entry])


def _has_sheet(appointment: Appointment[SheetEntry], fitted: Fitted[SheetEntry]) -> bool:
    """Also one that has home and away exchanged."""
    fixture = appointment.fixture
    return bool(appointment.sheets) or any(
        stray.competition == fixture.competition and differs_by_ground(stray.source, fixture)
        for stray in fitted.strays
    )


def _is_in_doubt(entry: SheetEntry, competition: Competition) -> bool:
    if entry.competition is None:
        return True
    return entry.competition == competition.id and (
        entry.date is None or not {entry.home, entry.away} <= {*competition.teams}
    )


def _new_fixtures(
    order: PlanOrder, kept: Appointments
) -> tuple[tuple[Fixture, ...], tuple[datetime.date, ...]]:
    """What is left of the round robin when the ``kept`` are taken out of it, on days; and those
    days to leave out that made no difference."""
    competition = order.competition
    left = [list(pairs) for pairs in round_robin(competition.teams, competition.cycles)]
    for appointment in kept:
        _take_out(left, appointment.fixture, competition)
    rounds = [(number, pairs) for number, pairs in enumerate(left, start=1) if pairs]
    days = list(itertools.islice(match_days(order.first, order.every, order.left_out), len(rounds)))
    outside = next((day for day in days if day.year != order.year), None)
    if outside is not None or len(days) < len(rounds):
        number = rounds[days.index(outside) if outside else len(days)][0]
        raise UsageError(
            "round {round} would no longer be in the season {year}; begin"
            " earlier, or leave fewer days between the rounds with --every",
            round=number,
            year=order.year,
        )
    new = tuple(
        Fixture(
            competition=competition.id,
            round=number,
            date=day,
            home=pair.home,
            away=pair.away,
            positions={},
        )
        for (number, pairs), day in zip(rounds, days, strict=True)
        for pair in pairs
    )
    on_their_days = [
        replace(appointment.fixture, date=appointment.day)
        for appointment in kept
        if appointment.day is not None
    ]
    for clash in _clashes(new, on_their_days):
        raise UsageError(
            "{team} would play twice on {date}: {home} against {away} has a sheet and stays on"
            " that day; leave the day out with --not {date}, or begin on another",
            team=clash.team,
            date=clash.fixture.date,
            home=clash.other.home,
            away=clash.other.away,
        )
    needless = tuple(
        day
        for day in sorted(order.left_out)
        if not days or not order.first <= day <= days[-1] or (day - order.first).days % order.every
    )
    return new, needless


def _pairs(
    order: PlanOrder, part: PartId, there: Sequence[Fixture], kept: Sequence[Fixture]
) -> tuple[Fixture, ...]:
    """The first of the teams against the second, and so on, but for those whose match is kept. Who
    meets the same opponent twice on the day is not at home both times."""
    busy = {team for fixture in kept for team in (fixture.home, fixture.away)}
    free = [team for team in order.paired if team not in busy]
    met = {(other.date, other.home, other.away) for other in there if not order.is_of(other)}
    found = []
    for pair in zip(free[::2], free[1::2], strict=False):
        home, away = pair[::-1] if (order.first, *pair) in met else pair
        found.append(
            Fixture(
                competition=order.competition.id,
                part=part,
                round=1 + [known.id for known in order.competition.parts].index(part),
                date=order.first,
                home=home,
                away=away,
                positions={},
            )
        )
    return tuple(found)


def teams_by_rank(
    archive: Archive, season: SeasonTallies, year: int, competition: Competition, part: PartId
) -> tuple[TeamId, ...]:
    """In the order of the table after a part. Raises RiesbuchError while something of it is
    missing, with what."""
    tallies, open_ones = [], []
    for path, (added_up, _) in season.tallies.items():
        if added_up is None:
            open_ones.append(path)
        elif (added_up.competition, added_up.part or part) == (competition.id, part):
            tallies.append(added_up)
            if path in season.with_errors or not added_up.is_settled():
                open_ones.append(path)
    fixtures = [
        fixture
        for fixture in archive.fixtures.get(year, ())
        if (fixture.competition, fixture.part) == (competition.id, part)
    ]
    held = fit(fixtures, [recorded_tally(added_up, None) for added_up in tallies])
    missing = [appointment.fixture for appointment in held.appointments if not appointment.sheets]
    lines = [
        *(
            Message(
                "{date}: {home} against {away} has no sheet",
                date=fixture.date,
                home=fixture.home,
                away=fixture.away,
            )
            for fixture in missing
        ),
        *(Message("{path} has errors or no result yet", path=path) for path in sorted(open_ones)),
    ]
    if lines or not tallies:
        raise RiesbuchError(
            "`{part}` is not over, so that nobody is ranked for sure:\n{lines}"
            if lines
            else "`{part}` has no sheet yet",
            part=part,
            lines=joined("\n", lines),
        )
    rules = archive.rules_of(competition, part) or RuleSet()
    return tuple(row.team for row in standings(tallies, competition.teams, rules))


def _take_out(left: list[list[Pairing]], fixture: Fixture, competition: Competition) -> None:
    pair = Pairing(fixture.home, fixture.away)
    numbers = range(len(left)) if fixture.round is None else [fixture.round - 1]
    for number in numbers:
        if number < len(left) and pair in left[number]:
            left[number].remove(pair)
            return
    where = (
        Message("in round {round}", round=fixture.round)
        if fixture.round
        else Message("on {date}", date=fixture.date)
    )
    raise UsageError(
        "{home} against {away} {where} has a sheet and stays, but the plan for the teams and cycles"
        " of `{id}` in season.toml has no such match there (or has it once only); give the teams"
        " their old order back, or change the other fixtures by hand",
        home=fixture.home,
        away=fixture.away,
        where=where,
        id=competition.id,
    )


def _edited(
    archive: Archive,
    order: PlanOrder,
    before: bytes | None,
    cut: Sequence[int],
    new: Sequence[Fixture],
) -> bytes:
    if before is None:
        return new_fixtures_file(new)
    if not cut and not new:
        return before
    try:
        return with_other_fixtures(before, cut, new)
    except CannotEditError:
        path = archive.folder.relative(archive.folder.fixtures_file(order.year))
        raise RiesbuchError(
            "{path} is not laid out in blocks headed `[[fixture]]`, a key a line, so that nothing"
            " can be added to it; bring it into that layout, or write the fixtures by hand",
            path=path,
        ) from None


def _clashes(new: Sequence[Fixture], elsewhere: Sequence[Fixture]) -> tuple[Clash, ...]:
    busy: dict[tuple[datetime.date, TeamId], Fixture] = {}
    for other in elsewhere:
        for team in (other.home, other.away):
            busy.setdefault((other.date, team), other)
    return tuple(
        Clash(team=team, fixture=fixture, other=busy[fixture.date, team])
        for fixture in new
        for team in (fixture.home, fixture.away)
        if (fixture.date, team) in busy
    )
