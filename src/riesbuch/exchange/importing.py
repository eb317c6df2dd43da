"""An import as a whole: everything is worked out and checked in memory, then written or not."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field, replace

from riesbuch.exchange.columns import find_columns
from riesbuch.exchange.creation import changed_files, seasons_with
from riesbuch.exchange.csv_text import CsvFile
from riesbuch.exchange.decisions import Decisions, Question
from riesbuch.exchange.resolving import Resolver
from riesbuch.exchange.rows import Gathered
from riesbuch.exchange.sheets import Builder, Fault, NamesOfMatch, WrittenMatch
from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.folder.overlaid_folder import OverlaidFolder
from riesbuch.index.index import Index
from riesbuch.questions.sheets import SheetOnRecord, known_as, known_sheets
from riesbuch.text.atomic import Write, write_together
from riesbuch.text.plain import read_plain
from riesbuch.text.record_text import file_text
from riesbuch.trade.ids import PartId, SheetId
from riesbuch.trade.match import Match, SourceKind
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.names import find_part
from riesbuch.trade.problems import Problem, RiesbuchError, UsageError, alternatives
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, may_be_same


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportOrder:
    """What was asked for; ``name`` is the file's, as it stands in references."""

    name: str
    season: int | None
    competition: str | None
    club: str | None
    maps: Mapping[str, str]
    source_kind: SourceKind
    create: bool


@dataclass(slots=True, kw_only=True)
class ImportPlan:
    """What an import would do. ``sheets`` gives the path of each new sheet with the row it comes
    from, ``files`` all new and changed files with their content; paths are relative to the
    folder. Where there are ``faults``, ``questions`` or ``errors``, nothing can be written."""

    rows: int = 0
    matches: int = 0
    faults: list[Fault] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    sheets: dict[str, int] = field(default_factory=dict)
    files: dict[str, bytes] = field(default_factory=dict)
    errors: list[Problem] = field(default_factory=list)
    warnings: list[Problem] = field(default_factory=list)
    already_there: int = 0
    corrected: list[str] = field(default_factory=list)
    skipped: int = 0
    unread_columns: tuple[str, ...] = ()
    remarks: list[str] = field(default_factory=list)

    @property
    def may_be_written(self) -> bool:
        return not (self.faults or self.questions or self.errors)


OpenIndex = Callable[[ClubFolder], Index]


def plan_import(
    archive: Archive,
    file: CsvFile,
    wanted: ImportOrder,
    decisions: Decisions,
    open_index: OpenIndex,
) -> ImportPlan:
    """Work out everything that the import of ``file`` would do. Raises UsageError where columns,
    options or decisions do not fit."""
    columns, height = find_columns(file.records, wanted.maps, wanted.club)
    gathered = Gathered(
        columns, decisions, season=wanted.season, competition=wanted.competition, club=wanted.club
    )
    heads = [record.cells for record in file.records[:height]]
    records = [record for record in file.records[height:] if record.cells not in heads]
    for record in records:
        gathered.take(record)
    plan = ImportPlan(rows=len(records), matches=len(gathered.matches))
    plan.unread_columns = columns.unread
    plan.questions = list(gathered.questions())
    plan.remarks = list(gathered.remarks())
    resolver = Resolver(archive, decisions, create=wanted.create)
    names = resolver.names(gathered.matches)
    plan.questions += resolver.questions()
    plan.skipped = len(resolver.skipped)
    if resolver.of_order_unknown:
        order = Message(
            "new players are taken with the first name first, as `{name}`; if it is the last,"
            " call the column `Name Vorname`",
            name=resolver.of_order_unknown[0],
        )
        plan.remarks.append(order)
    matches, rows = _built(archive, resolver, gathered.matches, names, wanted, plan)
    plan.faults = sorted([*gathered.faults, *plan.faults], key=lambda fault: fault[:2])
    if matches:
        new = _new_matches(archive.folder, matches, rows, wanted, plan, open_index)
        if new:
            plan.files.update(changed_files(resolver.creations, [match for match, _ in new]))
        for match, row in new:
            path = f"seasons/{match.season}/matches/{match.sheet.partition('/')[2]}.yaml"
            plan.sheets[path] = row
            plan.files[path] = file_text(match).encode()
    if plan.files:
        judge_plan(archive.folder, plan, open_index)
        if plan.faults or plan.questions:
            # What is still missing would be warned of.
            plan.warnings.clear()
    return plan


def _built(
    archive: Archive,
    resolver: Resolver,
    written: Sequence[WrittenMatch],
    names: Mapping[int, NamesOfMatch],
    wanted: ImportOrder,
    plan: ImportPlan,
) -> tuple[list[Match], list[int]]:
    """The matches that can be built, and the row of each."""
    seasons = seasons_with(archive, resolver.creations)
    matches, rows = [], []
    seen: dict[object, int] = {}
    for place, named in sorted(names.items()):
        written_match = written[place]
        season = seasons.get(written_match.season or 0)
        competition = season.competition(named.competition) if season else None
        try:
            part = _part_of(competition, written_match)
        except UsageError as error:
            plan.faults.append(Fault(written_match.row, 0, error.message))
            continue
        rules = archive.rules_of(competition, part)
        builder = Builder(written_match, named, rules or RuleSet())
        match = builder.match(wanted.source_kind, wanted.name)
        plan.faults += builder.faults
        if match is None:
            continue
        plan.remarks += builder.remarks
        teams, when = frozenset((named.home, named.away)), (written_match.date, written_match.round)
        first = seen.setdefault((named.competition, part, teams, when), written_match.row)
        if first != written_match.row:
            said = Message(
                "the match stands in row {seen} already – delete one of the rows, or mend"
                " what should tell them apart: date, teams or round",
                seen=first,
            )
            plan.faults.append(Fault(written_match.row, 0, said))
            continue
        matches.append(match)
        rows.append(written_match.row)
    return matches, rows


def _part_of(competition: Competition | None, written: WrittenMatch) -> PartId | None:
    """The part of a festival that the row is of, put in its texts as a sheet says it. Raises
    UsageError where it says none, or one that is not known."""
    part = written.texts.pop("part", None)
    if competition is None or not (competition.parts or part):
        return None
    if part is None:
        raise UsageError(
            "`{competition}` is struck in parts, and it is not said which this is – write {parts}"
            " in a column `part`",
            competition=competition.id,
            parts=alternatives([known.id for known in competition.parts]),
        )
    found = find_part(part, competition)
    written.texts["part"] = found
    return found


def _new_matches(
    folder: ClubFolder,
    matches: Sequence[Match],
    rows: Sequence[int],
    wanted: ImportOrder,
    plan: ImportPlan,
    open_index: OpenIndex,
) -> list[tuple[Match, int]]:
    """Those that have no sheet yet, each with a name that no file has, and its row."""
    years = sorted({match.season for match in matches} & set(folder.years()))
    with closing(open_index(folder)) as index:
        sheets = known_sheets(index.connection(years), folder, years) if years else []
    there = recognise(matches, sheets)
    plan.already_there = len(there)
    for place, (sheet, differs) in sorted(there.items()):
        gaps = {"name": wanted.name, "rows": rows[place], "sheet": sheet, "differs": differs}
        said = Message("{name}: row {rows} is {sheet}, corrected since: {differs}", **gaps)
        plan.corrected += [said] if differs else []
    taken = {f"{year}/{path.stem}" for year in folder.years() for path in folder.sheet_files(year)}
    new = []
    for place, match in enumerate(matches):
        if place in there:
            continue
        sheet, number = match.sheet, 1
        while sheet in taken:
            number += 1
            sheet = SheetId(f"{match.sheet}-{number}")
        taken.add(sheet)
        new.append((replace(match, sheet=sheet), rows[place]))
    return new


def judge_plan(folder: ClubFolder, plan: ImportPlan, open_index: OpenIndex) -> None:
    """Add the errors and warnings that the planned files would bring."""
    overlaid = OverlaidFolder(folder.root, plan.files)
    years = sorted({int(path.split("/")[1]) for path in plan.files if path.startswith("seasons/")})
    register_changes = any(not path.startswith("seasons/") for path in plan.files)
    judged = None if register_changes else years
    with closing(open_index(folder)) as index:
        known = set(index.problems(judged and sorted(set(judged) & set(folder.years())))[1])
    with closing(open_index(overlaid)) as index:
        new = [problem for problem in index.problems(judged)[1] if problem not in known]
    plan.errors = [problem for problem in new if problem.is_error]
    plan.warnings = [problem for problem in new if not problem.is_error]


def carry_out(folder: ClubFolder, plan: ImportPlan) -> None:
    """Write the planned files: all or, as far as the computer lets us, none."""
    if not plan.may_be_written:
        raise RiesbuchError("nothing was written")
    writes = []
    for path, content in plan.files.items():
        target = folder.root / path
        is_new = path in plan.sheets or not target.exists()
        before = None if is_new else read_plain(target)
        writes.append(Write(path=target, before=before, after=content))
    write_together(folder.derived, writes)


def recognise(
    matches: Sequence[Match], sheets: Iterable[SheetOnRecord]
) -> dict[int, tuple[SheetId, str]]:
    """The sheet of each match that has one, by the place in ``matches``, and in what it is not as
    in the file, where it was known by the row that it came from.

    A match is known by its competition, day, teams and round, whatever else the sheet says; and
    one whose sheet was corrected in these, by the file and fingerprint that the sheet's reference
    ends with. Nothing is recognised twice.
    """
    recognised: dict[int, tuple[SheetId, str]] = {}
    by_day: dict[object, list[SheetOnRecord]] = {}
    by_origin: dict[tuple[str, str], list[SheetOnRecord]] = {}
    for sheet in sheets:
        by_day.setdefault((sheet.competition, sheet.date, sheet.pair), []).append(sheet)
        origin = _origin(sheet.reference)
        if origin:
            by_origin.setdefault(origin, []).append(sheet)
    taken: set[SheetId] = set()
    asked = [known_as(match) for match in matches]
    for place, match in enumerate(asked):
        for sheet in by_day.get((match.competition, match.date, match.pair), ()):
            is_same = may_be_same(match.round, sheet.round) and may_be_same(match.part, sheet.part)
            if sheet.sheet not in taken and is_same:
                recognised[place] = (sheet.sheet, "")
                taken.add(sheet.sheet)
                break
    for place, match in enumerate(asked):
        origin = _origin(match.reference)
        if place in recognised or origin is None:
            continue
        for sheet in by_origin.get(origin, ()):
            if sheet.sheet not in taken:
                recognised[place] = (sheet.sheet, joined("; ", _differences(match, sheet)))
                taken.add(sheet.sheet)
                break
    return recognised


def _origin(reference: str | None) -> tuple[str, str] | None:
    """The file and the fingerprint that a reference ends with."""
    found = re.search(r"([^;]+), row [0-9]+ \(([0-9a-f]{8})\)$", reference or "")
    return (found[1].strip(), found[2]) if found else None


def _differences(match: SheetOnRecord, sheet: SheetOnRecord) -> list[str]:
    return [
        Message("{key} is {there} there, {here} here", key=key, there=there, here=here)
        for key in ("competition", "part", "date", "round", "home", "away")
        if (here := getattr(match, key)) != (there := getattr(sheet, key))
    ]
