"""A competition's table of teams, as its page, the season's and the front page show it."""

from collections.abc import Mapping, Sequence
from typing import Literal

from riesbuch.pages.markdown import NOTHING, Markdown, joined, sentences, stacked, table
from riesbuch.pages.outcomes import result_letter
from riesbuch.pages.past import Past
from riesbuch.pages.wording import Wording
from riesbuch.questions.honours import TableRow
from riesbuch.trade.certainty import SurePlaces
from riesbuch.trade.ids import CompetitionId, TeamId
from riesbuch.trade.standings import Standing

Row = Standing | TableRow
Going = Literal["by results", "by figures", "unranked"]

MOST_ROWS = 16
"""Of a table beside others; of a longer one, such as a festival's, those in front."""


def team_table(
    past: Past,
    of: tuple[int, str],
    rows: Sequence[Row],
    here: str,
    going: Going,
    *,
    forms: Mapping[TeamId, Sequence[str]] | None = None,
    moved: Mapping[TeamId, int] | None = None,
    sure: SurePlaces | None = None,
    won: Mapping[TeamId, Sequence[Markdown]] | None = None,
    most: int | None = None,
) -> Markdown:
    """What a phone shows without moving it comes first. ``forms`` are the teams' last results and
    ``moved`` how many places they gained, of leagues alone; ``sure`` who goes up or down, ``won``
    the names of awards. Where ``most`` is given there are not more rows than that."""
    wording, moved = past.wording, moved or {}
    last = {
        # Not to be broken in a narrow column.
        team: joined([result_letter(wording, result) for result in listed], "\u00a0")
        for team, listed in (forms or {}).items()
    }
    played, *others = wording.total_columns(by_figures=going == "by figures")
    if going == "by figures":
        # What ranks them comes first, and under a head as narrow as a phone wants it.
        nummern, points = others
        played, others = nummern._replace(title=wording.say("Nr.")), [points, played]
    shown = table(
        rows[:most],
        wording.figure_column("Rank", lambda row: _rank(wording, row, moved))
        if going != "unranked"
        else None,
        wording.column("Team", lambda row: marked(past, of, row, here, sure or SurePlaces())),
        played,
        wording.figures(rank_points_title(wording), lambda row: row.rank_points)
        if forms is not None
        else None,
        *others,
        wording.column("Form", lambda row: last.get(TeamId(row.team), wording.unknown))
        if last
        else None,
        wording.column("Awards", lambda row: joined((won or {}).get(TeamId(row.team), ())))
        if won
        else None,
    )
    if most is None or len(rows) <= most:
        return shown
    return stacked(
        shown,
        wording.say(
            "The first {shown} of {count} teams.",
            shown=wording.number(most),
            count=wording.number(len(rows)),
        ),
    )


def rank_points_title(wording: Wording) -> Markdown:
    return Markdown(wording.words.pgettext("may be broken", "Rank points"))


def table_notes(wording: Wording, *, formed: bool, moved: Mapping[TeamId, int]) -> Markdown:
    """What is to be known of the signs in it."""
    return sentences(
        wording.say("Nummern are those a side conceded in the field: the fewer, the better."),
        wording.say(
            "Form: the last five matches, the newest to the right (W won, D drawn, L lost)."
        )
        if formed
        else NOTHING,
        wording.say("▲ and ▼: places gained and lost by the last round.")
        if formed and any(moved.values())
        else NOTHING,
    )


def best_strikers(
    past: Past, of: tuple[int, str], strikers: Sequence[tuple[str, str | None, int, int]], here: str
) -> Markdown:
    """Who struck best: player, team, points and rank points of each, these where they decide."""
    wording = past.wording
    competition = past.archive.competition(of[0], CompetitionId(of[1]))
    rules = past.archive.rules_of(competition) if competition else None
    ranked = rules is not None and rules.strikers.order[0] == "rank_points"
    lines = (
        wording.say(
            "{player} ({team}), {figure} rank points"
            if ranked
            else "{player} ({team}), {figure} points",
            player=wording.player(player, of[0], here),
            team=wording.team(team),
            figure=wording.number(rank_points if ranked else points),
        )
        for player, team, points, rank_points in strikers
    )
    told = joined(lines, "; ")
    return wording.say("Best strikers: {players}.", players=told) if told else NOTHING


def _rank(wording: Wording, row: Row, moved: Mapping[TeamId, int]) -> Markdown:
    """With how many places were gained by the last round; below nought they were lost."""
    places = moved.get(TeamId(row.team), 0)
    if places == 0:
        return wording.number(row.rank)
    sign = "▲" if places > 0 else "▼"
    return Markdown(f"{wording.number(row.rank)} {sign}{wording.number(abs(places))}")


def marked(past: Past, of: tuple[int, str], row: Row, here: str, sure: SurePlaces) -> Markdown:
    """The team, marked if it goes up or down, whatever is still missing."""
    wording, team = past.wording, past.team(here, *of, row.team)
    if row.team in sure.promoted:
        return wording.say("{team} (promoted)", team=team)
    if row.team in sure.relegated:
        return wording.say("{team} (relegated)", team=team)
    return team
