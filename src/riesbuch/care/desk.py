"""One sheet followed while somebody types: what is right now, and what last could be read.

Nothing here looks at a clock or a file; `riesbuch.cli.desk` does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import SideName
from riesbuch.trade.match import Match, Row
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.running_tally import RunningTally, running_tally
from riesbuch.trade.strikes import BLANK


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A sheet that could be read, added up as far as it is entered. ``knows_rules`` is False
    where it is added up under the default ones; ``archive`` knows the names."""

    match: Match
    archive: Archive
    rules: RuleSet
    knows_rules: bool
    running: RunningTally


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskView:
    """One look at the sheet. ``figures`` is None where it cannot be read now, and ``trouble``
    says so; ``problems`` are those of `check`. ``changed_row`` is which of all rows of strikes
    was changed last, None where none was yet."""

    figures: Figures | None = None
    problems: Sequence[Problem] = ()
    trouble: str = ""
    changed_row: int | None = None

    def after(self, earlier: "DeskView") -> "DeskView":
        """What is shown: the last good figures, with the problems and the trouble of now."""
        changed = earlier.changed_row
        if self.figures is not None and earlier.figures is not None:
            before = {*_rows(earlier.figures.match)}
            now = _rows(self.figures.match)
            changed = max((n for n, row in enumerate(now) if row not in before), default=changed)
        return replace(self, figures=self.figures or earlier.figures, changed_row=changed)

    @property
    def row_of_interest(self) -> int | None:
        """The row changed last; before any is, the first with a strike still to be entered."""
        if self.changed_row is not None or self.figures is None:
            return self.changed_row
        rows = enumerate(_rows(self.figures.match))
        return next((n for n, (_, row) in rows if BLANK in row.strikes), None)


def _rows(match: Match) -> list[tuple[SideName, Row]]:
    """In the order of the paper."""
    return [
        (name, row) for name, side in match.sides for row in side.team_rows + side.supernumeraries
    ]


def figures_of(match: Match, rules: RuleSet | None, archive: Archive) -> Figures:
    known, kind = archive.scoring_of(match)
    return Figures(
        match=match,
        archive=archive,
        rules=known,
        knows_rules=rules is not None,
        running=running_tally(match, known, kind),
    )
