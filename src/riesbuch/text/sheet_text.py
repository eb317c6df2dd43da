"""Sheets written out from records, in the canonical layout."""

from collections.abc import Iterable, Iterator, Mapping

from riesbuch.text.layout import Written, written
from riesbuch.trade.match import Match, Outcome, PaperTotals, Row, Side


def row_text(row: Row) -> str:
    """A row's strikes as they stand in a sheet: ``[[18, 20], [17, 19]]``."""
    innings = (", ".join([strike.written for strike in inning]) for inning in row.innings)
    return f"[{', '.join([f'[{each}]' for each in innings])}]"


def sheet_text(match: Match) -> str:
    """The text of a sheet file that reads back as a record equal to ``match``."""
    return "\n".join([*_head(match), *_sides(match), *_foot(match), ""])


def _head(match: Match) -> Iterator[str]:
    assert match.competition is not None
    assert match.date is not None
    yield f"competition: {written(match.competition)}"
    yield from _line("round", match.round)
    yield f"date: {match.date}"
    yield from _line("ground", match.ground)
    yield from _line("weather", match.weather)
    yield from _line("notes", match.notes)
    if match.strikes_first != "home":
        yield f"strikes_first: {match.strikes_first}"
    if match.outcome is not Outcome.PLAYED:
        yield f"outcome: {match.outcome.value}"
    yield from _line("awarded", match.awarded)
    yield from _line("moved_to", match.moved_to)
    if not match.counts:
        yield "counts: false"
    yield from _line("winner", match.winner)
    if match.referees:
        yield f"referees: {written(match.referees)}"


def _sides(match: Match) -> Iterator[str]:
    for name, side in match.sides:
        yield ""
        yield f"{name}:"
        yield from (f"  {line}" for line in _side(side))


def _side(side: Side) -> Iterator[str]:
    assert side.team is not None
    yield f"team: {written(side.team)}"
    yield from _line("captain", side.captain)
    if side.rows:
        yield "strikes:"
        yield from _rows(side.rows)
    if side.player_points:
        yield "player_points:"
        for each in side.player_points:
            yield f"  {written(each.player)}: {each.points}"
    if side.ries is not None:
        yield f"ries: {_numbers(side.ries)}"
    yield from _line("points", side.points)
    yield from _line("nummern", side.nummern)
    if side.replacements:
        yield "replacements:"
        for row in side.replacements:
            yield f"  - {{by: {written(row.player, in_line=True)}, strikes: {row_text(row)}}}"
    if side.supernumeraries:
        yield "supernumeraries:"
        yield from _rows(side.supernumeraries)
    if side.paper is not None:
        yield f"paper: {{{', '.join(_paper(side.paper))}}}"


def _rows(rows: Iterable[Row]) -> Iterator[str]:
    for row in rows:
        yield f"  {written(row.player)}: {row_text(row)}"


def _paper(paper: PaperTotals) -> Iterator[str]:
    if paper.ries is not None:
        yield f"ries: {_numbers(paper.ries)}"
    yield from _line("points", paper.points)
    yield from _line("nummern", paper.nummern)


def _foot(match: Match) -> Iterator[str]:
    source = match.source
    lines: list[str] = []
    if source is not None and source.kind is not None:
        given = {
            "kind": source.kind.value,
            "reference": source.reference,
            "transcribed_by": source.transcribed_by,
            "on": None if source.on is None else str(source.on),
        }
        lines.append(f"source: {written(_given(given))}")
    if match.doubts:
        lines.append("doubts:")
        for doubt in match.doubts:
            lines.append(f"  - {written({'at': doubt.at, 'note': doubt.note})}")
    if match.corrections:
        lines.append("corrections:")
    for each in match.corrections:
        correction: dict[str, Written] = {
            "on": str(each.on),
            "by": each.by,
            "agreed": each.agreed,
            "reason": each.reason,
            "changed": each.changed,
        }
        lines.append(f"  - {written(correction)}")
    if match.seal is not None:
        lines.append("seal: " + written({**match.seal._asdict(), "on": str(match.seal.on)}))
    yield from lines


def _given(values: Mapping[str, str | None]) -> dict[str, Written]:
    return {key: value for key, value in values.items() if value is not None}


def _numbers(numbers: Iterable[int]) -> str:
    return f"[{', '.join(str(each) for each in numbers)}]"


def _line(key: str, value: object) -> Iterator[str]:
    if value is not None:
        yield f"{key}: {written(str(value))}"
