"""How matches went, in the few words of a list and in a sentence, and how much of a competition
has been played."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.language.catalogue import Catalogue
from riesbuch.language.outcomes import result_sentences
from riesbuch.pages.markdown import Markdown, joined
from riesbuch.pages.wording import Wording
from riesbuch.questions.match_lines import LeftOutSheet
from riesbuch.questions.results import CompetitionResults, RecordedMatch
from riesbuch.trade.appointments import Recorded, fit
from riesbuch.trade.certainty import (
    SurePlaces,
    missing_matches,
    named_places,
    recorded_tally,
    sure_places,
)
from riesbuch.trade.ids import CompetitionId, PartId, TeamId
from riesbuch.trade.match import Outcome
from riesbuch.trade.season import Competition, CompetitionKind, Fixture, Meeting


def has_page(recorded: RecordedMatch) -> bool:
    """A draft gets its page once it is complete."""
    return not recorded.tally.is_draft


def outcome_words(wording: Wording, recorded: RecordedMatch) -> Markdown:
    """The winner, or why there is none."""
    tally, outcome = recorded.tally, recorded.tally.outcome
    team = tally.side(tally.winner).team if tally.winner in ("home", "away") else None
    winner = wording.winner(tally.winner, team)
    if outcome is Outcome.POSTPONED:
        if tally.moved_to is None:
            return wording.say("postponed, no new date yet")
        return wording.say("postponed to {date}", date=wording.date(tally.moved_to))
    if outcome is Outcome.ANNULLED:
        return wording.say("annulled")
    if tally.is_draft:
        return wording.say("sheet not yet complete")
    words = winner or wording.say("not known")
    if outcome is Outcome.FORFEITED:
        words = wording.say("forfeited, awarded to {team}" if winner else "forfeited", team=words)
    elif outcome is Outcome.ABANDONED:
        words = wording.say("{team} (abandoned)" if winner else "abandoned", team=words)
    if recorded.is_kept_out:
        return wording.say("{outcome}; kept out of the tables", outcome=words)
    return words


def result_words(wording: Wording, recorded: RecordedMatch) -> Markdown:
    """The points, the winner's in bold, or why there are none."""
    tally = recorded.tally
    home, away = tally.home.points, tally.away.points
    struck = tally.outcome in (Outcome.PLAYED, Outcome.ABANDONED) and not tally.is_draft
    if not struck or home is away is None:
        return outcome_words(wording, recorded)
    team = tally.side(tally.winner).team if tally.winner in ("home", "away") else None
    told = wording.result(home, away, tally.winner, team)
    if tally.outcome is Outcome.ABANDONED:
        told = wording.say("{result} (abandoned)", result=told)
    if recorded.is_kept_out:
        told = wording.say("{outcome}; kept out of the tables", outcome=told)
    return told


def result_letter(wording: Wording, result: str) -> Markdown:
    """Of a match that was ``won``, ``drawn`` or ``lost``."""
    return {"won": wording.say("W"), "drawn": wording.say("D"), "lost": wording.say("L")}[result]


def outcome_sentence(wording: Wording, recorded: RecordedMatch) -> Markdown:
    """Who won and what decided it, or why nobody did."""
    tally, outcome = recorded.tally, recorded.tally.outcome
    if outcome is Outcome.POSTPONED:
        if tally.moved_to is None:
            return wording.say("Postponed; no new date yet.")
        return wording.say("Postponed to {date}.", date=wording.date(tally.moved_to))
    if outcome is Outcome.ANNULLED:
        return wording.say("Annulled: the match counts nowhere.")
    sentences = [*map(Markdown, result_sentences(wording.words, tally, wording.team))]
    if tally.winner is None and outcome is not Outcome.FORFEITED:
        sentences.append(wording.say("Who won is not known."))
    if recorded.is_kept_out:
        sentences.append(wording.say("The match is kept out of the tables."))
    return joined(sentences, " ")


def fixtures_of(archive: Archive, results: CompetitionResults) -> tuple[Fixture, ...]:
    """The competition's fixtures by date."""
    listed = archive.fixtures_of(results.year, results.competition)
    return tuple(sorted(listed, key=lambda fixture: (fixture.date, fixture.home, fixture.away)))


def played(results: CompetitionResults) -> tuple[RecordedMatch, ...]:
    """The matches that are in the standings."""
    return tuple(match for match in results.matches if match.tally.counts)


def sure_places_of(
    results: CompetitionResults, fixtures: Sequence[Fixture], *, is_over: bool
) -> SurePlaces:
    """Who is first, goes up or goes down whatever is still missing or unknown."""
    if results.left_out or results.lost_rulings:
        return named_places(results.competition)
    tallies = [match.tally for match in results.matches]
    return sure_places(
        *(results.competition, results.rules, results.standings, tallies, fixtures),
        is_over=is_over,
        of_parts=results.rules_of_parts,
    )


def decided_early(
    words: Catalogue, competition: Competition, sure: SurePlaces, name: Callable[[TeamId], str]
) -> str:
    """What of a league with matches left is decided; empty where nothing is. Who goes up or down
    by a decision is told as such."""
    sentences = [
        words.say("{team} cannot be caught any more.", team=name(team))
        for team in sorted(sure.first)
    ]
    promoted, relegated = (
        words.listed(map(name, sorted(teams))) if teams and isinstance(places, int) else ""
        for teams, places in (
            (sure.promoted - sure.first, competition.promoted),
            (sure.relegated, competition.relegated),
        )
    )
    if promoted:
        sentences.append(words.say("Promoted for certain: {teams}.", teams=promoted))
    if relegated:
        sentences.append(words.say("Relegated for certain: {teams}.", teams=relegated))
    return " ".join(sentences)


def decided_in(
    wording: Wording,
    results: CompetitionResults,
    fixtures: Sequence[Fixture],
    sure: SurePlaces,
    *,
    is_over: bool,
) -> Markdown:
    """The same of a season under way alone: else the table says it."""
    competition, tallies = results.competition, [match.tally for match in results.matches]
    if (
        is_over
        or competition.kind is not CompetitionKind.LEAGUE
        or not missing_matches(competition, fixtures, tallies)
    ):
        return Markdown("")
    return Markdown(decided_early(wording.words, competition, sure, wording.team))


class ComingFixture(NamedTuple):
    """A fixture that is still to be played; ``day`` is another than planned where it was put
    off."""

    day: datetime.date
    fixture: Fixture


def coming_fixtures(
    fixtures: Sequence[Fixture], recorded: Iterable[Recorded[None]]
) -> tuple[ComingFixture, ...]:
    """The ``fixtures`` of one season that none of its sheets enters, by day. What was put off
    without a new day, or annulled, has no day to be played on."""
    coming = [
        ComingFixture(appointment.day, appointment.fixture)
        for appointment in fit(fixtures, tuple(recorded)).appointments
        if appointment.final is None
        and appointment.day is not None
        and all(sheet.outcome is Outcome.POSTPONED for sheet in appointment.sheets)
    ]
    return tuple(sorted(coming, key=_by_day))


def _by_day(coming: ComingFixture) -> tuple[object, ...]:
    fixture = coming.fixture
    return coming.day, fixture.competition, fixture.home, fixture.away


def recorded_left_out(left_out: Iterable[LeftOutSheet]) -> Iterator[Recorded[None]]:
    """When teams met of whose match the sheet has errors."""
    for sheet in left_out:
        date = datetime.date.fromisoformat(sheet.date) if sheet.date else None
        home, away = (TeamId(team) if team else None for team in (sheet.home, sheet.away))
        part = PartId(sheet.part) if sheet.part else None
        meeting = Meeting(sheet.round, date, home, away, part=part)
        competition = CompetitionId(sheet.competition) if sheet.competition else None
        yield Recorded(competition, meeting, Outcome.PLAYED, None, None)


def recorded_in(results: CompetitionResults) -> Iterator[Recorded[None]]:
    """What the competition's sheets say of when teams meet."""
    for recorded in results.matches:
        yield recorded_tally(recorded.tally, None)
