"""One sheet followed while somebody types: what is right now, and what last could be read.

Nothing here looks at a clock or a file; `riesbuch.cli.desk` does.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from riesbuch.folder.archive import Archive
from riesbuch.trade.match import Match
from riesbuch.trade.problems import Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.running_tally import RunningTally, running_tally


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
    says so; ``problems`` are those of `check`."""

    figures: Figures | None = None
    problems: Sequence[Problem] = ()
    trouble: str = ""

    def after(self, earlier: "DeskView") -> "DeskView":
        """What is shown: the last good figures, with the problems and the trouble of now."""
        return replace(self, figures=self.figures or earlier.figures)


def figures_of(match: Match, rules: RuleSet | None, archive: Archive) -> Figures:
    known, kind = archive.scoring_of(match)
    return Figures(
        match=match,
        archive=archive,
        rules=known,
        knows_rules=rules is not None,
        running=running_tally(match, known, kind),
    )
