"""Bringing the reports up to date with the sheets, and not more of them than have changed."""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from riesbuch.archive import Archive, read_bytes
from riesbuch.examination import ExaminedSheet
from riesbuch.folder import ClubFolder
from riesbuch.history.fingerprints import fingerprints
from riesbuch.history.participation import Span
from riesbuch.index.index import Index
from riesbuch.index.store import digest_of
from riesbuch.problems import Problem, RiesbuchError, Severity
from riesbuch.reports.pages import Page, other_pages, player_pages, season_pages, spared_folders
from riesbuch.reports.past import past_of
from riesbuch.reports.paths import FAMILIES
from riesbuch.reports.stamps import Scope, Stamps
from riesbuch.reports.writer import PublicationPlan, plan_publication, publish
from riesbuch.results import CompetitionResults, competition_results

_KIND = "pages"
_CHANGED = "the folder's files were changed meanwhile; try again"
_ROOMS_THAT_WRITE = ("reports", "history", "pictures", "stories")
_FILES_THAT_WRITE = ("results.py", "publication.py")

Progress = Callable[[int, int], None]
"""Called with how many of how many pages are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """``errors`` are all there are in the folder; while there are any, nothing is published, and
    there is no plan."""

    plan: PublicationPlan | None
    errors: tuple[Problem, ...] = ()


class Publisher:
    """One command's publishing of a folder. ``families`` are the kinds of pages that are looked
    at; those of others stay as they are."""

    def __init__(
        self,
        folder: ClubFolder,
        index: Index,
        families: Collection[str] = FAMILIES,
        progress: Progress | None = None,
    ) -> None:
        self._folder = folder
        self._index = index
        self._families = families
        self._progress = progress or (lambda done, whole: None)
        self._signature = _signature()
        self._bases: dict[str, str] = {}
        self._written_anew: list[int] = []

    def prepare(self) -> Publication:
        """Make the pages that may have changed and compare them with what is there; writes
        nothing."""
        connection = self._index.connection()
        _, problems = self._index.problems_as_seen(self._folder.years())
        errors = tuple(each for each in problems if each.severity is Severity.ERROR)
        if errors:
            return Publication(plan=None, errors=errors)
        self._archive = self._index.archive(self._folder.years())
        self._past = past_of(self._archive, connection, self._spans)
        kept = self._index.recall(_KIND, self._signature)
        self._stamps = Stamps(self._folder.reports, kept)
        (matches,) = connection.execute("SELECT count(*) FROM matches").fetchone()
        self._whole = matches + len(self._archive.register.players)
        plan = plan_publication(
            self._folder.reports, self._due(), spared_folders(self._archive), self._families
        )
        self._progress(self._whole, self._whole)
        if plan.marks and not self._index.is_as_seen(self._written_anew):
            raise RiesbuchError(_CHANGED)
        return Publication(plan=plan)

    def publish(self, plan: PublicationPlan, replace: Callable[[Path, bytes], None]) -> None:
        """Do what the plan says, and remember it."""
        publish(plan, replace, self._progress)
        self.remember(plan, written=True)

    def remember(self, plan: PublicationPlan, *, written: bool = False) -> None:
        """Keep what is known of the pages that are as they should be, now that those of the plan
        are ``written`` or not."""
        open_pages = {each.path for each in plan.kept}
        if not written:
            open_pages.update(each.path for each in plan.write)
        bases = {path: each for path, each in self._bases.items() if path not in open_pages}
        marks = {path: mark for path, mark in plan.marks.items() if path in bases}
        self._index.remember(_KIND, self._signature, self._stamps.stamped(marks, bases))

    def _due(self) -> Iterator[tuple[str, str | None]]:
        """Every page that is due with its text, None where it stands as it should."""
        done = 0
        for scope in self._scopes():
            for path, text in scope:
                done += 1
                self._progress(min(done, self._whole - 1), self._whole)
                yield path, text

    def _scopes(self) -> Iterator[Iterator[tuple[str, str | None]]]:
        years = self._folder.years()
        if "season" in self._families:
            for year in years:
                if year in self._archive.seasons:
                    yield self._season(year)
        if "player" in self._families:
            yield self._players(years)
        families = [each for each in ("club", "history", "season") if each in self._families]
        if families:
            yield self._others(families)

    def _season(self, year: int) -> Iterator[tuple[str, str | None]]:
        overview = [each for each in self._past.overview if each.season == year]
        basis = self._digest(str(year), overview, year == self._past.pen.newest)
        key = str(year)

        def due() -> Iterator[tuple[Page, str]]:
            self._written_anew.append(year)
            bases = self._match_bases(year)
            for page in season_pages(self._past, year, _results(self._archive, year)):
                yield page, bases.get(page.path, basis)

        yield from self._scope(key, basis, due)

    def _match_bases(self, year: int) -> dict[str, str]:
        """Of the pages of the season's matches, which are made from their sheets alone."""
        season = self._archive.seasons[year]
        around = [(each.id, each.name, each.kind) for each in season.competitions]
        return {
            f"{year}/matches/{Path(path).stem}{ending}": self._digest("folder", around, each.hex())
            for path, each in self._index.sheet_bases(year).items()
            for ending in (".md", ".svg")
        }

    def _players(self, years: Sequence[int]) -> Iterator[tuple[str, str | None]]:
        newest = self._past.pen.newest

        def due() -> Iterator[tuple[Page, str]]:
            spans = sorted(self._past.spans.items())
            for page in player_pages(self._past):
                player = Path(page.path).stem.partition("_")[0]
                told = spans if page.path.endswith("/README.md") else self._fingerprints.get(player)
                yield page, self._digest("folder", newest, told)

        yield from self._scope("players", self._all_seasons(years), due)

    @cached_property
    def _fingerprints(self) -> dict[str, list[str]]:
        """Of everybody and every team what their past rests on, season by season; worked out
        only of seasons that changed."""
        found: dict[str, list[str]] = {}
        for year in self._folder.years():
            basis, key = self._digest(str(year)), f"season {year}"
            known = self._stamps.notes.get(key)
            if known is None or known[0] != basis:
                known = self._stamps.notes[key] = (
                    basis,
                    fingerprints(self._past.connection, year),
                )
            for name, fingerprint in known[1].items():
                found.setdefault(name, []).append(f"{year} {fingerprint}")
        return found

    def _spans(self) -> dict[str, Span]:
        return {
            name: Span(int(seasons[0].split()[0]), int(seasons[-1].split()[0]))
            for name, seasons in sorted(self._fingerprints.items())
            if not name.startswith("/")
        }

    def _records(self, club: str, teams: Sequence[str], make: Callable[[], str]) -> str:
        """The records of a club as they were written last where its matches are the same."""
        basis = self._digest("folder", [self._fingerprints.get(f"/{team}") for team in teams])
        key = f"records {club}"
        known = self._stamps.notes.get(key)
        if known is None or known[0] != basis:
            known = self._stamps.notes[key] = basis, {"": make()}
        return known[1][""]

    def _others(self, families: Sequence[str]) -> Iterator[tuple[str, str | None]]:
        basis = self._all_seasons(self._folder.years())

        def due() -> Iterator[tuple[Page, str]]:
            for page in other_pages(self._past, families, self._records):
                yield page, basis

        yield from self._scope(" ".join(families), basis, due)

    def _scope(
        self, key: str, basis: str, due: Callable[[], Iterable[tuple[Page, str]]]
    ) -> Iterator[tuple[str, str | None]]:
        if self._stamps.all_stand(key, basis):
            for path in self._stamps.scopes[key].paths:
                self._bases[path] = self._stamps.basis_of(path)
                yield path, None
            return
        paths: list[str] = []
        for page, page_basis in due():
            paths.append(page.path)
            self._bases[page.path] = page_basis
            yield page.path, None if self._stamps.stands(page.path, page_basis) else page.text()
        self._stamps.scopes[key] = Scope(basis, tuple(paths))

    def _all_seasons(self, years: Sequence[int]) -> str:
        return self._digest("folder", [self._index.basis(str(year)).hex() for year in years])

    def _digest(self, scope: str, *parts: object) -> str:
        return digest_of(self._index.basis(scope), repr(parts).encode()).hex()


def _results(archive: Archive, year: int) -> list[CompetitionResults]:
    """Of a season without errors."""
    sheets = list(_sheets(archive, year))
    return [
        competition_results(archive, year, competition, rules, sheets, ())
        for competition in archive.seasons[year].competitions
        if (rules := archive.rules_of(competition)) is not None
    ]


def _sheets(archive: Archive, year: int) -> Iterator[ExaminedSheet]:
    from riesbuch.files.sheet import read_sheet

    for path in archive.folder.sheet_files(year):
        sheet = archive.folder.sheet_id(path)
        content, _ = read_bytes(archive.folder, path)
        if sheet is None or content is None:
            raise RiesbuchError(_CHANGED)
        yield ExaminedSheet(
            path=archive.folder.relative(path),
            sheet=sheet,
            match=read_sheet(content, sheet, year).match,
            entry=None,
            rules=None,
            problems=(),
        )


def _signature() -> bytes:
    """A digest of the code by which pages are made."""
    package = Path(__file__).resolve().parent
    modules = [package / name for name in _FILES_THAT_WRITE]
    for room in _ROOMS_THAT_WRITE:
        modules += (package / room).glob("*.py")
    return digest_of(*sorted(digest_of(each.name.encode(), each.read_bytes()) for each in modules))
