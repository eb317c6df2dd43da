"""One side of a match page: who struck what, and how it adds up."""

from collections.abc import Sequence
from dataclasses import dataclass

from riesbuch.pages.markdown import (
    Column,
    Markdown,
    escape,
    fill,
    heading,
    joined,
    strong,
    table,
)
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.ids import PlayerId, SideName
from riesbuch.trade.match import Outcome, Row, Side
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
            heading(3, escape(pen.say.supernumeraries)),
            escape(pen.say.supernumeraries_note),
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
    say, facts = pen.say, []
    if side.captain is not None:
        facts.append(fill(say.captain, name=sheet.player(side.captain)))
    if side.rows is None and outcome in (Outcome.PLAYED, Outcome.ABANDONED):
        ries = joined((pen.number(each) for each in tally.ries or ()), " + ")
        facts.append(fill(say.depths[side.depth], ries=ries, points=pen.number(tally.points)))
    return facts


def _columns(pen: Pen, rules: RuleSet) -> list[Column]:
    say = pen.say
    strikes = [
        fill(
            say.strike_heading,
            inning=Markdown(str(inning + 1)),
            strike=Markdown(str(strike + 1)),
        )
        for inning in range(rules.innings)
        for strike in range(rules.strikes_per_inning)
    ]
    return [
        Column(escape(say.order), figures=True),
        Column(escape(say.player)),
        *(Column(title, figures=True) for title in strikes),
        Column(escape(say.player_points), figures=True),
    ]


def _strikes(sheet: _Sheet, side: Side, tally: SideTally, rules: RuleSet) -> Markdown:
    pen, say = sheet.pen, sheet.pen.say
    rows = [
        _row(pen, pen.number(order), sheet.player(row.player), row, rules)
        for order, row in enumerate(side.rows or (), start=1)
    ]
    rows += [
        _row(pen, _EMPTY, fill(say.replacement, name=sheet.player(row.player)), row, rules)
        for row in side.replacements
    ]
    ries = [strong(pen.number(each)) for each in tally.ries or ()]
    ries += [_EMPTY if ries else pen.unknown] * (rules.ries_count - len(ries))
    rows.append([_EMPTY, strong(escape(say.ries_totals)), *ries, strong(pen.number(tally.points))])
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
        return escape(pen.say.unknown_strike)
    written = escape(write_strike(strike))
    return strong(written) if strike.nummer else written


def _player_points(sheet: _Sheet, side: Side, tally: SideTally) -> Markdown:
    pen, say = sheet.pen, sheet.pen.say
    rows = [
        [sheet.player(each.player), pen.number(each.points)] for each in side.player_points or ()
    ]
    rows.append([strong(escape(say.total)), strong(pen.number(tally.points))])
    return table(
        [Column(escape(say.player)), Column(escape(say.player_points), figures=True)], rows
    )
