"""How a match went: who led after each Ries, the Nummern, the best of the day."""

from collections.abc import Iterator

from riesbuch.pages.markdown import (
    NOTHING,
    Column,
    Markdown,
    bullets,
    heading,
    table,
)
from riesbuch.pages.paths import match_page
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.course import leads
from riesbuch.trade.match import Match, Outcome, Row
from riesbuch.trade.tally import row_points


def deciding_figures(pen: Pen, recorded: RecordedMatch, *, told: bool) -> Iterator[Markdown]:
    """The figures that settled it, as far as there are any to add to the sentence. Where the match
    is ``told`` below, its story begins with the Nummern that settled it."""
    tally = recorded.tally
    if tally.winner not in ("home", "away"):
        return
    mine, theirs = tally.home, tally.away
    if tally.winner == "away":
        mine, theirs = theirs, mine
    if tally.decided_by == "nummern" and not told:
        yield pen.say(
            "It conceded {winner}, the other side {loser}.",
            winner=pen.number(mine.nummern),
            loser=pen.number(theirs.nummern),
        )
    elif tally.decided_by == "points" and mine.points is not None and theirs.points is not None:
        yield pen.counted(
            mine.points - theirs.points,
            "It was {count} point ahead.",
            "It was {count} points ahead.",
        )


def course_blocks(pen: Pen, recorded: RecordedMatch, picture: Markdown = NOTHING) -> list[Markdown]:
    """The match Ries by Ries; nothing where the Ries totals are not known."""
    tally = recorded.tally
    steps = leads(tally)
    remarks = [*_nummern(pen, recorded.match), *_best(pen, recorded.match)]
    if tally.outcome not in (Outcome.PLAYED, Outcome.ABANDONED) or not (steps or remarks):
        return []
    blocks = [heading(2, pen.say("The course of the match")), picture]
    if steps:
        names = {"home": pen.team(tally.home.team), "away": pen.team(tally.away.team)}
        rows = []
        for number, step in enumerate(steps, start=1):
            lead = pen.say("level")
            if step.leader != "draw":
                lead = pen.say(
                    "{team} by {points}",
                    team=names[step.leader],
                    points=pen.number(abs(step.home - step.away)),
                )
            rows.append([pen.number(number), pen.number(step.home), pen.number(step.away), lead])
        columns = [
            pen.figures("After Ries"),
            Column(names["home"], figures=True),
            Column(names["away"], figures=True),
            pen.column("In front"),
        ]
        blocks.append(table(columns, rows))
    if remarks:
        blocks.append(bullets(remarks))
    return blocks


def _nummern(pen: Pen, match: Match) -> Iterator[Markdown]:
    """Off whose strikes there were Nummern, and in which."""
    for _, side in match.sides:
        struck = [
            pen.say(
                "{name} ({strikes})",
                name=_name(pen, match, row),
                strikes=Markdown(", ".join(_places(row))),
            )
            for row in side.team_rows
            if row.nummern
        ]
        if struck:
            yield pen.say(
                "Nummern off the strikes of {team}: {strikes}",
                team=pen.team(side.team),
                strikes=Markdown("; ".join(struck)),
            )


def _places(row: Row) -> Iterator[str]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            if strike.nummer:
                yield f"{inning}.{number}"


def _best(pen: Pen, match: Match) -> Iterator[Markdown]:
    points: dict[Markdown, int] = {}
    for _, side in match.sides:
        for row in side.rows or ():
            total = row_points(row) if row.took_part else None
            if total is not None:
                points[_name(pen, match, row)] = total
        for each in side.player_points or ():
            if each.points is not None:
                points[pen.player(each.player, match.season, match_page(match.sheet))] = each.points
    most = max(points.values(), default=0)
    if most:
        best = [name for name, total in points.items() if total == most]
        yield pen.say(
            "Most points: {names}, {points}", names=pen.listed(best), points=pen.number(most)
        )


def _name(pen: Pen, match: Match, row: Row) -> Markdown:
    return pen.player(row.player, match.season, match_page(match.sheet))
