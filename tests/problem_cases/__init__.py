"""One case of every problem code, each with a near miss."""

from tests.problem_cases import (
    files,
    handed_down,
    seals,
    season,
    strikes,
    totals,
    trainings,
    values,
)
from tests.problem_cases.model import Case, NearMiss

__all__ = ["CASES", "VARIANTS", "Case", "NearMiss"]

CASES: tuple[Case, ...] = (
    *files.CASES,
    *values.CASES,
    *strikes.CASES,
    *totals.CASES,
    *seals.CASES,
    *season.CASES,
    *handed_down.CASES,
    *trainings.CASES,
)

VARIANTS: tuple[Case, ...] = (*season.OF_PARTS, *trainings.OF_TRAININGS)
"""Other cases of codes that say more than one thing."""
