"""New files of clubs and players, written out from records in the canonical layout."""

from collections.abc import Iterator

from riesbuch.text.layout import Written, written
from riesbuch.trade.people import Club, Player


def player_text(player: Player) -> str:
    """The text of a player's file that reads back as a record equal to ``player``."""
    private = ["private: true"] if player.private else []
    return "\n".join([*_player(player), *private, ""])


def club_text(club: Club) -> str:
    """The text of a club's file that reads back as a record equal to ``club``."""
    return "\n".join([*_club(club), ""])


def _player(player: Player) -> Iterator[str]:
    yield f"name: {written(player.name)}"
    if player.born is not None:
        yield f"born: {player.born}"
    if player.clubs:
        memberships = [_entry(club=each.club, since=("from", each.since)) for each in player.clubs]
        yield f"clubs: {written(memberships)}"
    if player.parents:
        yield f"parents: {written(player.parents)}"
    if player.also_written:
        yield f"also_written: {written(player.also_written)}"


def _club(club: Club) -> Iterator[str]:
    yield f"name: {written(club.name)}"
    if club.founded is not None:
        yield f"founded: {club.founded}"
    if club.ground is not None:
        yield f"ground: {written(club.ground)}"
    if club.teams:
        yield f"teams: {written(dict(club.teams))}"
    if club.formerly:
        names = [_entry(name=each.name, since=("until", each.until)) for each in club.formerly]
        yield f"formerly: {written(names)}"
    if club.merged_from:
        yield f"merged_from: {written(club.merged_from)}"


def _entry(since: tuple[str, int | None], **named: str) -> dict[str, Written]:
    key, year = since
    return {**named} if year is None else {**named, key: str(year)}
