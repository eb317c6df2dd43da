"""What the folders of several clubs come to, season by season: which sheets say the same, which
are to be taken, and which are to be settled by people. Nothing is written here.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from riesbuch.care.sealed_sheet import with_signature
from riesbuch.folder.archive import Archive
from riesbuch.index.store import digest_of
from riesbuch.judge.archive import check_seasons
from riesbuch.judge.examination import examine_at
from riesbuch.judge.holdings import Holdings, SheetEntry
from riesbuch.review.changes import is_sealed, objection
from riesbuch.review.git import Repository
from riesbuch.review.season_outcome import (
    HERE,
    NotTaken,
    OpenCell,
    OpenMatch,
    SeasonOutcome,
    Take,
    Tally,
)
from riesbuch.review.working_tree import blob_id
from riesbuch.text.editing import Said, brought_to, edited, said_of
from riesbuch.text.plain import LARGEST_FILE
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.agreement import Seal, Signature
from riesbuch.trade.cells import changed_cells, deciding_cells
from riesbuch.trade.comparing import compare
from riesbuch.trade.ids import LONGEST_IDENTIFIER, ClubId, PlayerId, SheetId, club_of, is_identifier
from riesbuch.trade.keys import keys_of
from riesbuch.trade.match import Match, Side
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Problem, RiesbuchError
from riesbuch.trade.sealing import clubs_of
from riesbuch.trade.sealing import digest_of as digest_of_cells
from riesbuch.trade.season import CompetitionKind, may_be_same

Paths = Mapping[str, str]
"""Of files by their paths the ids of their blobs."""


class GatheringWork(NamedTuple):
    """``archive`` is the folder that is gathered into, with all that is brought along but sheets
    and players. ``speaks_for`` are the clubs that each source is asked about; where ``is_league``
    those of this folder, whose own matches are not taken."""

    archive: Archive
    git_dir: Path
    speaks_for: Mapping[str, frozenset[ClubId]]
    is_league: bool

    @property
    def repository(self) -> Repository:
        return Repository(folder=self.git_dir, top=self.git_dir, git_dir=self.git_dir)

    def is_asked(self, source: str, clubs: Iterable[ClubId]) -> bool:
        return self.is_league or not self.speaks_for[source].isdisjoint(clubs)

    def may_be_asked(self, stem: str, content: bytes) -> bool:
        """Whether a sheet may be one that `is_asked`, by what is in its name and its bytes: an
        identifier stands there, or is written by escapes, or was cut off a name."""
        if self.is_league or b"\\" in content or len(stem) >= LONGEST_IDENTIFIER - 1:
            return True
        asked = frozenset[ClubId]().union(*self.speaks_for.values())
        return any(club in stem or club.encode() in content for club in asked)

    def is_own(self, clubs: Iterable[ClubId]) -> bool:
        """Whether it is the club's own match, which it does not take from the league."""
        return self.is_league and not all(
            map(frozenset(clubs).isdisjoint, self.speaks_for.values())
        )


class SeasonTask(NamedTuple):
    """``sheets`` are those of each source, in the order in which sources are asked."""

    year: int
    sheets: Mapping[str, Paths]


class _Facts(NamedTuple):
    """What is asked of a sheet again and again; the sheet itself is read once more where two
    differ. ``trouble`` is why it cannot be taken."""

    competition: str | None
    part: str | None
    round: int | None
    date: Any
    teams: tuple[str | None, str | None]
    clubs: tuple[ClubId, ...]
    digest: str
    steps: int
    sealed: bool
    seal: Seal | None
    trouble: Problem | str
    entry: SheetEntry | None
    players: tuple[tuple[PlayerId, ClubId], ...]


class _Typed(NamedTuple):
    """A sheet as one source has it."""

    source: str
    path: str
    blob: str
    facts: _Facts

    @property
    def signatures(self) -> tuple[Signature, ...]:
        return self.facts.seal.signatures if self.facts.seal else ()

    def precedence(self) -> tuple[int, bool, int, bool, bool]:
        facts = self.facts
        is_home = bool(facts.clubs) and facts.clubs[0] == self.source
        signed = len(self.signatures)
        return facts.steps, facts.sealed, signed, self.source == HERE, is_home


def work_out(work: GatheringWork, task: SeasonTask) -> SeasonOutcome:
    """Hold all sheets of one season against each other."""
    season = _Season(work, task)
    for group in season.groups():
        season.decide(group)
    season.leave_out_what_clashes()
    season.outcome.takes.sort(key=lambda take: take.path)
    return season.outcome


class _Season:
    def __init__(self, work: GatheringWork, task: SeasonTask) -> None:
        self._work = work
        self._task = task
        self._archive = work.archive
        self.outcome = SeasonOutcome(tallies=dict.fromkeys(task.sheets, Tally()))
        self._facts: dict[str, _Facts] = {}
        self._contents: dict[str, bytes] = {}
        self._here: list[tuple[str, str]] = []
        self._unreadable: set[str] = set()
        self._pairs: dict[tuple[PlayerId, ClubId], tuple[PlayerId, ClubId]] = {}
        folder, year = self._archive.folder, task.year
        for file in folder.sheet_files(year):
            content = folder.content(file) or b""
            path = folder.relative(file)
            self.outcome.here[path] = digest_of(content)
            blob = blob_id(content)
            self._contents[blob] = content
            self._here.append((path, blob))
        self._names = {name.casefold() for name in folder.names(folder.matches(year))}
        wanted = {blob for paths in task.sheets.values() for blob in paths.values()}
        self._contents |= work.repository.small_blobs(wanted - self._contents.keys(), LARGEST_FILE)

    def _count(self, source: str, **more: int) -> None:
        if source != HERE:
            self.outcome.tallies[source] = self.outcome.tallies[source].plus(Tally(**more))

    def _leave(self, typed: _Typed, reason: str | Problem) -> None:
        if typed.source == HERE:
            return
        if isinstance(reason, Problem):
            place = reason.place._replace(path=typed.path)
            reason = reason._replace(place=place).as_line()
        self.outcome.not_taken.append(NotTaken(typed.source, typed.path, reason))

    def _typed(self) -> Iterator[_Typed]:
        """All sheets that are asked for, those here first."""
        for path, blob in self._here:
            if self._work.may_be_asked(_stem(path), self._contents[blob]):
                yield _Typed(HERE, path, blob, self._facts_of(blob))
        for source, paths in self._task.sheets.items():
            for path, blob in sorted(paths.items()):
                if blob not in self._contents:
                    yield _Typed(source, path, blob, _UNREAD._replace(trouble=_TOO_LARGE))
                    continue
                typed = _Typed(source, path, blob, self._facts_of(blob))
                if not typed.facts.clubs:
                    yield typed
                elif not self._work.is_asked(source, typed.facts.clubs):
                    self._count(source, of_others=1)
                elif not is_identifier(path.rpartition("/")[2].removesuffix(".yaml")):
                    yield typed._replace(facts=typed.facts._replace(trouble=_BAD_NAME))
                else:
                    yield typed

    def _facts_of(self, blob: str) -> _Facts:
        known = self._facts.get(blob)
        if known is None:
            known = self._facts[blob] = self._read_facts(blob)
        return known

    def _read_facts(self, blob: str) -> _Facts:
        year = self._task.year
        sheet = examine_at(
            self._archive, _SOMEWHERE, SheetId(f"{year}/sheet"), year, self._contents[blob]
        )
        errors = [each for each in sheet.problems if each.is_error]
        match, entry = sheet.match, sheet.entry
        if match is None or entry is None:
            return _UNREAD._replace(trouble=errors[0])
        clubs = {"home": match.home.team, "away": match.away.team}
        named: dict[tuple[PlayerId, ClubId], None] = {}
        for mention in entry.mentions.one_by_one():
            pair = mention.player, club_of(clubs[mention.side] or "")
            # One of each for all sheets: there are millions of them.
            named[self._pairs.setdefault(pair, pair)] = None
        return _Facts(
            competition=match.competition,
            part=match.part,
            round=match.round,
            date=match.date,
            teams=(match.home.team, match.away.team),
            clubs=clubs_of(match),
            digest=digest_of_cells(deciding_cells(match)),
            steps=len(match.corrections),
            sealed=is_sealed(match),
            seal=match.seal,
            trouble=errors[0] if errors else _DRAFT if match.is_draft else "",
            entry=entry,
            players=tuple(named),
        )

    def _match(self, typed: _Typed) -> Match:
        return self._read(self._contents[typed.blob])

    def _read(self, content: bytes) -> Match:
        year = self._task.year
        rules = self._archive.rules_by_key(year)
        reading = read_sheet(content, SheetId(f"{year}/sheet"), year, rules)
        assert reading.match is not None
        return reading.match

    def groups(self) -> list[list[_Typed]]:
        """The sheets of each match. One is known by its competition, part and teams, and by its
        day, else by its round, else where a pair meets once by being the only one of its source."""
        of_pair: dict[object, list[list[_Typed]]] = defaultdict(list)
        for typed in self._typed():
            facts = typed.facts
            if not facts.clubs or not facts.date:
                if typed.source == HERE:
                    self._unreadable.add(typed.path.rpartition("/")[2])
                self._leave(typed, facts.trouble or _DRAFT)
                continue
            there = of_pair[facts.competition, frozenset(facts.teams)]
            group = _group_for(typed, there)
            if group is None:
                there.append([typed])
            elif any(other.source == typed.source for other in group):
                self._leave(typed, _TWICE)
            else:
                group.append(typed)
        return [group for groups in of_pair.values() for group in self._joined(groups)]

    def _joined(self, groups: list[list[_Typed]]) -> Iterator[list[_Typed]]:
        of_home: dict[object, list[list[_Typed]]] = defaultdict(list)
        for group in groups:
            of_home[group[0].facts.teams].append(group)
        for alike in of_home.values():
            first = alike[0][0].facts
            competition = self._archive.competition(self._task.year, first.competition)
            once = competition is not None and (
                competition.kind is CompetitionKind.LEAGUE and competition.cycles <= 2
            )
            sources = [typed.source for group in alike for typed in group]
            rounds = {typed.facts.round for group in alike for typed in group} - {None}
            if once and len(sources) == len(set(sources)) and len(rounds) <= 1:
                yield [typed for group in alike for typed in group]
            else:
                yield from alike

    def decide(self, group: Sequence[_Typed]) -> None:
        """What becomes of one match."""
        mine = next((typed for typed in group if typed.source == HERE), None)
        sound = [typed for typed in group if typed.source != HERE and not typed.facts.trouble]
        for typed in group:
            if typed.facts.trouble:
                self._leave(typed, typed.facts.trouble)
        if not sound:
            return
        if mine is not None and mine.facts.trouble:
            for typed in sound:
                if typed.blob != mine.blob:
                    self._leave(typed, _DRAFT_HERE)
            return
        standing = [*([mine] if mine else []), *sound]
        best = self._latest(standing)
        if best is None:
            self._open(standing)
            return
        signatures = self._joined_signatures(best, standing)
        new = None
        if mine is not None and (best is not mine or signatures != mine.signatures):
            if (*best.precedence()[:2], signatures) != (*mine.precedence()[:2], mine.signatures):
                why = self._objection(self._match(mine), self._match(best))
                new = None if why else self._brought_along(mine, best, signatures)
                if new is None:
                    self._open(standing, why)
                    return
        elif signatures != best.signatures:
            new = self._signed(self._contents[best.blob], signatures)
        if mine is None and self._work.is_own(best.facts.clubs):
            for typed in sound:
                self._count(typed.source, of_others=1)
            return
        if mine is None and f"{_stem_for(best.facts)}.yaml" in self._unreadable:
            for typed in sound:
                self._leave(typed, _DRAFT_HERE)
            return
        alike = {
            typed.source: typed.path for typed in sound if typed.facts.digest == best.facts.digest
        }
        for typed in sound:
            if typed.source not in alike:
                self._count(typed.source, behind=1)
            elif len(alike) > 1 or self._work.is_league:
                self._count(typed.source, confirmed=1)
            else:
                self._count(typed.source, alone=1)
        players = best.facts.players
        if mine is None:
            path = self._new_path(best)
            self.outcome.takes.append(Take(path, best.blob, alike, players, new))
        elif new is not None:
            self.outcome.takes.append(Take(mine.path, best.blob, alike, players, new, mine.blob))

    def _latest(self, standing: Sequence[_Typed]) -> _Typed | None:
        """The one that all others say the same as, or are an older state of."""
        in_order = sorted(standing, key=_Typed.precedence, reverse=True)
        for best in in_order:
            if all(other is best or self._precedes(other, best) for other in in_order):
                return best
        return None

    def _precedes(self, before: _Typed, after: _Typed) -> bool:
        if before.facts.digest == after.facts.digest:
            return True
        if before.facts.sealed:
            return not self._objection(self._match(before), self._match(after))
        if before.source == HERE:
            return False
        # It may tell less, as a club does of the other side.
        found = compare(self._match(before), self._match(after))
        return not found.differences and all(cell.first is None for cell in found.untold)

    def _objection(self, before: Match, after: Match) -> str:
        cells = changed_cells(deciding_cells(before), deciding_cells(after))
        return objection(before, after, cells, self._archive.register.clubs.values)

    def _joined_signatures(self, best: _Typed, standing: Sequence[_Typed]) -> tuple[Signature, ...]:
        """Those of all that have the same seal, each club's own as it gave it."""
        if not any(typed.signatures for typed in standing):
            return ()
        found: dict[ClubId, tuple[bool, Signature]] = {}
        for typed in (best, *standing):
            if typed.facts.steps != best.facts.steps or not _is_same_seal(typed, best):
                if typed.signatures and typed.facts.steps == best.facts.steps:
                    self._leave(typed, _OTHER_SEAL)
                continue
            for signature in typed.signatures:
                is_own = typed.source != HERE and (
                    signature.club in self._work.speaks_for[typed.source]
                )
                if signature.club not in found or is_own > found[signature.club][0]:
                    found[signature.club] = is_own, signature
        order = [*best.facts.clubs, *sorted(found)]
        clubs = sorted(found, key=order.index)
        return tuple(found[club][1] for club in clubs)

    def _signed(self, content: bytes, signatures: Sequence[Signature]) -> bytes:
        """The sealed sheet with just these signatures."""
        match = self._read(content)
        assert match.seal is not None
        if match.seal.signatures:
            text = edited(content.decode("utf-8"), {"seal.signatures": None})
            content, match = text.encode(), self._read(text.encode())
        for signature in signatures:
            content, match = with_signature(content, match, signature)
        self._contents[blob_id(content)] = content
        return content

    def _brought_along(
        self, mine: _Typed, best: _Typed, signatures: Sequence[Signature]
    ) -> bytes | None:
        """The sheet here with the seal, the corrections and the cells of the other, all its own
        remarks and comments kept; None where that cannot be."""
        text = self._contents[mine.blob].decode("utf-8")
        said = _with_remarks_of(said_of(text), said_of(self._contents[best.blob].decode("utf-8")))
        try:
            content = brought_to(text, said).encode()
            if signatures != best.signatures:
                content = self._signed(content, signatures)
        except RiesbuchError:
            return None
        blob = blob_id(content)
        self._contents[blob] = content
        facts = self._facts_of(blob)
        return content if not facts.trouble and facts.digest == best.facts.digest else None

    def _open(self, standing: Sequence[_Typed], why: str = "") -> None:
        first, *others = standing
        matches = {typed.source: self._match(typed) for typed in standing}
        cells: dict[str, dict[str, str | None]] = {}
        for other in others:
            comparison = compare(matches[first.source], matches[other.source])
            differing: Iterable[tuple[str, str | None, str | None]] = (
                comparison.differences
                or comparison.untold
                or changed_cells(
                    deciding_cells(matches[first.source]), deciding_cells(matches[other.source])
                )
            )
            for at, value, its in differing:
                cells.setdefault(at, dict.fromkeys(matches, value))[other.source] = its
            if first.source == HERE and first.facts.sealed and not why:
                why = self._objection(matches[HERE], matches[other.source])
        facts = first.facts
        for typed in others if first.source == HERE else standing:
            self._count(typed.source, open=1)
        self.outcome.open.append(
            OpenMatch(
                date=str(facts.date),
                home=facts.teams[0] or "",
                away=facts.teams[1] or "",
                paths={typed.source: typed.path for typed in standing},
                cells=tuple(OpenCell(at, values) for at, values in cells.items()),
                why=why,
            )
        )

    def _new_path(self, typed: _Typed) -> str:
        """As `riesbuch sheet` would name it, with a number where there is one of that name. One
        that is signed keeps its name, which is signed too."""
        stem = _stem(typed.path) if typed.signatures else _stem_for(typed.facts)
        name, number = stem, 1
        while f"{name}.yaml" in self._names:
            number += 1
            end = f"-{number}"
            name = stem[: LONGEST_IDENTIFIER - len(end)].rstrip("-") + end
        self._names.add(f"{name}.yaml")
        return f"seasons/{self._task.year}/matches/{name}.yaml"

    def leave_out_what_clashes(self) -> None:
        """Of the sheets to be taken those that would have an error beside others."""
        takes = {take.path: take for take in self.outcome.takes}
        if not takes:
            return
        blobs = {**dict(self._here)}
        blobs |= {
            path: take.blob if take.content is None else blob_id(take.content)
            for path, take in takes.items()
        }
        entries = [
            entry._replace(path=path, sheet=SheetId(f"{self._task.year}/{_stem(path)}"))
            for path, blob in sorted(blobs.items())
            if (entry := self._facts_of(blob).entry) is not None
        ]
        year = self._task.year
        archive = self._archive._replace(
            seasons={key: value for key, value in self._archive.seasons.items() if key == year},
            fixtures={key: value for key, value in self._archive.fixtures.items() if key == year},
            rulings={},
            handed_down={},
            register=replace(self._archive.register, unread_players=_EVERYBODY),
        )
        for problem in check_seasons(Holdings(archive=archive, entries=tuple(entries))):
            if not problem.is_error:
                continue
            for path in (problem.place.path, *(place.path for place in problem.related)):
                take = takes.pop(path, None)
                if take is not None:
                    reason = problem.as_line()
                    self.outcome.not_taken += [
                        NotTaken(source, its, reason) for source, its in take.paths.items()
                    ]
        self.outcome.takes = list(takes.values())


class _Everybody(frozenset[Any]):
    """Whether somebody has a file is asked where people are gathered."""

    def __contains__(self, _: object) -> bool:
        return True


_EVERYBODY: frozenset[Any] = _Everybody()
_SOMEWHERE = "seasons/0000/matches/sheet.yaml"
_UNREAD = _Facts(None, None, None, None, (None, None), (), "", 0, False, None, "", None, ())
_DRAFT = Message("it is a draft: something is still to be entered")
_TOO_LARGE = Message("it is larger than any sheet can be")
_BAD_NAME = Message("its name is not an identifier: a-z, 0-9 and single hyphens")
_TWICE = Message("the match has two sheets there; one of them is to be taken away")
_OTHER_SEAL = Message(
    "its signature is of another seal: both clubs give the same day and the same captains to"
    " `riesbuch seal`"
)
_DRAFT_HERE = Message(
    "the sheet that lies here is a draft or has errors; complete it, or take it away and gather"
    " again"
)


def _is_same_seal(typed: _Typed, other: _Typed) -> bool:
    mine, its = typed.facts.seal, other.facts.seal
    return (
        mine is not None
        and its is not None
        and (mine._replace(signatures=()) == its._replace(signatures=()))
    )


def _stem_for(facts: _Facts) -> str:
    return f"{facts.date}-{facts.teams[0]}-{facts.teams[1]}"[:LONGEST_IDENTIFIER].rstrip("-")


def _stem(path: str) -> str:
    return path.rpartition("/")[2].removesuffix(".yaml")


def _group_for(typed: _Typed, groups: Iterable[list[_Typed]]) -> list[_Typed] | None:
    """The sheets of the same match, if there are any yet."""
    facts = typed.facts
    of_round: list[tuple[Any, list[_Typed]]] = []
    for group in groups:
        other = group[0].facts
        if not may_be_same(facts.part, other.part):
            continue
        if facts.date == other.date and may_be_same(facts.round, other.round):
            return group
        is_free = all(each.source != typed.source for each in group)
        if facts.round is not None and facts.round == other.round and is_free:
            of_round.append((abs(facts.date - other.date), group))
    return min(of_round, key=lambda found: found[0])[1] if of_round else None


_REMARKS = tuple(key.name for key in keys_of(Match) if key.decides is False)
_REMARKS_OF_SIDE = tuple(key.name for key in keys_of(Side) if key.decides is False)


def _with_remarks_of(mine: Said, theirs: Said) -> Said:
    """What ``theirs`` says, but the remarks of ``mine``; these may differ freely."""
    assert isinstance(mine, dict)
    assert isinstance(theirs, dict)
    made = {key: value for key, value in theirs.items() if key not in _REMARKS}
    made |= {key: mine[key] for key in _REMARKS if key in mine}
    for name in ("home", "away"):
        own, other = mine.get(name), theirs.get(name)
        if isinstance(own, dict) and isinstance(other, dict):
            side = {key: value for key, value in other.items() if key not in _REMARKS_OF_SIDE}
            made[name] = side | {key: own[key] for key in _REMARKS_OF_SIDE if key in own}
    # In the order in which they stand here, or they would be held for moved.
    return {key: made[key] for key in (*mine, *made) if key in made}
