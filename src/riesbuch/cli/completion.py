"""What a shell offers when the tab key is pressed; nothing where the folder cannot be read."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.trade.names import Directory
    from riesbuch.trade.people import Register
    from riesbuch.trade.season import Season

_Id = TypeVar("_Id", bound=str)

_BLANK = re.compile(rb"^[^#\n]*(?<![\w-])_(?![\w-])", re.MULTILINE)
"""A strike that is not entered yet, but in a remark."""
_LEAST = 3
"""Fewer letters are in too many sheets; they may begin a folder's name."""


def _folder(ctx: click.Context) -> ClubFolder | None:
    from riesbuch.folder.club_folder import find_folder, open_folder
    from riesbuch.trade.problems import RiesbuchError

    given = ctx.find_root().params.get("folder")
    try:
        return find_folder(Path.cwd()) if given is None else open_folder(Path(given))
    except RiesbuchError:
        return None


def _beginning(words: Iterable[str], incomplete: str) -> list[str]:
    return [word for word in dict.fromkeys(words) if word.startswith(incomplete)]


def _named(directory: Directory[_Id], incomplete: str) -> list[str]:
    """Identifiers that begin so; where none does, those of whom another spelling does."""
    exactly = _beginning(directory.names, incomplete)
    return exactly or [str(identifier) for identifier in directory.beginning(incomplete)]


def _seasons(folder: ClubFolder | None) -> list[Season]:
    """Those that can be read, the newest first."""
    from riesbuch.text.league import read_season

    found = []
    for year in reversed(folder.years()) if folder else ():
        content = folder.content(folder.season_file(year)) if folder else None
        season = read_season(content, year).record if content is not None else None
        found += [season] if season is not None else []
    return found


def parts(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """Of all festivals that are struck in parts."""
    competitions = (known for season in _seasons(_folder(ctx)) for known in season.competitions)
    return _beginning((part.id for known in competitions for part in known.parts), incomplete)


def competitions(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.text.league import read_handed_down
    from riesbuch.trade.names import competition_directory

    folder = _folder(ctx)
    handed_down = {}
    for year in reversed(folder.years()) if folder else ():
        content = folder.content(folder.handed_down_file(year)) if folder else None
        told = read_handed_down(content).record if content is not None else None
        if told is not None:
            handed_down[year] = told
    return _named(competition_directory(_seasons(folder), handed_down), incomplete)


def season_years(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    folder = _folder(ctx)
    return _beginning((str(year) for year in folder.years()) if folder else (), incomplete)


def rule_sets(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    folder = _folder(ctx)
    return _beginning((key for key, _ in folder.rules_files()) if folder else (), incomplete)


def classes(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.text.league import read_rules

    folder = _folder(ctx)
    found: list[str] = []
    for _, path in folder.rules_files() if folder else ():
        with contextlib.suppress(OSError):
            rules = read_rules(folder.read(path)).record if folder else None
            found += [ranked.id for ranked in rules.classes] if rules else []
    return _beginning(found, incomplete)


def sheets(
    ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[str] | list[CompletionItem]:
    """Identifiers of sheets that begin so, without the year where none is written; else those
    that have it, else files. The newest season stands first, in it what is still open."""
    from click.shell_completion import CompletionItem

    from riesbuch.trade.names import folded

    folder = _folder(ctx)
    known: list[str] = []
    for year in reversed(folder.years()) if folder else ():
        assert folder is not None
        files = folder.sheet_files(year)[::-1]
        if not known:
            files.sort(key=lambda path: _openness(folder, path))
        known += [f"{year}/{path.stem}" for path in files]
        if known and not incomplete:
            break
    part = folded(incomplete)
    return (
        _beginning(known, incomplete)
        or _beginning((sheet.partition("/")[2] for sheet in known), incomplete)
        or [sheet for sheet in known if len(part) >= _LEAST and part in folded(sheet)]
        or [CompletionItem(incomplete, type="file")]
    )


def _openness(folder: ClubFolder, path: Path) -> int:
    """0 for a draft, 1 for a sheet without a seal, 2 for one with it, by the look of its text."""
    try:
        content = folder.read(path)
    except OSError:
        return 0
    return 0 if _BLANK.search(content) else 1 + (b"\nseal:" in content)


def players(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """By their identifiers, which have the name in them: thousands of files would take too long."""
    from riesbuch.trade.names import Directory

    folder = _folder(ctx)
    files = folder.player_files() if folder else []
    names = {player: (player.replace("-", " "),) for player, _ in files}
    return _named(Directory("player", names, of_people=True), incomplete)


def clubs(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.trade.names import club_directory

    return _named(club_directory(_clubs(ctx)), incomplete)


def teams(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.trade.names import team_directory

    return _named(team_directory(_clubs(ctx)), incomplete)


def teams_and_clubs(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    return sorted({*teams(ctx, param, incomplete), *clubs(ctx, param, incomplete)})


def _clubs(ctx: click.Context) -> Register:
    """The clubs of the folder that can be read."""
    from riesbuch.text.register import read_club
    from riesbuch.trade.people import Register
    from riesbuch.trade.problems import RiesbuchError

    folder = _folder(ctx)
    clubs = {}
    for club, path in folder.club_files() if folder else ():
        try:
            record = read_club(folder.read(path), club).record if folder else None
        except (OSError, RiesbuchError):
            continue
        if record is not None:
            clubs[club] = record
    return Register(clubs=clubs, players={})


def topics(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.cli.guide import guide_topics

    return _beginning(guide_topics(), incomplete)
