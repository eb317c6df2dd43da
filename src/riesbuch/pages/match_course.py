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
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import RecordedMatch
from riesbuch.trade.course import leads
from riesbuch.trade.match import Match, Outcome, Row
from riesbuch.trade.tally import row_points


def deciding_figures(
    wording: Wording, recorded: RecordedMatch, *, told: bool
) -> Iterator[Markdown]:
    """The figures that settled it, as far as there are any to add to the sentence. Where the match
    is ``told`` below, its story begins with the Nummern that settled it."""
    tally = recorded.tally
    if tally.winner not in ("home", "away"):
        return
    mine, theirs = tally.home, tally.away
    if tally.winner == "away":
        mine, theirs = theirs, mine
    if tally.decided_by == "nummern" and not told:
        yield wording.say(
            "It conceded {winner}, the other side {loser}.",
            winner=wording.number(mine.nummern),
            loser=wording.number(theirs.nummern),
        )
    elif tally.decided_by == "points" and mine.points is not None and theirs.points is not None:
        yield wording.counted(
            mine.points - theirs.points,
            "It was {count} point ahead.",
            "It was {count} points ahead.",
        )


def course_blocks(
    wording: Wording, recorded: RecordedMatch, picture: Markdown = NOTHING
) -> list[Markdown]:
    """The match Ries by Ries; nothing where the Ries totals are not known."""
    tally = recorded.tally
    steps = leads(tally)
    remarks = [*_nummern(wording, recorded.match), *_best(wording, recorded.match)]
    if tally.outcome not in (Outcome.PLAYED, Outcome.ABANDONED) or not (steps or remarks):
        return []
    blocks = [heading(2, wording.say("The course of the match")), picture]
    if steps:
        names = {"home": wording.team(tally.home.team), "away": wording.team(tally.away.team)}
        rows = []
        for number, step in enumerate(steps, start=1):
            lead = wording.say("level")
            if step.leader != "draw":
                lead = wording.say(
                    "{team} by {points}",
                    team=names[step.leader],
                    points=wording.number(abs(step.home - step.away)),
                )
            rows.append(
                [wording.number(number), wording.number(step.home), wording.number(step.away), lead]
            )
        columns = [
            wording.figures("After Ries"),
            Column(names["home"], figures=True),
            Column(names["away"], figures=True),
            wording.column("In front"),
        ]
        blocks.append(table(columns, rows))
    if remarks:
        blocks.append(bullets(remarks))
    return blocks


def _nummern(wording: Wording, match: Match) -> Iterator[Markdown]:
    """Off whose strikes there were Nummern, and in which."""
    for _, side in match.sides:
        struck = [
            wording.say(
                "{name} ({strikes})",
                name=_name(wording, match, row),
                strikes=Markdown(", ".join(_places(row))),
            )
            for row in side.team_rows
            if row.nummern
        ]
        if struck:
            yield wording.say(
                "Nummern off the strikes of {team}: {strikes}",
                team=wording.team(side.team),
                strikes=Markdown("; ".join(struck)),
            )


def _places(row: Row) -> Iterator[str]:
    for inning, strikes in enumerate(row.innings, start=1):
        for number, strike in enumerate(strikes, start=1):
            if strike.nummer:
                yield f"{inning}.{number}"


def _best(wording: Wording, match: Match) -> Iterator[Markdown]:
    points: dict[Markdown, int] = {}
    for _, side in match.sides:
        for row in side.rows or ():
            total = row_points(row) if row.took_part else None
            if total is not None:
                points[_name(wording, match, row)] = total
        for each in side.player_points or ():
            if each.points is not None:
                points[wording.player(each.player, match.season, match_page(match.sheet))] = (
                    each.points
                )
    most = max(points.values(), default=0)
    if most:
        best = [name for name, total in points.items() if total == most]
        yield wording.say(
            "Most points: {names}, {points}",
            names=wording.listed(best),
            points=wording.number(most),
        )


def _name(wording: Wording, match: Match, row: Row) -> Markdown:
    return wording.player(row.player, match.season, match_page(match.sheet))
