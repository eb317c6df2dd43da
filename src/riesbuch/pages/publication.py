"""Bringing the reports up to date with the sheets, and not more of them than have changed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index
from riesbuch.index.store import digest_of
from riesbuch.pages.paths import FAMILIES
from riesbuch.pages.stamps import FRONT, Stamps
from riesbuch.pages.writer import PublicationPlan, plan_publication, publish
from riesbuch.trade.problems import Problem, RiesbuchError, Severity

# What makes pages is imported only where one is to be made.
if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.pages.page import Page
    from riesbuch.pages.past import Past
    from riesbuch.questions.results import CompetitionResults
    from riesbuch.trade.match import Match
    from riesbuch.trade.strikers import Performance

_KIND = "pages"
_OTHER_PARTS = ("players", "clubs", "history", FRONT)
_CHANGED = "the folder's files were changed meanwhile; try again"
_ROOMS_THAT_WRITE = ("pages", "questions", "language")

Progress = Callable[[int, int], None]
"""Called with how many of how many pages are done."""
_Pages = Iterator[tuple["Page", str]]
"""Pages with each one's basis."""


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
        self._made: dict[str, tuple[str, dict[str, str]]] = {}
        self._written_anew: list[int] = []

    def prepare(self) -> Publication:
        """Make the pages that may have changed and compare them with what is there; writes
        nothing."""
        from riesbuch.questions.match_lines import player_names, sheets_on_record

        self._tables = self._index.connection()
        self._years = self._folder.years()
        _, problems = self._index.problems_as_seen(self._years)
        errors = tuple(each for each in problems if each.severity is Severity.ERROR)
        if errors:
            return Publication(plan=None, errors=errors)
        self._stamps = Stamps(self._folder.reports, self._recall)
        self._whole = sheets_on_record(self._tables) + len(player_names(self._tables))
        plan = plan_publication(
            self._folder.reports,
            self._due(),
            _Spared(lambda: self._archive),
            self._families,
            self._stamps.paths(),
        )
        self._progress(self._whole, self._whole)
        if plan.marks and not self._index.is_as_seen(self._written_anew):
            raise RiesbuchError(_CHANGED)
        return Publication(plan=plan)

    @cached_property
    def _archive(self) -> Archive:
        return self._index.archive(self._years)

    @cached_property
    def _past(self) -> Past:
        from riesbuch.pages.past import past_of

        return past_of(self._archive, self._tables, self._fingerprints)

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
        gone = plan.remove if written else ()
        for part, (basis, found) in self._made.items():
            bases = {path: None if path in open_pages else each for path, each in found.items()}
            self._stamps.settle(part, basis, bases, plan.marks, gone)
        self._stamps.keep_only([*map(str, self._years), *_OTHER_PARTS])
        for name, payload in self._stamps.told():
            self._index.remember(f"{_KIND} {name}", self._signature, payload)

    def _recall(self, name: str) -> str | None:
        return self._index.recall(f"{_KIND} {name}", self._signature)

    def _due(self) -> Iterator[tuple[str, str | None]]:
        """Every page that is due with its text, None where it stands as it should."""
        done = 0
        for part, basis, pages in self._parts():
            standing = self._stamps.standing(part, basis)
            if standing is not None:
                done += len(standing)
                yield from zip(standing, repeat(None))
                continue
            for path, text in self._pages(part, basis, pages()):
                done += 1
                self._progress(min(done, self._whole - 1), self._whole)
                yield path, text

    def _pages(self, part: str, basis: str, pages: _Pages) -> Iterator[tuple[str, str | None]]:
        bases: dict[str, str] = {}
        for page, page_basis in pages:
            text = None
            if not self._stamps.stands(page.path, page_basis):
                text = page.text()
                if text is None:
                    continue
            bases[page.path] = page_basis
            yield page.path, text
        self._made[part] = basis, bases

    def _parts(self) -> Iterator[tuple[str, str, Callable[[], _Pages]]]:
        """Each part of the reports with the basis of all its pages."""
        of_all = self._digest(
            "folder", [self._index.basis(str(year)).hex() for year in self._years]
        )
        if "season" in self._families:
            for year in self._years:
                yield str(year), self._season_bases[year], partial(self._season, year)
            yield FRONT, of_all, partial(self._others, "season", of_all)
        if "player" in self._families:
            yield "players", of_all, self._players
        if "club" in self._families:
            yield "clubs", of_all, partial(self._others, "club", of_all)
        if "history" in self._families:
            yield "history", of_all, partial(self._others, "history", of_all)

    @cached_property
    def _season_bases(self) -> Mapping[int, str]:
        """Of all that is told of each season. Whether its competitions are played out is told by
        later seasons too."""
        from riesbuch.questions.overview import overview

        told: dict[int, list[object]] = {year: [] for year in self._years}
        for each in overview(self._tables):
            told.setdefault(each.season, []).append(each)
        return {
            year: self._digest(str(year), told[year], year == self._newest) for year in self._years
        }

    @cached_property
    def _newest(self) -> int:
        """The last season of the archive: there are no errors, so whichever has a file."""
        seasons = reversed(self._years)
        return next((y for y in seasons if self._folder.exists(self._folder.season_file(y))), 0)

    def _season(self, year: int) -> _Pages:
        from riesbuch.pages.contents import season_pages

        if year not in self._archive.seasons:
            return
        self._written_anew.append(year)
        basis, bases = self._season_bases[year], self._match_bases(year)
        for page in season_pages(self._past, year, self._results(year)):
            yield page, bases.get(page.path, basis)

    def _results(self, year: int) -> list[CompetitionResults]:
        """Of a season without errors."""
        from riesbuch.questions.results import RecordedMatch, added_up_results

        season = self._archive.seasons[year]
        of_each: dict[str, list[tuple[RecordedMatch, list[Performance]]]] = {}
        for found in self._index.seasons_as_seen([year]):
            for path, (tally, performances) in found.tallies.items():
                if tally is None or tally.competition is None:
                    raise RiesbuchError(_CHANGED)
                match = RecordedMatch(
                    path=path,
                    tally=tally,
                    read=partial(self._read_sheet, path, year),
                    content=self._bytes_of(path),
                )
                of_each.setdefault(tally.competition, []).append((match, performances))
        return [
            added_up_results(self._archive, year, each, rules, of_each.get(each.id, ()))
            for each in season.competitions
            if (rules := self._archive.rules_of(each)) is not None
        ]

    def _bytes_of(self, path: str) -> bytes:
        try:
            return self._folder.read(self._folder.root / path)
        except OSError:
            raise RiesbuchError(_CHANGED) from None

    def _read_sheet(self, path: str, year: int) -> Match:
        from riesbuch.text.sheet import read_sheet

        sheet = self._folder.sheet_id(self._folder.root / path)
        match = read_sheet(self._bytes_of(path), sheet, year).match if sheet else None
        if match is None:
            raise RiesbuchError(_CHANGED)
        return match

    def _match_bases(self, year: int) -> dict[str, str]:
        """Of the pages of the season's matches, which are made from their sheets alone."""
        season = self._archive.seasons[year]
        around = [(each.id, each.name, each.kind) for each in season.competitions]
        return {
            f"{year}/matches/{Path(path).stem}{ending}": self._digest("folder", around, each.hex())
            for path, each in self._index.sheet_bases(year).items()
            for ending in (".md", ".svg")
        }

    def _players(self) -> _Pages:
        from riesbuch.pages.contents import (
            player_pages,
            player_pages_apart,
            players_pages,
        )
        from riesbuch.pages.player import players_with_page

        players = players_with_page(self._past)
        for player in players:
            basis = self._digest("folder", self._newest, self._past.fingerprints.get(player))
            pages: Iterable[Page] = player_pages_apart(self._past, player)
            if not all(self._stamps.stands(page.path, basis) for page in pages):
                pages = player_pages(self._past, player)
            for page in pages:
                yield page, basis
        spans = sorted(self._past.spans.items())
        for page in players_pages(self._past, players):
            yield page, self._digest("folder", self._newest, spans)

    def _others(self, family: str, basis: str) -> _Pages:
        from riesbuch.pages.club import club_pages
        from riesbuch.pages.front import front_pages
        from riesbuch.pages.history import history_pages

        pages = {
            "club": lambda: club_pages(self._past, self._kept),
            "history": lambda: history_pages(self._past),
            "season": lambda: front_pages(self._past),
        }[family]()
        for page in pages:
            if page.rests_on is None:
                yield page, basis
            else:
                yield page, self._digest("folder", self._newest, page.rests_on())

    def _fingerprints(self) -> dict[str, list[str]]:
        """Of everybody and every team what their past rests on, season by season; worked out
        only of seasons that changed."""
        from riesbuch.questions.fingerprints import fingerprints

        found: dict[str, list[str]] = {}
        notes = self._stamps.notes
        for year in self._years:
            basis, key = self._season_bases[year], f"season {year}"
            known = notes.get(key)
            if known is None or known[0] != basis:
                known = notes[key] = basis, fingerprints(self._tables, year)
            for name, fingerprint in known[1].items():
                found.setdefault(name, []).append(f"{year} {fingerprint}")
        return found

    def _kept(
        self, name: str, teams: Sequence[str], make: Callable[[], Mapping[str, str]]
    ) -> Mapping[str, str]:
        """What was written last where the teams' matches are the same."""
        told = self._past.fingerprints
        basis = self._digest("folder", [told.get(f"/{team}") for team in teams])
        known = self._stamps.notes.get(name)
        if known is None or known[0] != basis:
            known = self._stamps.notes[name] = basis, dict(make())
        return known[1]

    def _digest(self, scope: str, *parts: object) -> str:
        return digest_of(self._index.basis(scope), repr(parts).encode()).hex()


class _Spared:
    """The folders whose pages stay though they are not due, looked up once that is asked."""

    def __init__(self, archive: Callable[[], Archive]) -> None:
        self._archive = archive

    def __contains__(self, folder: object) -> bool:
        from riesbuch.pages.contents import spared_folders

        return folder in spared_folders(self._archive())


def _signature() -> bytes:
    """A digest of the code and the catalogues by which pages are made."""
    package = Path(__file__).resolve().parents[1]
    files: list[Path] = []
    for room in _ROOMS_THAT_WRITE:
        files += (package / room).rglob("*.py")
        files += (package / room).rglob("*.po")
    return digest_of(*sorted(digest_of(each.name.encode(), each.read_bytes()) for each in files))
