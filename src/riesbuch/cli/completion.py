"""What a shell offers when the tab key is pressed; nothing where the folder cannot be read."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from riesbuch.folder.club_folder import ClubFolder


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


def competitions(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.text.league import read_season

    folder = _folder(ctx)
    if folder is None:
        return []
    found: list[str] = []
    for year in reversed(folder.years()):
        try:
            season = read_season(folder.read(folder.season_file(year)), year).record
        except OSError:
            continue
        found += [each.id for each in season.competitions] if season else []
    return _beginning(found, incomplete)


def season_years(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    folder = _folder(ctx)
    return _beginning((str(year) for year in folder.years()) if folder else (), incomplete)


def rule_sets(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    folder = _folder(ctx)
    return _beginning((key for key, _ in folder.rules_files()) if folder else (), incomplete)


def sheets(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    """Identifiers of sheets, the latest season first."""
    folder = _folder(ctx)
    if folder is None:
        return []
    return _beginning(
        (
            f"{year}/{path.stem}"
            for year in reversed(folder.years())
            for path in folder.sheet_files(year)
        ),
        incomplete,
    )


def players(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    folder = _folder(ctx)
    return _beginning((each for each, _ in folder.player_files()) if folder else (), incomplete)


def clubs(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    folder = _folder(ctx)
    return _beginning((each for each, _ in folder.club_files()) if folder else (), incomplete)


def topics(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[str]:
    from riesbuch.cli.guide import guide_topics

    return _beginning(guide_topics(), incomplete)
