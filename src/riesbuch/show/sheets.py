"""A sheet laid out as on paper, its tally, and two scribes' sheets held against each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import TYPE_CHECKING

from riesbuch.folder.archive import Archive, RegisterReading, open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.language.naming import NAMED
from riesbuch.show.output import (
    NEVER_FOLDED,
    Answer,
    Column,
    Table,
    figure_column,
    said,
    table_data,
)
from riesbuch.text.decoding import conflict_sides, decode
from riesbuch.text.document import Document
from riesbuch.text.league import League
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.cells import deciding_cells, ordinal, remark_cells
from riesbuch.trade.ids import SheetId, SideName, TeamId
from riesbuch.trade.match import PLAYER_KEYS, Depth, Match, Outcome, Row, Side
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.people import Register
from riesbuch.trade.problems import RiesbuchError
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import StrikeKind, write_strike
from riesbuch.trade.tally import DecidedBy, SideTally, Tally, columns, tally

if TYPE_CHECKING:
    from riesbuch.trade.comparing import Comparison, Difference

_LEAST_NAME_WIDTH = 24
_STRIKE_WIDTH = 5
_OUTCOMES = {
    Outcome.FORFEITED: Message("forfeited"),
    Outcome.ABANDONED: Message("abandoned"),
    Outcome.POSTPONED: Message("postponed"),
    Outcome.ANNULLED: Message("annulled"),
}
_POINTS = Message("points")
_SIDES = {"home": Message("home"), "away": Message("away")}


class RowLine(str):
    """A line of the paper with one player's strikes."""

    __slots__ = ()


def paper_lines(match: Match, added_up: Tally, rules: RuleSet, archive: Archive) -> Iterator[str]:
    competition = archive.competition(match.season, match.competition)
    names = joined(" – ", (_team_name(archive, side) for _, side in match.sides))
    yield names
    details = [
        match.date.isoformat() if match.date else None,
        Message("round {round}", round=match.round) if match.round and not match.part else None,
        competition.name_in(match.part) if competition else match.competition,
        _OUTCOMES.get(match.outcome),
    ]
    yield joined(", ", (detail for detail in details if detail))
    for name, _ in match.sides:
        yield ""
        yield from _side_lines(name, match, added_up.side(name), rules, archive)
    yield ""
    yield result_sentence(added_up, archive.register.team_name)


def _team_name(archive: Archive, side: Side) -> str:
    return archive.register.team_name(side.team) if side.team else Message("(no team)")


def side_title(team: str, side: SideName) -> str:
    """``Aarwald A (home)``"""
    return f"{said(team)} ({said(_SIDES[side])})"


def _shown(value: int | None) -> str:
    return "–" if value is None else str(value)


def _side_lines(
    name: SideName, match: Match, figures: SideTally, rules: RuleSet, archive: Archive
) -> Iterator[str]:
    side = match.side(name)
    labels = [
        archive.register.player_name(row.player) for row in side.team_rows + side.supernumeraries
    ] + [archive.register.player_name(line.player) for line in side.by_points]
    width = max([_LEAST_NAME_WIDTH, *(len(label) + 2 for label in labels)])
    title = side_title(_team_name(archive, side), name)
    innings = max([rules.innings, *(len(row.innings) for row in side.team_rows)])
    inning_width = _STRIKE_WIDTH * rules.strikes_per_inning
    if side.depth is Depth.STRIKES:
        heads = "".join(
            f" {said(ordinal(number))[: inning_width - 1]:>{inning_width}}"
            for number in range(1, innings + 1)
        )
        yield f"{title:<{width}}{heads}   {said(_POINTS):>6}".rstrip()
    else:
        yield title
    for row in side.rows or ():
        yield _row_line(archive.register.player_name(row.player), row, width, innings, rules)
    if side.replacements:
        yield Message("replacement strikes")
        for row in side.replacements:
            label = f"  {archive.register.player_name(row.player)}"
            yield _row_line(label, row, width, innings, rules)
    if side.supernumeraries:
        yield Message("supernumeraries")
        for row in side.supernumeraries:
            label = f"  {archive.register.player_name(row.player)}"
            yield _row_line(label, row, width, innings, rules)
    if side.named:
        yield NAMED[match.source_kind]
    for line in side.by_points:
        yield f"{archive.register.player_name(line.player):<{width}}{_shown(line.points):>6}"
    if side.depth is Depth.STRIKES:
        of_side = columns(side.team_rows)
        so_far = [sum(strike.points for strike in column) for column in of_side]
        if figures.ries is not None:
            label, cells = Message("Ries totals"), [str(total) for total in figures.ries]
        else:
            label = Message("Ries totals so far")
            untouched = [{strike.kind for strike in note} == {StrikeKind.BLANK} for note in of_side]
            cells = [
                "–" if none else str(total) for none, total in zip(untouched, so_far, strict=True)
            ]
        points = figures.points if figures.points is not None else sum(so_far)
        yield _cells_line(label, cells, str(points), width, innings, rules)
    elif figures.ries or side.ries:
        totals = " ".join(f"{_shown(total):>4}" for total in figures.ries or side.ries or ())
        yield f"{said(Message('Ries totals')):<{width}} {totals}"
    if side.depth is not Depth.STRIKES:
        yield f"{said(_POINTS):<{width}}{_shown(figures.points):>6}"
    yield f"{said(Message('Nummern conceded')):<{width}}{_shown(figures.nummern):>6}"


def _row_line(label: str, row: Row, width: int, innings: int, rules: RuleSet) -> str:
    cells = [write_strike(strike) for strike in row.strikes]
    return RowLine(_cells_line(label, cells, _shown(row.total), width, innings, rules))


def _cells_line(
    label: str, cells: list[str], total: str, width: int, innings: int, rules: RuleSet
) -> str:
    per_inning = rules.strikes_per_inning
    line = f"{said(label):<{width}}"
    for inning in range(innings):
        of_inning = cells[inning * per_inning : (inning + 1) * per_inning]
        of_inning += [""] * (per_inning - len(of_inning))
        line += " " + "".join(f"{cell:>{_STRIKE_WIDTH}}" for cell in of_inning)
    return f"{line}   {total:>6}"


def result_sentence(added_up: Tally, team_name: Callable[[TeamId], str]) -> Message:
    """Who won, what decided it, and the rank points it earned."""
    if added_up.is_draft:
        return Message("A draft: strikes are still to be entered.")
    if added_up.winner is None:
        if added_up.outcome in (Outcome.POSTPONED, Outcome.ANNULLED):
            return (
                Message("The match was postponed.")
                if added_up.outcome is Outcome.POSTPONED
                else Message("The match was annulled.")
            )
        return Message("The result is not known.")
    winning, losing = added_up.home, added_up.away
    if added_up.winner == "away":
        winning, losing = losing, winning
    if added_up.winner == "draw":
        is_recorded = added_up.decided_by == "recorded"
        result = Message("A draw, as recorded") if is_recorded else Message("A draw")
    else:
        winner = team_name(winning.team) if winning.team else added_up.winner
        result = _won(added_up.decided_by, winner, winning, losing)
    parts = [result]
    first, second = winning.rank_points, losing.rank_points
    if first is not None and second is not None:
        parts.append(Message("rank points {first} to {second}", first=first, second=second))
    if not added_up.counts:
        parts.append(Message("kept out of the tables"))
    return joined("; ", parts) + "."


def _won(
    decided_by: DecidedBy | None, winner: str, winning: SideTally, losing: SideTally
) -> Message:
    match decided_by:
        case "nummern" if winning.nummern is not None:
            return Message.plural(
                winning.nummern,
                "{winner} won with {count} Nummer conceded to {other_nummern}",
                "{winner} won with {count} Nummern conceded to {other_nummern}",
                winner=winner,
                other_nummern=losing.nummern,
            )
        case "points":
            return Message(
                "{winner} won by points, {points} to {other_points}",
                winner=winner,
                points=winning.points,
                other_points=losing.points,
            )
        case "longest_ries":
            return Message(
                "{winner} won by the best Ries total, all else being level", winner=winner
            )
        case "award":
            return Message("{winner} won by award", winner=winner)
        case "recorded":
            return Message("{winner} won as recorded", winner=winner)
    return Message("{winner} won", winner=winner)


def tally_answer(added_up: Tally, seal_proof: str | None) -> Answer:
    """A row a side."""
    sides = (("home", added_up.home), ("away", added_up.away))
    longest = max(len(side.ries or ()) for _, side in sides)
    table_columns: tuple[Column[tuple[str, SideTally]], ...] = (
        Column("side", "Side", lambda row: row[0], lambda row: _SIDES[row[0]]),
        Column("team", "Team", lambda row: row[1].team),
        Column("depth", "Depth", lambda row: row[1].depth.value),
        *(_ries_column(index) for index in range(longest)),
        figure_column("points", "Points", lambda row: row[1].points),
        figure_column("nummern", "Nummern", lambda row: row[1].nummern),
        figure_column("rank_points", "Rank points", lambda row: row[1].rank_points),
    )
    data = {**tally_data(added_up), "seal_proof": seal_proof}
    return Answer([Table(table_columns, sides)], data=data)


def _ries_column(index: int) -> Column[tuple[str, SideTally]]:
    def total(row: tuple[str, SideTally]) -> int | None:
        ries = row[1].ries or ()
        return ries[index] if index < len(ries) else None

    return figure_column(f"ries_{index + 1}", Message("Ries {index}", index=index + 1), total)


def tally_data(added_up: Tally) -> dict[str, object]:
    """The contract's JSON of a tally."""
    sides = [side._asdict() for side in (added_up.home, added_up.away)]
    for side in sides:
        del side["best_ries"]
    return {
        "sheet": added_up.sheet,
        "season": added_up.season,
        "competition": added_up.competition,
        "round": added_up.round,
        "date": added_up.date.isoformat() if added_up.date else None,
        "outcome": added_up.outcome.value,
        "home": sides[0],
        "away": sides[1],
        "winner": added_up.winner,
        "decided_by": added_up.decided_by,
        "draft": added_up.is_draft,
        "counts": added_up.counts,
    }


def comparison_answer(comparison: Comparison, words: Callable[[str], str]) -> Answer:
    """What two sheets of a match tell otherwise; ``words`` tell a place in words."""
    columns: tuple[Column[Difference], ...] = (
        Column("at", "Place"),
        Column("what", "What", lambda row: words(row.at), formats=("csv",), width=NEVER_FOLDED),
        Column("first", "First"),
        Column("second", "Second"),
    )
    differences = Table(columns, comparison.differences)
    untold = Table(columns, comparison.untold, Message("Told by one sheet only, no contradiction"))
    remarks = Table(columns, comparison.remarks, Message("Remarks that differ and decide nothing"))
    others = [table for table in (untold, remarks) if table.rows]
    if others:
        title = Message("Contradictions in what decides the result")
        differences = differences._replace(title=title)
    agree = Message("The sheets agree in all that both tell.")
    return Answer(
        tables=[table for table in (differences, *others) if table.rows],
        csv=differences,
        notes=[] if comparison.differences else [agree],
        data={
            "differences": table_data(differences),
            "untold": table_data(untold),
            "remarks": table_data(remarks),
            "turned": comparison.turned,
        },
    )


# Players and teams are called as in the file: reading everybody's name takes longer than a diff.
_NOBODY = RegisterReading(register=Register(clubs={}, players={}), problems=())
_ON_PAPER = tuple(f".{key}." for key in PLAYER_KEYS)


def sheet_text(content: bytes, path: Path, roots: Sequence[Path]) -> str | None:
    """The text, or None where the sheet does not read without a finding. ``roots`` are club
    folders that it may belong to: its rule set is that of the first that has its competition, by
    default the default one. Of a sheet with conflicts both sides are added up, and what differs
    is marked as in the sheet."""
    sides = conflict_sides(content.decode("utf-8", "replace"))
    if sides is None:
        return _text_of(content, path, roots)
    ours, theirs = (_text_of(side.encode("utf-8"), path, roots) for side in sides)
    return None if ours is None or theirs is None else _beside(ours, theirs)


def _beside(ours: str, theirs: str) -> str:
    of_ours, of_theirs = ours.splitlines(keepends=True), theirs.splitlines(keepends=True)
    text = []
    matcher = SequenceMatcher(None, of_ours, of_theirs, autojunk=False)
    for kind, first, last, their_first, their_last in matcher.get_opcodes():
        own = of_ours[first:last]
        if kind == "equal":
            text += own
        else:
            text += ["<<<<<<< ours\n", *own, "=======\n", *of_theirs[their_first:their_last],
                     ">>>>>>> theirs\n"]  # fmt: skip
    return "".join(text)


def _text_of(content: bytes, path: Path, roots: Sequence[Path]) -> str | None:
    match = read_sheet(content, SheetId(path.stem), 0).match
    year = match.date.year if match is not None and match.date is not None else 0
    archive = _archive_of(year, match.competition if match is not None else None, roots)
    by_rules = archive.rules_by_key(year)
    reading = read_sheet(content, SheetId(f"{year}/{path.stem}"), year, by_rules)
    if reading.match is None or reading.findings:
        return None
    match = reading.match
    rules, kind = archive.scoring_of(match)
    lines = [*paper_lines(match, tally(match, rules, kind), rules, archive), ""]
    lines += _other_lines(match)
    text = decode(content).replace("\r\n", "\n")
    lines += Document(text).comments()
    return "".join(f"{said(line)}\n" for line in lines)


def _archive_of(year: int, competition: str | None, roots: Sequence[Path]) -> Archive:
    for root in roots:
        try:
            archive = open_archive(ClubFolder(root), [year], _NOBODY)
        except RiesbuchError:
            continue
        if archive.competition(year, competition) is not None:
            return archive
    return Archive(
        folder=ClubFolder(Path()),
        league=League(name=""),
        rules={},
        seasons={},
        fixtures={},
        register=_NOBODY.register,
    )


def _other_lines(match: Match) -> Iterator[str]:
    cells = {**deciding_cells(match), **remark_cells(match)}
    for place, written in cells.items():
        if not any(part in f"{place}." for part in _ON_PAPER):
            yield f"{place}: {' '.join(written.split())}"
    for correction in match.corrections:
        agreed = ", ".join(correction.agreed)
        yield Message(
            "correction of {on} by {by}, agreed by {agreed}: {reason}",
            on=correction.on,
            by=correction.by,
            agreed=agreed,
            reason=correction.reason,
        )
        yield from (f"  {change}" for change in correction.changed)
    if match.seal is not None:
        seal = match.seal
        yield Message(
            "sealed on {on} by {home} and {away}: {digest}",
            on=seal.on,
            home=seal.home,
            away=seal.away,
            digest=seal.digest,
        )
