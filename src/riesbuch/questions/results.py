"""A competition's results: which sheets count, added up into its tables."""

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import PartId, SheetId
from riesbuch.trade.match import Doubt, Match, Source
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind, Ruling
from riesbuch.trade.signing import SealVerdict
from riesbuch.trade.standings import Standing, goes_by_figures, standings
from riesbuch.trade.strikers import (
    AwardGiven,
    ClassTables,
    Performance,
    Striker,
    awards_given,
    class_tables,
    strikers,
)
from riesbuch.trade.tally import Tally


@dataclass(frozen=True, kw_only=True)
class RecordedMatch:
    """A sheet without errors; ``path`` is relative to the folder. ``read`` gives what it says,
    where the ``tally`` does not tell; ``content`` are its bytes, where somebody has them;
    ``proven`` gives what the signatures of its seal prove, nothing where nobody signs."""

    path: str
    tally: Tally
    read: Callable[[], Match]
    content: bytes | None = None
    proven: Callable[[], SealVerdict | None] = lambda: None

    @cached_property
    def match(self) -> Match:
        return self.read()

    @property
    def source(self) -> Source | None:
        return self.match.source if self._may_have(b"source") else None

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        return self.match.doubts if self._may_have(b"doubts") else ()

    @property
    def is_kept_out(self) -> bool:
        """Whether the sheet says that the match is not to count."""
        return self.tally.kept_out

    def _may_have(self, key: bytes) -> bool:
        """Whether ``key`` may be in the sheet. Only with a backslash could it be written in other
        letters; reading a sheet as a whole takes twenty times as long."""
        return self.content is None or key in self.content or b"\\" in self.content


@dataclass(frozen=True, slots=True, kw_only=True)
class CompetitionResults:
    """``matches`` are all sheets without errors, drafts and postponed ones among them, by date;
    ``left_out`` are the paths of sheets that have errors and so count nowhere, and
    ``with_individuals`` the sheets that the striker table rests on, on the ``performances`` in
    them by date. The ``rulings`` are in the
    standings; ``lost_rulings`` is whether others may belong there that cannot be read."""

    year: int
    competition: Competition
    rules: RuleSet
    matches: tuple[RecordedMatch, ...]
    left_out: tuple[str, ...]
    standings: tuple[Standing, ...]
    strikers: tuple[Striker, ...]
    by_class: ClassTables
    awards: tuple[AwardGiven, ...]
    with_individuals: frozenset[SheetId]
    performances: tuple[Performance, ...] = ()
    rulings: tuple[Ruling, ...] = ()
    lost_rulings: bool = False
    rules_of_parts: Mapping[PartId, RuleSet] = field(default_factory=dict)

    @property
    def by_figures(self) -> bool:
        """Whether the table says nothing of who won."""
        return goes_by_figures(self.competition, self.rules)


def added_up_results(
    archive: Archive,
    year: int,
    competition: Competition,
    rules: RuleSet,
    recorded: Sequence[tuple[RecordedMatch, Sequence[Performance]]],
    left_out: Sequence[str] = (),
) -> CompetitionResults:
    """Of the competition's sheets without errors, with what individuals struck in each."""
    ordered = sorted(
        recorded, key=lambda pair: (pair[0].tally.date or datetime.date.min, pair[0].tally.sheet)
    )
    matches = tuple(match for match, _ in ordered)
    tallies = [match.tally for match in matches]
    rulings = archive.rulings_of(year, competition)
    table = standings(tallies, competition.teams, rules, None, rulings)
    played = [performance for _, found in ordered for performance in found]
    register = archive.register
    listed = strikers(played, register.birth_years, rules)
    by_class = class_tables(listed, rules, year, register.players)
    return CompetitionResults(
        year=year,
        competition=competition,
        rules=rules,
        matches=matches,
        left_out=tuple(left_out),
        standings=tuple(table),
        strikers=tuple(listed),
        by_class=by_class,
        awards=tuple(awards_given(table, listed, rules, by_class)),
        with_individuals=frozenset(performance.sheet for performance in played),
        performances=tuple(played),
        rulings=rulings,
        lost_rulings=archive.lost_rulings(year),
        rules_of_parts=archive.rules_of_parts(competition),
    )


def is_league(results: CompetitionResults) -> bool:
    """Whether rank points are earned by teams; elsewhere they are not shown."""
    return results.competition.kind is CompetitionKind.LEAGUE
