"""One sheet, or training, followed while somebody types: what is right now, added up as far as it
is entered (blank strikes count nothing yet), and what last could be read.

Nothing here looks at a clock or a file; `riesbuch.cli.desk` does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import SideName, opponent_of
from riesbuch.trade.match import Depth, Match, PaperTotals, Row, Side
from riesbuch.trade.people import Register
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.strikes import BLANK, Strike, StrikeKind
from riesbuch.trade.tally import SideTally, Tally, columns, least_struck_nummern, tally
from riesbuch.trade.training import Training, TrainingRow

_NOTHING_YET = frozenset({StrikeKind.BLANK, StrikeKind.UNREADABLE})


class Total(NamedTuple):
    """``added_up`` is None where nothing is entered or known. ``is_open`` while strikes of it are
    still blank or to be mended; then ``paper``, what the paper has, is not reached yet."""

    added_up: int | None
    paper: int | None = None
    is_open: bool = False
    is_from_paper: bool = False

    @property
    def difference(self) -> int | None:
        """What adds up here less what the paper has; None where there is nothing to compare."""
        if self.added_up is None or self.paper is None or self.is_from_paper:
            return None
        return self.added_up - self.paper


class RunningSide(NamedTuple):
    """``nummern`` are those that the side conceded; ``blanks`` the strikes still to be entered,
    supernumeraries' included."""

    ries: tuple[Total, ...]
    points: Total
    nummern: Total
    blanks: int

    @property
    def has_paper(self) -> bool:
        return any(total.paper is not None for total in (*self.ries, self.points, self.nummern))


class RunningTally(NamedTuple):
    """``tally`` is the sheet added up as far as it counts."""

    home: RunningSide
    away: RunningSide
    tally: Tally

    def side(self, name: SideName) -> RunningSide:
        return self.home if name == "home" else self.away

    @property
    def blanks(self) -> int:
        return self.home.blanks + self.away.blanks


def running_tally(match: Match, rules: RuleSet, kind: CompetitionKind) -> RunningTally:
    """Add up what is entered of ``match``; complete figures are those of its tally."""
    added_up = tally(match, rules, kind)

    def of_side(name: SideName) -> RunningSide:
        return _side(match.side(name), match.side(opponent_of(name)), added_up.side(name))

    return RunningTally(of_side("home"), of_side("away"), added_up)


def _side(side: Side, opponent: Side, counted: SideTally) -> RunningSide:
    paper = side.paper or PaperTotals()
    return RunningSide(
        ries=_ries(side, counted, paper.ries or ()),
        points=_points(side, counted, paper.points),
        nummern=_nummern(side, opponent, counted, paper.nummern),
        blanks=sum(
            strike.kind is StrikeKind.BLANK
            for row in side.team_rows + side.supernumeraries
            for strike in row.strikes
        ),
    )


def _ries(side: Side, counted: SideTally, paper: tuple[int, ...]) -> tuple[Total, ...]:
    def on_paper(index: int) -> int | None:
        return paper[index] if index < len(paper) else None

    if side.depth is not Depth.STRIKES:
        return tuple(
            Total(total, on_paper(index))
            for index, total in enumerate(counted.ries or side.ries or paper)
        )
    return tuple(
        _column(column, on_paper(index)) for index, column in enumerate(columns(side.team_rows))
    )


def _column(column: tuple[Strike, ...], paper: int | None) -> Total:
    kinds = {strike.kind for strike in column}
    is_open = bool(kinds & _NOTHING_YET)
    if StrikeKind.UNKNOWN in kinds and not is_open and paper is not None:
        return Total(paper, paper, is_from_paper=True)
    entered = sum(strike.points for strike in column)
    # With an unknown strike the paper's total is not reached by adding up either.
    return Total(
        None if kinds <= _NOTHING_YET else entered, paper, is_open or StrikeKind.UNKNOWN in kinds
    )


def _points(side: Side, counted: SideTally, paper: int | None) -> Total:
    if counted.points is not None:
        return Total(counted.points, paper, is_from_paper=side.holds(StrikeKind.UNKNOWN))
    if side.depth is Depth.PLAYERS:
        known = [player.points for player in side.player_points or () if player.points is not None]
        return Total(sum(known) if known else None, paper, is_open=True)
    if side.depth is not Depth.STRIKES:
        return Total(None, paper)
    entered = [strike for row in side.team_rows for strike in row.strikes]
    nothing = all(strike.kind in _NOTHING_YET for strike in entered)
    return Total(None if nothing else sum(strike.points for strike in entered), paper, is_open=True)


def _nummern(side: Side, opponent: Side, counted: SideTally, paper: int | None) -> Total:
    if opponent.depth is not Depth.STRIKES:
        return Total(counted.nummern, paper, is_from_paper=side.nummern is None)
    is_open = opponent.incomplete or bool(opponent.kinds & _NOTHING_YET)
    if not is_open:
        is_from_paper = opponent.holds(StrikeKind.UNKNOWN) and side.nummern is None
        return Total(counted.nummern, paper, is_from_paper=is_from_paper)
    nothing = opponent.kinds <= _NOTHING_YET
    return Total(None if nothing else least_struck_nummern(opponent), paper, is_open=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A sheet that could be read, added up as far as it is entered. ``knows_rules`` is False
    where it is added up under the default ones; ``archive`` knows the names."""

    match: Match
    archive: Archive
    rules: RuleSet
    knows_rules: bool
    running: RunningTally

    @property
    def rows(self) -> Sequence[tuple[SideName, Row]]:
        """In the order of the paper."""
        return [
            (name, row)
            for name, side in self.match.sides
            for row in side.team_rows + side.supernumeraries
        ]


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningFigures:
    """A training that could be read; ``register`` knows the names."""

    training: Training
    register: Register

    @property
    def rows(self) -> Sequence[tuple[str, TrainingRow]]:
        return [("", row) for row in self.training.strikes]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskView:
    """One look at the file. ``figures`` is None where it cannot be read now, and ``trouble``
    says so; ``problems`` are those of `check`. ``changed_row`` is which of all rows of strikes
    was changed last, None where none was yet."""

    figures: Figures | EveningFigures | None = None
    problems: Sequence[Problem] = ()
    trouble: str = ""
    changed_row: int | None = None

    def after(self, earlier: "DeskView") -> "DeskView":
        """What is shown: the last good figures, with the problems and the trouble of now."""
        changed = earlier.changed_row
        if self.figures is not None and earlier.figures is not None:
            before: set[object] = {*earlier.figures.rows}
            now = enumerate(self.figures.rows)
            changed = max((n for n, row in now if row not in before), default=changed)
        return replace(self, figures=self.figures or earlier.figures, changed_row=changed)

    @property
    def row_of_interest(self) -> int | None:
        """The row changed last; before any is, the first with a strike still to be entered."""
        if self.changed_row is not None or self.figures is None:
            return self.changed_row
        rows: Sequence[tuple[str, Row | TrainingRow]] = self.figures.rows
        return next((n for n, (_, row) in enumerate(rows) if BLANK in row.strikes), None)


def figures_of(match: Match, rules: RuleSet | None, archive: Archive) -> Figures:
    known, kind = archive.scoring_of(match)
    return Figures(
        match=match,
        archive=archive,
        rules=known,
        knows_rules=rules is not None,
        running=running_tally(match, known, kind),
    )
