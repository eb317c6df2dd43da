"""A page before it is made."""

from collections.abc import Callable
from typing import NamedTuple

from riesbuch.pages.paths import REPORTS


class Page(NamedTuple):
    """``path`` is relative to the reports. ``text`` makes it; what it gives is None where the page
    turns out not to be due. ``rests_on`` tells all that it is made from beside the files that
    belong to no season; None where that is everything in its part of the reports."""

    path: str
    text: Callable[[], str | None]
    rests_on: Callable[[], object] | None

    @classmethod
    def at(
        cls,
        path: str,
        text: Callable[[], str | None],
        rests_on: Callable[[], object] | None = None,
    ) -> "Page":
        """The page at ``path``, relative to the club folder."""
        return cls(path.removeprefix(f"{REPORTS}/"), text, rests_on)
