"""A player who goes to another club."""

from riesbuch.care.file_group import Write
from riesbuch.care.player_file import open_player_file, with_membership
from riesbuch.care.player_renaming import expect_finished
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.trade.ids import ClubId
from riesbuch.trade.people import Membership, Player
from riesbuch.trade.problems import RiesbuchError


def plan_move(folder: ClubFolder, player: Player, club: ClubId, year: int) -> Write | None:
    """The player's file with the club more, in its place among the years; None where just that
    is written there already.

    Raises RiesbuchError where the file cannot be read, and where what it says contradicts the
    move: the same club just before or after it, another club from the same year, a later birth.
    """
    expect_finished(folder, player.id)
    file = open_player_file(folder, player.id)
    player = file.player
    added = Membership(club, year)
    if added in player.clubs:
        return None
    where = f"players/{player.id}.yaml"
    if player.born is not None and year < player.born:
        raise RiesbuchError(
            f"{player.name} was born in {player.born}, after {year}; nothing was changed"
        )
    for each in player.clubs:
        if each.since == year:
            raise RiesbuchError(
                f"{player.name} went to `{each.club}` in {year} already; if that is wrong, correct"
                f" `clubs` in {where}; nothing was changed"
            )
    ordered = sorted(player.clubs, key=lambda each: each.since or 0)
    earlier = [each for each in ordered if (each.since or 0) < year]
    later = [each for each in ordered if (each.since or 0) > year]
    if earlier and earlier[-1].club == club:
        since = earlier[-1].since
        known = f"since {since}" if since is not None else "from a year that is not on record"
        raise RiesbuchError(
            f"{player.name} was at `{club}` in {year} already, {known}; if that is wrong, correct"
            f" `clubs` in {where}; nothing was changed"
        )
    if later and later[0].club == club:
        raise RiesbuchError(
            f"{player.name} is at `{club}` from {later[0].since}, and between {year} and then at no"
            f" other; if {year} is right, write it in place of {later[0].since} in {where};"
            " nothing was changed"
        )
    text = with_membership(file.text, player, added)
    return Write(path=file.path, before=file.content, after=text.encode("utf-8"))
