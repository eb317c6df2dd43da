"""Another identifier for a player: in the register and in every sheet."""

import re
from dataclasses import dataclass

from riesbuch.care.file_group import Vanishing, Write, write_all
from riesbuch.care.player_file import PlayerFile, open_player_file, player_path
from riesbuch.care.player_files import Naming, few, files_naming
from riesbuch.care.player_in_sheets import Renaming, changed_parents, changed_sheets
from riesbuch.care.players import expect_identifier
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.mentions import is_named
from riesbuch.trade.people import Player
from riesbuch.trade.problems import RiesbuchError

_UNFINISHED = re.compile(
    r"# unfinished: give `riesbuch roster rename ([a-z0-9-]+) ([a-z0-9-]+)` again\n"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedChange:
    """A change worked out in memory. ``paths`` are the files it concerns, relative to the
    folder; ``goes`` is the one that is not there any more afterwards."""

    paths: tuple[str, ...]
    goes: str | None
    writes: tuple[Write, ...]
    last: Vanishing | None

    def carry_out(self) -> None:
        write_all(self.writes, self.last)


def plan_rename(folder: ClubFolder, player: Player, written: str) -> PlannedChange:
    """What it takes to call ``player`` by the identifier ``written``.

    First a second file of the player is made, which says in its first line that the renaming is
    under way, then the sheets and the files of children are changed, and last the former file
    takes its place. Whatever stops in between leaves a folder in which everybody named has a
    file, and the same command finds that line and goes on.

    Raises UsageError where ``written`` is no identifier, RiesbuchError where it is taken, where
    a file cannot be read, and where a sealed sheet says what the player struck.
    """
    new = expect_identifier(written)
    if new == player.id:
        raise RiesbuchError(f"`{new}` is called so already; nothing was changed")
    renaming = Renaming(player.id, new)
    old_file = open_player_file(folder, player.id)
    expect_finished(folder, player.id)
    target = player_path(folder, new)
    goes_on = unfinished_renaming(folder, new) == renaming
    if target.exists() and not goes_on:
        expect_finished(folder, new)
        raise RiesbuchError(
            f"there is a player `{new}` already, in players/{new}.yaml; if the two are one person,"
            f" `riesbuch roster merge {new} {player.id}` makes them one; nothing was changed"
        )
    naming = files_naming(folder, renaming)
    if not goes_on:
        _expect_unnamed(naming, renaming)
    marker = () if goes_on else (_marker(old_file, folder, renaming),)
    changes = (
        *changed_sheets(naming.sheets, renaming, _if_sealed(player)),
        *changed_parents(naming.players, renaming),
    )
    old = folder.relative(old_file.path)
    return PlannedChange(
        paths=(*(folder.relative(each.path) for each in changes), folder.relative(target)),
        goes=old,
        writes=(*marker, *changes),
        last=Vanishing(path=old_file.path, to=target),
    )


def _if_sealed(player: Player) -> str:
    return (
        f"the tables show the name, which stands in players/{player.id}.yaml and may be changed"
        " there at any time; the identifier stays"
    )


def _marker(old_file: PlayerFile, folder: ClubFolder, renaming: Renaming) -> Write:
    line = f"# unfinished: give `riesbuch roster rename {' '.join(renaming)}` again\n"
    content = line + old_file.text.removeprefix("\ufeff")
    return Write(
        path=player_path(folder, renaming.becomes), before=None, after=content.encode("utf-8")
    )


def unfinished_renaming(folder: ClubFolder, player: PlayerId) -> Renaming | None:
    """The renaming that a file was made for and that was stopped before its end."""
    try:
        content = folder.read(player_path(folder, player))
    except OSError:
        return None
    line = content.partition(b"\n")[0].decode("utf-8", "replace")
    match = _UNFINISHED.fullmatch(f"{line}\n")
    return Renaming(PlayerId(match[1]), PlayerId(match[2])) if match else None


def expect_finished(folder: ClubFolder, player: PlayerId) -> None:
    """Raises RiesbuchError where a renaming to that identifier was stopped before its end."""
    renaming = unfinished_renaming(folder, player)
    if renaming is not None:
        raise RiesbuchError(
            f"renaming `{renaming.player}` to `{renaming.becomes}` was stopped before its end;"
            f" give `riesbuch roster rename {' '.join(renaming)}` again first"
        )


def _expect_unnamed(naming: Naming, renaming: Renaming) -> None:
    """Nobody else is called so in any sheet, nor is a parent; else two people became one."""
    named = [each.path for each in naming.sheets
             if is_named(each.match, renaming.becomes)]  # fmt: skip
    named += [each.path for each in naming.players if renaming.becomes in each.player.parents]
    if named:
        raise RiesbuchError(
            f"`{renaming.becomes}` is named already, though nobody in players/ is called so; if it"
            f" is the same person, `riesbuch roster merge {' '.join(renaming)}` makes them one;"
            f" nothing was changed:\n{few(named)}"
        )
