"""A folder and what its files alone come to."""

from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd

from tests.reference.folder import Frames, load
from tests.reference.results import match_results
from tests.reference.tables import named, performances, standings, strikers

Tables = dict[tuple[int, str], list[dict[str, Any]]]


class Recomputed:
    """``results`` has two rows a match, ``played`` a row for each performance of an individual;
    the tables are by season and competition."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.frames: Frames = load(root)
        self.results: pd.DataFrame = match_results(self.frames)

    @cached_property
    def played(self) -> pd.DataFrame:
        return performances(self.frames, self.results)

    @cached_property
    def named(self) -> pd.DataFrame:
        return named(self.frames, self.results)

    @cached_property
    def in_careers(self) -> pd.DataFrame:
        """Those in ``played``, and those who are only named."""
        frames = [frame for frame in (self.played, self.named) if len(frame)]
        both = pd.concat(frames, ignore_index=True) if frames else self.played
        return both.astype({"points": int, "counted": int})

    @cached_property
    def standings(self) -> Tables:
        return {
            (season, key): standings(
                self.frames, self.results, season, key, competition["rules"], None
            )
            for (season, key), competition in sorted(self.frames.competitions.items())
        }

    @cached_property
    def strikers(self) -> Tables:
        return {
            (season, key): strikers(
                self.frames, self.played, season, key, competition["rules"], None
            )
            for (season, key), competition in sorted(self.frames.competitions.items())
        }
