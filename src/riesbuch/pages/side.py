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
from riesbuch.pages.wording import Wording
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

    wording: Wording
    here: str
    season: int

    def player(self, player: PlayerId) -> Markdown:
        return self.wording.player(player, self.season, self.here)


def side_blocks(
    wording: Wording, here: str, recorded: RecordedMatch, name: SideName, rules: RuleSet
) -> list[Markdown]:
    side, tally = recorded.match.side(name), recorded.tally.side(name)
    sheet = _Sheet(wording, here, recorded.match.season)
    blocks = [
        heading(2, wording.team(side.team)),
        *_facts(sheet, side, tally, recorded.match.outcome),
    ]
    if side.rows is not None:
        blocks.append(_strikes(sheet, side, tally, rules))
    if side.player_points is not None:
        blocks.append(_player_points(sheet, side, tally))
    if side.supernumeraries:
        blocks += [
            heading(3, wording.say("Supernumeraries")),
            wording.say("They score for themselves, not for the team."),
            table(
                _columns(wording, rules),
                [
                    _row(wording, wording.number(order), sheet.player(row.player), row, rules)
                    for order, row in enumerate(side.supernumeraries, start=1)
                ],
            ),
        ]
    # A team alone, with nothing to be said of it, needs no heading: it stands in the title.
    return blocks if len(blocks) > 1 else []


def _facts(sheet: _Sheet, side: Side, tally: SideTally, outcome: Outcome) -> list[Markdown]:
    wording = sheet.wording
    facts = []
    if side.captain is not None:
        facts.append(wording.say("Captain: {name}", name=sheet.player(side.captain)))
    if side.rows is None and outcome in (Outcome.PLAYED, Outcome.ABANDONED):
        ries = joined((wording.number(each) for each in tally.ries or ()), " + ")
        facts.append(_depth(wording, side.depth, ries, wording.number(tally.points)))
    return facts


def _depth(wording: Wording, depth: Depth, ries: Markdown, points: Markdown) -> Markdown:
    match depth:
        case Depth.STRIKES:
            return wording.say("Known strike by strike.")
        case Depth.PLAYERS:
            return wording.say("Of this side only the points of each player are known.")
        case Depth.RIES:
            return wording.say("Of this side only the Ries totals are known: {ries}.", ries=ries)
        case Depth.POINTS:
            return wording.say(
                "Of this side only the points in all are known: {points}.", points=points
            )
        case Depth.NONE:
            return wording.say("No figures are known of this side.")


def _columns(wording: Wording, rules: RuleSet) -> list[Column]:
    strikes = [
        Markdown(f"{inning + 1}.{strike + 1}")
        for inning in range(rules.innings)
        for strike in range(rules.strikes_per_inning)
    ]
    return [
        wording.figures("No."),
        wording.column("Player"),
        *(Column(title, figures=True) for title in strikes),
        wording.figures("Points"),
    ]


def _strikes(sheet: _Sheet, side: Side, tally: SideTally, rules: RuleSet) -> Markdown:
    wording = sheet.wording
    rows = [
        _row(wording, wording.number(order), sheet.player(row.player), row, rules)
        for order, row in enumerate(side.rows or (), start=1)
    ]
    rows += [
        _row(
            wording,
            _EMPTY,
            wording.say("{name}, for a missing player", name=sheet.player(row.player)),
            row,
            rules,
        )
        for row in side.replacements
    ]
    ries = [strong(wording.number(each)) for each in tally.ries or ()]
    ries += [_EMPTY if ries else wording.unknown] * (rules.ries_count - len(ries))
    rows.append([_EMPTY, strong(wording.say("Ries")), *ries, strong(wording.number(tally.points))])
    return table(_columns(wording, rules), rows)


def _row(
    wording: Wording, order: Markdown, name: Markdown, row: Row, rules: RuleSet
) -> list[Markdown]:
    points = wording.number(row_points(row)) if row.took_part else wording.unknown
    return [order, name, *_cells(wording, row.innings, rules), points]


def _cells(wording: Wording, innings: Sequence[Sequence[Strike]], rules: RuleSet) -> list[Markdown]:
    """A cell for every strike there could be; those after an abandoned match's end are empty."""
    cells: list[Markdown] = []
    for inning in range(rules.innings):
        struck = innings[inning] if inning < len(innings) else ()
        for index in range(rules.strikes_per_inning):
            cells.append(_strike(wording, struck[index]) if index < len(struck) else _EMPTY)
    return cells


def _strike(wording: Wording, strike: Strike) -> Markdown:
    if strike.kind is StrikeKind.UNKNOWN:
        return Markdown("?")
    written = escape(write_strike(strike))
    return strong(written) if strike.nummer else written


def _player_points(sheet: _Sheet, side: Side, tally: SideTally) -> Markdown:
    wording = sheet.wording
    rows = [
        [sheet.player(each.player), wording.number(each.points)]
        for each in side.player_points or ()
    ]
    rows.append([strong(wording.say("Total")), strong(wording.number(tally.points))])
    return table([wording.column("Player"), wording.figures("Points")], rows)
