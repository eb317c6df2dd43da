"""A table of teams or individuals out of a spreadsheet, as a block of handed-down.toml."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from riesbuch.exchange.cells import (
    UNKNOWN,
    CellError,
    is_total,
    read_number,
    read_source_kind,
    with_comma,
)
from riesbuch.exchange.columns import FAMILY_FIRST, Columns, find_table_columns
from riesbuch.exchange.csv_text import CsvFile, CsvRow, unguarded
from riesbuch.exchange.decisions import SKIP, Decisions, Question, read_new
from riesbuch.exchange.importing import ImportPlan, OpenIndex, judge_plan
from riesbuch.exchange.resolving import Identification, Players, Teams, find_competition
from riesbuch.exchange.sheets import Fault
from riesbuch.folder.archive import Archive
from riesbuch.text.league import read_handed_down
from riesbuch.text.plain import read_plain
from riesbuch.text.record_text import handed_down_text
from riesbuch.text.toml_text import with_table
from riesbuch.trade.handed_down import HandedDown, HandedDownStrikers, HandedDownTable, TableRow
from riesbuch.trade.ids import CompetitionId
from riesbuch.trade.keys import keys_of
from riesbuch.trade.match import Source, SourceKind
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import Directory, folded, in_reading_order, name_key
from riesbuch.trade.problems import RiesbuchError, UsageError
from riesbuch.trade.season import CompetitionKind, called_nearest


class TableOrder(NamedTuple):
    """What was asked for; ``file`` is the spreadsheet's name, the reference of one that has no
    other. ``name`` and ``kind`` are the competition's, where season.toml lacks it."""

    file: str
    season: int
    competition: str
    name: str | None
    kind: CompetitionKind | None
    maps: Mapping[str, str]
    source_kind: SourceKind
    reference: str | None


class TablePlan(NamedTuple):
    """``text`` is the block to be added, which is ``there`` where the file has it already."""

    plan: ImportPlan
    path: str
    text: str
    there: bool


def plan_table(
    archive: Archive,
    file: CsvFile,
    wanted: TableOrder,
    decisions: Decisions,
    open_index: OpenIndex,
) -> TablePlan:
    """Work out all that the import of the table would do. Raises UsageError where columns, options
    or decisions do not fit, RiesbuchError where handed-down.toml has to be mended first."""
    record, columns, height = find_table_columns(file.records, wanted.maps)
    heads = [row.cells for row in file.records[:height]]
    reader = _Reader(archive, wanted, decisions, record, columns)
    for row in file.records[height:]:
        if row.cells not in heads:
            reader.take(row)
    decisions.expect_sound()
    plan = reader.plan
    if not reader.rows and not plan.faults and not plan.questions:
        raise UsageError("{file} has no rows under its head", file=wanted.file)
    table = reader.table()
    target = archive.folder.handed_down_file(wanted.season)
    path = archive.folder.relative(target)
    content = read_plain(target) if archive.folder.exists(target) else None
    there = _stands_there(content, path, table)
    if not there and not plan.faults and not plan.questions:
        try:
            plan.files[path] = with_table(content, table)
        except RiesbuchError as error:
            raise RiesbuchError(
                "{path}: {fault}; nothing was changed", path=path, fault=error.message
            ) from error
        judge_plan(archive.folder, plan, open_index)
    return TablePlan(plan, path, handed_down_text(table), there)


def _stands_there(
    content: bytes | None, path: str, table: HandedDownTable | HandedDownStrikers
) -> bool:
    """Raises where the file has findings, or a table of it with other rows."""
    reading = read_handed_down(content or b"")
    if reading.findings:
        lines = joined("\n", (finding.in_file(path).as_line() for finding in reading.findings))
        raise RiesbuchError("{path} has to be mended first:\n{lines}", path=path, lines=lines)
    handed_down = reading.record or HandedDown()
    for other in (*handed_down.tables, *handed_down.striker_tables):
        if type(other) is type(table) and other.competition == table.competition:
            if other.rows == table.rows:
                return True
            raise UsageError(
                "{path}:{line}: a table of it stands there already, with other rows; mend it there",
                path=path,
                line=other.positions["competition"][0],
            )
    return False


class _Reader:
    """Makes rows of records of the spreadsheet's; what is wrong or open is in its ``plan``."""

    def __init__(
        self,
        archive: Archive,
        wanted: TableOrder,
        decisions: Decisions,
        record: type,
        columns: Columns,
    ) -> None:
        self.archive = archive
        self.wanted = wanted
        self.decisions = decisions
        self.record = record
        self.columns = columns
        self.plan = ImportPlan(unread_columns=columns.unread)
        self.rows: list[Any] = []
        self.sources: dict[str, set[str]] = {}
        self.competition, self.name, self.kind = self._competition()
        self._players, self._teams = Players(archive.register), Teams(archive.register)
        listed = archive.competition(wanted.season, self.competition)
        there = archive.handed_down.get(wanted.season, HandedDown())
        self._entrants = listed.teams if listed else [
            row.team for table in there.tables for row in table.rows
            if row.team and table.competition == self.competition
        ]  # fmt: skip
        self._figures = [key.name for key in keys_of(record) if key.form == "number"]
        self._is_family_first = folded(columns.title.get("player", "")) in FAMILY_FIRST

    def table(self) -> HandedDownTable | HandedDownStrikers:
        said = {key: " ".join(words) for key, words in self.sources.items() if len(words) == 1}
        kind = said.get("source_kind")
        source = Source(
            kind=read_source_kind(kind) if kind else self.wanted.source_kind,
            reference=self.wanted.reference or said.get("reference") or self.wanted.file,
            transcribed_by=said.get("transcribed_by"),
        )
        make: Any = HandedDownTable if self.record is TableRow else HandedDownStrikers
        table: HandedDownTable | HandedDownStrikers = make(
            competition=self.competition, name=self.name, kind=self.kind, source=source,
            rows=tuple(self.rows), positions={},
        )  # fmt: skip
        return table

    def take(self, row: CsvRow) -> None:
        who, team = self._who(row)
        if not who or is_total(who):
            passed = " | ".join(filter(None, row.cells))
            self.plan.remarks.append(
                Message("row {row} is no row of the table: {cells}", row=row.row, cells=passed)
            )
            return
        self.plan.rows += 1
        figures: dict[str, Any] = {key: self._figure(row, key) for key in self._figures}
        for key in ("source_kind", "reference", "transcribed_by"):
            if self._cell(row, key):
                self.sources.setdefault(key, set()).add(self._cell(row, key))
        found = self._teams.find(team, self._entrants, self.wanted.season)
        of_team = ("team", folded(team), team, found, self._teams.registered)
        others: dict[str, str | None] = {}
        if self.record is TableRow:
            own = self._meant(row.row, *of_team)
        else:
            found = self._players.find(who, [self.wanted.season])
            known = self._players.registered
            own = self._meant(row.row, "player", name_key(who), who, found, known)
            its_team = self._meant(row.row, *of_team) if team else {}
            if its_team is None:
                own = None
            others = {"team": None, "team_name": None}
            for key, value in (its_team or {}).items():
                others["team_name" if key == "name" else key] = value
        if own is not None:
            what = "team" if self.record is TableRow else "player"
            names = {what: None, "name": None, **own, **others}
            self.rows.append(self.record(**figures, **names, positions={}))

    def _who(self, row: CsvRow) -> tuple[str, str]:
        """The one whose row it is, and the team."""
        team = self._cell(row, "team")
        if self.record is TableRow:
            return team, team
        last = self._cell(row, "last_name")
        player = self._cell(row, "player")
        if last:
            return f"{self._cell(row, 'first_name')} {last}".strip(), team
        return with_comma(player) if self._is_family_first else player, team

    def _cell(self, row: CsvRow, key: str) -> str:
        at = self.columns.place.get(key, len(row.cells))
        cell = unguarded(row.cells[at]) if at < len(row.cells) else ""
        return "" if cell.lower() in UNKNOWN else " ".join(cell.split())

    def _figure(self, row: CsvRow, key: str) -> int | None:
        cell = self._cell(row, key)
        try:
            # "3." and "=3" are ranks too.
            return read_number(cell.strip(".)=( ") if key == "rank" else cell)
        except CellError as error:
            self.plan.faults.append(Fault(row.row, self.columns.place[key], error.message))
            return None

    def _meant(
        self, row: int, what: str, key: str, written: str, found: Identification,
        directory: Directory[Any],
    ) -> dict[str, str] | None:  # fmt: skip
        """Its identifier, or the name of one whom the register does not have; None where the row
        is skipped, or it is a question."""
        name = {"name": in_reading_order(written) if what == "player" else written}
        line = self.decisions.find(what, key, "", self.wanted.season)
        if line is None:
            if found.sure:
                return {what: found.sure}
            if not found.candidates:
                return name
            question = next(
                (q for q in self.plan.questions if (q.what, q.key) == (what, key)), None
            )
            if question is None:
                note = Message("{note}; `new` leaves the name as it is", note=found.note)
                candidates = tuple(map(directory.titled, found.candidates))
                question = Question(what, key, written, note, candidates)
                self.plan.questions.append(question)
            question.rows.append(row)
            return None
        if line.decision == SKIP:
            self.plan.skipped += 1
            return None
        if (new := read_new(line.decision)) is not None:
            return {"name": new.name} if new.name else name
        answer = directory.meant(line.decision.partition(" (")[0])
        if len(answer) == 1:
            return {what: answer[0]}
        self.decisions.refuse(line.row, directory.refusal(line.decision, answer).message)
        return None

    def _competition(self) -> tuple[CompetitionId, str | None, CompetitionKind | None]:
        """Its identifier, and name and kind where season.toml lacks it."""
        wanted, archive = self.wanted, self.archive
        usual, found = find_competition(wanted.competition, wanted.season, archive.seasons)
        if found.sure:
            return CompetitionId(found.sure), wanted.name, wanted.kind
        given: dict[CompetitionId, list[tuple[int, str | None, CompetitionKind | None]]] = {}
        for year, season in archive.seasons.items():
            for each in season.competitions:
                given.setdefault(each.id, []).append((year, each.name, each.kind))
        for year, handed_down in archive.handed_down.items():
            for key, told in handed_down.competitions().items():
                given.setdefault(key, []).append((year, *told))
        known = {key: called_nearest(wanted.season, of_key) for key, of_key in given.items()}
        named = {key: (name,) if name else () for key, (name, _) in known.items()}
        directory = Directory("competition", named)
        meant = [usual] if usual else directory.meant(wanted.competition)
        if not meant and wanted.name is None:
            raise UsageError(
                "no season has a competition `{written}` ({advice}); for one of that time, say by"
                " --name what it was called",
                written=wanted.competition,
                advice=directory.advice(wanted.competition),
            )
        key = meant[0] if meant else CompetitionId(folded(wanted.competition))
        name, kind = known.get(key, (None, None))
        return key, wanted.name or name, wanted.kind or kind
