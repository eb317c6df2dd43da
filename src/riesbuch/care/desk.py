"""One sheet, or training, followed while somebody types: what is right now, and what last could be
read.

Nothing here looks at a clock or a file; `riesbuch.cli.desk` does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import SideName
from riesbuch.trade.match import Match, Row
from riesbuch.trade.people import Register
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.running_tally import RunningTally, running_tally
from riesbuch.trade.strikes import BLANK
from riesbuch.trade.training import Training, TrainingRow


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
