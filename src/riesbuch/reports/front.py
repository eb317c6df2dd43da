"""The front page: every season, the newest first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from riesbuch.archive import Archive
from riesbuch.reports.completeness import fixtures_of, is_over, planned, played
from riesbuch.reports.markdown import (
    NOTHING,
    Column,
    Markdown,
    escape,
    fill,
    heading,
    link,
    page,
    table,
)
from riesbuch.reports.paths import FRONT_PAGE, competition_page
from riesbuch.reports.pen import Pen, pen_for
from riesbuch.results import CompetitionResults
from riesbuch.trade.ids import TeamId
from riesbuch.trade.season import Competition, CompetitionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class CompetitionSummary:
    """What the front page says of a competition. ``planned`` is None where nobody said how many
    matches there are to be; ``first`` are the teams that share the first place so far."""

    year: int
    competition: Competition
    played: int
    planned: int | None
    first: tuple[TeamId, ...]
    complete: bool


def summarize(archive: Archive, results: CompetitionResults) -> CompetitionSummary:
    fixtures = fixtures_of(archive, results)
    return CompetitionSummary(
        year=results.year,
        competition=results.competition,
        played=len(played(results)),
        planned=planned(results, fixtures),
        first=_first(results),
        complete=is_over(results, fixtures),
    )


def _first(results: CompetitionResults) -> tuple[TeamId, ...]:
    match results.competition.kind:
        case CompetitionKind.LEAGUE | CompetitionKind.FESTIVAL:
            return tuple(row.team for row in results.standings if row.rank == 1 and row.played > 0)
        case CompetitionKind.CUP:
            winner = _cup_winner(results)
            return () if winner is None else (winner,)
        case CompetitionKind.FRIENDLY:
            return ()


def _cup_winner(results: CompetitionResults) -> TeamId | None:
    """The winner of the final: the last match of the last round, where no two pairs meet."""
    rounds = [each.match.round for each in results.matches]
    if not rounds or None in rounds:
        return None
    last = max(each for each in rounds if each is not None)
    finals = [each for each in results.matches if each.match.round == last]
    pairs = {frozenset((each.match.home.team, each.match.away.team)) for each in finals}
    tally = finals[-1].tally
    if len(pairs) > 1 or not tally.counts or tally.winner not in ("home", "away"):
        return None
    return tally.side(tally.winner).team


def front_page(archive: Archive, summaries: Iterable[CompetitionSummary]) -> str:
    """Seasons from the newest back; within one, the competitions as they were given."""
    pen = pen_for(archive)
    newest_first = sorted(summaries, key=lambda each: -each.year)
    newest = newest_first[0].year if newest_first else None
    current = [each for each in newest_first if each.year == newest]
    older = [each for each in newest_first if each.year != newest]
    return page(
        [
            heading(1, escape(archive.league.name)),
            escape(pen.say.own_record),
            *_season(pen, current),
            *_older(pen, older),
            NOTHING if newest_first else escape(pen.say.no_seasons),
        ]
    )


def _season(pen: Pen, summaries: Sequence[CompetitionSummary]) -> list[Markdown]:
    if not summaries:
        return []
    title = escape(f"{pen.say.season} {summaries[0].year}")
    return [heading(2, title), table(_columns(pen), [_row(pen, each) for each in summaries])]


def _older(pen: Pen, summaries: Sequence[CompetitionSummary]) -> list[Markdown]:
    if not summaries:
        return []
    columns = [Column(escape(pen.say.season)), *_columns(pen)]
    rows = [[escape(str(each.year)), *_row(pen, each)] for each in summaries]
    return [heading(2, escape(pen.say.older_seasons)), table(columns, rows)]


def _columns(pen: Pen) -> list[Column]:
    say = pen.say
    return [
        Column(escape(say.competition)),
        Column(escape(say.matches), figures=True),
        Column(escape(say.first_place)),
    ]


def _row(pen: Pen, summary: CompetitionSummary) -> list[Markdown]:
    target = competition_page(summary.year, summary.competition.id)
    matches = pen.number(summary.played)
    if summary.planned is not None:
        matches = fill(pen.say.of_matches, played=matches, all=pen.number(summary.planned))
    first = pen.unknown
    if summary.first:
        first = pen.listed(pen.team(team) for team in summary.first)
        if summary.complete and summary.competition.kind is CompetitionKind.LEAGUE:
            first = fill(pen.say.champion, teams=first)
    return [link(FRONT_PAGE, target, escape(summary.competition.name)), matches, first]
