"""Bringing the reports up to date with the sheets, and not more of them than have changed.

Of a page that stands as it should it is remembered what it was made from, in a digest that is its
basis, and the digest of its file. Where both are still the same, it need not be made to be
compared; every other page is made anew and compared by its bytes.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import cached_property, partial
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index, signature_of
from riesbuch.index.store import digest_of
from riesbuch.pages.paths import FAMILIES
from riesbuch.pages.writer import (
    LARGEST_PAGE,
    Place,
    PublicationPlan,
    paths_there,
    plan_publication,
    publish,
)
from riesbuch.text.plain import read_plain
from riesbuch.trade.problems import Problem, RiesbuchError

# What makes pages is imported only where one is to be made.
if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.pages.past import Past
    from riesbuch.pages.paths import Page
    from riesbuch.pages.site import Frame, Site
    from riesbuch.questions.results import CompetitionResults
    from riesbuch.trade.match import Match
    from riesbuch.trade.signing import SealVerdict
    from riesbuch.trade.strikers import Performance

_KIND = "pages"
_SITE = "site"
_OUTSTANDING = "pages outstanding"
_CHANGED = "the folder's files were changed meanwhile; try again"
_FEW = 500
"""The pages of seasons with so many sheets are made sooner than other processes are started."""
_MOST_WORKERS = 4
_ROOMS_THAT_WRITE = ("pages", "review", "questions", "language")

Progress = Callable[[int, int], None]
"""Called with how many of how many pages are done."""
_Pages = Iterator[tuple[str, str, str | None]]
"""Of each page its path, its basis and its text; None where it stands as it should."""
_Standing = dict[str, tuple[str, str]]
"""The basis of each page and the digest of its file, by path."""


class _Part(NamedTuple):
    """A part of the reports of which a page may have changed: a season, or a family of pages.
    ``standing`` are the bases of the pages that lie there as they were written."""

    name: str
    basis: str
    standing: Mapping[str, str]


class Publisher:
    """One command's publishing of a folder. ``families`` are the kinds of pages that are looked
    at; those of others stay as they are. With a ``site`` it gets the pages, and not the reports."""

    def __init__(
        self,
        folder: ClubFolder,
        index: Index,
        families: Collection[str] = FAMILIES,
        progress: Progress | None = None,
        site: Site | None = None,
    ) -> None:
        self._folder = folder
        self._index = index
        self._families = families
        self._progress = progress or (lambda done, whole: None)
        self._site = site
        self._place = site.place if site else Place(folder.reports)
        self._kind = f"{_SITE} {site.place.folder.resolve()}" if site else _KIND
        self._signature = digest_of(
            signature_of(*_ROOMS_THAT_WRITE), site.signature if site else b""
        )
        self._bases: dict[str, tuple[str, dict[str, str]]] = {}
        """Of each part that was looked at the basis, and those of its pages."""
        self._made_anew: list[int] = []
        self._verdicts: dict[int, Mapping[str, SealVerdict]] = {}

    def look(self, *, strict: bool = False) -> tuple[Problem, ...]:
        """Look at the folder, and give its errors. Sheets that have some are left out of what is
        told; nothing can be told while there are others, or any if ``strict``."""
        self._tables = self._index.connection()
        self._years = self._folder.years()
        _, problems = self._index.problems_as_seen(self._years)
        errors = tuple(problem for problem in problems if problem.is_error)
        self.can_tell = not errors or (
            not strict and all(error.place.path in self._sheet_bases for error in errors)
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
        self._files = _digests_there(self._place)
        self._whole = number_of(self._tables, "matches") + number_of(self._tables, "players")
        plan = plan_publication(self._place, self._due(), self._families)
        self._progress(self._whole, self._whole)
        if plan.made and not self._index.is_as_seen(self._made_anew):
            raise RiesbuchError(_CHANGED)
        return plan, errors

    def outstanding(self) -> int | None:
        """How many pages are not up to date; None while nothing can be published. Worked out once
        for what lies there."""
        self._index.connection()
        scopes = ("folder", *map(str, self._folder.years()))
        there = repr(sorted(_digests_there(self._place).items())).encode()
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
        parts = {*map(str, self._years), *FAMILIES, _SITE}
        kept = {part: pages for part, pages in self._remembered.items() if part in parts}
        self._index.remember(self._kind, self._signature, json.dumps(kept, separators=(",", ":")))

    @cached_property
    def _remembered(self) -> dict[str, tuple[str, _Standing]]:
        """Of each part of the reports the basis of all its pages, empty where not all of them are
        as they should be, and those that are."""
        payload = self._index.recall(self._kind, self._signature)
        remembered = json.loads(payload or "{}")
        return {part: (basis, pages) for part, (basis, pages) in remembered.items()}

    def _due(self) -> Iterator[tuple[str, str | None]]:
        """Every page that is due with its text, None where it stands as it should."""
        done = 0
        parts: list[_Part] = []
        for name, basis in self._parts():
            known, remembered = self._remembered.get(name, ("", {}))
            standing = {
                path: page_basis
                for path, (page_basis, digest) in remembered.items()
                if self._files.get(path) == digest
            }
            done += len(standing)
            if known == basis and len(standing) == len(remembered):
                yield from zip(standing, repeat(None))
            else:
                parts.append(_Part(name, basis, standing))
                self._bases[name] = basis, {}
        for part, pages in self._made(parts):
            for path, page_basis, text in pages:
                self._bases[part][1][path] = page_basis
                done += text is not None
                self._progress(min(done, self._whole - 1), self._whole)
                yield path, text

    def _made(self, parts: Sequence[_Part]) -> Iterator[tuple[str, _Pages]]:
        """The pages of each part; those of many seasons are made by several processes."""
        self._made_anew += (int(part.name) for part in parts if part.name.isdecimal())
        sheets = sum(len(self._index.sheet_bases(year)) for year in self._made_anew)
        workers = min(os.cpu_count() or 1, _MOST_WORKERS)
        if sheets <= _FEW or workers < 2 or not self._index.is_kept:
            for part in parts:
                yield part.name, self.pages_of(part)
            return
        from riesbuch.index.season import by_processes

        # Those of the families first, which take longest.
        tasks = parts[::-1]
        site = self._site.place.folder if self._site else None
        who = self._folder.root, self._families, site, self.seen()
        made = by_processes(workers, _beside, who, _pages_of, tasks)
        for task, pages in zip(tasks, made, strict=True):
            if pages is None:
                raise RiesbuchError(_CHANGED)
            yield task.name, iter(pages)

    def seen(self) -> bytes:
        """A digest of the files as they were looked at."""
        return digest_of(*map(self._index.basis, ("folder", *map(str, self._years))))

    def pages_of(self, part: _Part) -> _Pages:
        """Those that are due."""
        of_part = self._season(int(part.name)) if part.name.isdecimal() else self._family(part)
        for made, basis in of_part:
            page = self._site.page(self._frame, made) if self._site and self._frame else made
            stands = part.standing.get(page.path) == basis
            text = None if stands else page.text()
            if stands or text is not None:
                yield page.path, basis, text

    def _parts(self) -> Iterator[tuple[str, str]]:
        """Each part of the reports, a season or a family, with the basis of all its pages."""
        of_all = self._digest(
            "folder", [self._index.basis(str(year)).hex() for year in self._years]
        )
        if "season" in self._families:
            for year, basis in self._season_bases.items():
                # Matches are told with what was before them.
                past = [self._past_of_matches.get(path) for path in self._index.sheet_bases(year)]
                yield str(year), self._digest("folder", basis, past)
        for family in ("season", "player", "club", "history"):
            if family in self._families:
                yield family, of_all
        if self._site and "season" in self._families:
            yield _SITE, of_all

    @cached_property
    def _season_bases(self) -> dict[int, str]:
        """Of all that is told of each season but its matches. Whether its competitions are played
        out is told by later seasons too."""
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
    def _frame(self) -> Frame | None:
        """All pages of a site change with it."""
        return self._site.frame(self.past) if self._site else None

    @cached_property
    def _archive(self) -> Archive:
        return self._index.archive(self._years)

    @cached_property
    def past(self) -> Past:
        from riesbuch.pages.past import Past

        return Past(archive=self._archive, tables=self._tables)

    def _season(self, year: int) -> Iterator[tuple[Page, str]]:
        """Matches are told from their sheets and those of earlier days alone."""
        from riesbuch.pages.season import season_pages

        season = self._archive.seasons.get(year)
        if season is None and year not in self._archive.handed_down:
            return
        around = [
            (competition.id, competition.name, competition.kind)
            for competition in (season.competitions if season else ())
        ]
        past = self._past_of_matches
        of_matches = {
            f"{year}/matches/{Path(path).stem}": self._digest("folder", around, sheet, past[path])
            for path, sheet in self._index.sheet_bases(year).items()
            if path in past
        }
        results = self.results(year) if season else []
        for page in season_pages(self.past, year, results):
            yield page, of_matches.get(page.path.rpartition(".")[0], self._season_bases[year])

    def _family(self, part: _Part) -> Iterator[tuple[Page, str]]:
        from riesbuch.pages.club import club_pages
        from riesbuch.pages.history.overview import history_pages
        from riesbuch.pages.player import player_pages, players_pages, players_with_page
        from riesbuch.pages.season import front_pages

        if part.name == "player":
            players = players_with_page(self.past)
            for player in players:
                basis = self._digest("folder", self._newest, self._player_bases.get(player))
                yield from zip(player_pages(self.past, player), repeat(basis))
            # The list tells of each what the own page rests on.
            of_each = [(player, self._player_bases.get(player)) for player in players]
            basis = self._digest("folder", self._newest, self.past.under_way, of_each)
            yield from zip(players_pages(self.past, players), repeat(basis))
            return
        if part.name == _SITE and self._site:
            pages = self._site.assets(self.past)
        else:
            make = {"season": front_pages, "club": club_pages, "history": history_pages}
            pages = make[part.name](self.past)
        yield from zip(pages, repeat(part.basis))

    @cached_property
    def _player_bases(self) -> Mapping[str, bytes]:
        from riesbuch.questions.career import career_digests

        return career_digests(self._tables, self._sheet_bases, self.past.under_way)

    @cached_property
    def _past_of_matches(self) -> Mapping[str, bytes]:
        from riesbuch.questions.before_match import digests_of_past

        return digests_of_past(self._tables, self._sheet_bases)

    @cached_property
    def _sheet_bases(self) -> Mapping[str, bytes]:
        bases = (self._index.sheet_bases(year) for year in self._years)
        return {path: basis for of_year in bases for path, basis in of_year.items()}

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
                    proven=partial(self._proven, path, year),
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

    def _proven(self, path: str, year: int) -> SealVerdict | None:
        if year not in self._verdicts:
            from riesbuch.review.signatures import season_verdicts

            told = season_verdicts(self._folder, self._index, self._archive, year)
            self._verdicts[year] = told.by_path
        return self._verdicts[year].get(path)

    @cached_property
    def _openssh(self) -> str:
        """By what signatures are checked, in a folder where some count."""
        if not self._folder.exists(self._folder.signers_file):
            return ""
        from riesbuch.review.finding import find_openssh

        found = find_openssh(self._folder.root)
        return found.identity if found else ""

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

    @cached_property
    def _children(self) -> tuple[str, ...]:
        """Those of now, whom a text of whichever season may name."""
        from riesbuch.questions.who import born_since
        from riesbuch.trade.names import GROWN_UP

        return born_since(self._tables, self._newest - GROWN_UP + 1)

    def _digest(self, scope: str, *parts: object) -> str:
        of_all = self._marks, self._frame, self._children, self._openssh
        return digest_of(self._index.basis(scope), repr((parts, of_all)).encode()).hex()


def _beside(
    root: Path, families: Collection[str], site: Path | None, seen: bytes
) -> Publisher | None:
    """In another process: what makes pages of the folder, None where it is not as it was ``seen``
    there."""
    folder = ClubFolder(root)
    index = Index(folder, lambda sentence: None, keeps=False)
    publisher = Publisher(folder, index, families, site=site_in(site) if site else None)
    with contextlib.suppress(RiesbuchError):
        publisher.look()
        return publisher if publisher.seen() == seen else None
    return None


def _pages_of(publisher: Publisher | None, part: _Part) -> list[tuple[str, str, str | None]] | None:
    return None if publisher is None else [*publisher.pages_of(part)]


def site_in(folder: Path) -> Site:
    """Raises RiesbuchError where what makes its HTML is missing."""
    from riesbuch.pages.site import Site

    return Site(folder)


def _digests_there(place: Place) -> dict[str, str]:
    """Of every file that may be a page and can be read, by path."""
    found: dict[str, str] = {}
    for path in paths_there(place):
        with contextlib.suppress(OSError):
            file = os.path.join(place.folder, path)
            found[path] = digest_of(read_plain(file, LARGEST_PAGE)).hex()
    return found
