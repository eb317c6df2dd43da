"""What a case of a problem code is made of."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from tests.clubfolder import Edit


@dataclass(frozen=True, kw_only=True)
class NearMiss:
    """Something like the fault that is none. ``also`` are codes that it gives all the same."""

    title: str
    edits: Sequence[Edit]
    also: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Case:
    """One fault in an otherwise faultless folder, and what is said about it.

    ``title`` is a sentence for people. ``excerpt`` are the offending lines of the file ``path``
    as they stand there after the ``edits``; the problem's place is where ``points_at`` stands in
    them, which is their beginning where it is empty. Where ``excerpt`` is empty too, the place is
    the beginning of the file. ``says`` and ``advises`` stand in the message and in the hint; an
    empty ``advises`` expects no hint. ``also`` are the codes that come with it unavoidably.
    """

    code: str
    title: str
    edits: Sequence[Edit]
    path: str
    excerpt: str
    points_at: str = ""
    severity: str = "error"
    says: str
    advises: str = ""
    also: tuple[str, ...] = field(default=())
    near_miss: NearMiss

    def place(self, text: str) -> tuple[int, int]:
        """Line and column that are expected in the file's ``text``."""
        if not self.excerpt:
            return 1, 1
        assert text.count(self.excerpt) == 1, f"{self.excerpt!r} in {text!r}"
        assert self.points_at in self.excerpt
        offset = text.index(self.excerpt) + self.excerpt.index(self.points_at)
        return text.count("\n", 0, offset) + 1, offset - (text.rfind("\n", 0, offset) + 1) + 1
