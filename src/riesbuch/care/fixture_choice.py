"""Which match is meant: of two teams, perhaps a day and a competition, the fixture."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.questions.sheets import Precedents, SheetOfMatch
from riesbuch.trade.ids import CompetitionId, PartId, TeamId
from riesbuch.trade.messages import Message
from riesbuch.trade.names import find_competition, find_team
from riesbuch.trade.people import Register
from riesbuch.trade.problems import RiesbuchError, UsageError, alternatives, in_a_row
from riesbuch.trade.season import Fixture, Meeting, Season, may_be_same, without_sheet


class PlannedMatch(NamedTuple):
    """A match to come. ``sheet`` is the one that it has already; ``moved_from`` the day for which
    it was planned first."""

    competition: CompetitionId
    round: int | None
    date: datetime.date
    home: TeamId
    away: TeamId
    sheet: SheetOfMatch | None = None
    moved_from: datetime.date | None = None
    part: PartId | None = None

    @property
    def year(self) -> int:
        return self.date.year

    @property
    def stem(self) -> str:
        """The name of its sheet without the suffix; long names of teams are cut off."""
        return f"{self.date}-{self.home}-{self.away}"[:64].rstrip("-")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonOfPair:
    """A season as far as it is about ``home`` receiving ``away``."""

    season: Season
    fixtures: Sequence[Fixture]
    recorded: Sequence[SheetOfMatch]

    def planned(self, home: TeamId, away: TeamId) -> Iterator[PlannedMatch]:
        """The fixtures of the pair and the matches that were moved to another day."""
        for key in dict.fromkeys(fixture.competition for fixture in self.fixtures):
            of_key = [fixture for fixture in self.fixtures if fixture.competition == key]
            recorded = [sheet for sheet in self.recorded if sheet.competition == key]
            meetings = [
                Meeting(sheet.round, sheet.date, home, away, sheet.is_to_be_replayed, sheet.part)
                for sheet in recorded
            ]
            is_open = {id(fixture) for fixture in without_sheet(of_key, meetings)}
            for fixture in of_key:
                if (fixture.home, fixture.away) == (home, away):
                    sheet = None if id(fixture) in is_open else _sheet_of(fixture, recorded)
                    yield PlannedMatch(
                        key, fixture.round, fixture.date, home, away, sheet, part=fixture.part
                    )
        for put_off in self.recorded:
            day = put_off.moved_to
            if day is None or put_off.competition is None or day.year != self.season.year:
                continue
            again = [
                sheet
                for sheet in self.recorded
                if sheet.competition == put_off.competition
                and not sheet.is_to_be_replayed
                and (
                    sheet.date == day or (sheet.round is not None and sheet.round == put_off.round)
                )
            ]
            yield PlannedMatch(
                put_off.competition, put_off.round, day, home, away,
                again[0] if again else None, put_off.date, put_off.part,
            )  # fmt: skip


def _sheet_of(fixture: Fixture, recorded: Sequence[SheetOfMatch]) -> SheetOfMatch:
    def fit(sheet: SheetOfMatch) -> tuple[bool, ...]:
        return (
            not may_be_same(sheet.part, fixture.part),
            sheet.date != fixture.date,
            sheet.round is None or sheet.round != fixture.round,
        )

    return min(recorded, key=fit)


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchOrder:
    """What was asked for; ``date``, ``competition`` and ``part`` only where they were given."""

    home: TeamId
    away: TeamId
    date: datetime.date | None = None
    competition: CompetitionId | None = None
    part: PartId | None = None

    def takes(self, match: PlannedMatch | SheetOfMatch) -> bool:
        return self.competition in (None, match.competition) and self.part in (None, match.part)


def wanted(
    register: Register,
    home: str,
    away: str,
    date: datetime.date | None,
    competition: str | None,
    part: str | None = None,
) -> MatchOrder:
    """What is asked for in a person's words; raises UsageError as `find_team` does."""
    teams = find_team(register, home), find_team(register, away)
    if teams[0] == teams[1]:
        raise UsageError("`{teams}` cannot meet itself; name two teams", teams=teams[0])
    key = CompetitionId(competition) if competition is not None else None
    return MatchOrder(home=teams[0], away=teams[1], date=date, competition=key,
                      part=PartId(part) if part is not None else None)  # fmt: skip


def choose(wanted: MatchOrder, pairings: Sequence[SeasonOfPair]) -> PlannedMatch:
    """The match that is meant, of ``pairings`` from the newest season back: on the day given, else
    the first without a sheet in the newest season that has fixtures of the pair.

    Raises UsageError where there is none, and RiesbuchError where it has its sheet already.
    """
    wanted = _by_identifier(wanted, pairings)
    planned = _planned(wanted, pairings)
    if wanted.date is None:
        found = _next(planned)
    else:
        found = _on_the_day(wanted, wanted.date, planned)
        of_the_day = (
            sheet
            for pairing in pairings
            for sheet in pairing.recorded
            if sheet.date == wanted.date and wanted.takes(sheet) and not sheet.is_to_be_replayed
        )
        sheet = found.sheet if found else next(of_the_day, None)
        if sheet is not None:
            raise RiesbuchError(
                "this match has a sheet {state}already: {path}; nothing was written",
                state=Message("as a draft ") if sheet.is_draft else "",
                path=sheet.path,
            )
        found = found or _as_asked(wanted, wanted.date, pairings, planned)
    if found is None:
        raise _no_fixture(wanted, planned, pairings)
    return found


def of_round_or_day(
    archive: Archive,
    past: Precedents,
    number: int | None,
    date: datetime.date | None,
    competition: str | None,
    part: str | None = None,
) -> list[PlannedMatch]:
    """The matches of the archive's one season that are in that round, on that day, in that
    competition, as far as these are given; raises UsageError where there is none."""
    found: list[PlannedMatch] = []
    rounds: set[int] = set()
    days: set[datetime.date] = set()
    for year, fixtures in archive.fixtures.items():
        season = archive.seasons.get(year, Season(year=year, competitions=()))
        for home, away in dict.fromkeys((fixture.home, fixture.away) for fixture in fixtures):
            pair = SeasonOfPair(
                season=season, fixtures=fixtures, recorded=past.recorded(year, home, away)
            )
            for match in pair.planned(home, away):
                if competition not in (None, match.competition) or part not in (None, match.part):
                    continue
                rounds |= {match.round} if match.round is not None else set()
                if number in (None, match.round):
                    days.add(match.date)
                    found += [match] if date in (None, match.date) else []
    if found:
        return sorted(found, key=lambda match: (match.date, match.competition))
    if not days and not rounds:
        raise UsageError("the season has no fixtures; `riesbuch plan` writes them")
    if not days:
        known = in_a_row(map(str, sorted(rounds)))
        raise UsageError(
            "no fixture is of round {number}; there are {known}", number=number, known=known
        )
    following = [day for day in sorted(days) if date is None or day >= date]
    raise UsageError(
        "no fixture is on {date}; the next is on {day}"
        if following
        else "no fixture is on {date}; the last is on {day}",
        date=date,
        day=min(following, default=max(days)),
    )


def choose_for_paper(wanted: MatchOrder, pairings: Sequence[SeasonOfPair]) -> PlannedMatch | None:
    """As `choose`, but a match whose sheet is a draft is still to come, one of a day given may
    have its sheet, and where there is none that is no fault."""
    wanted = _by_identifier(wanted, pairings)
    planned = _planned(wanted, pairings)
    if wanted.date is None:
        return _next(planned, drafts=True)
    return _on_the_day(wanted, wanted.date, planned) or _as_asked(
        wanted, wanted.date, pairings, planned
    )


def _by_identifier(wanted: MatchOrder, pairings: Sequence[SeasonOfPair]) -> MatchOrder:
    """With the competition's identifier in place of whatever name was given."""
    seasons = {pairing.season.year: pairing.season for pairing in pairings}
    if wanted.competition is None or not seasons:
        return wanted
    year = wanted.date.year if wanted.date is not None and wanted.date.year in seasons else None
    return replace(wanted, competition=find_competition(seasons, wanted.competition, year))


def _planned(wanted: MatchOrder, pairings: Sequence[SeasonOfPair]) -> list[PlannedMatch]:
    return [
        match
        for pairing in pairings
        for match in sorted(
            pairing.planned(wanted.home, wanted.away),
            key=lambda match: (match.date, match.competition),
        )
        if wanted.takes(match)
    ]


def _next(planned: Sequence[PlannedMatch], *, drafts: bool = False) -> PlannedMatch | None:
    # A gap of long ago is no next match: it is drafted by its date.
    of_newest = [match for match in planned if match.year == planned[0].year]
    return next(
        (match for match in of_newest if match.sheet is None or (drafts and match.sheet.is_draft)),
        None,
    )


def _on_the_day(
    wanted: MatchOrder, date: datetime.date, planned: Sequence[PlannedMatch]
) -> PlannedMatch | None:
    # A fixture that was put off to the very same day is still one match.
    found = list(
        {
            (match.competition, match.part, match.round): match
            for match in planned
            if match.date == date
        }.values()
    )
    if len(found) > 1:
        parts = sorted({match.part for match in found if match.part})
        keys = alternatives(parts or sorted({match.competition for match in found}))
        raise UsageError(
            "they meet more than once on {date}; choose with --part {keys}"
            if parts
            else "they meet more than once on {date}; choose with --competition {keys}",
            date=date,
            keys=keys,
        )
    return found[0] if found else None


def _as_asked(
    wanted: MatchOrder,
    date: datetime.date,
    pairings: Sequence[SeasonOfPair],
    planned: Sequence[PlannedMatch],
) -> PlannedMatch | None:
    """A match on a day without a fixture, where its competition is given too; it has the round
    of the pair's one open match."""
    pairing = next((pairing for pairing in pairings if pairing.season.year == date.year), None)
    competition = wanted.competition
    if competition is None or pairing is None:
        return None
    open_rounds = [
        (match.round, match.date)
        for match in planned
        if match.year == date.year and (match.sheet is None or match.sheet.is_to_be_replayed)
    ]
    open_rounds += [
        (sheet.round, sheet.date)
        for sheet in pairing.recorded
        if sheet.competition == competition and sheet.is_to_be_replayed and sheet.date
    ]
    of_round = dict(open_rounds)
    number, planned_for = (None, None) if len(of_round) != 1 else next(iter(of_round.items()))
    return PlannedMatch(competition, number, date, wanted.home, wanted.away, None,
                        planned_for, wanted.part)  # fmt: skip


def _no_fixture(
    wanted: MatchOrder, planned: Sequence[PlannedMatch], pairings: Sequence[SeasonOfPair]
) -> RiesbuchError:
    what = Message("`{home}` at home against `{away}`", home=wanted.home, away=wanted.away)
    if wanted.competition is not None:
        what += Message(" in `{competition}`", competition=wanted.competition)
    if wanted.date is None and planned:
        newest = [match for match in planned if match.year == planned[0].year]
        sheets = [match.sheet for match in newest if match.sheet is not None]
        told = ", ".join(dict.fromkeys(sheet.path for sheet in sheets))
        advice = Message(
            "; for the new day of a match that was put off or annulled give --date and"
            " --competition"
        )
        return RiesbuchError(
            "every fixture of {what} has a sheet already: {told}{advice}",
            what=what,
            told=told,
            advice=advice if any(sheet.is_to_be_replayed for sheet in sheets) else "",
        )
    if wanted.date is not None:
        what += Message(" on {date}", date=wanted.date)
    return UsageError(
        "there is no fixture of {what}; {fixtures_there_are}",
        what=what,
        fixtures_there_are=_fixtures_there_are(wanted, pairings),
    )


def _fixtures_there_are(wanted: MatchOrder, pairings: Sequence[SeasonOfPair]) -> str:
    pair = (wanted.home, wanted.away)
    for teams, how in (
        (pair, Message("they meet on")),
        (pair[::-1], Message("`{away}` receives `{home}` on", away=wanted.away, home=wanted.home)),
    ):
        days = sorted(
            {
                (meeting.date, meeting.competition)
                for pairing in pairings
                for meeting in (
                    *pairing.fixtures,
                    *(pairing.planned(*pair) if teams == pair else ()),
                )
                if (meeting.home, meeting.away) == teams
            }
        )
        if days:
            shown = alternatives(f"{date} ({competition})" for date, competition in days[-4:])
            return how + " " + shown
    newest = pairings[0].season.year if pairings else None
    for pairing in pairings:
        opponents = sorted(
            {fixture.away for fixture in pairing.fixtures if fixture.home == wanted.home}
        )
        if opponents:
            return Message(
                "in {year} `{home}` receives {opponents}; a match without a fixture is"
                " drafted with --date and --competition",
                year=pairing.season.year,
                home=wanted.home,
                opponents=", ".join(opponents),
            )
    where = (
        season_path(newest, Kind.FIXTURES) if newest else Message("fixtures.toml of that season")
    )
    return Message(
        "`{home}` has no fixture at home; write them into {where}, or give"
        " --date and --competition",
        home=wanted.home,
        where=where,
    )
