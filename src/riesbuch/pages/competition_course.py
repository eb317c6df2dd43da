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
from riesbuch.pages.wording import Wording
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

    def form(self, wording: Wording, row: Standing) -> Markdown:
        letters = [_letter(wording, result) for result in self._form.get(row.team, ())]
        # Not to be broken in a narrow column.
        return joined(letters, "\u00a0") or wording.unknown

    def rank(self, wording: Wording, row: Standing) -> Markdown:
        places = self._movement.get(row.team, 0)
        if places == 0:
            return wording.number(row.rank)
        sign = "▲" if places > 0 else "▼"
        return Markdown(f"{wording.number(row.rank)} {sign}{wording.number(abs(places))}")


def cross_table(wording: Wording, results: CompetitionResults, here: str) -> list[Markdown]:
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
        cells.setdefault(pair, []).append(_cell(wording, each, here, between))
    columns = [wording.column("At home")]
    columns += [Column(wording.number(number)) for number in range(1, len(teams) + 1)]
    rows = []
    for number, home in enumerate(teams, start=1):
        row = [Markdown(f"{number}\\. {wording.team(home)}")]
        for away in teams:
            found = cells.get((home, away), [])
            row.append(Markdown("·") if home == away else joined(found) or wording.unknown)
        rows.append(row)
    return [
        heading(2, wording.say("Cross table")),
        table(columns, rows),
        wording.say(
            "The home team stands at the left, the visitors above by their number in the"
            " table. W, D and L are the home team’s result, then both sides’ points; Nummern"
            " may have decided otherwise than points."
        ),
    ]


def _cell(wording: Wording, each: RecordedMatch, here: str, between: str) -> Markdown:
    home, away = each.tally.home, each.tally.away
    letter = _letter(wording, result_for(each.tally.winner, "home"))
    figures = f" {wording.number(home.points)}{between}{wording.number(away.points)}"
    if home.points is None and away.points is None:
        figures = ""
    return link(here, match_page(each.tally.sheet), Markdown(f"{letter}{figures}"))


def _letter(wording: Wording, result: str) -> Markdown:
    return {"won": wording.say("W"), "drawn": wording.say("D"), "lost": wording.say("L")}[result]


def season_totals(wording: Wording, results: CompetitionResults) -> list[Markdown]:
    """Points and Nummern of each team over the season."""
    found = totals(each.tally for each in results.matches)
    listed = [found[row.team] for row in results.standings if row.team in found]
    if not any(each.known or each.nummern_known for each in listed):
        return []
    columns = [
        wording.column("Team"),
        wording.figures("Matches"),
        wording.figures("Average"),
        wording.figures("Highest"),
        wording.figures("Lowest"),
        wording.figures("Best Ries"),
        wording.figures("Nummern struck"),
        wording.figures("Nummern conceded"),
        wording.figures("Clean"),
    ]
    remarks = [
        wording.say(
            "Average, highest and lowest are a team’s points in a match; clean are the"
            " matches in which it conceded no Nummer."
        )
    ]
    if any(each.known < each.sides or each.nummern_known < each.sides for each in listed):
        remarks.append(wording.say("Each figure rests on the matches of which it is known."))
    return [
        heading(2, wording.say("Totals and Nummern over the season")),
        table(columns, _totals_rows(wording, listed)),
        Markdown(" ".join(remarks)),
    ]


def _totals_rows(wording: Wording, listed: Sequence[TeamTotals]) -> list[list[Markdown]]:
    return [
        [
            wording.team(each.team),
            wording.number(each.sides),
            wording.number(_rounded(each.points, each.known)),
            wording.number(each.highest),
            wording.number(each.lowest),
            wording.number(each.best_ries),
            wording.number(each.caused),
            wording.number(each.conceded if each.nummern_known else None),
            wording.number(each.clean if each.nummern_known else None),
        ]
        for each in listed
    ]


def _rounded(whole: int, parts: int) -> int | None:
    """The average in whole points, a half rounded up."""
    return (2 * whole + parts) // (2 * parts) if parts else None
