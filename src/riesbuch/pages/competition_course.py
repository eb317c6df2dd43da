"""How a competition went, on its page: form, movement, the cross table, totals."""

from collections.abc import Sequence

from riesbuch.pages.markdown import (
    Column,
    Markdown,
    heading,
    joined,
    link,
    table,
)
from riesbuch.pages.outcomes import has_page
from riesbuch.pages.paths import match_page
from riesbuch.pages.wording import Pen
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.trade.course import TeamTotals, form, movement, result_for, totals
from riesbuch.trade.ids import TeamId
from riesbuch.trade.standings import Standing

_WIDEST_CROSS_TABLE = 16
_WIDEST_ON_ONE_LINE = 8


class Course:
    """Of a competition's table."""

    def __init__(self, results: CompetitionResults) -> None:
        tallies = [each.tally for each in results.matches]
        self._form = form(tallies)
        self._movement = movement(
            tallies, results.standings, results.competition.teams, results.rules
        )

    @property
    def moved(self) -> bool:
        """Whether there was a table before, so that places can have changed."""
        return any(self._movement.values())

    def form(self, pen: Pen, row: Standing) -> Markdown:
        letters = [_letter(pen, result) for result in self._form.get(row.team, ())]
        # Not to be broken in a narrow column.
        return joined(letters, "\u00a0") or pen.unknown

    def rank(self, pen: Pen, row: Standing) -> Markdown:
        places = self._movement.get(row.team, 0)
        if places == 0:
            return pen.number(row.rank)
        sign = "▲" if places > 0 else "▼"
        return Markdown(f"{pen.number(row.rank)} {sign}{pen.number(abs(places))}")


def cross_table(pen: Pen, results: CompetitionResults, here: str) -> list[Markdown]:
    """All results of a league, who played at home along the rows."""
    played = [each for each in results.matches if each.tally.counts and has_page(each)]
    teams = [row.team for row in results.standings]
    if not is_league(results) or not played or len(teams) > _WIDEST_CROSS_TABLE:
        return []
    # Where there are many columns a host may break the figures, lest the last be cut off.
    between = ": " if len(teams) > _WIDEST_ON_ONE_LINE else ":"
    cells: dict[tuple[TeamId | None, TeamId | None], list[Markdown]] = {}
    for each in played:
        pair = each.tally.home.team, each.tally.away.team
        cells.setdefault(pair, []).append(_cell(pen, each, here, between))
    columns = [pen.column("At home")]
    columns += [Column(pen.number(number)) for number in range(1, len(teams) + 1)]
    rows = []
    for number, home in enumerate(teams, start=1):
        row = [Markdown(f"{number}\\. {pen.team(home)}")]
        for away in teams:
            found = cells.get((home, away), [])
            row.append(Markdown("·") if home == away else joined(found) or pen.unknown)
        rows.append(row)
    return [
        heading(2, pen.say("Cross table")),
        table(columns, rows),
        pen.say(
            "The home team stands at the left, the visitors above by their number in the"
            " table. W, D and L are the home team’s result, then both sides’ points; Nummern"
            " may have decided otherwise than points."
        ),
    ]


def _cell(pen: Pen, each: RecordedMatch, here: str, between: str) -> Markdown:
    home, away = each.tally.home, each.tally.away
    letter = _letter(pen, result_for(each.tally.winner, "home"))
    figures = f" {pen.number(home.points)}{between}{pen.number(away.points)}"
    if home.points is None and away.points is None:
        figures = ""
    return link(here, match_page(each.tally.sheet), Markdown(f"{letter}{figures}"))


def _letter(pen: Pen, result: str) -> Markdown:
    return {"won": pen.say("W"), "drawn": pen.say("D"), "lost": pen.say("L")}[result]


def season_totals(pen: Pen, results: CompetitionResults) -> list[Markdown]:
    """Points and Nummern of each team over the season."""
    found = totals(each.tally for each in results.matches)
    listed = [found[row.team] for row in results.standings if row.team in found]
    if not any(each.known or each.nummern_known for each in listed):
        return []
    columns = [
        pen.column("Team"),
        pen.figures("Matches"),
        pen.figures("Average"),
        pen.figures("Highest"),
        pen.figures("Lowest"),
        pen.figures("Best Ries"),
        pen.figures("Nummern struck"),
        pen.figures("Nummern conceded"),
        pen.figures("Clean"),
    ]
    remarks = [
        pen.say(
            "Average, highest and lowest are a team’s points in a match; clean are the"
            " matches in which it conceded no Nummer."
        )
    ]
    if any(each.known < each.sides or each.nummern_known < each.sides for each in listed):
        remarks.append(pen.say("Each figure rests on the matches of which it is known."))
    return [
        heading(2, pen.say("Totals and Nummern over the season")),
        table(columns, _totals_rows(pen, listed)),
        Markdown(" ".join(remarks)),
    ]


def _totals_rows(pen: Pen, listed: Sequence[TeamTotals]) -> list[list[Markdown]]:
    return [
        [
            pen.team(each.team),
            pen.number(each.sides),
            pen.number(_rounded(each.points, each.known)),
            pen.number(each.highest),
            pen.number(each.lowest),
            pen.number(each.best_ries),
            pen.number(each.caused),
            pen.number(each.conceded if each.nummern_known else None),
            pen.number(each.clean if each.nummern_known else None),
        ]
        for each in listed
    ]


def _rounded(whole: int, parts: int) -> int | None:
    """The average in whole points, a half rounded up."""
    return (2 * whole + parts) // (2 * parts) if parts else None
