"""What every command shares: the club folder, opened when it is first needed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from riesbuch.show.output import FORMATS

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.index.index import Index
    from riesbuch.questions.match_lines import Connection


_Function = TypeVar("_Function", bound=Callable[..., Any])


def format_option(function: _Function) -> _Function:
    return click.option(
        "--format",
        "output_format",
        type=click.Choice(FORMATS),
        default="table",
        show_default=True,
        help="How to print the result.",
    )(function)


@dataclass(slots=True)
class Session:
    given_folder: Path | None
    opened: ClubFolder | None = None

    @property
    def folder(self) -> ClubFolder:
        from riesbuch.folder.club_folder import find_folder, open_folder

        if self.opened is None:
            if self.given_folder is not None:
                self.opened = open_folder(self.given_folder)
            else:
                self.opened = find_folder(Path.cwd())
        return self.opened

    def index(self) -> Index:
        from riesbuch.cli.progress import Progress
        from riesbuch.index.index import Index
        from riesbuch.review.index_signs import may_leave_out
        from riesbuch.show.output import say

        if may_leave_out(self.folder.root):
            from riesbuch.review.left_out import left_out_sentence

            sentence = left_out_sentence(self.folder.root)
            if sentence:
                say(sentence)
        index = Index(self.folder, say, Progress())
        click.get_current_context().call_on_close(index.close)
        return index

    def all_seasons(self) -> Connection:
        """A connection to the tables of all seasons."""
        return self.index().connection()

    def archive(self) -> Archive:
        from riesbuch.folder.archive import open_archive

        return open_archive(self.folder)


pass_session = click.make_pass_decorator(Session)
