"""The matches of an export as the records that sheets are written from."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from riesbuch.exchange.cells import CellError, read_strikes
from riesbuch.exchange.package_tables import TableFault, TableRow, grouped, in_order
from riesbuch.exchange.sheets import new_player_points, new_row
from riesbuch.exchange.written import Fault
from riesbuch.trade.ids import PlayerId, SheetId, TeamId, is_identifier
from riesbuch.trade.match import (
    Correction,
    Doubt,
    Match,
    Outcome,
    PaperTotals,
    Row,
    Seal,
    Side,
    Source,
    SourceKind,
)

_NOWHERE = (1, 1)
_SHEET_TABLES = ("doubts", "corrections")


class _CannotBeError(Exception):
    def __init__(self, row: TableRow, column: str, message: str) -> None:
        super().__init__(message)
        self.told = TableFault(
            row.table, Fault(row.row, column, message, "export once more, or mend it there")
        )


def matches_of(
    tables: Mapping[str, Sequence[TableRow]], faults: list[TableFault]
) -> Iterator[tuple[Match, int]]:
    """Each match with its row in ``matches``; what cannot be is added to ``faults``."""
    sides = grouped(list(tables["sides"]), "sheet", "side")
    people = grouped(list(tables["rows"]), "sheet", "side")
    of_sheet = {name: grouped(list(tables[name]), "sheet") for name in _SHEET_TABLES}
    for row in tables["matches"]:
        sheet = row["sheet"]
        try:
            yield (
                _match(
                    row,
                    {
                        name: _side(row, name, sides.get((sheet, name), []),
                                    people.get((sheet, name), []))
                        for name in ("home", "away")
                    },
                    {name: of_sheet[name].get((sheet,), []) for name in _SHEET_TABLES},
                ),
                row.row,
            )  # fmt: skip
        except _CannotBeError as error:
            faults.append(error.told)


def _match(row: TableRow, sides: Mapping[str, Side], others: Mapping[str, list[TableRow]]) -> Match:
    sheet: str = row["sheet"]
    year, slash, stem = sheet.partition("/")
    if not slash or year != str(row["season"]) or not is_identifier(stem):
        raise _CannotBeError(row, "sheet", f"`{sheet}` is no sheet of season {row['season']}")
    return Match(
        sheet=SheetId(sheet),
        season=row["season"],
        competition=row["competition"],
        date=row["date"],
        home=sides["home"],
        away=sides["away"],
        round=row["round"],
        ground=row["ground"],
        weather=row["weather"],
        notes=row["notes"],
        strikes_first=row["strikes_first"],
        outcome=Outcome(row["outcome"]),
        awarded=row["awarded"],
        moved_to=row["moved_to"],
        counts=row["counts"],
        winner=row["recorded_winner"],
        referees=row["referees"] or (),
        source=_source(row),
        doubts=tuple(
            Doubt(at=each["at"], note=each["note"], position=_NOWHERE)
            for each in in_order(others["doubts"])
        ),
        corrections=tuple(
            Correction(
                on=each["on"],
                by=each["by"],
                agreed=each["agreed"],
                reason=each["reason"],
                changed=each["changed"],
                position=_NOWHERE,
            )
            for each in in_order(others["corrections"])
        ),
        seal=_seal(row),
        positions={},
    )


def _source(row: TableRow) -> Source | None:
    if row["source_kind"] is None:
        return None
    kinds = {each.value: each for each in SourceKind}
    if row["source_kind"] not in kinds:
        raise _CannotBeError(row, "source_kind", f"`{row['source_kind']}` is no kind of source")
    return Source(
        kind=kinds[row["source_kind"]],
        reference=row["source_reference"],
        transcribed_by=row["source_transcribed_by"],
        on=row["source_on"],
    )


def _seal(row: TableRow) -> Seal | None:
    values: list[Any] = [row[f"seal_{key}"] for key in ("on", "home", "away", "digest")]
    return None if None in values else Seal(*values)


def _side(match: TableRow, name: str, sides: list[TableRow], people: list[TableRow]) -> Side:
    if not sides:
        raise _CannotBeError(match, name, f"`{match['sheet']}` has no {name} side in sides.csv")
    side = sides[0]
    if side["team"] != match[name]:
        raise _CannotBeError(side, "team", f"the match says `{match[name]}`")
    depth = side["depth"]
    by_role: dict[str, list[TableRow]] = {}
    for each in in_order(people):
        by_role.setdefault(each["role"], []).append(each)
    paper = PaperTotals(side["paper_ries"], side["paper_points"], side["paper_nummern"])
    if (depth == "ries" and side["ries"] is None) or (depth == "points" and not (
        side["points"] is not None
    )):  # fmt: skip
        raise _CannotBeError(side, depth, f"the depth is {depth}, but there are none")
    if (depth == "strikes") != ("team" in by_role) or (depth == "players") != ("points" in by_role):
        raise _CannotBeError(side, "depth", f"the depth is {depth}, which rows.csv does not fit")
    return Side(
        team=TeamId(side["team"]),
        captain=side["captain"],
        rows=tuple(_rows(by_role.get("team", ()))) or None,
        player_points=tuple(
            new_player_points(PlayerId(each["player"]), _points(each))
            for each in by_role.get("points", ())
        )
        or None,
        ries=side["ries"] if depth == "ries" else None,
        points=side["points"] if depth == "points" else None,
        nummern=side["recorded_nummern"],
        replacements=tuple(_rows(by_role.get("replacement", ()))),
        supernumeraries=tuple(_rows(by_role.get("supernumerary", ()))),
        paper=paper if any(each is not None for each in paper) else None,
    )


def _points(row: TableRow) -> int:
    if row["points"] is None:
        raise _CannotBeError(row, "points", "the points are missing")
    return int(row["points"])


def _rows(rows: Iterable[TableRow]) -> Iterator[Row]:
    for row in rows:
        if row["strikes"] is None:
            raise _CannotBeError(row, "strikes", "the strikes are missing")
        try:
            yield new_row(PlayerId(row["player"]), read_strikes(row["strikes"]))
        except CellError as error:
            raise _CannotBeError(row, "strikes", str(error)) from error
