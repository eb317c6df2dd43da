"""One side of a match page: who struck what, and how it adds up."""

from collections.abc import Sequence
from dataclasses import dataclass

from riesbuch.pages.markdown import (
    Column,
    Markdown,
    escape,
    heading,
    joined,
    strong,
    table,
)
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.ids import PlayerId, SideName
from riesbuch.trade.match import Depth, Outcome, Row, Side
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import Strike, StrikeKind, write_strike
from riesbuch.trade.tally import SideTally, row_points

_EMPTY = Markdown("")


@dataclass(frozen=True, slots=True)
class _Sheet:
    """What names are written by: the page that is being written, and its season."""

    pen: Pen
    here: str
    season: int

    def player(self, player: PlayerId) -> Markdown:
        return self.pen.player(player, self.season, self.here)


def side_blocks(
    pen: Pen, here: str, recorded: RecordedMatch, name: SideName, rules: RuleSet
) -> list[Markdown]:
    side, tally = recorded.match.side(name), recorded.tally.side(name)
    sheet = _Sheet(pen, here, recorded.match.season)
    blocks = [
        heading(2, pen.team(side.team)),
        *_facts(sheet, side, tally, recorded.match.outcome),
    ]
    if side.rows is not None:
        blocks.append(_strikes(sheet, side, tally, rules))
    if side.player_points is not None:
        blocks.append(_player_points(sheet, side, tally))
    if side.supernumeraries:
        blocks += [
            heading(3, pen.say("Supernumeraries")),
            pen.say("They score for themselves, not for the team."),
            table(
                _columns(pen, rules),
                [
                    _row(pen, pen.number(order), sheet.player(row.player), row, rules)
                    for order, row in enumerate(side.supernumeraries, start=1)
                ],
            ),
        ]
    # A team alone, with nothing to be said of it, needs no heading: it stands in the title.
    return blocks if len(blocks) > 1 else []


def _facts(sheet: _Sheet, side: Side, tally: SideTally, outcome: Outcome) -> list[Markdown]:
    pen = sheet.pen
    facts = []
    if side.captain is not None:
        facts.append(pen.say("Captain: {name}", name=sheet.player(side.captain)))
    if side.rows is None and outcome in (Outcome.PLAYED, Outcome.ABANDONED):
        ries = joined((pen.number(each) for each in tally.ries or ()), " + ")
        facts.append(_depth(pen, side.depth, ries, pen.number(tally.points)))
    return facts


def _depth(pen: Pen, depth: Depth, ries: Markdown, points: Markdown) -> Markdown:
    match depth:
        case Depth.STRIKES:
            return pen.say("Known strike by strike.")
        case Depth.PLAYERS:
            return pen.say("Of this side only the points of each player are known.")
        case Depth.RIES:
            return pen.say("Of this side only the Ries totals are known: {ries}.", ries=ries)
        case Depth.POINTS:
            return pen.say(
                "Of this side only the points in all are known: {points}.", points=points
            )
        case Depth.NONE:
            return pen.say("No figures are known of this side.")


def _columns(pen: Pen, rules: RuleSet) -> list[Column]:
    strikes = [
        Markdown(f"{inning + 1}.{strike + 1}")
        for inning in range(rules.innings)
        for strike in range(rules.strikes_per_inning)
    ]
    return [
        pen.figures("No."),
        pen.column("Player"),
        *(Column(title, figures=True) for title in strikes),
        pen.figures("Points"),
    ]


def _strikes(sheet: _Sheet, side: Side, tally: SideTally, rules: RuleSet) -> Markdown:
    pen = sheet.pen
    rows = [
        _row(pen, pen.number(order), sheet.player(row.player), row, rules)
        for order, row in enumerate(side.rows or (), start=1)
    ]
    rows += [
        _row(
            pen,
            _EMPTY,
            pen.say("{name}, for a missing player", name=sheet.player(row.player)),
            row,
            rules,
        )
        for row in side.replacements
    ]
    ries = [strong(pen.number(each)) for each in tally.ries or ()]
    ries += [_EMPTY if ries else pen.unknown] * (rules.ries_count - len(ries))
    rows.append([_EMPTY, strong(pen.say("Ries")), *ries, strong(pen.number(tally.points))])
    return table(_columns(pen, rules), rows)


def _row(pen: Pen, order: Markdown, name: Markdown, row: Row, rules: RuleSet) -> list[Markdown]:
    points = pen.number(row_points(row)) if row.took_part else pen.unknown
    return [order, name, *_cells(pen, row.innings, rules), points]


def _cells(pen: Pen, innings: Sequence[Sequence[Strike]], rules: RuleSet) -> list[Markdown]:
    """A cell for every strike there could be; those after an abandoned match's end are empty."""
    cells: list[Markdown] = []
    for inning in range(rules.innings):
        struck = innings[inning] if inning < len(innings) else ()
        for index in range(rules.strikes_per_inning):
            cells.append(_strike(pen, struck[index]) if index < len(struck) else _EMPTY)
    return cells


def _strike(pen: Pen, strike: Strike) -> Markdown:
    if strike.kind is StrikeKind.UNKNOWN:
        return Markdown("?")
    written = escape(write_strike(strike))
    return strong(written) if strike.nummer else written


def _player_points(sheet: _Sheet, side: Side, tally: SideTally) -> Markdown:
    pen = sheet.pen
    rows = [
        [sheet.player(each.player), pen.number(each.points)] for each in side.player_points or ()
    ]
    rows.append([strong(pen.say("Total")), strong(pen.number(tally.points))])
    return table([pen.column("Player"), pen.figures("Points")], rows)
