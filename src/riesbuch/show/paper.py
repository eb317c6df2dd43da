"""A sheet laid out in the terminal as on paper: rows of strikes over their Ries totals."""

from collections.abc import Callable, Iterator

from riesbuch.folder.archive import Archive
from riesbuch.trade.ids import SideName, TeamId
from riesbuch.trade.match import Depth, Match, Outcome, Row, Side
from riesbuch.trade.places import ordinal
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import StrikeKind, write_strike
from riesbuch.trade.tally import SideTally, Tally, columns, row_points

_LEAST_NAME_WIDTH = 24
_STRIKE_WIDTH = 5


def paper_lines(match: Match, added_up: Tally, rules: RuleSet, archive: Archive) -> Iterator[str]:
    competition = archive.competition(match.season, match.competition)
    names = " – ".join(_team_name(archive, side) for _, side in match.sides)
    yield names
    details = [
        match.date.isoformat() if match.date else None,
        f"round {match.round}" if match.round else None,
        competition.name if competition else match.competition,
        match.outcome.value if match.outcome is not Outcome.PLAYED else None,
    ]
    yield ", ".join(each for each in details if each)
    for name, side in match.sides:
        yield ""
        yield from _side_lines(name, side, added_up.side(name), rules, archive)
    yield ""
    yield result_sentence(added_up, archive.register.team_name)


def _team_name(archive: Archive, side: Side) -> str:
    return archive.register.team_name(side.team) if side.team else "(no team)"


def _shown(value: int | None) -> str:
    return "–" if value is None else str(value)


def _side_lines(
    name: SideName, side: Side, figures: SideTally, rules: RuleSet, archive: Archive
) -> Iterator[str]:
    labels = [
        archive.register.player_name(row.player) for row in side.team_rows + side.supernumeraries
    ] + [archive.register.player_name(each.player) for each in side.player_points or ()]
    width = max([_LEAST_NAME_WIDTH, *(len(label) + 2 for label in labels)])
    title = f"{_team_name(archive, side)} ({name})"
    innings = max([rules.innings, *(len(row.innings) for row in side.team_rows)])
    inning_width = _STRIKE_WIDTH * rules.strikes_per_inning
    if side.depth is Depth.STRIKES:
        heads = "".join(
            f" {ordinal(number)[: inning_width - 1]:>{inning_width}}"
            for number in range(1, innings + 1)
        )
        yield f"{title:<{width}}{heads}   points".rstrip()
    else:
        yield title
    for row in side.rows or ():
        yield _row_line(archive.register.player_name(row.player), row, width, innings, rules)
    if side.replacements:
        yield "replacement strikes"
        for row in side.replacements:
            label = f"  {archive.register.player_name(row.player)}"
            yield _row_line(label, row, width, innings, rules)
    if side.supernumeraries:
        yield "supernumeraries"
        for row in side.supernumeraries:
            label = f"  {archive.register.player_name(row.player)}"
            yield _row_line(label, row, width, innings, rules)
    for each in side.player_points or ():
        yield f"{archive.register.player_name(each.player):<{width}}{_shown(each.points):>6}"
    if side.depth is Depth.STRIKES:
        of_side = columns(side.team_rows)
        so_far = [sum(strike.points for strike in column) for column in of_side]
        if figures.ries is not None:
            label, cells = "Ries totals", [str(total) for total in figures.ries]
        else:
            label = "Ries totals so far"
            untouched = [{strike.kind for strike in each} == {StrikeKind.BLANK} for each in of_side]
            cells = [
                "–" if none else str(total) for none, total in zip(untouched, so_far, strict=True)
            ]
        points = figures.points if figures.points is not None else sum(so_far)
        yield _cells_line(label, cells, str(points), width, innings, rules)
    elif figures.ries is not None:
        yield f"{'Ries totals':<{width}} {' '.join(f'{total:>4}' for total in figures.ries)}"
    if side.depth is not Depth.STRIKES:
        yield f"{'points':<{width}}{_shown(figures.points):>6}"
    yield f"{'Nummern conceded':<{width}}{_shown(figures.nummern):>6}"


def _row_line(label: str, row: Row, width: int, innings: int, rules: RuleSet) -> str:
    cells = [write_strike(strike) for strike in row.strikes]
    return _cells_line(label, cells, _shown(row_points(row)), width, innings, rules)


def _cells_line(
    label: str, cells: list[str], total: str, width: int, innings: int, rules: RuleSet
) -> str:
    per_inning = rules.strikes_per_inning
    line = f"{label:<{width}}"
    for inning in range(innings):
        of_inning = cells[inning * per_inning : (inning + 1) * per_inning]
        of_inning += [""] * (per_inning - len(of_inning))
        line += " " + "".join(f"{cell:>{_STRIKE_WIDTH}}" for cell in of_inning)
    return f"{line}   {total:>6}"


def result_sentence(added_up: Tally, team_name: Callable[[TeamId], str]) -> str:
    """Who won, what decided it, and the rank points it earned."""
    if added_up.is_draft:
        return "A draft: strikes are still to be entered."
    if added_up.winner is None:
        if added_up.outcome in (Outcome.POSTPONED, Outcome.ANNULLED):
            return f"The match was {added_up.outcome}."
        return "The result is not known."
    sides = [added_up.home, added_up.away]
    if added_up.winner == "away":
        sides.reverse()
    winning, losing = sides
    reasons = {
        "nummern": f"with {winning.nummern} {'Nummer' if winning.nummern == 1 else 'Nummern'}"
        f" conceded to {losing.nummern}",
        "points": f"by points, {winning.points} to {losing.points}",
        "longest_ries": "by the best Ries total, all else being level",
        "award": "by award",
        "recorded": "as recorded",
    }
    if added_up.winner == "draw":
        sentence = "A draw" + (", as recorded" if added_up.decided_by == "recorded" else "")
    else:
        team = added_up.side(added_up.winner).team
        name = team_name(team) if team else added_up.winner
        sentence = f"{name} won {reasons.get(added_up.decided_by or '', '')}".rstrip()
    earned = (winning.rank_points, losing.rank_points)
    if None not in earned:
        sentence += f"; rank points {earned[0]} to {earned[1]}"
    if not added_up.counts:
        sentence += "; kept out of the tables"
    return f"{sentence}."
