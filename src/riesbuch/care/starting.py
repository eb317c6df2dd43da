"""Laying out a new club folder; and the next season from the last one: its competitions, with who
goes up and down."""

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from importlib import resources
from itertools import takewhile
from pathlib import Path
from string import Template
from typing import NamedTuple

import tomli_w

from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import LEAGUE_FILE, ClubFolder, Kind, Places, season_path
from riesbuch.questions.honours import Honours
from riesbuch.text.atomic import Write, replace_as_read
from riesbuch.text.league import read_season
from riesbuch.text.plain import read_plain
from riesbuch.text.record_text import competition_text, season_head
from riesbuch.text.schemas import editor_line, lay_out_schemas
from riesbuch.trade.ids import CompetitionId, Language, TeamId
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import RiesbuchError, UsageError
from riesbuch.trade.season import PLACES_AND_NOTES, Competition, CompetitionKind, number_of


class TeamMove(NamedTuple):
    """A team that is in another competition from then on, higher or lower; ``note`` is why where
    a decision says so and not the table."""

    team: TeamId
    before: CompetitionId
    after: CompetitionId
    is_up: bool
    note: str | None


class NextSeason(NamedTuple):
    """``undecided`` are sentences about who would go up or down and stays all the same;
    ``writes`` the files, the season's own the last."""

    year: int
    last: int
    competitions: tuple[Competition, ...]
    moves: tuple[TeamMove, ...]
    undecided: tuple[Message, ...]
    writes: tuple[Write, ...]


def season_before(folder: ClubFolder, year: int) -> int:
    """The newest of the seasons before ``year``; raises UsageError where there is none, and where
    that year has its own already."""
    path = folder.season_file(year)
    if folder.exists(path):
        raise UsageError(
            "the season {year} is laid out already, in {path}; nothing was changed",
            year=year,
            path=folder.relative(path),
        )
    before = [
        other
        for other in folder.years()
        if other < year
        # One that is only handed down is no pattern.
        and (folder.exists(folder.season_file(other))
             or not folder.exists(folder.handed_down_file(other)))
    ]  # fmt: skip
    if not before:
        raise UsageError(
            "there is no season before {year} to lay it out from; write seasons/{year}/season.toml"
            " by hand, as `riesbuch guide seasons` shows",
            year=year,
        )
    return before[-1]


def next_season(archive: Archive, last: int, year: int, honours: Iterable[Honours]) -> NextSeason:
    """The season ``year`` as it follows from the ``last`` one, whose ``honours`` say who goes up
    or down for sure. Nothing is written.

    Raises RiesbuchError where the last cannot be read."""
    folder = archive.folder
    source = folder.relative(folder.season_file(last))
    problems = [problem for problem in archive.problems if problem.place.path == source]
    if problems or last not in archive.seasons:
        lines = joined("\n", (problem.as_line() for problem in problems)) or source
        raise RiesbuchError("first mend what the season is made from:\n{lines}", lines=lines)
    competitions = archive.seasons[last].competitions
    known = {found.competition: found for found in honours}
    moves: list[TeamMove] = []
    undecided: list[Message] = []
    for found in _changes(competitions, known):
        (moves if isinstance(found, TeamMove) else undecided).append(found)  # type: ignore[arg-type]
    following = tuple(_with_moves(competition, moves) for competition in competitions)
    text = f"{editor_line('season', 2)}\n{season_head(year)}" + "".join(
        map(competition_text, following)
    )
    reading = read_season(text.encode("utf-8"), year)
    if reading.findings or reading.record is None or reading.record.competitions != following:
        raise AssertionError(f"the season {year} would say something else")
    placeholder = folder.matches(year) / ".gitkeep"
    return NextSeason(
        year=year,
        last=last,
        competitions=following,
        moves=tuple(moves),
        undecided=tuple(undecided),
        writes=(
            *(
                ()
                if folder.exists(placeholder)
                else (Write(path=placeholder, before=None, after=b""),)
            ),
            Write(path=folder.season_file(year), before=None, after=text.encode("utf-8")),
        ),
    )


def _changes(
    competitions: Sequence[Competition], honours: Mapping[str, Honours]
) -> Iterator[TeamMove | Message]:
    """Each team that goes up or down, and what is not decided. Leagues stand in season.toml from
    the highest down."""
    leagues = [found for found in competitions if found.kind is CompetitionKind.LEAGUE]
    above = {league.id: _above(leagues, league) for league in leagues if league.promoted}
    for number, league in enumerate(leagues):
        known = honours.get(league.id)
        up = known.promoted if known is not None else ()
        down = known.relegated if known is not None else ()
        below = [other for other in leagues if above.get(other.id) == league.id]
        if not below and number + 1 < len(leagues):
            below = leagues[number + 1 : number + 2]
        if league.promoted:
            target = [above[league.id]] if above[league.id] is not None else []
            yield from _of_league(league, up, target, is_up=True)
        if league.relegated:
            targets = [other.id for other in below]
            yield from _of_league(league, down, targets, is_up=False)
        for key, note in PLACES_AND_NOTES:
            if getattr(league, key) == ():
                yield Message(
                    "`{id}`: {key} names nobody ({note}), so the new season says {key} = 0; write"
                    " how many",
                    id=league.id,
                    key=key,
                    note=getattr(league, note),
                )


def _above(leagues: Sequence[Competition], league: Competition) -> CompetitionId | None:
    """The league that a promoted team goes to: the nearest before it from which somebody goes
    down, else the nearest."""
    before = list(takewhile(lambda other: other.id != league.id, leagues))
    with_way_down = [other for other in before if other.relegated]
    nearest = (with_way_down or before)[-1:]
    return nearest[0].id if nearest else None


def _of_league(
    league: Competition,
    teams: Sequence[str],
    targets: Sequence[CompetitionId | None],
    *,
    is_up: bool,
) -> Iterator[TeamMove | Message]:
    wanted = number_of(league.promoted if is_up else league.relegated)
    note = league.promotion_note if is_up else league.relegation_note
    sure = [TeamId(team) for team in teams if team in league.teams]
    target = targets[0] if len(targets) == 1 else None
    if target is not None:
        yield from (TeamMove(team, league.id, target, is_up, note) for team in sure)
    elif sure:
        names = ", ".join(sure)
        if targets:
            yield Message(
                "`{id}`: {teams} would go down, but more than one league could be the one below;"
                " nothing is moved, do it by hand",
                id=league.id,
                teams=names,
            )
        else:
            way = Message("would go up") if is_up else Message("would go down")
            yield Message(
                "`{id}`: {teams} {way}, but season.toml has no league for that; nothing is moved",
                id=league.id,
                teams=names,
                way=way,
            )
    if not sure and wanted:
        yield Message(
            "`{id}`: who goes up is not decided; all stay"
            if is_up
            else "`{id}`: who goes down is not decided; all stay",
            id=league.id,
        )
    elif len(sure) < wanted:
        yield Message(
            "`{id}`: who goes up is decided for {sure} of {wanted}; the others stay"
            if is_up
            else "`{id}`: who goes down is decided for {sure} of {wanted}; the others stay",
            id=league.id,
            sure=len(sure),
            wanted=wanted,
        )


def _with_moves(competition: Competition, moves: Sequence[TeamMove]) -> Competition:
    """Who comes down stands first, who comes up last. Who goes up or down next is not decided, but
    how many do."""
    left = {move.team for move in moves if move.before == competition.id}
    came = [move for move in moves if move.after == competition.id]
    teams = (
        *(move.team for move in came if not move.is_up),
        *(team for team in competition.teams if team not in left),
        *(move.team for move in came if move.is_up),
    )
    return replace(
        competition,
        teams=tuple(dict.fromkeys(teams)),
        promoted=number_of(competition.promoted),
        relegated=number_of(competition.relegated),
        promotion_note=None,
        relegation_note=None,
    )


def start_folder(
    root: Path, name: str, language: Language, year: int, *, explained_in: str = ""
) -> list[str]:
    """Lay out a folder that passes `check`; returns the files written, relative to it. Its README
    is in the language ``explained_in``, or in English.

    Raises UsageError where there is a club folder already, and RiesbuchError before anything is
    written where a file of that name stands in the way. One that says just what it is to say does
    not: what was stopped is finished by the same once more.
    """
    if (root / LEAGUE_FILE).exists():
        raise UsageError("{root} is a club folder already", root=root)
    if root.exists() and not root.is_dir():
        raise UsageError("{root} is a file, not a folder", root=root)
    for above in root.resolve().parents:
        if (above / LEAGUE_FILE).is_file():
            raise UsageError(
                "{root} lies within the club folder {above}, which reads nothing of it; name a"
                " place outside, as with `riesbuch start {beside}`",
                root=root,
                above=above,
                beside=above.parent / root.name,
            )
    files = starting_files(name, language, year, explained_in)
    in_the_way = [
        path
        for path, content in files.items()
        if os.path.lexists(root / path) and path != ".gitignore" and not _says(root / path, content)
    ]
    if in_the_way:
        raise RiesbuchError(
            "{root} already has {in_the_way}; nothing was written",
            root=root,
            in_the_way=", ".join(in_the_way),
        )
    for path in (*files, ".riesbuch/schema"):
        if Places(root).obstacle(path):
            raise RiesbuchError(
                "{root} is, or lies behind, a link; nothing was written", root=root / path
            )
    lay_out_schemas(ClubFolder(root).derived)
    # league.toml comes last, so that a folder half laid out is not taken for a club folder.
    for path in sorted(files, key=lambda path: path == LEAGUE_FILE):
        target = root / path
        content = files[path].encode("utf-8")
        there = read_plain(target) if target.exists() else None
        if path == ".gitignore" and there is not None:
            end = b"" if not there or there.endswith(b"\n") else b"\n"
            is_listed = content.strip() in there.splitlines()
            content = there if is_listed else there + end + content
        if there != content:
            replace_as_read(target, there, content)
    return sorted(files)


def _says(path: Path, content: str) -> bool:
    return path.is_file() and read_plain(path) == content.encode("utf-8")


def starting_files(
    name: str, language: Language, year: int, explained_in: str = ""
) -> dict[str, str]:
    templates = resources.files("riesbuch.templates")
    translated = f"{explained_in}/README.md"
    is_there = bool(explained_in) and (templates / translated).is_file()

    def filled(template: str, kind: str, depth: int) -> str:
        text = (templates / template).read_text(encoding="utf-8")
        return Template(text).substitute(
            league=tomli_w.dumps({"name": name, "language": language}).rstrip("\n"),
            year=year,
            editor_line=editor_line(kind, depth),
            sheet_line=editor_line("sheet", 3),
            club_line=editor_line("club", 1),
            player_line=editor_line("player", 1),
        )

    return {
        LEAGUE_FILE: filled("league.toml", "league", 0),
        f"rules/{year}.toml": filled("rules.toml", "rules", 1),
        season_path(year, Kind.SEASON): filled("season.toml", "season", 2),
        season_path(year, Kind.FIXTURES): filled("fixtures.toml", "fixtures", 2),
        f"seasons/{year}/matches/.gitkeep": "",
        "clubs/.gitkeep": "",
        "players/.gitkeep": "",
        "README.md": filled(translated if is_there else "README.md", "league", 0),
        ".gitignore": ".riesbuch/\n",
    }
