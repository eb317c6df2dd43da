"""The striker table: individuals ranked over a competition."""

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from operator import itemgetter
from typing import TYPE_CHECKING, Any, NamedTuple

from riesbuch.trade.ids import ClassId, PlayerId, SheetId, TeamId
from riesbuch.trade.match import Match, Outcome
from riesbuch.trade.rules import Award, RuleSet, StrikersCriterion, StrikersScale
from riesbuch.trade.standings import Standing, shared_ranks

if TYPE_CHECKING:
    from fractions import Fraction

    from riesbuch.trade.people import Player


# Calling the named tuple itself takes several times as long, and there are hundreds of thousands.
_new: Any = tuple.__new__


class Performance(NamedTuple):
    """One player in one match. ``strikes`` counts those struck, ``listed`` are all as a JSON list,
    then come the highest and the sum of their squares; all are None where only the match points
    are known."""

    sheet: SheetId
    date: datetime.date
    player: PlayerId
    team: TeamId
    points: int
    strikes: int | None
    listed: str | None
    best_strike: int | None
    squares: int | None
    rank_points: int


class Striker(NamedTuple):
    """One player's row. ``strikes`` counts those struck and known, and ``struck_points`` are
    theirs, over the matches known strike by strike, ``best_strike`` the highest of them and
    ``squares`` the sum of their squares. ``best`` is the highest match points."""

    rank: int
    player: PlayerId
    team: TeamId
    matches: int
    strikes: int
    points: int
    struck_points: int
    best: int
    rank_points: int
    best_strike: int | None
    squares: int

    @property
    def average(self) -> "Fraction | None":
        """Points a strike over the matches known strike by strike, None without any."""
        return _ratio(self.struck_points, self.strikes)


TEAM, SUPERNUMERARY, POINTS, NAMED = range(4)
"""The roles of individuals: in a row of the batting order, with match points alone, or named with
theirs where the others' are not known."""

_Number = int | None
Individual = tuple[int, int, PlayerId, str | None, _Number, _Number, _Number, _Number, _Number]
"""0 or 1 for home or away, the role, the player, the strikes as a JSON list, how many are struck
and known, the match points, how many of the strikes are Nummern, the highest, and the sum of
their squares."""


def individuals(match: Match) -> list[Individual]:
    """What each row of an individual says, in the order of the sheet. The list of one who did not
    take part is None, and so is what is not known."""
    found: list[Individual] = []
    for away, side in enumerate((match.home, match.away)):
        for role, rows in ((TEAM, side.rows or ()), (SUPERNUMERARY, side.supernumeraries)):
            for player, innings, _, _ in rows:
                total: int | None = 0
                struck = nummern = best = squares = 0
                listed, took_part = "", False
                for inning in innings:
                    strikes, more, points, of_nummern, best_of, of_squares, played = inning.sums
                    listed = f"{listed},{strikes}" if listed and strikes else listed or strikes
                    struck += more
                    nummern += of_nummern
                    squares += of_squares
                    total = None if total is None or points is None else total + points
                    if best_of > best:
                        best = best_of
                    if played:
                        took_part = True
                if took_part:
                    written, highest = f"[{listed}]", best if struck else None
                    found.append(
                        (away, role, player, written, struck, total, nummern, highest, squares)
                    )
                else:
                    found.append((away, role, player, None, 0, None, None, None, None))
        role = NAMED if side.player_points is None else POINTS
        for known in side.by_points:
            found.append((away, role, known.player, None, None, known.points, None, None, None))
    return found


def is_struck(match: Match) -> bool:
    """Whether match points in it count: not those of a draft, of a match without a day, or of
    one that is kept out of the tables."""
    return (
        match.date is not None
        and match.counts
        and match.outcome in (Outcome.PLAYED, Outcome.ABANDONED)
        and not match.is_draft
    )


def performances(
    match: Match, rules: RuleSet, of_match: Iterable[Individual] | None = None
) -> list[Performance]:
    """Everybody of both sides whose match points are known, ranked within the match, but for
    those `NAMED`, of whom nobody knows how many struck more. Empty for a match that is not
    `is_struck`. ``of_match`` are its `individuals` where they are at hand."""
    if match.date is None or not is_struck(match):
        return []
    sheet, date = match.sheet, match.date
    teams = match.home.team, match.away.team
    ranked = [
        figures
        for figures in _together(of_match or individuals(match))
        if figures[5] is not None and teams[figures[0]] is not None
    ]
    ranked.sort(key=itemgetter(2))
    ranked.sort(key=itemgetter(5), reverse=True)
    found: list[Performance] = []
    level, earned = None, 0
    ranks = _of_ranks(rules.strikers, len(ranked))
    for (away, _, player, listed, struck, points, _, highest, squares), of_rank in zip(
        ranked, ranks, strict=True
    ):
        if points != level:
            level, earned = points, of_rank
        figures = (
            sheet, date, player, teams[away], points, struck, listed, highest, squares, earned
        )  # fmt: skip
        found.append(_new(Performance, figures))
    return found


@lru_cache
def _of_ranks(scale: StrikersScale, ranks: int) -> list[int]:
    """The rank points of the first, the second and so on."""
    return [scale.rank_points(rank + 1) for rank in range(ranks)]


def _together(of_match: Iterable[Individual]) -> list[Individual]:
    """Those who took part: a supernumerary who came in has two rows, which are one performance."""
    took_part = [each for each in of_match if each[3] is not None or each[1] == POINTS]
    if len({each[2] for each in took_part}) == len(took_part):
        return took_part
    together: dict[tuple[int, PlayerId, bool], Individual] = {}
    for figures in took_part:
        away, role, player, listed, struck, points, nummern, highest, squares = figures
        key = away, player, struck is None
        before = together.get(key)
        if before is not None and struck is not None:
            known = before[5]
            figures = (
                away, role, player, both_lists(before[3], listed), (before[4] or 0) + struck,
                None if points is None or known is None else known + points,
                (before[6] or 0) + (nummern or 0), higher(before[7], highest),
                (before[8] or 0) + (squares or 0),
            )  # fmt: skip
        together[key] = figures
    return list(together.values())


def both_lists(one: str | None, other: str | None) -> str:
    """The strikes of two JSON lists as one."""
    return f"{(one or '[]')[:-1]},{(other or '[]')[1:]}"


def higher(one: int | None, other: int | None) -> int | None:
    return max((each for each in (one, other) if each is not None), default=None)


def _ratio(points: int, strikes: int) -> "Fraction | None":
    # Most commands never ask, and the module takes a while to come in.
    from fractions import Fraction

    return Fraction(points, strikes) if strikes else None


class _Running:
    def __init__(self, player: PlayerId, born: int | None, struck: Sequence[Performance]) -> None:
        self.player = player
        self.born = born
        sheets, dates, _, teams, points, strikes, self._listed, highest, squares, earned = zip(
            *struck, strict=True
        )
        self.matches = len(struck)
        self.points = sum(points)
        self.best = max(0, *points)
        self.rank_points = sum(earned)
        self.strikes = sum(filter(None, strikes))
        # Nobody's match points are known of whom a strike is not.
        self.struck_points = sum(
            [of_match for of_match, known in zip(points, strikes, strict=True) if known is not None]
        )
        self.best_strike = max(
            [of_match for of_match in highest if of_match is not None], default=None
        )
        self.squares = sum(filter(None, squares))
        # Of the last match; of two matches of a day the one whose sheet is the later.
        _, _, self.team = max(zip(dates, sheets, teams, strict=True))

    @property
    def average(self) -> "Fraction | None":
        return _ratio(self.struck_points, self.strikes)

    @property
    def highest_strikes(self) -> list[int]:
        """The points of all that are struck, from the best down."""
        written = "".join(filter(None, self._listed)).replace("N", "").split('"')
        return sorted(map(int, filter(str.isdecimal, written)), reverse=True)


_NEVER_BORN = 10_000

_CRITERIA: dict[StrikersCriterion, Callable[[Any], object]] = {
    "rank_points": lambda row: -row.rank_points,
    "points": lambda row: -row.points,
    "best": lambda row: -row.best,
    "average": lambda row: 1 if row.average is None else -row.average,
    # From the best strike down; of two that agree as far as they go, the longer is higher.
    "highest_strikes": lambda row: [*(-points for points in row.highest_strikes), 1],
    "older": lambda row: _NEVER_BORN if row.born is None else row.born,
}


def rests_on_people(rules: RuleSet) -> bool:
    """Whether a table may be another by what the register says of a player."""
    return bool(rules.classes) or "older" in rules.strikers.order


def ranked_by_rows(rules: RuleSet) -> bool:
    """Whether a `Striker` says all that the order of the rules goes by."""
    return not {"highest_strikes", "older"}.intersection(rules.strikers.order)


def strikers(
    all_performances: Iterable[Performance],
    birth_years: Mapping[PlayerId, int],
    rules: RuleSet,
    until: datetime.date | None = None,
    known: Iterable[Striker] = (),
) -> list[Striker]:
    """The striker table of one competition over matches on or before ``until``. Players level
    on all of the rule set's order share a rank and stand there by identifier. Those ``known``
    have no performance among the others, and their rank is of another table; only where players
    are `ranked_by_rows`."""
    if until:
        all_performances = [each for each in all_performances if each.date <= until]
    by_player: dict[PlayerId, list[Performance]] = {}
    for performance in all_performances:
        by_player.setdefault(performance[2], []).append(performance)
    rows: list[_Running | Striker] = [
        _Running(player, birth_years.get(player), of) for player, of in by_player.items()
    ]
    rows += known
    order = rules.strikers.order
    keyed = sorted(
        ((tuple(_CRITERIA[criterion](row) for criterion in order), row) for row in rows),
        key=lambda pair: (pair[0], pair[1].player),
    )
    ranks = shared_ranks([key for key, _ in keyed])
    return [
        Striker(
            *(rank, row.player, row.team, row.matches, row.strikes, row.points),
            *(row.struck_points, row.best, row.rank_points, row.best_strike, row.squares),
        )
        for rank, (_, row) in zip(ranks, keyed, strict=True)
    ]


ClassTables = Mapping[ClassId, Sequence[Striker]]


def class_tables(
    rows: Iterable[Striker], rules: RuleSet, season: int, players: Mapping[PlayerId, "Player"]
) -> ClassTables:
    """Of each class of the rules, in their order, the ``rows`` of those who are in it, ranked
    anew. Who has no file is in none."""
    listed = [(row, players[row.player]) for row in rows if row.player in players]
    found: dict[ClassId, Sequence[Striker]] = {}
    for ranked in rules.classes:
        within = [
            row for row, who in listed if ranked.takes_in(season, who.born, frozenset(who.classes))
        ]
        ranks = shared_ranks([row.rank for row in within])
        found[ranked.id] = [
            row._replace(rank=rank) for rank, row in zip(ranks, within, strict=True)
        ]
    return found


class AwardGiven(NamedTuple):
    """To whom an award goes, in the order of the table that it goes by: to ``teams`` where it is
    for them, else to ``players``."""

    award: Award
    players: tuple[PlayerId, ...] = ()
    teams: tuple[TeamId, ...] = ()


def awards_given(
    teams: Iterable[Standing], rows: Sequence[Striker], rules: RuleSet, by_class: ClassTables
) -> list[AwardGiven]:
    """All awards of the rules: those for teams first, then for all individuals, then class by
    class, and each before those that it outdoes. All who are level at the last rank get one by
    rank; teams that have not played get none."""
    places = [None, *by_class]

    def order(award: Award) -> tuple[bool, int, bool, int, int]:
        by_points = award.first is None
        of_class = places.index(award.of_class)
        return (
            not award.is_for_teams, of_class, by_points, award.first or 0, -(award.points or 0)
        )  # fmt: skip

    def given(award: Award) -> AwardGiven:
        if award.is_for_teams:
            ranked = (row for row in teams if row.played)
            return AwardGiven(
                award,
                teams=tuple(row.team for row in ranked if rules.gives(award, row.rank, row.points)),
            )
        of_all = rows if award.of_class is None else by_class[award.of_class]
        return AwardGiven(
            award,
            tuple(row.player for row in of_all if rules.gives(award, row.rank, row.points)),
        )

    return [
        given(award)
        for award in sorted((each for each in rules.awards if each.of_class in places), key=order)
    ]
