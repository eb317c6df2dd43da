"""A sheet to be spoilt, and a spoilt one."""

import re
from dataclasses import dataclass, field
from random import Random

ROW = re.compile(r"^    ([a-z0-9-]+): (\[\[.*\]\])(?=\s|$)")


@dataclass(frozen=True, kw_only=True)
class Slip:
    """A spoilt sheet. One of the codes ``expected`` must stand at one of ``lines``, and no code
    but these and those in ``also`` anywhere."""

    content: bytes
    lines: tuple[int, ...]
    expected: frozenset[str]
    also: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Sheet:
    """The lines of a good sheet, and what is needed to spoil one without a second fault."""

    lines: tuple[str, ...]
    highest: int
    zone_end: int
    chance: Random = field(compare=False)

    @property
    def text(self) -> str:
        return "\n".join(self.lines)

    @property
    def rows(self) -> list[int]:
        """Rows of strikes, by index, but those that a doubt points at."""
        found = [index for index, line in enumerate(self.lines) if ROW.match(line)]
        return [index for index in found if f".{self.player(index)}." not in self.text]

    def player(self, index: int) -> str:
        row = ROW.match(self.lines[index])
        assert row is not None
        return row[1]

    def index_of(self, pattern: str) -> int | None:
        """One of the lines that begin so."""
        found = [index for index, line in enumerate(self.lines) if re.match(pattern, line)]
        return self.chance.choice(found) if found else None

    def below(self, index: int) -> int:
        """The next line that is neither empty nor a comment."""
        for later in range(index + 1, len(self.lines)):
            if self.lines[later].strip() and not self.lines[later].lstrip().startswith("#"):
                return later
        return index

    def with_line(self, index: int, *lines: str) -> str:
        return "\n".join([*self.lines[:index], *lines, *self.lines[index + 1 :]])

    def slip(
        self,
        index: int,
        line: str,
        *expected: str,
        also: tuple[str, ...] = (),
        or_below: bool = False,
    ) -> Slip:
        last = self.below(index) if or_below else index
        return Slip(
            content=self.with_line(index, line).encode("utf-8"),
            lines=tuple(range(index + 1, last + 2)),
            expected=frozenset(expected),
            also=frozenset(also),
        )

    def some_row(self) -> int | None:
        return self.chance.choice(self.rows) if self.rows else None
