"""Bringing the reports up to date with the sheets, and not more of them than have changed.

Of a page that stands as it should it is remembered what it was made from, in a digest that is its
basis, and the digest of its file. Where both are still the same, it need not be made to be
compared; every other page is made anew and compared by its bytes.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cached_property, partial
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index
from riesbuch.index.store import digest_of
from riesbuch.pages.paths import FAMILIES
from riesbuch.pages.writer import (
    LARGEST_PAGE,
    PublicationPlan,
    paths_there,
    plan_publication,
    publish,
)
from riesbuch.text.plain import read_plain
from riesbuch.trade.problems import Problem, RiesbuchError, Severity

# What makes pages is imported only where one is to be made.
if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.pages.past import Past
    from riesbuch.pages.paths import Page
    from riesbuch.questions.results import CompetitionResults
    from riesbuch.trade.match import Match
    from riesbuch.trade.strikers import Performance

_KIND = "pages"
_OUTSTANDING = "pages outstanding"
_CHANGED = "the folder's files were changed meanwhile; try again"
_ROOMS_THAT_WRITE = ("pages", "questions", "language")

Progress = Callable[[int, int], None]
"""Called with how many of how many pages are done."""
_Pages = Iterator[tuple["Page", str]]
"""Pages with each one's basis."""
_Standing = dict[str, tuple[str, str]]
"""The basis of each page and the digest of its file, by path."""


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
        self._bases: dict[str, tuple[str, dict[str, str]]] = {}
        """Of each part that was looked at the basis, and those of its pages."""
        self._made_anew: list[int] = []

    def look(self, *, strict: bool = False) -> tuple[Problem, ...]:
        """Look at the folder, and give its errors. Sheets that have some are left out of what is
        told; nothing can be told while there are others, or any if ``strict``."""
        self._tables = self._index.connection()
        self._years = self._folder.years()
        _, problems = self._index.problems_as_seen(self._years)
        errors = tuple(problem for problem in problems if problem.severity is Severity.ERROR)
        sheets = {path for year in self._years for path in self._index.sheet_bases(year)}
        self.can_tell = not errors or (
            not strict and all(error.place.path in sheets for error in errors)
        )
        return errors

    def prepare(
        self, *, strict: bool = False
    ) -> tuple[PublicationPlan | None, tuple[Problem, ...]]:
        """Make the pages that may have changed and compare them with what is there; writes
        nothing. Also gives the folder's errors, as `look` does; there is no plan while nothing
        can be told."""
        from riesbuch.questions.match_lines import number_of

        errors = self.look(strict=strict)
        if not self.can_tell:
            return None, errors
        self._files = _digests_there(self._folder.reports)
        self._whole = number_of(self._tables, "matches") + number_of(self._tables, "players")
        plan = plan_publication(self._folder.reports, self._due(), self._families)
        self._progress(self._whole, self._whole)
        if plan.made and not self._index.is_as_seen(self._made_anew):
            raise RiesbuchError(_CHANGED)
        return plan, errors

    def outstanding(self) -> int | None:
        """How many pages are not up to date; None while nothing can be published. Worked out once
        for what lies there."""
        self._index.connection()
        scopes = ("folder", *map(str, self._folder.years()))
        there = repr(sorted(_digests_there(self._folder.reports).items())).encode()
        basis = digest_of(self._signature, *map(self._index.basis, scopes), there)
        kept = self._index.recall(_OUTSTANDING, basis)
        if kept is not None:
            return int(kept)
        plan, _ = self.prepare()
        if plan is None:
            return None
        self.remember(plan)
        number = len(plan.write) + len(plan.remove) + sum(file.due for file in plan.kept)
        self._index.remember(_OUTSTANDING, basis, str(number))
        return number

    def publish(self, plan: PublicationPlan, replace: Callable[[Path, bytes], None]) -> None:
        """Do what the plan says, and remember it."""
        publish(plan, replace, self._progress)
        self._files |= {path: digest_of(page).hex() for path, page in plan.write.items()}
        self._remember({file.path for file in plan.kept})

    def remember(self, plan: PublicationPlan) -> None:
        """Keep what is known of the pages that are as they should be, though the plan is not
        carried out."""
        self._remember({*plan.write, *(file.path for file in plan.kept)})

    def _remember(self, wrong: Collection[str]) -> None:
        for part, (basis, pages) in self._bases.items():
            standing = {
                path: (page_basis, self._files[path])
                for path, page_basis in pages.items()
                if path not in wrong
            }
            self._remembered[part] = (basis if len(standing) == len(pages) else "", standing)
        parts = {*map(str, self._years), *FAMILIES}
        kept = {part: pages for part, pages in self._remembered.items() if part in parts}
        self._index.remember(_KIND, self._signature, json.dumps(kept, separators=(",", ":")))

    @cached_property
    def _remembered(self) -> dict[str, tuple[str, _Standing]]:
        """Of each part of the reports the basis of all its pages, empty where not all of them are
        as they should be, and those that are."""
        payload = self._index.recall(_KIND, self._signature)
        remembered = json.loads(payload or "{}")
        return {part: (basis, pages) for part, (basis, pages) in remembered.items()}

    def _due(self) -> Iterator[tuple[str, str | None]]:
        """Every page that is due with its text, None where it stands as it should."""
        done = 0
        for part, basis, make in self._parts():
            known, standing = self._remembered.get(part, ("", {}))
            standing = {
                path: (page_basis, digest)
                for path, (page_basis, digest) in standing.items()
                if self._files.get(path) == digest
            }
            if known == basis and len(standing) == len(self._remembered[part][1]):
                done += len(standing)
                yield from zip(standing, repeat(None))
                continue
            bases: dict[str, str] = {}
            for page, page_basis in make():
                text = None
                if standing.get(page.path, ("",))[0] != page_basis:
                    text = page.text()
                    if text is None:
                        continue
                bases[page.path] = page_basis
                done += 1
                self._progress(min(done, self._whole - 1), self._whole)
                yield page.path, text
            self._bases[part] = basis, bases

    def _parts(self) -> Iterator[tuple[str, str, Callable[[], _Pages]]]:
        """Each part of the reports with the basis of all its pages."""
        of_all = self._digest(
            "folder", [self._index.basis(str(year)).hex() for year in self._years]
        )
        if "season" in self._families:
            yield from (
                (str(year), basis, partial(self._season, year, basis))
                for year, basis in self._season_bases().items()
            )
        for family in ("season", "player", "club", "history"):
            if family in self._families:
                yield family, of_all, partial(self._family, family, of_all)

    def _season_bases(self) -> dict[int, str]:
        """Of all that is told of each season. Whether its competitions are played out is told by
        later seasons too."""
        from riesbuch.questions.chronicle import told_competitions
        from riesbuch.questions.honours import overview

        found = overview(self._tables)
        told = told_competitions(self._tables)
        last = max((competition.season for competition in found if competition.played), default=0)
        played: dict[int, list[object]] = {year: [] for year in self._years}
        for competition in found:
            played.setdefault(competition.season, []).append(competition)
        # What one is called may stand in another season's file.
        for named in told:
            played.setdefault(named.season, []).append(named)
        return {
            year: self._digest(str(year), played[year], year == self._newest, year < last)
            for year in self._years
        }

    @cached_property
    def _newest(self) -> int:
        """The last season of the archive: no season's file has errors, so whichever has one."""
        seasons = reversed(self._years)
        return next((y for y in seasons if self._folder.exists(self._folder.season_file(y))), 0)

    @cached_property
    def _archive(self) -> Archive:
        return self._index.archive(self._years)

    @cached_property
    def past(self) -> Past:
        from riesbuch.pages.past import Past

        return Past(archive=self._archive, tables=self._tables)

    def _season(self, year: int, basis: str) -> _Pages:
        """Matches are told from their sheets alone."""
        from riesbuch.pages.season import season_pages

        season = self._archive.seasons.get(year)
        if season is None and year not in self._archive.handed_down:
            return
        self._made_anew.append(year)
        around = [
            (competition.id, competition.name, competition.kind)
            for competition in (season.competitions if season else ())
        ]
        of_matches = {
            f"{year}/matches/{Path(path).stem}": self._digest("folder", around, sheet.hex())
            for path, sheet in self._index.sheet_bases(year).items()
        }
        results = self.results(year) if season else []
        for page in season_pages(self.past, year, results):
            yield page, of_matches.get(page.path.rpartition(".")[0], basis)

    def _family(self, family: str, of_all: str) -> _Pages:
        from riesbuch.pages.club import club_pages
        from riesbuch.pages.front import front_pages
        from riesbuch.pages.history import history_pages
        from riesbuch.pages.player import player_pages, players_pages, players_with_page

        if family == "player":
            players, bases = players_with_page(self.past), self._player_bases()
            for player in players:
                basis = self._digest("folder", self._newest, bases.get(player))
                yield from zip(player_pages(self.past, player), repeat(basis))
            pages = players_pages(self.past, players)
        else:
            make = {"season": front_pages, "club": club_pages, "history": history_pages}
            pages = make[family](self.past)
        yield from zip(pages, repeat(of_all))

    def _player_bases(self) -> Mapping[str, bytes]:
        from riesbuch.questions.career import career_digests

        sheets: dict[str, bytes] = {}
        for year in self._years:
            sheets |= self._index.sheet_bases(year)
        return career_digests(self._tables, sheets)

    def results(self, year: int) -> list[CompetitionResults]:
        """Of a season of which sheets alone have errors."""
        from riesbuch.questions.results import RecordedMatch, added_up_results

        matches: dict[str, list[tuple[RecordedMatch, list[Performance]]]] = {}
        left_out: list[tuple[str, str | None]] = []
        for found in self._index.seasons_as_seen([year]):
            for path, (tally, performances) in found.tallies.items():
                if path in found.with_errors:
                    left_out.append((path, tally.competition if tally else None))
                    continue
                if tally is None or tally.competition is None:
                    raise RiesbuchError(_CHANGED)
                match = RecordedMatch(
                    path=path,
                    tally=tally,
                    read=partial(self._read_sheet, path, year),
                    content=self._bytes_of(path),
                )
                matches.setdefault(tally.competition, []).append((match, performances))
        return [
            added_up_results(
                self._archive,
                year,
                competition,
                rules,
                matches.get(competition.id, ()),
                # What does not say of which it is may be of any.
                [path for path, key in left_out if key in (None, competition.id)],
            )
            for competition in self._archive.seasons[year].competitions
            if (rules := self._archive.rules_of(competition)) is not None
        ]

    def _bytes_of(self, path: str) -> bytes:
        try:
            return self._folder.read(self._folder.root / path)
        except OSError:
            raise RiesbuchError(_CHANGED) from None

    def _read_sheet(self, path: str, year: int) -> Match:
        from riesbuch.text.sheet import read_sheet

        sheet = self._folder.sheet_id(self._folder.root / path)
        by_rules = self._archive.rules_by_key(year)
        match = read_sheet(self._bytes_of(path), sheet, year, by_rules).match if sheet else None
        if match is None:
            raise RiesbuchError(_CHANGED)
        return match

    @cached_property
    def _marks(self) -> Mapping[str, str]:
        """They change with seasons far off, and any page may have one."""
        from riesbuch.questions.who import player_marks

        return player_marks(self._tables) and self.past.marks

    def _digest(self, scope: str, *parts: object) -> str:
        return digest_of(self._index.basis(scope), repr((parts, self._marks)).encode()).hex()


def _digests_there(reports: Path) -> dict[str, str]:
    """Of every file that may be a page and can be read, by path."""
    found: dict[str, str] = {}
    for path in paths_there(reports):
        with contextlib.suppress(OSError):
            found[path] = digest_of(read_plain(os.path.join(reports, path), LARGEST_PAGE)).hex()
    return found


def _signature() -> bytes:
    """A digest of the code and the catalogues by which pages are made."""
    package = Path(__file__).resolve().parents[1]
    files: list[Path] = []
    for room in _ROOMS_THAT_WRITE:
        files += (package / room).rglob("*.py")
        files += (package / room).rglob("*.po")
    return digest_of(*sorted(digest_of(file.name.encode(), file.read_bytes()) for file in files))
