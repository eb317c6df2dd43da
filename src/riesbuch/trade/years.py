"""Seasons by their years."""

from collections.abc import Iterable


def listed_years(years: Iterable[int]) -> str:
    """Years in order as in "1958, 1965–1971"."""
    runs: list[list[int]] = []
    for year in years:
        if runs and runs[-1][1] == year - 1:
            runs[-1][1] = year
        else:
            runs.append([year, year])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)
