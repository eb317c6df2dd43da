"""The entry point: finds the command, and turns every failure into a sentence."""

import gc
import importlib
import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import click

from riesbuch import __version__
from riesbuch.cli.context import PATH, Session
from riesbuch.cli.streams import harmless_streams, paged
from riesbuch.show.output import said
from riesbuch.trade.ids import LANGUAGES
from riesbuch.trade.messages import Message, Words, translated


class CommandEntry(NamedTuple):
    """Where a command is, and its line in ``--help``, so that help imports none of them."""

    module: str
    group: str
    line: str


COMMANDS: dict[str, CommandEntry] = {
    "start": CommandEntry("start", "secretary", "lay out a new club folder"),
    "due": CommandEntry("match_day", "secretary", "what is to be done, and what to type for it"),
    "season": CommandEntry("start", "secretary", "lay out the next season from the last one"),
    "plan": CommandEntry(
        "fixtures", "secretary", "fixtures of a competition, everybody against all"
    ),
    "calendar": CommandEntry("fixtures", "secretary", "the fixtures for everybody's calendar"),
    "sheet": CommandEntry("sheet", "secretary", "write the draft of a match sheet"),
    "check": CommandEntry("check", "secretary", "say what cannot be right, where, and what to do"),
    "desk": CommandEntry("desk", "secretary", "a sheet added up while you type it"),
    "tally": CommandEntry("tally", "secretary", "add one sheet up as on paper"),
    "seal": CommandEntry("sealing", "secretary", "write that both captains agree on a sheet"),
    "sign": CommandEntry("sealing", "reviewer", "sign a sealed sheet with a club's key"),
    "finish": CommandEntry("match_day", "secretary", "close a match day: check, publish, commit"),
    "review": CommandEntry("review", "reviewer", "what changed since a commit, and what it does"),
    "correct": CommandEntry("sealing", "reviewer", "change a sealed sheet as both clubs agreed"),
    "compare": CommandEntry("tally", "reviewer", "two scribes' sheets of one match"),
    "tidy": CommandEntry("check", "secretary", "bring files into the one layout, comments kept"),
    "roster": CommandEntry("roster", "secretary", "add, move, rename and merge players"),
    "import": CommandEntry("exchange", "secretary", "old results from a spreadsheet's CSV"),
    "export": CommandEntry("exchange", "secretary", "everything as CSV with a data package"),
    "training": CommandEntry("match_day", "captain", "write the file of a training evening"),
    "standings": CommandEntry("tables", "tables", "the team table of a competition"),
    "strikers": CommandEntry("tables", "tables", "the striker table of a competition"),
    "form": CommandEntry("captain", "captain", "what to expect of each player of a team"),
    "lineup": CommandEntry("captain", "captain", "propose who strikes, in which order"),
    "nummern": CommandEntry("captain", "captain", "where and when a team concedes Nummern"),
    "reach": CommandEntry("captain", "captain", "what is still possible in a league"),
    "career": CommandEntry("history", "historian", "one player's matches, strikes and seasons"),
    "meetings": CommandEntry("history", "historian", "all matches of two teams or clubs"),
    "records": CommandEntry("history", "historian", "highest, longest, closest over all seasons"),
    "honours": CommandEntry("history", "historian", "champions and best strikers of every season"),
    "almanac": CommandEntry("history", "historian", "what happened on this day; anniversaries"),
    "families": CommandEntry("history", "historian", "parents and children in the records"),
    "find": CommandEntry(
        "history", "historian", "people, clubs, days and whatever sheets say, by a word"
    ),
    "ask": CommandEntry("history", "historian", "a question of your own, in SQL"),
    "publish": CommandEntry("publish", "readers", "write tables and matches as pages in reports/"),
    "book": CommandEntry("publish", "readers", "the chronicle as one HTML file, to be printed"),
    "tell": CommandEntry("publish", "readers", "the story of one match in words"),
    "gather": CommandEntry("gather", "reviewer", "bring the folders of many clubs together"),
    "git-setup": CommandEntry("review", "reviewer", "let git check, show and merge sheets"),
    "guide": CommandEntry("guide", "everybody", "read the longer documentation"),
    # For no person, so of no group and not in the help.
    "for-git": CommandEntry("review", "git", "what git calls after git-setup"),
}

PAGED = {
    *(
        name
        for name, entry in COMMANDS.items()
        if entry.group in ("tables", "historian", "captain")
    ),
    *("check", "compare", "guide", "review", "tally", "tell"),
}

_GROUP_TITLES = {
    "secretary": Message("For the secretary"),
    "reviewer": Message("For captains and reviewing clubs"),
    "captain": Message("For the captain, before a match"),
    "tables": Message("Tables"),
    "historian": Message("For the historian"),
    "readers": Message("For members and friends"),
    "everybody": Message("For everybody"),
}


class CommandTable(click.Group):
    """The commands of `COMMANDS`, imported when they are called. ``words`` are those of the user's
    language, None in English."""

    words: Words | None = None

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
        if self.words is None:
            return command
        from riesbuch.cli.speech import in_words

        return in_words(command, self.words)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        name = args[0]
        if name not in COMMANDS and not name.startswith("-"):
            from riesbuch.trade.problems import did_you_mean

            advice = did_you_mean(name, COMMANDS) or Message("`riesbuch --help` lists them")
            ctx.fail(Message("there is no command `{name}`; {advice}", name=name, advice=advice))
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for group, title in _GROUP_TITLES.items():
            rows = [
                (name, translated(Message.of(entry.line, {}), self.words))
                for name, entry in COMMANDS.items()
                if entry.group == group
            ]
            with formatter.section(translated(title, self.words)):
                formatter.write_dl(rows)

    def shell_complete(self, ctx: click.Context, incomplete: str) -> list[object]:  # type: ignore[override]
        from click.shell_completion import CompletionItem

        return [
            CompletionItem(name, help=translated(Message.of(entry.line, {}), self.words))
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
    type=PATH,
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
    if ctx.invoked_subcommand in PAGED:
        ctx.with_resource(paged())


def run(arguments: Sequence[str] | None = None, words: Words | None = None) -> None:
    """Run the command line and exit with its status: 0 fine, 1 errors in the files, 2 usage.

    ``words`` are those of the language to speak, None in English. Where no ``arguments`` are given,
    they are those that were typed, and the language is that of whoever typed them."""
    if arguments is None:
        arguments, words = sys.argv[1:], users_words(os.environ)
    arguments = list(arguments)
    # A command lives for a moment and makes no cycles worth a search through 50 seasons.
    gc.disable()
    with harmless_streams(words) as (out, _):
        if words is None:
            status = _status(arguments, main)
        else:
            from riesbuch.cli.speech import click_in, in_words

            with click_in(words):
                status = _status(arguments, in_words(main, words))
        out.flush()
        if out.failure is not None:
            from riesbuch.text.plain import reason_of

            reason = reason_of(out.failure)
            _complain(Message("the output could not be written: {reason}", reason=reason))
            status = status or 1
        sys.stderr.flush()
    # Nor is there anything to gain from the search that Python makes at the end.
    gc.freeze()
    sys.exit(status)


def users_words(environment: Mapping[str, str]) -> Words | None:
    """Those of the first language asked for that is ours, as gettext asks; None in English."""
    locale = next(filter(None, map(environment.get, ("LC_ALL", "LC_MESSAGES", "LANG"))), "C")
    # Whoever says that programs are to speak as the C library does is not asked further.
    languages = environment.get("LANGUAGE") if locale not in ("C", "POSIX") else ""
    asked = environment.get("RIESBUCH_LANGUAGE") or languages or locale
    for name in asked.split(":"):
        for language in LANGUAGES:
            if name[:2] == language and not name[2:3].isalpha():
                if language == "en":
                    return None
                from riesbuch.language.catalogue import catalogue

                return catalogue(language, "commands")
    return None


def _complain(sentence: str) -> None:
    print(f"riesbuch: {said(sentence)}", file=sys.stderr)


def _status(arguments: list[str], program: click.Command, *, again: bool = False) -> int:
    from riesbuch.trade.problems import RiesbuchError

    try:
        # Else click would leave escapes out where nobody sees them, instead of showing them.
        outcome = program.main(
            args=arguments, prog_name="riesbuch", standalone_mode=False, color=True
        )
        return outcome if isinstance(outcome, int) else 0
    except SystemExit as leaving:
        return int(leaving.code or 0)
    except click.ClickException as error:
        vars(error).update(message=said(error.message))
        error.show()
        return error.exit_code
    except click.Abort:
        _complain(Message("interrupted; every file is either as before or done"))
        return 130
    except RiesbuchError as error:
        # The text of an exception is a text, its argument the message that it is.
        _complain(error.message)
        return error.exit_status
    except OSError as error:
        from riesbuch.text.plain import reason_of

        _complain((f"{error.filename}: " if error.filename else "") + reason_of(error))
        return 1
    except Exception as error:
        # Told so that the database is imported by those alone who use it.
        if type(error).__module__ == "sqlite3" and not again and _throw_index_away(arguments):
            return _status(arguments, program, again=True)
        if "--debug" in arguments:
            raise
        _complain(
            Message(
                "sorry, this is a fault in riesbuch itself ({kind}: {fault}); your files are as"
                " they were. Please report it with what `riesbuch --debug …` shows.",
                kind=type(error).__name__,
                fault=error,
            )
        )
        return 1


def _throw_index_away(arguments: list[str]) -> bool:
    """Whether there was an index to throw away: it can be damaged in a way that its file's looks
    do not show, and whatever it holds is worked out anew."""
    from riesbuch.index.store import throw_away

    context = main.make_context("riesbuch", [*arguments], resilient_parsing=True)
    return throw_away(Session(context.params["folder"]).folder.derived)
