"""``riesbuch roster`` and its subcommands."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from riesbuch.cli.completion import clubs, players
from riesbuch.cli.context import Session, format_option, pass_session
from riesbuch.show.output import Answer, Column, Table, figure_column, print_answer, say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.care.player_renaming import PlannedChange
    from riesbuch.trade.ids import ClubId
    from riesbuch.trade.people import Player, Register

_YEAR = click.IntRange(1000, 2999)


@click.group("roster", invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """The care of the register: add, move, rename and merge players, sheets included.

    Without a subcommand, or with `list`, who is on the register.
    """
    if ctx.invoked_subcommand is None:
        ctx.invoke(list_players)


_dry_run = click.option("--dry-run", is_flag=True, help="Write nothing; say what would change.")


@command.command("list")
@click.option("--club", metavar="CLUB", shell_complete=clubs, help="Only those who are there now.")
@format_option
@pass_session
def list_players(session: Session, club: str | None = None, output_format: str = "table") -> None:
    """Who is on the register, with the club that each is at now."""
    from riesbuch.care.players import current_club
    from riesbuch.trade.names import find_club

    register = _register(session)
    wanted = None if club is None else find_club(register, club)

    def club_of(player: Player) -> ClubId | None:
        at = current_club(player)
        return at.club if at else None

    def club_name(player: Player) -> str | None:
        club = club_of(player)
        known = register.clubs.get(club) if club else None
        return known.name if known else club

    def since(player: Player) -> int | None:
        at = current_club(player)
        return at.since if at else None

    columns: tuple[Column[Player], ...] = (
        Column("player", "Identifier", lambda player: player.id),
        Column("name", "Name"),
        Column("club", "Club", club_of, club_name),
        figure_column("from", "From", since),
    )
    listed = [
        register.players[player]
        for player in sorted(register.players)
        if wanted in (None, club_of(register.players[player]))
    ]
    print_answer(Answer([Table(columns, listed)]), output_format)
    if register.unread_players:
        say(
            "{files} could not be read and left out; `riesbuch check players` says why",
            files=counts.files(len(register.unread_players)),
        )


@command.command("add")
@click.argument("player", required=False)
@click.option("--name", required=True, metavar="NAME", help="As it is to stand in the tables.")
@click.option("--born", type=_YEAR, metavar="YEAR", help="The birth year, if it may be told.")
@click.option("--club", metavar="CLUB", shell_complete=clubs, help="The club.")
@click.option("--from", "since", type=_YEAR, metavar="YEAR", help="The first year at the club.")
@click.option(
    "--parent",
    "parents",
    multiple=True,
    metavar="PLAYER",
    shell_complete=players,
    help="A parent who is on the register; may be given twice.",
)
@click.option("--namesake", is_flag=True, help="It is another person than those called alike.")
@_dry_run
@pass_session
def add(
    session: Session,
    player: str | None,
    name: str,
    born: int | None,
    club: str | None,
    since: int | None,
    parents: tuple[str, ...],
    namesake: bool,
    dry_run: bool,
) -> None:
    """Add somebody to the register, under the identifier PLAYER or one made of the name."""
    from riesbuch.care.player_file import may_be_minor, plan_addition
    from riesbuch.text.batch import write_all
    from riesbuch.trade.names import find_club, find_player
    from riesbuch.trade.people import Membership
    from riesbuch.trade.problems import UsageError

    if since is not None and club is None:
        raise UsageError("--from goes with --club")
    register = _register(session)
    change = plan_addition(
        session.folder,
        register,
        player=player,
        name=name,
        born=born,
        club=None if club is None else Membership(find_club(register, club), since),
        parents=[find_player(register, parent) for parent in parents],
        is_another=namesake,
    )
    if player is None:
        say(
            "the identifier `{stem}` was made of the name; sheets call the player so",
            stem=change.path.stem,
        )
    if born is not None and may_be_minor(session.folder, born):
        say(
            "the birth year may be that of a minor: leave it out of a folder that others can read,"
            " and ask the parents before results are shown (`riesbuch guide privacy`)"
        )
    if not dry_run:
        write_all([change])
    write(session.folder.relative(change.path))
    say(Message("1 file would be written") if dry_run else Message("1 file written"))


@command.command("move")
@click.argument("player", shell_complete=players)
@click.argument("club", shell_complete=clubs)
@click.option("--from", "since", type=_YEAR, required=True, metavar="YEAR", help="The first year.")
@_dry_run
@pass_session
def move(session: Session, player: str, club: str, since: int, dry_run: bool) -> None:
    """Write that PLAYER is at CLUB from a year on; the former clubs stay."""
    from riesbuch.care.player_file import plan_move
    from riesbuch.text.batch import write_all
    from riesbuch.trade.names import find_club, find_player

    register = _register(session)
    mover = find_player(register, player)
    at = find_club(register, club)
    change = plan_move(session.folder, mover, at, since)
    if change is None:
        say(
            "{name} is at `{at}` from {since} already; nothing was written",
            name=mover.name,
            at=at,
            since=since,
        )
        return
    if not dry_run:
        write_all([change])
    write(session.folder.relative(change.path))
    say(Message("1 file would change") if dry_run else Message("1 file changed"))


@command.command("rename")
@click.argument("old", shell_complete=players)
@click.argument("new")
@_dry_run
@pass_session
def rename(session: Session, old: str, new: str, dry_run: bool) -> None:
    """Give the player OLD the identifier NEW, in the register and in every sheet.

    Either all files are changed or none. Should the computer stop meanwhile, give the same
    command again: it finishes the rest. Refused where a sealed sheet says what OLD struck.
    """
    from riesbuch.care.player_renaming import plan_rename
    from riesbuch.trade.names import find_player

    register = _register(session)
    _carry_out(plan_rename(session.folder, find_player(register, old), new), dry_run)


@command.command("merge")
@click.argument("kept", metavar="A", shell_complete=players)
@click.argument("goes", metavar="B", shell_complete=players)
@_dry_run
@pass_session
def merge(session: Session, kept: str, goes: str, dry_run: bool) -> None:
    """Make one of two entries that are one person: A stays, and all that is said of B is A's.

    B may also be somebody whom only sheets name. Refused where the two contradict one another,
    and where a sealed sheet says what B struck. As with `rename`, all files are changed or none.
    Where one of the two is `private`, A is.
    """
    from riesbuch.care.player_renaming import plan_merge
    from riesbuch.trade.ids import PlayerId, is_identifier
    from riesbuch.trade.names import find_player, player_directory

    register = _register(session)
    stays = find_player(register, kept)
    other = PlayerId(goes)
    # Sheets may name by another identifier the very person who stays.
    if player_directory(register).meant(goes) not in ([], [stays.id]) or not is_identifier(goes):
        other = find_player(register, goes).id
    _carry_out(plan_merge(session.folder, register, stays, other), dry_run)
    gone = register.players.get(other)
    if gone is not None and gone.private != stays.private:
        will = Message("would be") if dry_run else "is"
        why = Message("as `{other}` was", other=other) if gone.private else Message("as before")
        say(
            "`{id}` {will} `private: true`, {why}: no page names this person",
            id=stays.id,
            will=will,
            why=why,
        )


def _register(session: Session) -> Register:
    from riesbuch.folder.archive import read_register

    return read_register(session.folder).register


def _carry_out(change: PlannedChange, dry_run: bool) -> None:
    if not dry_run:
        change.carry_out()
    for path in sorted(change.paths):
        write(path)
    verb = Message("would change") if dry_run else "changed"
    say(Message.layout("{files} {verb}", files=counts.files(len(change.paths)), verb=verb))
    if change.goes is not None:
        say(
            "{goes} {dry_run} there no more",
            goes=change.goes,
            dry_run=(Message("would be") if dry_run else Message("is")),
        )
