"""What records are asked of, whoever is best of it, and all that as a text to be remembered."""

import json
from collections.abc import Collection, Iterable, Mapping
from fractions import Fraction
from typing import Any, NamedTuple, TypeVar

RUNS = {
    "clean_run": "1",
    "winning_run": "w",
    "unbeaten_run": "wd",
    "losing_run": "l",
}
"""What every match of a run came to, by the letters of a `TeamSeason`."""


class Scope(NamedTuple):
    """Which matches. ``since`` and ``until`` are dates, ``teams`` those of a club and its
    predecessors; None is no limit."""

    competition: str | None = None
    since: str | None = None
    until: str | None = None
    teams: tuple[str, ...] | None = None

    def where(self, alias: str, team: str | None = None) -> tuple[str, list[str]]:
        """The condition in SQL on the table ``alias`` with its parameters; ``team`` is the
        column held against the teams."""
        parts: list[str] = [f"{alias}.date IS NOT NULL"]
        values: list[str] = []
        for column, sign, value in (
            ("competition", "=", self.competition),
            ("date", ">=", self.since),
            ("date", "<=", self.until),
        ):
            if value is not None:
                parts.append(f"{alias}.{column} {sign} ?")
                values.append(value)
        if self.teams is not None and team is not None:
            parts.append(f"{team} IN ({self.marks})")
            values += self.teams
        return " AND ".join(parts), values

    @property
    def marks(self) -> str:
        """A question mark for each team."""
        return ", ".join("?" * len(self.teams or ()))


class Holder(NamedTuple):
    """Who holds a record, when and on which sheets. What a season comes to has no sheets; of what
    several do ``season`` is the first. ``team`` is None where only a player's name is known.
    ``named_by`` is the kind of source (empty where none is given) that names the player, where no
    more than the match points is known."""

    team: str | None
    opponent: str | None
    player: str | None
    season: int
    competition: str | None = None
    date: str | None = None
    until: str | None = None
    sheets: tuple[str, ...] = ()
    named_by: str | None = None


Value = int | Fraction
_Figure = TypeVar("_Figure", int, float)


class Ranked(NamedTuple):
    """One of the best few. Who are level share a rank, and the next is passed over. ``goes_on``
    is whether a run ends with the last match on record; of a ``spread`` the value is its square."""

    rank: int
    value: Value
    holder: Holder
    goes_on: bool = False


class Record(NamedTuple):
    """``known`` of ``of`` could be used, and of other sides the ``named`` players. Without a value
    nobody holds the record."""

    kind: str
    ranked: tuple[Ranked, ...]
    known: int
    of: int
    named: int = 0

    @property
    def value(self) -> Value | None:
        return self.ranked[0].value if self.ranked else None

    @property
    def holders(self) -> tuple[Holder, ...]:
        return tuple(row.holder for row in self.ranked if row.rank == 1)


class RecordBook(NamedTuple):
    """``matches`` is how many the records rest on, ``strike_by_strike`` of how many of them both
    sides are known so; ``open_results`` how many matches have no known result, ``incomplete`` how
    many of the ``competitions`` lack matches, ``with_errors`` how many sheets of the folder were
    left out for their errors. ``first`` is the first season that a club or team has a match of
    within the scope."""

    records: tuple[Record, ...]
    matches: int
    strike_by_strike: int
    open_results: int
    competitions: int
    incomplete: int
    with_errors: int
    first: int | None


def packed_book(book: RecordBook, names: Mapping[str, str]) -> str:
    """The book and the names of those who stand in it."""

    def parts(ratio: Fraction) -> tuple[int, int]:
        return ratio.numerator, ratio.denominator

    return json.dumps([book, sorted(names.items())], default=parts)


def unpacked_book(text: str) -> tuple[RecordBook, dict[str, str]]:
    (records, *figures), names = json.loads(text)

    def holder(*told: Any) -> Holder:
        return (held := Holder(*told))._replace(sheets=tuple(held.sheets))

    return RecordBook(
        tuple(
            Record(
                kind,
                tuple(
                    Ranked(
                        rank,
                        Fraction(*value) if isinstance(value, list) else value,
                        holder(*told),
                        goes_on,
                    )
                    for rank, value, told, goes_on in ranked
                ),
                *known,
            )
            for kind, ranked, *known in records
        ),
        *figures,
    ), dict(names)


class Best(NamedTuple):
    """How many of the best are asked for."""

    number: int = 1

    def last(self, values: Iterable[_Figure], *, least: bool = False) -> _Figure | None:
        """What the last of them has at least (or at most) where each of the ``values`` is one of
        them; None where there are too few to tell."""
        ordered = sorted(values, reverse=not least)
        return ordered[self.number - 1] if len(ordered) >= self.number else None

    def record(
        self,
        kind: str,
        entries: Iterable[tuple[Value, Holder]],
        known: int,
        of: int,
        *,
        least: bool = False,
        going: Collection[Holder] = (),
    ) -> Record:
        """Whoever is among them, those who are level in the order of time."""

        def order(entry: tuple[Value, Holder]) -> tuple[object, ...]:
            value, holder = entry
            day, who = (
                holder.date or f"{holder.season:04}",
                (holder.team or "", holder.player or ""),
            )
            figure = value if least else -value
            return figure, day, holder.sheets, holder.competition or "", who

        ranked: list[Ranked] = []
        for place, (value, holder) in enumerate(sorted(entries, key=order), start=1):
            is_level = bool(ranked) and ranked[-1].value == value
            if place > self.number and not is_level:
                break
            rank = ranked[-1].rank if is_level else place
            ranked.append(Ranked(rank, value, holder, holder in going))
        return Record(kind, tuple(ranked), known, of)
