"""The facts that a sheet holds by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from riesbuch.pages.stories.facts import (
    Abandoned,
    Annulled,
    BestRies,
    BestStrikers,
    Course,
    Doubts,
    Draft,
    Drawn,
    Fact,
    Forfeited,
    FromSource,
    HighestStrike,
    KeptOut,
    LittleKnown,
    Note,
    NummernStruck,
    NummerStrike,
    Occasion,
    Postponed,
    RankPointsEarned,
    ResultOpen,
    Setting,
    Striker,
    Weather,
    WithErrors,
    Won,
)
from riesbuch.trade.ids import SideName, opponent_of
from riesbuch.trade.match import Depth, Match, Outcome, Row, Side
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikers import Performance, performances
from riesbuch.trade.strikes import StrikeKind
from riesbuch.trade.tally import SideTally, Tally, struck_nummern

_FROM_LEAST = (Depth.NONE, Depth.POINTS, Depth.RIES, Depth.PLAYERS, Depth.STRIKES)
_SIDES: tuple[SideName, SideName] = ("home", "away")


def sheet_facts(match: Match, tally: Tally, rules: RuleSet, *, errors: bool) -> Iterator[Fact]:
    """Everything that can be told by the sheet alone; of one with ``errors``, a draft, or a
    match that was not played, no more than that."""
    yield Occasion(home=match.home.team, away=match.away.team, date=match.date)
    if errors:
        yield WithErrors()
        return
    assert match.competition is not None
    yield Setting(competition=match.competition, round=match.round, ground=match.ground)
    if match.outcome is Outcome.POSTPONED:
        yield Postponed(moved_to=match.moved_to)
    elif match.outcome is Outcome.ANNULLED:
        yield Annulled()
    elif match.is_draft:
        yield Draft(blanks=sum(1 for _ in match.blank_positions()))
    elif match.outcome is Outcome.FORFEITED:
        yield _forfeited(match)
        yield from _around(match, tally)
    else:
        yield from _played(match, tally, rules)
        yield from _around(match, tally)


def _forfeited(match: Match) -> Forfeited:
    if match.awarded is None:
        return Forfeited(winner=None, loser=None)
    return Forfeited(
        winner=match.side(match.awarded).team,
        loser=match.side(opponent_of(match.awarded)).team,
    )


def _played(match: Match, tally: Tally, rules: RuleSet) -> Iterator[Fact]:
    if match.outcome is Outcome.ABANDONED:
        yield Abandoned()
    yield _result(tally)
    for name in _SIDES:
        struck = _nummern_struck(match, tally, name)
        if struck is not None:
            yield struck
    if match.outcome is Outcome.PLAYED:
        yield from _course(tally, rules)
    yield from _best_ries(tally, rules)
    yield from _best_strikers(match, rules)
    yield from _highest_strike(match)
    least, more = sorted((side.depth for _, side in match.sides), key=_FROM_LEAST.index)
    if least is not Depth.STRIKES:
        yield LittleKnown(depth=least.value, both=least is more)


def _result(tally: Tally) -> Fact:
    home, away = tally.home, tally.away
    points_known = home.points is not None and away.points is not None
    nummern_known = home.nummern is not None and away.nummern is not None
    if tally.winner is None:
        return ResultOpen()
    if tally.winner == "draw":
        return Drawn(
            recorded=tally.decided_by == "recorded",
            points=home.points if home.points == away.points else None,
            nummern=home.nummern if home.nummern == away.nummern else None,
        )
    winner, loser = (home, away) if tally.winner == "home" else (away, home)
    assert winner.team is not None
    assert loser.team is not None
    assert tally.decided_by is not None
    return Won(
        winner=winner.team,
        loser=loser.team,
        decided_by=tally.decided_by,
        winner_points=winner.points if points_known else None,
        loser_points=loser.points if points_known else None,
        margin=_apart(winner, loser),
        winner_nummern=winner.nummern if nummern_known else None,
        loser_nummern=loser.nummern if nummern_known else None,
    )


def _apart(one: SideTally, other: SideTally) -> int | None:
    if one.points is None or other.points is None:
        return None
    return abs(one.points - other.points)


def _nummern_struck(match: Match, tally: Tally, name: SideName) -> NummernStruck | None:
    side = match.side(name)
    count = struck_nummern(side)
    if not count or side.team is None:
        return None
    struck = [
        (index, order, each)
        for order, (row, replacement) in enumerate(
            [
                *((row, False) for row in side.rows or ()),
                *((row, True) for row in side.replacements),
            ]
        )
        for index, each in _nummern_of(row, replacement)
    ]
    return NummernStruck(
        team=side.team,
        count=count,
        strikes=tuple(each for _, _, each in sorted(struck, key=lambda found: found[:2])),
        decided=tally.winner == name and tally.decided_by == "nummern",
    )


def _nummern_of(row: Row, replacement: bool) -> Iterator[tuple[tuple[int, int], NummerStrike]]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            if strike.kind is StrikeKind.STRUCK and strike.nummer:
                yield (
                    (inning, number),
                    NummerStrike(
                        player=row.player,
                        points=strike.points,
                        inning=inning,
                        strike=number,
                        replacement=replacement,
                    ),
                )


def _course(tally: Tally, rules: RuleSet) -> Iterator[Course]:
    home, away = tally.home, tally.away
    if rules.innings != 2 or home.ries is None or away.ries is None:
        return
    if not len(home.ries) == len(away.ries) == rules.ries_count:
        return
    first = rules.strikes_per_inning
    lead = sum(home.ries[:first]) - sum(away.ries[:first])
    final = sum(home.ries) - sum(away.ries)
    yield Course(
        ahead=_ahead(tally, lead),
        lead=abs(lead),
        final_ahead=_ahead(tally, final),
        final_lead=abs(final),
    )


def _ahead(tally: Tally, lead: int) -> str | None:
    if not lead:
        return None
    return tally.home.team if lead > 0 else tally.away.team


def _best_ries(tally: Tally, rules: RuleSet) -> Iterator[BestRies]:
    if tally.home.ries is None or tally.away.ries is None:
        return
    every = [
        (points, index, side.team)
        for side in (tally.home, tally.away)
        for index, points in enumerate(side.ries or ())
    ]
    most = max((points for points, _, _ in every), default=0)
    highest = [each for each in every if each[0] == most]
    if most and len(highest) == 1:
        points, index, team = highest[0]
        assert team is not None
        inning, strike = divmod(index, rules.strikes_per_inning)
        yield BestRies(team=team, inning=inning + 1, strike=strike + 1, points=points)


def struck_by_individuals(match: Match, rules: RuleSet) -> list[Performance]:
    """The match points of everybody, also of a match that is kept out of the tables."""
    return performances(replace(match, counts=True), rules)


def _best_strikers(match: Match, rules: RuleSet) -> Iterator[BestStrikers]:
    everybody = struck_by_individuals(match, rules)
    known = [side for _, side in match.sides if _all_individuals_known(side)]
    if len(known) == 2:
        yield from _best_of(everybody, None)
    for side in known:
        yield from _best_of([each for each in everybody if each.team == side.team], side.team)


def _all_individuals_known(side: Side) -> bool:
    if side.rows:
        return all(row.total is not None for row in side.individual_rows if row.took_part)
    return bool(side.player_points) and all(
        each.points is not None for each in side.player_points or ()
    )


def _best_of(everybody: list[Performance], team: str | None) -> Iterator[BestStrikers]:
    most = max((each.points for each in everybody), default=0)
    if most:
        yield BestStrikers(
            team=team,
            points=most,
            strikers=tuple(
                Striker(team=each.team, player=each.player)
                for each in everybody
                if each.points == most
            ),
        )


def _highest_strike(match: Match) -> Iterator[HighestStrike]:
    if not all(
        side.rows and StrikeKind.UNKNOWN not in row.kinds
        for _, side in match.sides
        for row in (*side.individual_rows, *side.replacements)
    ) or not (match.home.rows and match.away.rows):
        return
    every = [
        (strike.points, side.team, row.player, inning)
        for _, side in match.sides
        for row in (*side.individual_rows, *side.replacements)
        for inning, strikes in enumerate(row.innings, start=1)
        for strike in strikes
        if strike.kind is StrikeKind.STRUCK
    ]
    most = max((each[0] for each in every), default=0)
    highest = [each for each in every if each[0] == most]
    if most and len(highest) == 1:
        points, team, player, inning = highest[0]
        assert team is not None
        yield HighestStrike(team=team, player=player, points=points, inning=inning)


def _around(match: Match, tally: Tally) -> Iterator[Fact]:
    home, away = tally.home, tally.away
    if tally.counts and home.rank_points is not None and away.rank_points is not None:
        assert home.team is not None
        assert away.team is not None
        yield RankPointsEarned(
            home=home.team,
            away=away.team,
            home_points=home.rank_points,
            away_points=away.rank_points,
        )
    if not match.counts:
        yield KeptOut()
    if match.weather is not None:
        yield Weather(text=match.weather)
    if match.notes is not None:
        yield Note(text=match.notes)
    if match.source is not None and match.source.kind is not None:
        yield FromSource(kind=match.source.kind.value, reference=match.source.reference)
    if match.doubts:
        yield Doubts(count=len(match.doubts))
