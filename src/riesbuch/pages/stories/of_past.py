"""The facts of a match that only what was on record before it can tell."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import takewhile

from riesbuch.pages.stories.facts import (
    Best,
    Fact,
    Family,
    FirstMatches,
    LastMeeting,
    MatchNumber,
    PersonalBests,
    PointsReached,
    RunEnded,
    RunGoesOn,
    TeamBest,
)
from riesbuch.questions.before_match import (
    NO_RESULT,
    BeforeMatch,
    EarlierMatch,
    Moment,
    TeamBefore,
)
from riesbuch.trade.match import Match, Outcome, Side
from riesbuch.trade.people import Register
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikers import Performance, performances
from riesbuch.trade.tally import SideTally, Tally

FEWEST_BEFORE = 5
"""Over fewer matches than these a best says nothing."""

SHORTEST_ENDED = {"won": 3, "lost": 3, "unbeaten": 4, "clean": 3}
SHORTEST_GOING_ON = {"won": 3, "unbeaten": 5, "clean": 4}
"""A run of defeats is told when it is over."""

_MOST_NEWCOMERS = 3
_FIFTY, _EVERY_MATCHES = 50, 100
_THOUSAND, _EVERY_POINTS = 1000, 5000


def past_facts(
    past: BeforeMatch,
    register: Register,
    match: Match,
    tally: Tally,
    rules: RuleSet,
    *,
    outside: bool,
) -> Iterator[Fact]:
    """Everything that what was on record before ``match``, one that counts, lets us tell. A sheet
    from ``outside`` of the seasons may be the copy of one within, so of its day nothing counts."""
    if match.date is None or not tally.counts:
        return
    day = match.date.isoformat()
    moment: Moment = (day, 0, "") if outside else (day, match.round or 0, match.sheet)
    everybody = performances(match, rules)
    yield from _bests(past, moment, everybody)
    for name, side in match.sides:
        if side.team is None:
            continue
        before = past.team(side.team, moment)
        struck = [each for each in everybody if each.team == side.team]
        yield from _milestones(past, moment, struck)
        # Where nobody of the team is on record yet, everything would be a first time.
        known = any(
            each.individuals
            for each in takewhile(
                lambda earlier: earlier.season >= match.season - 1, reversed(before.matches)
            )
        )
        if known:
            yield from _newcomers(past, moment, struck)
        for family in _families(past, register, moment, side):
            if family.before or known:
                yield family
        mine = tally.side(name)
        result = "drawn" if tally.winner == "draw" else "won" if tally.winner == name else "lost"
        yield from _team_best(before, mine)
        yield from _runs(match, before, mine, result)
    yield from _last_meeting(past, moment, match)


def _bests(past: BeforeMatch, moment: Moment, everybody: Sequence[Performance]) -> Iterator[Fact]:
    found = []
    for each in everybody:
        before = past.player(each.player, moment)
        if (
            before.best is not None
            and before.matches >= FEWEST_BEFORE
            and each.points > before.best
        ):
            found.append(
                Best(
                    team=each.team,
                    player=each.player,
                    points=each.points,
                    before=before.best,
                    matches=before.matches,
                )
            )
    if found:
        found.sort(key=lambda best: (best.before - best.points, -best.points, best.player))
        yield PersonalBests(bests=tuple(found))


def _milestones(past: BeforeMatch, moment: Moment, struck: Sequence[Performance]) -> Iterator[Fact]:
    for each in struck:
        before = past.player(each.player, moment)
        number = before.matches + 1
        if number == _FIFTY or number % _EVERY_MATCHES == 0:
            yield MatchNumber(team=each.team, player=each.player, number=number)
        total = before.points + each.points
        reached = total // _EVERY_POINTS * _EVERY_POINTS
        if before.points < _THOUSAND <= total < _EVERY_POINTS:
            reached = _THOUSAND
        if before.points < reached:
            yield PointsReached(team=each.team, player=each.player, number=reached, total=total)


def _newcomers(
    past: BeforeMatch, moment: Moment, struck: Sequence[Performance]
) -> Iterator[FirstMatches]:
    new = sorted(each.player for each in struck if not past.player(each.player, moment).on_record)
    if 0 < len(new) <= _MOST_NEWCOMERS:
        yield FirstMatches(team=struck[0].team, players=tuple(new))


def _families(
    past: BeforeMatch, register: Register, moment: Moment, side: Side
) -> Iterator[Family]:
    took_part = {row.player for row in side.individual_rows if row.took_part}
    took_part |= {each.player for each in side.player_points or ()}
    children: dict[str, list[str]] = {}
    parents: dict[str, list[str]] = {}
    for player in sorted(took_part):
        known = register.players.get(player)
        for parent in dict.fromkeys(known.parents) if known else ():
            if parent in took_part and parent != player:
                children.setdefault(parent, []).append(player)
                parents.setdefault(player, []).append(parent)
    for eldest in sorted(children):
        if eldest not in parents:
            for line in _lines(eldest, children):
                assert side.team is not None
                before = past.together(line, moment)
                yield Family(team=side.team, players=line, before=before)


def _lines(
    person: str, children: Mapping[str, Sequence[str]], above: tuple[str, ...] = ()
) -> Iterator[tuple[str, ...]]:
    """All lines down from ``person``; a mistaken register that makes somebody an own ancestor
    ends one."""
    line = (*above, person)
    below = [child for child in children.get(person, ()) if child not in line]
    if not below:
        yield line
    for child in below:
        yield from _lines(child, children, line)


def _team_best(before: TeamBefore, mine: SideTally) -> Iterator[TeamBest]:
    if (
        mine.team is not None
        and mine.points is not None
        and before.best is not None
        and before.totals >= FEWEST_BEFORE
        and mine.points > before.best
    ):
        yield TeamBest(
            team=mine.team, points=mine.points, before=before.best, matches=before.totals
        )


def _runs(match: Match, before: TeamBefore, mine: SideTally, result: str) -> Iterator[Fact]:
    assert mine.team is not None
    lengths: dict[str, tuple[int, datetime.date]] = {}
    holds_now: dict[str, bool] = {
        "won": result == "won",
        "unbeaten": result != "lost",
        "lost": result == "lost",
    }
    if match.outcome is not Outcome.FORFEITED and mine.nummern is not None:
        holds_now["clean"] = mine.nummern == 0
    for kind in holds_now:
        run = _run(before.matches, match.season, kind)
        if run:
            lengths[kind] = len(run), datetime.date.fromisoformat(run[-1].moment[0])
    if result != "drawn" and lengths.get("won") == lengths.get("unbeaten"):
        # The matches unbeaten are just those won, and the one says it.
        lengths.pop("unbeaten", None)
    for kind, (length, since) in lengths.items():
        if not holds_now[kind]:
            if length >= SHORTEST_ENDED[kind]:
                yield RunEnded(team=mine.team, of=kind, length=length, since=since)
        elif length + 1 >= SHORTEST_GOING_ON.get(kind, length + 2):
            yield RunGoesOn(team=mine.team, of=kind, length=length + 1, since=since)


_HOLDS: Mapping[str, Callable[[EarlierMatch], bool]] = {
    "won": lambda each: each.result == "won",
    "unbeaten": lambda each: each.result in ("won", "drawn"),
    "lost": lambda each: each.result == "lost",
    "clean": lambda each: each.nummern == 0 and each.result != NO_RESULT,
}


def _run(matches: Sequence[EarlierMatch], season: int, kind: str) -> list[EarlierMatch]:
    """The run that stood before a match of ``season``, the last match first. A year without a
    match ends it, since nothing is known of what was played then; a forfeited match, in which
    nothing was struck, neither ends nor lengthens a run without Nummern."""
    run: list[EarlierMatch] = []
    for each in reversed(matches):
        if each.season < season - 1:
            break
        season = each.season
        if kind == "clean" and each.forfeited:
            continue
        if not _HOLDS[kind](each):
            break
        run.append(each)
    return run


def _last_meeting(past: BeforeMatch, moment: Moment, match: Match) -> Iterator[LastMeeting]:
    home, away = match.home.team, match.away.team
    if home is None or away is None:
        return
    met = [each for each in past.team(home, moment).matches if each.opponent == away]
    if met and met[-1].result != NO_RESULT:
        winner = {"won": home, "lost": away, "drawn": None}[met[-1].result]
        yield LastMeeting(date=datetime.date.fromisoformat(met[-1].moment[0]), winner=winner)
