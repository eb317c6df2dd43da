"""What every command shares: the club folder, opened when it is first needed."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from riesbuch.archive import Archive
    from riesbuch.folder import ClubFolder
    from riesbuch.history.match_lines import Connection
    from riesbuch.index.index import Index


@dataclass(slots=True)
class Session:
    given_folder: Path | None
    opened: ClubFolder | None = None

    @property
    def folder(self) -> ClubFolder:
        from riesbuch.folder import find_folder, open_folder

        if self.opened is None:
            if self.given_folder is not None:
                self.opened = open_folder(self.given_folder)
            else:
                self.opened = find_folder(Path.cwd())
        return self.opened

    def index(self) -> Index:
        from riesbuch.cli.output import say
        from riesbuch.cli.progress import Progress
        from riesbuch.index.index import Index
        from riesbuch.review.index_signs import may_leave_out

        if may_leave_out(self.folder.root):
            from riesbuch.review.left_out import left_out_sentence

            sentence = left_out_sentence(self.folder.root)
            if sentence:
                say(sentence)
        index = Index(self.folder, say, Progress())
        click.get_current_context().call_on_close(index.close)
        return index

    def all_seasons(self, output_format: str) -> Connection:
        """A connection to the tables of all seasons. While another process looks at their files,
        what prints the answer is loaded."""
        from riesbuch.cli.output import load_layout

        index = self.index()
        index.look_ahead()
        load_layout(output_format)
        return index.connection()

    def archive(self) -> Archive:
        from riesbuch.archive import open_archive

        return open_archive(self.folder)


pass_session = click.make_pass_decorator(Session)
