"""A match added up: Ries totals, points, Nummern, the winner and what decided it."""

import datetime
from itertools import chain, zip_longest
from typing import Literal, NamedTuple

from riesbuch.trade.ids import CompetitionId, PartId, SheetId, SideName, TeamId, Winner, opponent_of
from riesbuch.trade.match import Depth, Match, Outcome, Row, Side
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.strikes import Strike, StrikeKind

DecidedBy = Literal["nummern", "points", "longest_ries", "award", "recorded"]

OUTCOMES_IN_TABLES = frozenset({Outcome.PLAYED, Outcome.FORFEITED, Outcome.ABANDONED})
_UNFINISHED = frozenset({StrikeKind.BLANK, StrikeKind.UNREADABLE})
_UNCOUNTABLE = frozenset({StrikeKind.UNKNOWN, StrikeKind.BLANK, StrikeKind.UNREADABLE})


class SideTally(NamedTuple):
    """What a side made of the match; None is unknown. ``nummern`` are those it conceded,
    ``best_ries`` is the highest Ries total that is known, of which there may be others."""

    team: TeamId | None
    depth: Depth
    ries: tuple[int, ...] | None
    points: int | None
    nummern: int | None
    rank_points: int | None
    best_ries: int | None = None


class Tally(NamedTuple):
    """``counts`` tells whether the match enters standings: played to a known winner, and
    neither a draft nor kept out; ``kept_out`` is what the sheet says of that. ``moved_to`` is the
    new day of a match that was put off."""

    sheet: SheetId
    season: int
    competition: CompetitionId | None
    round: int | None
    date: datetime.date | None
    outcome: Outcome
    home: SideTally
    away: SideTally
    winner: Winner | None
    decided_by: DecidedBy | None
    is_draft: bool
    counts: bool
    kept_out: bool = False
    moved_to: datetime.date | None = None
    part: PartId | None = None

    def side(self, name: SideName) -> SideTally:
        return self.home if name == "home" else self.away

    def is_settled(self, *, is_over: bool = False) -> bool:
        """Whether nothing more is to come of the match: it has a result, was annulled, or is kept
        out of the tables. Once the season ``is_over``, one that was put off and never got a new
        day was never made up."""
        if self.is_draft:
            return False
        if self.outcome is Outcome.POSTPONED:
            return self.kept_out or (is_over and self.moved_to is None)
        return self.winner is not None or self.outcome is Outcome.ANNULLED or self.kept_out


class _Figures(NamedTuple):
    ries: tuple[int, ...] | None
    points: int | None
    nummern: int | None


_NO_FIGURES = _Figures(ries=None, points=None, nummern=None)


def columns(rows: tuple[Row, ...]) -> tuple[tuple[Strike, ...], ...]:
    """The n-th strikes of all rows, for each n. A row that ended early is missing from the
    columns it did not reach."""
    of_rows = [row.strikes for row in rows]
    if len(set(map(len, of_rows))) <= 1:
        return tuple(zip(*of_rows, strict=True))
    return tuple(
        tuple(strike for strike in column if strike is not None) for column in zip_longest(*of_rows)
    )


def column_total(column: tuple[Strike, ...]) -> int | None:
    """Points of one column, or None while a strike in it is unknown, blank or unreadable."""
    if any([strike.kind in _UNCOUNTABLE for strike in column]):
        return None
    return sum([strike.points for strike in column])


def is_unfinished(side: Side) -> bool:
    """Whether strikes of the side are still to be entered or to be mended."""
    return side.incomplete or bool(side.kinds & _UNFINISHED)


def struck_nummern(side: Side) -> int | None:
    """Nummern that ``side`` struck, so its opponent conceded; None where not fully known."""
    if not side.rows or side.incomplete or side.kinds & _UNCOUNTABLE:
        return None
    return least_struck_nummern(side)


def least_struck_nummern(side: Side) -> int:
    """Nummern among those strikes of ``side`` that are known."""
    return len(side.traits.nummern)


def result_for(winner: str | None, name: str) -> str:
    """``won``, ``drawn`` or ``lost``."""
    if winner == "draw":
        return "drawn"
    return "won" if winner == name else "lost"


def recorded_nummern(side: Side, opponent: Side) -> int | None:
    """Nummern that ``side`` conceded: counted off the opponent's strikes where they are known,
    else as recorded for the side, else as the paper has it."""
    counted = struck_nummern(opponent)
    if counted is not None:
        return counted
    if side.nummern is not None:
        return side.nummern
    return side.paper.nummern if side.paper else None


def strikes_totals(side: Side) -> tuple[tuple[int, ...] | None, int | None]:
    """Ries totals and points of a side known strike by strike. With unknown cells both come
    from the paper; while a strike is blank or unreadable both are None."""
    if is_unfinished(side):
        return None, None
    if side.holds(StrikeKind.UNKNOWN):
        if side.paper is None:
            return None, None
        written, points_written = side.paper.ries, side.paper.points
        if points_written is None and written is not None:
            return written, sum(written)
        return written, points_written
    rows = side.team_rows
    if len(side.traits.shapes) == 1:
        ries: tuple[int, ...] = ()
        for innings in zip(*[row.innings for row in rows], strict=True):
            ries += tuple(map(sum, zip(*[inning.points for inning in innings], strict=True)))
    else:
        points = [chain.from_iterable([inning.points for inning in row.innings]) for row in rows]
        ries = tuple(map(sum, zip_longest(*points, fillvalue=0)))
    return ries, sum(ries)


def _figures(side: Side, opponent: Side) -> _Figures:
    nummern = recorded_nummern(side, opponent)
    ries: tuple[int, ...] | None = None
    points: int | None = None
    match side.depth:
        case Depth.STRIKES:
            ries, points = strikes_totals(side)
        case Depth.PLAYERS:
            known = [player.points for player in side.player_points or ()]
            points = None if None in known else sum(filter(None, known))
        case Depth.RIES:
            ries = side.whole_ries
            points = sum(ries or ())
        case Depth.POINTS:
            points = side.points
        case Depth.NONE:
            pass
    return _Figures(ries, points, nummern)


def figures_winner(
    home: SideTally | _Figures, away: SideTally | _Figures, rules: RuleSet
) -> tuple[Winner | None, DecidedBy | None]:
    """Walk the rule set's result order over what is known.

    Returns the winner and what decided it; ``("draw", None)`` where everything is known and
    level; ``(None, None)`` where it stays open because something is unknown.
    """
    passed_over = False
    mine: tuple[int, ...] | None
    theirs: tuple[int, ...] | None
    for criterion in rules.result_order:
        if criterion == "nummern":
            # Fewer conceded is better, so the signs turn.
            mine = None if home.nummern is None else (-home.nummern,)
            theirs = None if away.nummern is None else (-away.nummern,)
        elif criterion == "points":
            mine = None if home.points is None else (home.points,)
            theirs = None if away.points is None else (away.points,)
        else:
            mine, theirs = _best_ries_first(home.ries, away.ries)
        if mine is None or theirs is None:
            passed_over = True
        elif mine != theirs:
            return ("home" if mine > theirs else "away"), criterion
    return (None, None) if passed_over else ("draw", None)


def _best_ries_first(*sides: tuple[int, ...] | None) -> tuple[tuple[int, ...] | None, ...]:
    """Ries totals from the best down. In an abandoned match one that was not reached is worth as
    much as one in which nobody struck: nothing."""
    length = max(len(ries or ()) for ries in sides)
    return tuple(
        None if ries is None else (*sorted(ries, reverse=True), *[0] * (length - len(ries)))
        for ries in sides
    )


def _winner(
    match: Match, home: _Figures, away: _Figures, rules: RuleSet
) -> tuple[Winner | None, DecidedBy | None]:
    if match.outcome is Outcome.FORFEITED:
        return match.awarded, ("award" if match.awarded else None)
    if match.outcome not in OUTCOMES_IN_TABLES or match.is_draft:
        return None, None
    winner, decided_by = figures_winner(home, away, rules)
    if winner is None and match.winner is not None:
        return match.winner, "recorded"
    return winner, decided_by


def rank_points_of(
    outcome: Outcome,
    name: SideName,
    mine: SideTally | _Figures,
    theirs: SideTally | _Figures,
    winner: Winner,
    rules: RuleSet,
) -> int:
    """What the side ``name`` earns; what is unknown earns nothing."""
    if outcome is Outcome.FORFEITED:
        return rules.forfeit.winner if winner == name else rules.forfeit.loser
    scale = rules.rank_points
    earned = scale.clean if mine.nummern == 0 else 0
    if winner == name:
        return earned + scale.win
    if winner == "draw":
        return earned + scale.draw
    if mine.points is not None and theirs.points is not None and mine.points > theirs.points:
        earned += scale.more_points_in_defeat
    return earned


def tally(match: Match, rules: RuleSet, kind: CompetitionKind) -> Tally:
    """Add ``match`` up under ``rules``. Rank points are earned in league matches alone."""
    if match.outcome is Outcome.FORFEITED:
        figures: dict[SideName, _Figures] = {"home": _NO_FIGURES, "away": _NO_FIGURES}
    else:
        figures = {
            "home": _figures(match.home, match.away),
            "away": _figures(match.away, match.home),
        }
    winner, decided_by = _winner(match, figures["home"], figures["away"], rules)

    def side_tally(name: SideName) -> SideTally:
        side, mine = match.side(name), figures[name]
        earned = None
        if winner is not None and kind is CompetitionKind.LEAGUE:
            earned = rank_points_of(
                match.outcome, name, mine, figures[opponent_of(name)], winner, rules
            )
        known = mine.ries or [total for total in side.ries or () if total is not None]
        return SideTally(side.team, side.depth, *mine, earned, max(known, default=None))

    return Tally(
        *(match.sheet, match.season, match.competition, match.round, match.date, match.outcome),
        *(side_tally("home"), side_tally("away"), winner, decided_by),
        is_draft=match.is_draft,
        counts=match.counts and winner is not None,
        kept_out=not match.counts,
        moved_to=match.moved_to if match.outcome is Outcome.POSTPONED else None,
        part=match.part,
    )
