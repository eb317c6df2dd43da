"""``riesbuch desk``."""

from __future__ import annotations

import gc
import os
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, pass_session, sheet_argument
from riesbuch.show.output import write
from riesbuch.trade.ids import club_of
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.care.desk import DeskView
    from riesbuch.folder.club_folder import ClubFolder
    from riesbuch.index.index import Index
    from riesbuch.index.watching import SheetWatch, SurroundingsWatch
    from riesbuch.judge.examination import ExaminedSheet
    from riesbuch.show.desk import Screen
    from riesbuch.trade.problems import Problem

_PAUSE = 0.1
_PAUSE_WHILE_IDLE = 0.2
_SECONDS_TO_IDLE = 60.0
_SECONDS_BETWEEN_LOOKS_AROUND = 1.0
# An editor may truncate first and write then; what lasts no longer is not worth a word.
_SECONDS_TO_SETTLE = 0.2


@click.command("desk")
@sheet_argument("sheet", required=False)
@pass_session
def command(session: Session, sheet: Path | None) -> int:
    """Show a sheet added up while you type it, anew after every save.

    Without SHEET it is the newest open draft. Of a training, named by its path, it shows who struck
    how many, and the averages. Keep it open beside the editor: Ries totals, points
    and Nummern so far, strikes still to be entered, differences to the paper's totals, and the
    problems that `riesbuch check` tells of the sheet, with line and column. Of the rows that which
    was changed last is always shown. Ctrl-C ends it. Where the output is no terminal, it is shown
    once, and the exit status is 1 if the sheet has errors.
    """
    from riesbuch.cli.sheets import locate_sheet, newest_draft

    path = newest_draft(session) if sheet is None else locate_sheet(session.folder, sheet)
    if not sys.stdout.isatty() or os.environ.get("TERM") == "dumb":
        return _show_once(session, path)
    from riesbuch.show.desk import Screen

    # A command does without the garbage collector, but this one may run for an evening.
    gc.enable()
    screen = Screen()
    desk = _Desk(session.folder, path)
    try:
        with screen.shown():
            desk.run(screen)
    except KeyboardInterrupt:
        return 0
    for line in desk.last_page:
        write(line)
    return 0


def _show_once(session: Session, path: Path) -> int:
    from riesbuch.show.desk import page_lines
    from riesbuch.show.problems import has_errors

    view, _ = _read(session.folder, session.index(), path)
    for line in page_lines(view, session.folder.relative(path)):
        write(line.shown(None, colours=False))
    return 1 if has_errors(view.problems) else 0


def _read(folder: ClubFolder, index: Index, path: Path) -> tuple[DeskView, ExaminedSheet | None]:
    from riesbuch.care.desk import DeskView, figures_of
    from riesbuch.cli.sheets import examine_one
    from riesbuch.folder.club_folder import Kind, kind_of_path
    from riesbuch.review.history import SEAL_BROKEN, with_changed_cells

    if kind_of_path(folder.relative(path)).kind is Kind.TRAINING:
        return _read_training(folder, index, path), None
    archive, examined, problems = examine_one(folder, index, path)
    if any(problem.code == SEAL_BROKEN for problem in problems):
        problems = with_changed_cells(folder, problems)
    if examined.match is not None:
        figures = figures_of(examined.match, examined.rules, archive)
        return DeskView(figures=figures, problems=problems), examined
    return _unreadable(problems, examined.path), examined


def _unreadable(problems: Sequence[Problem], path: str) -> DeskView:
    from riesbuch.care.desk import DeskView

    own = [problem for problem in problems if problem.place.path == path]
    worst = next((problem for problem in own if problem.is_error), None)
    where = Message("line {line}, ", line=worst.place.line) if worst else ""
    why = worst.message if worst else Message("it changes just now")
    return DeskView(
        problems=problems, trouble=Message("it cannot be read: {where}{why}", where=where, why=why)
    )


def _read_training(folder: ClubFolder, index: Index, path: Path) -> DeskView:
    from riesbuch.care.desk import DeskView, EveningFigures
    from riesbuch.text.sheet import read_training

    _, all_problems = index.problems([], with_trainings=True)
    name = folder.relative(path)
    problems = [problem for problem in all_problems if problem.is_of(name)]
    training = read_training(folder.content(path) or b"").record
    if training is None:
        return _unreadable(problems, name)
    figures = EveningFigures(training=training, register=index.register().register)
    return DeskView(figures=figures, problems=problems)


class _Desk:
    """The sheet in ``path``, followed until the screen is left."""

    def __init__(self, folder: ClubFolder, path: Path) -> None:
        from riesbuch.care.desk import DeskView
        from riesbuch.index.watching import SheetWatch, SurroundingsWatch

        self._folder = folder
        self._path = path
        self._watch: SheetWatch = SheetWatch(path)
        self._around: SurroundingsWatch = SurroundingsWatch(folder, path)
        self._view: DeskView = DeskView()
        self._trouble: tuple[float, DeskView] | None = None
        self._colours = not os.environ.get("NO_COLOR")
        self.last_page: list[str] = []

    def run(self, screen: Screen, clock: Callable[[], float] = time.monotonic) -> None:
        last_change = look_around = clock()
        drawn: DeskView | None = None
        drawn_size: object = None
        while not screen.is_left:
            now = clock()
            is_new, content = self._watch.content_if_new(now)
            if not is_new and now >= look_around:
                is_new = self._around.is_changed()
                look_around = clock() + _SECONDS_BETWEEN_LOOKS_AROUND
            if is_new:
                last_change = now
                self._take(self._read(content), now)
            if self._trouble is not None and clock() >= self._trouble[0]:
                self._view = self._trouble[1].after(self._view)
                self._trouble = None
            size = screen.size
            if drawn is not self._view or size != drawn_size:
                drawn, drawn_size = self._view, size
                self.last_page = self._page(size)
            # Also after Ctrl-Z, when the screen is another.
            screen.draw(self.last_page)
            idle = now - last_change > _SECONDS_TO_IDLE
            time.sleep(_PAUSE_WHILE_IDLE if idle else _PAUSE)

    def _take(self, view: DeskView, now: float) -> None:
        """Good news at once; bad news after a good while has to last for a moment."""
        if view.trouble and self._view.figures is not None:
            since = self._trouble[0] if self._trouble else now + _SECONDS_TO_SETTLE
            self._trouble = (since, view)
            return
        self._trouble = None
        self._view = view.after(self._view)

    def _read(self, content: bytes | None) -> DeskView:
        from riesbuch.care.desk import DeskView, EveningFigures
        from riesbuch.index.index import Index
        from riesbuch.trade.problems import RiesbuchError

        self._around.look()
        if content is None:
            return DeskView(trouble=Message("the file is not there, or cannot be read"))
        if not content.strip():
            return DeskView(trouble=Message("the file is empty"))
        try:
            with closing(Index(self._folder, lambda _: None)) as index:
                view, examined = _read(self._folder, index, self._path)
        except RiesbuchError as error:
            return DeskView(trouble=error.message)
        except OSError as error:
            return DeskView(trouble=str(error))
        entry = examined.entry if examined else None
        sheet = self._folder.sheet_id(self._path)
        year = int(sheet.partition("/")[0]) if sheet else entry.season if entry else None
        if entry is not None:
            clubs = [club_of(team) for team in (entry.home, entry.away) if team]
            self._around.follow(year, entry.mentions.players, clubs)
        elif isinstance(view.figures, EveningFigures):
            training = view.figures.training
            named = [player for player, _ in training.named]
            year = training.date.year if training.date else None
            self._around.follow(year, named, [training.club] if training.club else [])
        return view

    def _page(self, size: os.terminal_size) -> list[str]:
        from riesbuch.show.desk import page_lines

        name = self._folder.relative(self._path)
        lines = page_lines(self._view, name, size.columns, size.lines)
        return [line.shown(size.columns, colours=self._colours) for line in lines]
