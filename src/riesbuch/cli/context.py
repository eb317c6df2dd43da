"""What commands share: the club folder, opened when it is first needed, days and formats."""

from __future__ import annotations

import contextlib
import datetime
from collections.abc import Callable
from functools import cached_property, wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from riesbuch.cli.completion import (
    clubs,
    competitions,
    parts,
    season_years,
    sheets,
    teams_and_clubs,
)
from riesbuch.show.output import FORMATS, Answer, print_answer, say
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.index.index import Index, Tables


_Function = TypeVar("_Function", bound=Callable[..., Any])


# More than anybody has of anything; SQLite takes no more than 63 bits.
_LARGEST = 10**9


class Number(click.ParamType):  # type: ignore[type-arg]
    """A whole number, not below ``min`` nor above ``max`` where they are given."""

    name = "number"

    def __init__(self, min: int | None = None, max: int | None = None) -> None:
        self.min, self.max = min, max

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        with contextlib.suppress(ValueError):
            number = int(value)
            least, most = self.min, self.max
            if most is None and abs(number) > _LARGEST:
                self.fail(Message("`{value}` is too large a number", value=value), param, ctx)
            if (least is None or number >= least) and (most is None or number <= most):
                return number
        self.fail(self._wanted(value), param, ctx)

    def _wanted(self, value: Any) -> Message:
        if self.min is None and self.max is None:
            return Message("`{value}` is not a whole number", value=value)
        if self.max is None:
            return Message(
                "`{value}` is not a whole number from {least} on", value=value, least=self.min
            )
        return Message(
            "`{value}` is not a whole number from {least} to {most}",
            value=value,
            least=self.min,
            most=self.max,
        )


YEARS = (1000, 2999)
YEAR = Number(*YEARS)


class DateType(click.ParamType):  # type: ignore[type-arg]
    name = "date"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> datetime.date:
        if isinstance(value, datetime.date):
            return value
        for form in ("%Y-%m-%d", "%d.%m.%Y"):
            with contextlib.suppress(ValueError):
                day = datetime.datetime.strptime(value, form).date()
                # No other year has files that are read.
                if YEARS[0] <= day.year <= YEARS[1]:
                    return day
        self.fail(
            Message("`{value}` is not a date; write it like 2026-05-10", value=value), param, ctx
        )


class YearOrDate(click.ParamType):  # type: ignore[type-arg]
    """A day, or a year for its first or last day; given on as text like 2026-05-10."""

    name = "year or date"

    def __init__(self, *, last: bool) -> None:
        self._end = "12-31" if last else "01-01"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        text = str(value)
        whole = f"{text}-{self._end}" if len(text) == 4 else text
        try:
            return datetime.datetime.strptime(whole, "%Y-%m-%d").date().isoformat()
        except ValueError:
            self.fail(
                Message("`{text}` is neither a year nor a date like 2026-05-10", text=text),
                param,
                ctx,
            )


PATH = click.Path(path_type=Path)
DAY = DateType()


def format_option(function: _Function) -> _Function:
    return click.option(
        "--format",
        "output_format",
        type=click.Choice(FORMATS),
        default="table",
        show_default=True,
        help="How to print the result.",
    )(function)


class Session:
    """One command's; the folder is found when it is first asked for."""

    def __init__(self, given_folder: Path | None) -> None:
        self._given_folder = given_folder

    @cached_property
    def folder(self) -> ClubFolder:
        from riesbuch.folder.club_folder import find_folder, open_folder

        if self._given_folder is not None:
            return open_folder(self._given_folder)
        return find_folder(Path.cwd())

    def index(self) -> Index:
        from riesbuch.cli.streams import Progress
        from riesbuch.index.index import Index
        from riesbuch.review.finding import may_leave_out

        if may_leave_out(self.folder.root):
            from riesbuch.review.paths import left_out_sentence

            sentence = left_out_sentence(self.folder.root)
            if sentence:
                say(sentence)
        index = Index(self.folder, say, Progress())
        click.get_current_context().call_on_close(index.close)
        return index

    def all_seasons(self) -> Tables:
        """The tables of all seasons."""
        return self.index().connection()

    def lay_out_schemas(self) -> None:
        """For editors: a checkout made elsewhere has none yet, and a read-only one needs none."""
        from riesbuch.text.schemas import lay_out_schemas

        with contextlib.suppress(OSError):
            lay_out_schemas(self.folder.derived)

    def archive(self) -> Archive:
        from riesbuch.folder.archive import open_archive

        return open_archive(self.folder)


def agreed(question: Message) -> bool:
    """Whether the person says yes; nobody there to answer does not."""
    from riesbuch.show.output import said

    try:
        answer = click.prompt(
            said(Message.layout("{question} {choice}", question=question, choice=_CHOICE)),
            default="", show_default=False, err=True,
        )  # fmt: skip
    except click.Abort:
        click.echo(err=True)
        return False
    return answer.strip().lower()[:1] in ("y", "j")


_CHOICE = Message("[y/N]")

pass_session = click.make_pass_decorator(Session)


def prints_answer(function: Callable[..., Answer]) -> Callable[..., Any]:
    """The command is given the session, and what it answers is printed as `--format` says."""

    @format_option
    @pass_session
    @wraps(function)
    def command(session: Session, /, output_format: str, **asked: Any) -> None:
        print_answer(function(session, **asked), output_format)

    return command


def sheet_argument(name: str, *, required: bool = True) -> Callable[[_Function], _Function]:
    return click.argument(
        name,
        required=required,
        type=PATH,
        metavar="SHEET" if required else "[SHEET]",
        shell_complete=sheets,
    )


paths_argument = click.argument(
    "paths", nargs=-1, type=PATH, metavar="[PATH]...", shell_complete=sheets
)
"""Files, folders and sheets."""


def competition_option(help_text: str) -> Callable[[_Function], _Function]:
    return click.option(
        "--competition", metavar="COMPETITION", shell_complete=competitions, help=help_text
    )


def season_option(help_text: str) -> Callable[[_Function], _Function]:
    return click.option(
        "--season", type=Number(), metavar="YEAR", shell_complete=season_years, help=help_text
    )


def club_option(help_text: str, *, or_team: bool = True) -> Callable[[_Function], _Function]:
    """A club; a team too unless it is not ``or_team``."""
    known = teams_and_clubs if or_team else clubs
    return click.option("--club", metavar="CLUB", shell_complete=known, help=help_text)


def part_option(help_text: str) -> Callable[[_Function], _Function]:
    return click.option("--part", metavar="PART", shell_complete=parts, help=help_text)
