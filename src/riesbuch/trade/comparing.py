"""Two sheets of one match against each other, as two scribes wrote them.

Only what both tell can contradict. Where one tells less, its totals are held against those that
the other's figures add up to; what no figure of it tells is unknown to it, which is no
contradiction.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from riesbuch.trade.cells import Cells, changed_cells, deciding_cells, remark_cells
from riesbuch.trade.ids import SIDES, SideName, Winner, opponent_of
from riesbuch.trade.keys import keys_of
from riesbuch.trade.match import Depth, Match, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.strikes import StrikeKind
from riesbuch.trade.tally import Tally, recorded_nummern, tally

_NOT_TOLD = frozenset({StrikeKind.UNKNOWN.value, StrikeKind.BLANK.value})
_NOT_STRUCK = StrikeKind.NOT_STRUCK.value
_OF_LISTS = ("rows", "replacements", "player-points", "ries")
_LISTS = tuple(key for key in keys_of(Side) if key.form in _OF_LISTS)
_OWN_REMARKS = ("source.", "doubts.", "notes")


class Difference(NamedTuple):
    """``first`` and ``second`` are None where the sheet has no such cell."""

    at: str
    first: str | None
    second: str | None


class Comparison(NamedTuple):
    """``differences`` are contradictions in what decides a result, ``untold`` what only one of
    the sheets tells, ``remarks`` contradictions that decide nothing. All places are those of the
    first sheet; ``turned`` is whether the second has home and away the other way round."""

    differences: tuple[Difference, ...]
    untold: tuple[Difference, ...]
    remarks: tuple[Difference, ...]
    turned: bool


def compare(first: Match, second: Match) -> Comparison:
    """Cell by cell; the order of players, layout and spelling make no difference."""
    turned = _are_turned(first, second)
    differences: list[Difference] = []
    untold: list[Difference] = []
    if turned:
        for name in SIDES:
            teams = first.side(name).team, second.side(name).team
            differences.append(Difference(f"{name}.team", *teams))
        second = _turned(second)
    for difference, contradicts in (*_head(first, second), *_sides(first, second)):
        (differences if contradicts else untold).append(difference)
    remarks = [
        Difference(*change)
        for change in changed_cells(remark_cells(first), remark_cells(second))
        if None not in change and not change.at.startswith(_OWN_REMARKS)
    ]
    return Comparison(tuple(differences), tuple(untold), tuple(remarks), turned)


def _are_turned(first: Match, second: Match) -> bool:
    teams = first.home.team, first.away.team
    return teams == (second.away.team, second.home.team) and teams[0] != teams[1]


def _turned(match: Match) -> Match:
    """The same match with its sides exchanged."""
    winners: dict[Winner, Winner] = {"home": "away", "away": "home", "draw": "draw"}
    return replace(
        match,
        home=match.away,
        away=match.home,
        winner=winners[match.winner] if match.winner else None,
        awarded=opponent_of(match.awarded) if match.awarded else None,
        strikes_first=opponent_of(match.strikes_first),
    )


_Judged = Iterator[tuple[Difference, bool]]
"""With each difference, whether the sheets contradict each other in it."""


def _judged(first: Cells, second: Cells, lists: Iterable[str] = ()) -> _Judged:
    """What lacks in one of the ``lists`` that both sheets tell is a contradiction; what lacks
    elsewhere is not told."""
    told = tuple(f"{place}." for place in lists)
    for change in changed_cells(first, second):
        values = {change.before, change.after}
        contradicts = not values & _NOT_TOLD
        if None in values:
            # Who did not strike may be left out of the rows as well.
            contradicts = contradicts and change.at.startswith(told) and _NOT_STRUCK not in values
        yield Difference(*change), contradicts


def _head(first: Match, second: Match) -> _Judged:
    mine, theirs = (
        {at: value for at, value in deciding_cells(match).items() if not at.startswith(SIDES)}
        for match in (first, second)
    )
    return _judged(mine, theirs)


def _sides(first: Match, second: Match) -> _Judged:
    figures = tuple(tally(match, RuleSet(), CompetitionKind.FRIENDLY) for match in (first, second))
    for name in SIDES:
        mine, theirs = first.side(name), second.side(name)
        cells = _cells(name, first), _cells(name, second)
        if mine.depth is theirs.depth:
            lists = [
                f"{name}.{key.name}"
                for key in _LISTS
                if getattr(mine, key.field) and getattr(theirs, key.field) and key.name != "named"
            ]
            yield from _judged(*cells, [*lists, *_paper_list(name, mine, theirs)])
        else:
            common = (f"{name}.team", f"{name}.paper.")
            kept = [
                {at: value for at, value in of_side.items() if at.startswith(common)}
                for of_side in cells
            ]
            yield from _judged(kept[0], kept[1], _paper_list(name, mine, theirs))
            yield from _totals(name, (mine, theirs), figures)
        yield from _nummern(name, first, second)


def _cells(name: SideName, match: Match) -> dict[str, str]:
    """Those of one side; its Nummern are held against each other by themselves."""
    return {
        at: value
        for at, value in deciding_cells(match).items()
        if at.startswith(f"{name}.") and at != f"{name}.nummern"
    }


def _paper_list(name: SideName, mine: Side, theirs: Side) -> list[str]:
    both = all(side.paper is not None and side.paper.ries is not None for side in (mine, theirs))
    return [f"{name}.paper.ries"] if both else []


def _totals(name: SideName, sides: tuple[Side, Side], figures: tuple[Tally, ...]) -> _Judged:
    """The totals of two sides in unlike depths, as far as both tell them, and what only one
    does."""
    depths = {side.depth for side in sides}
    mine, theirs = (added_up.side(name) for added_up in figures)
    level = None
    if depths == {Depth.STRIKES, Depth.PLAYERS}:
        level = "player_points"
        points = [_points_by_player(side) for side in sides]
        struck_out = {row.player for side in sides for row in side.rows or () if not row.took_part}
        cells = [
            {
                f"{name}.player_points.{player}": str(total)
                for player, total in of_side.items()
                if total is not None and player not in struck_out
            }
            for of_side in points
        ]
        unknown = {
            player for of_side in points for player, total in of_side.items() if total is None
        }
        differing = [
            (difference, contradicts and difference.at.rpartition(".")[2] not in unknown)
            for difference, contradicts in _judged(cells[0], cells[1], [f"{name}.player_points"])
        ]
        yield from differing
        if any(contradicts for _, contradicts in differing):
            # They say already why the points differ.
            mine = theirs
    elif depths == {Depth.STRIKES, Depth.RIES} and mine.ries and theirs.ries:
        level = "ries"
        numbered = [
            {f"{name}.ries.{number}": str(total) for number, total in enumerate(ries, start=1)}
            for ries in (mine.ries, theirs.ries)
        ]
        yield from _judged(numbered[0], numbered[1], [f"{name}.ries"])
        mine = theirs
    yield from _named(name, sides)
    yield from _figure(f"{name}.points", mine.points, theirs.points)
    for number, side in enumerate(sides):
        for key, words in _lists_told(side):
            if key != level:
                told = (words, None) if number == 0 else (None, words)
                yield Difference(f"{name}.{key}", *told), False


def _named(name: SideName, sides: tuple[Side, Side]) -> _Judged:
    """Those whom one sheet names, as far as the other tells of them too."""
    told = [_points_by_player(side) for side in sides]
    for player in [known.player for side in sides for known in side.named]:
        if player in told[0] and player in told[1]:
            yield from _figure(f"{name}.named.{player}", told[0][player], told[1][player])


def _points_by_player(side: Side) -> dict[str, int | None]:
    points: dict[str, int | None] = {known.player: known.points for known in side.by_points}
    for row in side.rows or ():
        so_far = points.get(row.player, 0)
        points[row.player] = None if row.total is None or so_far is None else so_far + row.total
    return points


def _lists_told(side: Side) -> Iterator[tuple[str, str]]:
    """Fields of more than one figure, and how much they hold."""
    for key in _LISTS:
        figures = getattr(side, key.field)
        if key.form == "ries" and figures is not None:
            yield key.name, ", ".join("~" if total is None else str(total) for total in figures)
        elif figures:
            yield key.name, Message.plural(len(figures), "{count} row", "{count} rows")


def _nummern(name: SideName, first: Match, second: Match) -> _Judged:
    """Nummern conceded, where not both sheets have the strikes that show them."""
    opponent = opponent_of(name)
    if all(match.side(opponent).depth is Depth.STRIKES for match in (first, second)):
        return
    counts = (recorded_nummern(match.side(name), match.side(opponent)) for match in (first, second))
    yield from _figure(f"{name}.nummern", *counts)


def _figure(at: str, first: int | None, second: int | None) -> _Judged:
    cells = ({} if figure is None else {at: str(figure)} for figure in (first, second))
    return _judged(*cells)
