"""What a change does: what both states say, and results, tables, records and honours before and
after; and what a match day brings since the last commit, told apart from what was entered before.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index, Progress, Tables
from riesbuch.questions.honours import Honours, honours
from riesbuch.questions.match_lines import names_of
from riesbuch.questions.ranked import Holder, Record, Scope
from riesbuch.questions.records import record_book
from riesbuch.questions.tables import WHO, TableName, rows_of_season
from riesbuch.questions.who import player_names
from riesbuch.review.causes import Cause, bearing_on, causes
from riesbuch.review.changes import ChangeKind, SheetChange
from riesbuch.review.committing import IsPage, OwnChanges, contents, own_changes
from riesbuch.review.git import Repository
from riesbuch.review.revisions import (
    RevisionComparison,
    State,
    changed_years,
    clubs_in,
    compare_revisions,
)
from riesbuch.review.signed_changes import Signatures, SignedSheet, signatures_of
from riesbuch.text.sheet import looks_sealed
from riesbuch.trade.ids import SheetId
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError
from riesbuch.trade.tally import Tally

LEAST_STRIKES = 40
"""From how many strikes in a season on an average can be a record."""


class RowKey(NamedTuple):
    """Where a row of a table stands; ``who`` is the team or the player."""

    season: int
    competition: str
    who: str


Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """Of the seasons asked for: ``tallies`` of the sheets by path, the paths of those
    ``with_errors``, and both tables. Records and honours are those of all seasons, empty where
    they were not asked for. ``trouble`` is why there is nothing at all."""

    tallies: Mapping[str, Tally | None] = field(default_factory=dict)
    with_errors: frozenset[str] = frozenset()
    standings: Mapping[RowKey, Row] = field(default_factory=dict)
    strikers: Mapping[RowKey, Row] = field(default_factory=dict)
    records: tuple[Record, ...] = ()
    honours: Mapping[tuple[int, str], Honours] = field(default_factory=dict)
    teams: Mapping[str, str] = field(default_factory=dict)
    players: Mapping[str, str] = field(default_factory=dict)
    trouble: str = ""


NOTHING = Answers()


def answers(
    folder: ClubFolder,
    years: Collection[int] | None,
    *,
    of_all_seasons: bool,
    tell: Callable[[str], None],
    progress: Progress,
) -> Answers:
    """What ``folder`` says of the seasons ``years``, all where not given; records and honours
    where ``of_all_seasons`` is asked for."""
    there = folder.years()
    asked = there if years is None else [year for year in there if year in years]
    index = Index(folder, tell, progress)
    try:
        tables = index.connection(None if of_all_seasons else asked)
        tallies: dict[str, Tally | None] = {}
        with_errors: frozenset[str] = frozenset()
        for season in index.seasons_as_seen(asked):
            tallies.update((path, tally) for path, (tally, _) in season.tallies.items())
            with_errors |= season.with_errors
        return Answers(
            tallies=tallies,
            with_errors=with_errors,
            standings=_rows(tables, "standings", asked),
            strikers=_rows(tables, "strikers", asked),
            records=record_book(tables, Scope(), LEAST_STRIKES, ages=False).records
            if of_all_seasons
            else (),
            honours={(season.season, season.competition): season for season in honours(tables)}
            if of_all_seasons
            else {},
            teams=names_of(tables, "team"),
            players=player_names(tables, index.connection),
        )
    except RiesbuchError as error:
        return Answers(trouble=error.message)
    finally:
        index.close()


def warm_up(folder: ClubFolder, tell: Callable[[str], None], progress: Progress) -> None:
    """Have all that ``folder`` says kept, so that what revisions share with it is worked out
    once."""
    # A folder that cannot be worked out is no trouble of the revisions.
    with closing(Index(folder, tell, progress)) as index, suppress(RiesbuchError):
        index.connection()


def _rows(tables: Tables, table: TableName, years: Collection[int]) -> dict[RowKey, Row]:
    """The rows of a table by where they stand, their other columns by name, but for those that no
    table shows."""
    found: dict[RowKey, Row] = {}
    for row in (row for year in years for row in rows_of_season(tables, table, year)):
        key = RowKey(row.pop("season"), row.pop("competition"), row[WHO[table]])
        # What is sure of a place is told by the honours, what single strikes make by the records.
        found[key] = {
            name: row[name]
            for name in row
            if not name.endswith("_for_sure") and name not in ("best_strike", "squares")
        }
    return found


RecordFate = Literal["set", "fell", "corrected", "shared", "stands no more"]
HONOURS = ("champions", "promoted", "relegated", "best_strikers")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReviewedSheet:
    """A sheet that changed, or that adds up otherwise or counts otherwise though nobody touched
    it; it has no ``change`` of its own then. A sheet with errors counts nowhere. ``signed`` is
    what signatures prove of one that is sealed and changed."""

    sheet: SheetId
    path: str
    kind: ChangeKind
    change: SheetChange | None
    sealed: bool
    before: Tally | None
    after: Tally | None
    errors_before: bool
    errors_after: bool
    signed: SignedSheet | None = None

    @property
    def objection(self) -> str:
        """Why what became of the sealed sheet is not sanctioned, in a clause; empty where it is.
        One that counts nowhere any more never is, whoever agreed, and whatever file is to blame."""
        if self.change is not None and self.change.objection:
            return self.change.objection
        if self.signed is not None and self.signed.objection:
            return self.signed.objection
        if not (self.sealed and self.stopped_counting):
            return ""
        return (
            Message("it has errors now and counts nowhere")
            if self.errors_after
            else Message("it is no whole sheet now and counts nowhere")
        )

    @property
    def sanctioned(self) -> bool:
        return not self.objection

    @property
    def is_rescored(self) -> bool:
        """Whether somebody edited what decides its result, rather than what it rests on."""
        change = self.change
        return change is not None and bool(
            change.cells or change.unreadable or change.change != "changed"
        )

    @property
    def stopped_counting(self) -> bool:
        """Whether it was a whole sheet without errors, and is not any more."""
        before = _counts(self.before, self.errors_before)
        return before and not _counts(self.after, self.errors_after)

    @property
    def result_changed(self) -> bool:
        return self.errors_before != self.errors_after or as_scored(self.before) != as_scored(
            self.after
        )


def _counts(tally: Tally | None, with_errors: bool) -> bool:
    return tally is not None and not tally.is_draft and not with_errors


class RowChange(NamedTuple):
    """A row of a table; ``before`` or ``after`` is None where there is none."""

    key: RowKey
    before: Row | None
    after: Row | None


class RecordChange(NamedTuple):
    """``fate`` is what became of the record that stood before."""

    fate: RecordFate
    before: Record
    after: Record


class HonoursChange(NamedTuple):
    """``honour`` is one of `HONOURS`; the holders are teams, or players."""

    season: int
    competition: str
    honour: str
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    comparison: RevisionComparison
    sheets: tuple[ReviewedSheet, ...]
    standings: tuple[RowChange, ...]
    strikers: tuple[RowChange, ...]
    records: tuple[RecordChange, ...]
    honours: tuple[HonoursChange, ...]
    causes: tuple[Cause, ...]
    before: Answers
    after: Answers
    signatures: Signatures

    @property
    def names(self) -> dict[str, str]:
        """Names of teams and players by identifier, as they are now or were last."""
        return {
            **self.before.teams, **self.before.players, **self.after.teams, **self.after.players,
        }  # fmt: skip

    @property
    def comparable(self) -> bool:
        """Whether both states could be worked out."""
        return not (self.before.trouble or self.after.trouble)

    @property
    def other_results(self) -> tuple[ReviewedSheet, ...]:
        """Sealed sheets whose result comes out otherwise than before."""
        return tuple(sheet for sheet in self.sheets if sheet.sealed and sheet.result_changed)

    @property
    def other_results_because(self) -> tuple[Cause, ...]:
        """What can have made results of sealed sheets come out otherwise, beside the sheets."""
        tallies = [
            tally
            for sheet in self.other_results
            for tally in (sheet.before, sheet.after)
            if tally is not None
        ]
        of = {(tally.season, tally.competition) for tally in tallies if tally.competition}
        folders = (self.comparison.base.folder, self.comparison.head.folder)
        return bearing_on(self.causes, of, folders) if of else ()

    @property
    def unsanctioned(self) -> tuple[ReviewedSheet, ...]:
        return tuple(sheet for sheet in self.sheets if not sheet.sanctioned)


def review(
    comparison: RevisionComparison, tell: Callable[[str], None], progress: Progress
) -> Review:
    """Work both states out and compare them. ``tell`` gets a sentence where the index cannot be
    kept."""
    years = changed_years(comparison)
    scored = any(
        sheet.cells or sheet.renamed or sheet.change != "changed" or sheet.unreadable
        for sheet in comparison.sheets
    )
    of_all_seasons = scored or bool(comparison.files)
    if years is not None and not years:
        before = after = NOTHING
    else:
        if comparison.head.folder.changes:
            warm_up(ClubFolder(comparison.head.folder.root), tell, progress)

        def of(state: State) -> Answers:
            if not state.is_club:
                return NOTHING
            return answers(state.folder, years, of_all_seasons=of_all_seasons, tell=tell,
                           progress=progress)  # fmt: skip

        after = of(comparison.head)
        before = of(comparison.base)
    comparable = not (before.trouble or after.trouble)
    folders = comparison.base.folder, comparison.head.folder
    clubs: dict[str, str] = {club.id: club.name for folder in folders for club in clubs_in(folder)}
    signatures = signatures_of(comparison, clubs)
    return Review(
        comparison=comparison,
        signatures=signatures,
        sheets=tuple(_sheets(comparison, before, after, signatures)),
        standings=_row_changes(before.standings, after.standings) if comparable else (),
        strikers=_row_changes(before.strikers, after.strikers) if comparable else (),
        records=tuple(_record_changes(before, after)) if comparable else (),
        honours=tuple(_honours_changes(before, after)) if comparable else (),
        causes=causes(*folders, comparison.files),
        before=before,
        after=after,
    )


def as_scored(tally: Tally | None) -> Tally | None:
    """The tally without the sheet's name, which a renamed sheet changes."""
    return None if tally is None else tally._replace(sheet=SheetId(""), season=0)


def _sheets(
    comparison: RevisionComparison, before: Answers, after: Answers, signatures: Signatures
) -> Iterator[ReviewedSheet]:
    def reviewed(
        sheet: SheetId, old: str, new: str, change: SheetChange | None, *, sealed: bool
    ) -> ReviewedSheet:
        return ReviewedSheet(
            sheet=sheet,
            path=new or old,
            kind="changed" if change is None else change.change,
            change=change,
            sealed=sealed,
            before=before.tallies.get(old),
            after=after.tallies.get(new),
            errors_before=old in before.with_errors,
            errors_after=new in after.with_errors,
            signed=signatures.sheets.get(new) if change is not None else None,
        )

    found = []
    touched: set[str] = set()
    for change in comparison.sheets:
        old, new = (file.path if file else "" for file in (change.before, change.after))
        touched |= {old, new}
        found.append(reviewed(change.current.sheet, old, new, change, sealed=change.sealed))
    untouched = before.tallies.keys() & after.tallies.keys() - touched
    folder = comparison.head.folder
    for path in untouched:
        errors = path in before.with_errors, path in after.with_errors
        if before.tallies[path] == after.tallies[path] and errors[0] == errors[1]:
            continue
        sheet = folder.sheet_id(folder.root / path)
        assert sheet is not None
        sealed = looks_sealed(folder.content(folder.root / path) or b"")
        found.append(reviewed(sheet, path, path, None, sealed=sealed))
    yield from sorted(found, key=lambda sheet: (sheet.change is None, sheet.path))


def _row_changes(
    before: Mapping[RowKey, Row], after: Mapping[RowKey, Row]
) -> tuple[RowChange, ...]:
    """Rows that differ, by season and competition in the order of the table as it is now."""
    changed = [
        RowChange(key, before.get(key), after.get(key))
        for key in {**before, **after}
        if before.get(key) != after.get(key)
    ]

    def place(change: RowChange) -> tuple[object, ...]:
        row = change.after or change.before
        assert row is not None
        key = change.key
        return key.season, key.competition, change.after is None, row["rank"], key.who

    return tuple(sorted(changed, key=place))


def _record_changes(before: Answers, after: Answers) -> Iterator[RecordChange]:
    old = {record.kind: record for record in before.records}
    for now in after.records:
        then = old.get(now.kind)
        if then is not None and _standing(then) != _standing(now):
            yield RecordChange(_fate(then, now), then, now)


def _standing(record: Record) -> object:
    return record.value, sorted(map(repr, _holders(record)))


def _holders(record: Record) -> list[tuple[object, ...]]:
    """Who holds the record, whatever their sheets are called."""
    return [(*_who(holder), holder.until, holder.opponent) for holder in record.holders]


def _who(holder: Holder) -> tuple[object, ...]:
    return holder.team, holder.player, holder.season, holder.competition, holder.date


def _fate(then: Record, now: Record) -> RecordFate:
    if then.value is None or now.value is None:
        return "set" if then.value is None else "stands no more"
    both = {_who(holder) for holder in then.holders} & {_who(holder) for holder in now.holders}
    if then.value == now.value:
        return "shared" if both else "stands no more"
    if both:
        return "corrected"
    is_better = now.value < then.value if now.kind == "closest" else now.value > then.value
    return "fell" if is_better else "stands no more"


def _honours_changes(before: Answers, after: Answers) -> Iterator[HonoursChange]:
    for key in sorted({*before.honours, *after.honours}, reverse=True):
        then, now = before.honours.get(key), after.honours.get(key)
        for honour in HONOURS:
            old, new = (tuple(getattr(won, honour, ())) for won in (then, now))
            if old != new:
                yield HonoursChange(*key, honour, old, new)


class Closing(NamedTuple):
    """``files`` are the contents of the folder's own files as they were looked at, by path, None
    for one that is gone. ``entered`` are sheets that have a result now and had none, ``drafts``
    those that are none yet; ``older`` are the others whose score, seal or corrections are others
    now, or that count otherwise."""

    repository: Repository
    changes: OwnChanges
    files: dict[str, bytes | None]
    review: Review
    entered: tuple[ReviewedSheet, ...]
    drafts: tuple[ReviewedSheet, ...]
    older: tuple[ReviewedSheet, ...]


def closing_of(
    repository: Repository,
    folder: ClubFolder,
    is_page: IsPage,
    tell: Callable[[str], None],
    progress: Progress,
) -> Closing:
    """What there is to close; only reads. ``tell`` is as in `Index`."""
    changes = own_changes(repository, is_page)
    if repository.prefix:
        staged = repository.of_folder(repository.top).staged_changes()
        elsewhere = (change.path for change in staged
                     if not change.path.startswith(repository.prefix))  # fmt: skip
        changes = changes._replace(others=(*changes.others, *elsewhere))
    files = contents(repository, changes.own)
    reviewed = review(compare_revisions(repository, folder, None, None), tell, progress)
    entered: list[ReviewedSheet] = []
    drafts: list[ReviewedSheet] = []
    older: list[ReviewedSheet] = []
    for sheet in reviewed.sheets:
        _expect_as_read(sheet, files)
        was_open = sheet.before is None or sheet.before.is_draft
        if sheet.after is not None and was_open and sheet.change is not None:
            (drafts if sheet.after.is_draft else entered).append(sheet)
        elif not was_open and not _is_quiet(sheet):
            older.append(sheet)
    return Closing(
        repository, changes, files, reviewed, tuple(entered), tuple(drafts), tuple(older)
    )


def _expect_as_read(sheet: ReviewedSheet, files: dict[str, bytes | None]) -> None:
    after = sheet.change.after if sheet.change is not None else None
    if after is not None and files.get(after.path, after.content) != after.content:
        raise RiesbuchError("the folder's files were changed meanwhile; try again")


def _is_quiet(sheet: ReviewedSheet) -> bool:
    """Whether the score stays, and nothing but a first seal or what decides nothing was added."""
    change = sheet.change
    if change is None or sheet.result_changed or sheet.objection:
        return False
    is_first_seal = not sheet.sealed and not change.claims
    return change.change == "changed" and not change.cells and (is_first_seal or not change.seal)
