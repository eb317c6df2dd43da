"""The entry point: finds the command, and turns every failure into a sentence."""

import gc
import importlib
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import click

from riesbuch import __version__
from riesbuch.cli.context import Session
from riesbuch.cli.streams import harmless_streams


class CommandEntry(NamedTuple):
    """Where a command is, and its line in ``--help``, so that help imports none of them."""

    module: str
    group: str
    line: str


COMMANDS: dict[str, CommandEntry] = {
    "start": CommandEntry("start", "secretary", "lay out a new club folder"),
    "plan": CommandEntry(
        "fixtures", "secretary", "fixtures of a competition, everybody against all"
    ),
    "calendar": CommandEntry("fixtures", "secretary", "the fixtures for everybody's calendar"),
    "sheet": CommandEntry("sheet", "secretary", "write the draft of a match sheet"),
    "check": CommandEntry("check", "secretary", "say what cannot be right, where, and what to do"),
    "desk": CommandEntry("desk", "secretary", "a sheet added up while you type it"),
    "tally": CommandEntry("tally", "secretary", "add one sheet up as on paper"),
    "seal": CommandEntry("sealing", "secretary", "write that both captains agree on a sheet"),
    "review": CommandEntry("review", "reviewer", "what changed since a commit, and what it does"),
    "correct": CommandEntry("sealing", "reviewer", "change a sealed sheet as both clubs agreed"),
    "compare": CommandEntry("tally", "reviewer", "two scribes' sheets of one match"),
    "tidy": CommandEntry("check", "secretary", "bring files into the one layout, comments kept"),
    "roster": CommandEntry("roster", "secretary", "add, move, rename and merge players"),
    "import": CommandEntry("exchange", "secretary", "old results from a spreadsheet's CSV"),
    "export": CommandEntry("exchange", "secretary", "everything as CSV with a data package"),
    "standings": CommandEntry("tables", "tables", "the team table of a competition"),
    "strikers": CommandEntry("tables", "tables", "the striker table of a competition"),
    "career": CommandEntry("history", "historian", "one player's matches, strikes and seasons"),
    "meetings": CommandEntry("history", "historian", "all matches of two teams or clubs"),
    "records": CommandEntry("history", "historian", "highest, longest, closest over all seasons"),
    "honours": CommandEntry("history", "historian", "champions and best strikers of every season"),
    "almanac": CommandEntry("history", "historian", "what happened on this day; anniversaries"),
    "families": CommandEntry("history", "historian", "parents and children in the records"),
    "find": CommandEntry("history", "historian", "people, clubs, grounds and notes by a word"),
    "ask": CommandEntry("ask", "historian", "a question of your own, in SQL"),
    "publish": CommandEntry("publish", "readers", "write tables and matches as pages in reports/"),
    "tell": CommandEntry("tell", "readers", "the story of one match in words"),
    "git-setup": CommandEntry("review", "reviewer", "let git check, show and merge sheets"),
    "guide": CommandEntry("guide", "everybody", "read the longer documentation"),
    # For no person, so of no group and not in the help.
    "for-git": CommandEntry("review", "git", "what git calls after git-setup"),
}

_GROUP_TITLES = {
    "secretary": "For the secretary",
    "reviewer": "For captains and reviewing clubs",
    "tables": "Tables",
    "historian": "For the historian",
    "readers": "For members and friends",
    "everybody": "For everybody",
}


class CommandTable(click.Group):
    """The commands of `COMMANDS`, imported when they are called."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        # Without any, some versions of click end as with a mistake, and others do not.
        return super().parse_args(ctx, args or ["--help"])

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        module = importlib.import_module(f"riesbuch.cli.{entry.module}")
        # A file of several commands calls each by its name.
        of_several = f"{cmd_name.replace('-', '_')}_command"
        function = of_several if hasattr(module, of_several) else "command"
        command: click.Command = getattr(module, function)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            from riesbuch.trade.problems import did_you_mean

            advice = did_you_mean(name, COMMANDS) or "`riesbuch --help` lists them"
            ctx.fail(f"there is no command `{name}`; {advice}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for group, title in _GROUP_TITLES.items():
            rows = [(name, entry.line) for name, entry in COMMANDS.items() if entry.group == group]
            with formatter.section(title):
                formatter.write_dl(rows)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[object]:  # type: ignore[override]
        from click.shell_completion import CompletionItem

        return [
            CompletionItem(name, help=entry.line)
            for name, entry in COMMANDS.items()
            if name.startswith(incomplete) and entry.group in _GROUP_TITLES
        ]


@click.group(
    cls=CommandTable,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="`riesbuch COMMAND --help` explains a command, `riesbuch guide` the files.",
)
@click.version_option(__version__, prog_name="riesbuch", message="%(prog)s %(version)s")
@click.option(
    "--folder",
    type=click.Path(path_type=Path),
    help="The club folder; without it, the one you stand in, searched upward.",
)
@click.option("--debug", is_flag=True, help="Show the details of a fault in the program itself.")
@click.pass_context
def main(ctx: click.Context, folder: Path | None, debug: bool) -> None:
    """Match sheets and league archive for Hornussen, in plain text files.

    A club folder holds the league, the clubs, the players and a file for every match sheet.
    Type a sheet, let `riesbuch check` tell you what cannot be right, and publish the tables.
    """
    ctx.obj = Session(given_folder=folder)


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and exit with its status: 0 fine, 1 errors in the files, 2 usage."""
    arguments = list(sys.argv[1:] if arguments is None else arguments)
    # A command lives for a moment and makes no cycles worth a search through 50 seasons.
    gc.disable()
    with harmless_streams() as (out, _):
        status = _status(arguments)
        out.flush()
        if out.failure is not None:
            _complain(f"the output could not be written: {out.failure.strerror}")
            status = status or 1
        sys.stderr.flush()
    # Nor is there anything to gain from the search that Python makes at the end.
    gc.freeze()
    sys.exit(status)


def _complain(sentence: str) -> None:
    print(f"riesbuch: {sentence}", file=sys.stderr)


def _status(arguments: list[str], *, again: bool = False) -> int:
    from riesbuch.trade.problems import RiesbuchError

    try:
        # Else click would leave escapes out where nobody sees them, instead of showing them.
        outcome = main.main(args=arguments, prog_name="riesbuch", standalone_mode=False, color=True)
        return outcome if isinstance(outcome, int) else 0
    except SystemExit as leaving:
        return int(leaving.code or 0)
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except click.Abort:
        _complain("interrupted; every file is either as before or done")
        return 130
    except RiesbuchError as error:
        _complain(str(error))
        return error.exit_status
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        _complain(f"{where}{error.strerror or error}")
        return 1
    except Exception as error:
        # Told so that the database is imported by those alone who use it.
        if type(error).__module__ == "sqlite3" and not again and _throw_index_away(arguments):
            return _status(arguments, again=True)
        if "--debug" in arguments:
            raise
        _complain(
            f"sorry, this is a fault in riesbuch itself ({type(error).__name__}:"
            f" {error}); your files are as they were. Please report it with what"
            " `riesbuch --debug …` shows."
        )
        return 1


def _throw_index_away(arguments: list[str]) -> bool:
    """Whether there was an index to throw away: it can be damaged in a way that its file's looks
    do not show, and whatever it holds is worked out anew."""
    from riesbuch.index.store import throw_away

    context = main.make_context("riesbuch", [*arguments], resilient_parsing=True)
    return throw_away(Session(context.params["folder"]).folder.derived)
