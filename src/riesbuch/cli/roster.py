"""``riesbuch roster`` and its subcommands."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from riesbuch.cli.completion import clubs, players, sheets
from riesbuch.cli.context import YEAR, Session, club_option, format_option, pass_session
from riesbuch.show.output import Answer, Column, Table, figure_column, print_answer, say, write
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from riesbuch.care.player_renaming import PlannedChange
    from riesbuch.text.atomic import Write
    from riesbuch.trade.ids import ClubId
    from riesbuch.trade.people import Player, Register


@click.group("roster", invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """The care of the register: add, move, rename, merge and remove players, sheets included.

    Without a subcommand, or with `list`, who is on the register.
    """
    if ctx.invoked_subcommand is None:
        ctx.invoke(list_players)


_dry_run = click.option("--dry-run", is_flag=True, help="Write nothing; say what would change.")


@command.command("list")
@club_option("Only those who are there now.", or_team=False)
@format_option
@pass_session
def list_players(session: Session, club: str | None = None, output_format: str = "table") -> None:
    """Who is on the register, with the club that each is at now."""
    from riesbuch.trade.names import find_club

    register = _register(session)
    wanted = None if club is None else find_club(register, club)

    def club_of(player: Player) -> ClubId | None:
        at = player.current_club
        return at.club if at else None

    def club_name(player: Player) -> str | None:
        club = club_of(player)
        known = register.clubs.get(club) if club else None
        return known.name if known else club

    def since(player: Player) -> int | None:
        at = player.current_club
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


class YearOrFile(click.ParamType):  # type: ignore[type-arg]
    """A year of four digits, else the path of a file that is there."""

    name = "year or file"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> int | Path:
        text = str(value)
        if text.isdecimal() and len(text) == 4:
            year: int = YEAR.convert(int(text), param, ctx)
            return year
        path = Path(text)
        if not path.is_file():
            self.fail(
                Message("`{text}` is neither a year like 2026 nor a file", text=text), param, ctx
            )
        return path

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        from click.shell_completion import CompletionItem

        return [CompletionItem(incomplete, type="file")]


@command.command("add")
@click.argument("player", metavar="[NAME|PLAYER]", required=False)
@click.option("--name", metavar="NAME", help="As it is to stand in the tables.")
@click.option("--born", type=YEAR, metavar="YEAR", help="The birth year, if it may be told.")
@club_option("The club.", or_team=False)
@click.option(
    "--from",
    "since",
    type=YearOrFile(),
    metavar="YEAR|FILE.csv",
    help="The first year at the club; or a list of many, as CSV.",
)
@click.option(
    "--parent",
    "parents",
    multiple=True,
    metavar="PLAYER",
    shell_complete=players,
    help="A parent who is on the register; may be given twice.",
)
@click.option("--namesake", is_flag=True, help="It is another person than those called alike.")
@click.option(
    "--unknown",
    metavar="SHEET",
    shell_complete=sheets,
    help="Add all whom SHEET names and the register does not; asks for each name.",
)
@click.option("--yes", is_flag=True, help="With --unknown, take the names that are proposed.")
@_dry_run
@pass_session
def add(
    session: Session,
    player: str | None,
    name: str | None,
    born: int | None,
    club: str | None,
    since: int | Path | None,
    parents: tuple[str, ...],
    namesake: bool,
    unknown: str | None,
    yes: bool,
    dry_run: bool,
) -> int:
    """Add somebody to the register: `riesbuch roster add "Anna Löffel"`.

    The identifier is made of the name, unless one is given before --name. Where the folder has
    one club, that is the club. With --from FILE.csv everybody of a list is added, with --unknown
    all whom a sheet names: all of them, or nobody.
    """
    from riesbuch.care.players import may_be_minor, only_club, plan_addition
    from riesbuch.trade.ids import is_identifier
    from riesbuch.trade.names import find_club, find_player
    from riesbuch.trade.people import Membership
    from riesbuch.trade.problems import UsageError

    of_one = (player, name, born, club, *parents, namesake or None)
    if (isinstance(since, Path) or unknown is not None) and any(of_one):
        raise UsageError("a list and a sheet say all of whom to add; give nothing else")
    if unknown is not None:
        if since is not None:
            raise UsageError("--from and --unknown do not go together")
        return _add_unknown(session, unknown, yes=yes, dry_run=dry_run)
    if isinstance(since, Path):
        return _add_listed(session, since, dry_run=dry_run)
    if name is None:
        if player is None or is_identifier(player):
            raise UsageError('give the name: `riesbuch roster add "Anna Löffel"`')
        name, player = player, None
    register = _register(session)
    at = only_club(register) if club is None else find_club(register, club)
    if since is not None and at is None:
        raise UsageError("--from goes with --club")
    change = plan_addition(
        session.folder,
        register,
        player=player,
        name=name,
        born=born,
        club=None if at is None else Membership(at, since),
        parents=[find_player(register, parent) for parent in parents],
        is_another=namesake,
    )
    if player is None:
        say(
            "the identifier `{stem}` was made of the name; sheets call the player so",
            stem=change.path.stem,
        )
    if at is not None and club is None:
        say("the club is `{club}`, the only one with members here; --club names another", club=at)
    if born is not None and may_be_minor(session.folder, born):
        _say_minors()
    return _write_new(session, [change], dry_run)


def _say_minors() -> None:
    say(
        "the birth year may be that of a minor: leave it out of a folder that others can read,"
        " and ask the parents before results are shown (`riesbuch guide privacy`)"
    )


def _write_new(session: Session, changes: list[Write], dry_run: bool) -> int:
    from riesbuch.text.atomic import write_all

    if not dry_run:
        write_all(changes)
    for change in changes:
        write(session.folder.relative(change.path))
    number = len(changes)
    if dry_run:
        say(
            Message.plural(
                number, "{count:,} file would be written", "{count:,} files would be written"
            )
        )
    else:
        say("{files} written", files=counts.files(number))
    return 0


def _add_listed(session: Session, path: Path, *, dry_run: bool) -> int:
    from riesbuch.cli.exchange import csv_content
    from riesbuch.exchange.csv_text import read_csv
    from riesbuch.exchange.people import read_people
    from riesbuch.trade.problems import Problem, Severity

    csv_file = read_csv(csv_content(path), path.name)
    rules = session.archive().rules.values()
    classes = [ranked for each in rules for ranked in each.classes if not ranked.ages]
    listed = read_people(session.folder, _register(session), csv_file, classes)
    if listed.unread:
        say("columns not read: {unread_columns}", unread_columns=", ".join(listed.unread))
    if listed.there:
        say("{players} on the register already", players=counts.players(len(listed.there)))
    for fault in listed.faults:
        place = csv_file.place(path.name, fault.row, fault.cell)
        say(Problem(place, Severity.ERROR, "", fault.message).as_line())
    if listed.faults:
        say("nothing was written: {what}", what=counts.errors(len(listed.faults)))
        return 1
    if listed.minors:
        _say_minors()
    return _write_new(session, listed.writes, dry_run)


def _add_unknown(session: Session, sheet: str, *, yes: bool, dry_run: bool) -> int:
    from riesbuch.care.players import name_for, plan_addition, titled, unknown_people, very_like
    from riesbuch.cli.sheets import examine_one, locate_sheet
    from riesbuch.trade.people import Membership
    from riesbuch.trade.problems import RiesbuchError, alternatives

    index = session.index()
    _, examined, _ = examine_one(session.folder, index, locate_sheet(session.folder, Path(sheet)))
    if examined.entry is None:
        raise RiesbuchError(
            "{path} cannot be read; `riesbuch check {sheet}` says why",
            path=examined.path,
            sheet=sheet,
        )
    register = index.register().register
    changes, left_out = [], 0
    unknown = unknown_people(register, examined.entry)
    if not unknown:
        say("everybody whom {path} names is on the register", path=examined.path)
        return 0
    if not yes:
        say(
            "Type each name as it is to stand in the tables; Enter takes the one in brackets,"
            " - leaves somebody out."
        )
    for player, club in unknown.items():
        name = name_for(player)
        alike = very_like(register, name)
        if alike:
            say(
                "`{player}` may be {alike}; if so, mend the sheet",
                player=player,
                alike=alternatives(map(titled, alike)),
            )
        if yes:
            name = "-" if alike else name
        else:
            name = click.prompt(player, default="-" if alike else name, err=True)
        if name == "-":
            left_out += 1
            continue
        changes.append(
            plan_addition(
                session.folder,
                register,
                player=player,
                name=name,
                club=None if club is None else Membership(club, None),
                is_another=True,
            )
        )
    if left_out:
        say("{players} left out", players=counts.players(left_out))
    _write_new(session, changes, dry_run)
    return 1 if yes and left_out else 0


@command.command("move")
@click.argument("player", shell_complete=players)
@click.argument("club", shell_complete=clubs)
@click.option("--from", "since", type=YEAR, required=True, metavar="YEAR", help="The first year.")
@_dry_run
@pass_session
def move(session: Session, player: str, club: str, since: int, dry_run: bool) -> None:
    """Write that PLAYER is at CLUB from a year on; the former clubs stay."""
    from riesbuch.care.players import plan_move
    from riesbuch.text.atomic import write_all
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
    say((counts.files_to_change if dry_run else counts.files_changed)(1))


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


@command.command("remove")
@click.argument("player", shell_complete=players)
@_dry_run
@pass_session
def remove(session: Session, player: str, dry_run: bool) -> None:
    """Take PLAYER off the register, who is named nowhere: in no sheet, and as nobody's parent."""
    from riesbuch.care.player_renaming import plan_removal
    from riesbuch.trade.names import find_player

    _carry_out(plan_removal(session.folder, find_player(_register(session), player)), dry_run)


def _register(session: Session) -> Register:
    from riesbuch.folder.archive import read_register

    return read_register(session.folder).register


def _carry_out(change: PlannedChange, dry_run: bool) -> None:
    if not dry_run:
        change.carry_out()
    for path in sorted(change.paths):
        write(path)
    if change.paths:
        say((counts.files_to_change if dry_run else counts.files_changed)(len(change.paths)))
    if change.goes is not None:
        say(
            "{goes} would be there no more" if dry_run else "{goes} is there no more",
            goes=change.goes,
        )
