"""What ``riesbuch desk`` shows, a sheet added up so far and its problems in so many lines, and a
terminal that shows one page, drawn over again in one write, and left as it was found."""

import contextlib
import os
import signal
import sys
import textwrap
from collections.abc import Iterator, Sequence
from types import FrameType
from typing import Any, NamedTuple

from riesbuch.care.desk import DeskView, EveningFigures, Figures, RunningSide, Total
from riesbuch.show.output import BOLD, FAINT, RED, said
from riesbuch.show.problems import STYLES, has_errors
from riesbuch.show.sheets import RowLine, paper_lines, result_sentence, side_title
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, on_one_line
from riesbuch.trade.problems import Problem, Severity, in_a_row

_ORDER = (Severity.ERROR, Severity.WARNING, Severity.DRAFT)
_CELL = 7
_LEAST_ROWS = 4
_COUNTS_NOWHERE = Message("It has errors and counts nowhere until they are mended.")

_ENTER = "\x1b[?1049h\x1b[?25l\x1b[?7l\x1b[2J"
_LEAVE = "\x1b[?7h\x1b[?25h\x1b[?1049l"
_HOME, _END_OF_LINE, _END_OF_SCREEN = "\x1b[H", "\x1b[K", "\x1b[J"
_USUAL_SIZE = os.terminal_size((80, 24))


class ScreenLine(NamedTuple):
    text: str
    style: str = ""

    def shown(self, width: int | None, *, colours: bool) -> str:
        """In at most ``width`` characters; what would steer the terminal is not let through."""
        text = on_one_line(said(self.text)).expandtabs(1)
        if width is not None and len(text) > width:
            text = text[: max(width - 1, 0)] + "…"
        return f"\x1b[{self.style}m{text}\x1b[0m" if colours and self.style else text


def page_lines(
    view: DeskView, name: str, width: int | None = None, height: int | None = None
) -> list[ScreenLine]:
    """The page; ``name`` is how the sheet is called. Where not all fits into ``height`` lines,
    the figures come first, then the problems, then the rows of strikes; one of them, that was
    changed last, is always there."""
    figures = view.figures
    rows: list[ScreenLine] = []
    interest: int | None = None
    if figures is None:
        lines = [ScreenLine(name, BOLD)]
    elif isinstance(figures, EveningFigures):
        lines = list(_evening(figures, view, name))
        rows = [ScreenLine(text) for text in _evening_rows(figures)]
        if view.changed_row is not None:
            rows[view.changed_row] = rows[view.changed_row]._replace(style=BOLD)
        interest = view.row_of_interest
    else:
        paper = list(paper_lines(figures.match, figures.running.tally, figures.rules,
                                 figures.archive))  # fmt: skip
        lines = [ScreenLine(paper[0], BOLD), *(ScreenLine(text) for text in paper[1:2] if text)]
        lines += [ScreenLine(""), *_totals(figures), ScreenLine("")]
        lines += [ScreenLine(text) for text in _state(figures, view, name)]
        numbers = [number for number, text in enumerate(paper[2:-2]) if isinstance(text, RowLine)]
        rows = [ScreenLine(text) for text in paper[2:-2]]
        if view.changed_row is not None:
            changed = numbers[view.changed_row]
            rows[changed] = rows[changed]._replace(style=BOLD)
        if view.row_of_interest is not None:
            interest = numbers[view.row_of_interest]
    if view.trouble:
        now = (
            Message("Now: {trouble}", trouble=view.trouble)
            if figures is None
            else Message("Now: {trouble}; the figures are those of before", trouble=view.trouble)
        )
        lines += [ScreenLine(text, RED) for text in _wrapped(now, width)]
    if view.problems:
        kept = 0 if interest is None else _LEAST_ROWS - 1
        room = None if height is None else height - len(lines) - 1 - kept
        lines += [ScreenLine(""), *_problem_lines(view.problems, name, width, room)]
    lines += _cut(rows, None if height is None else height - len(lines), interest)
    return lines if height is None else lines[:height]


def _evening(figures: EveningFigures, view: DeskView, name: str) -> Iterator[ScreenLine]:
    training, register = figures.training, figures.register
    club = register.clubs.get(training.club) if training.club else None
    title = Message(
        "Training of {club}, {date}",
        club=club.name if club else training.club or "?",
        date=training.date or "?",
    )
    yield ScreenLine(title, BOLD)
    known = [points for row in training.strikes for points in row.known]
    figures_line = Message(
        "{players}, {strikes}, {average} points per strike",
        players=counts.players(len(training.attended)),
        strikes=counts.strikes(sum(len(row.points) for row in training.strikes)),
        average=_average(known),
    )
    yield ScreenLine(figures_line)
    if training.present:
        names = in_a_row(register.player_name(player) for player in training.present)
        yield ScreenLine(Message("Present without strikes: {names}", names=names))
    if has_errors(view.problems, name) and not view.trouble:
        errors = Message("The evening has errors and counts nowhere until they are mended.")
        yield ScreenLine(errors)
    yield ScreenLine("")


def _evening_rows(figures: EveningFigures) -> Iterator[str]:
    names = {
        row.player: figures.register.player_name(row.player) for row in figures.training.strikes
    }
    width = 1 + max(map(len, names.values()), default=0)
    for row in figures.training.strikes:
        written = " ".join([strike.written for strike in row.strikes])
        head = f"{names[row.player]:<{width}}{len(row.points):>4}{_average(row.known):>7}"
        yield f"{head}   {written}"


def _average(points: Sequence[int]) -> str:
    return f"{sum(points) / len(points):.2f}" if points else "–"


def _totals(figures: Figures) -> Iterator[ScreenLine]:
    running, rules = figures.running, figures.rules
    count = max(rules.ries_count, len(running.home.ries), len(running.away.ries))
    heads = [
        f"{index // rules.strikes_per_inning + 1}.{index % rules.strikes_per_inning + 1}"
        for index in range(count)
    ]
    register = figures.archive.register
    names = {
        name: register.team_name(side.team) if side.team else Message("(no team)")
        for name, side in figures.match.sides
    }
    titles = {name: side_title(team, name) for name, team in names.items()}
    paper, difference = (f"  {said(label)}" for label in (Message("paper"), Message("difference")))
    width = 1 + max(map(len, (paper, difference, *titles.values())))

    def line(label: str, cells: Sequence[str]) -> str:
        return f"{label:<{width}}{''.join(f'{cell:>{_CELL}}' for cell in cells)}"

    heads += map(said, (Message("points"), Message("Numm."), Message("blanks")))
    yield ScreenLine(line(said(Message("Ries totals")), heads), FAINT)
    for name, title in titles.items():
        side = running.side(name)
        totals = [*_all_ries(side, count), side.points, side.nummern]
        cells = [_number(total.added_up) for total in totals]
        yield ScreenLine(line(title, [*cells, str(side.blanks)]), BOLD)
        if side.has_paper:
            yield ScreenLine(line(paper, [_number(total.paper) for total in totals]))
            differs = any(total.difference and not total.is_open for total in totals)
            shown = [_difference(total) for total in totals]
            yield ScreenLine(line(difference, shown), RED if differs else "")


def _all_ries(side: RunningSide, count: int) -> list[Total]:
    return [*side.ries, *[Total(None)] * (count - len(side.ries))]


def _number(value: int | None) -> str:
    return "–" if value is None else str(value)


def _difference(total: Total) -> str:
    """``=`` where it fits; in brackets where strikes are still to come."""
    if total.difference is None:
        return "–"
    shown = f"{total.difference:+}".replace("-", "−") if total.difference else "="
    return f"({shown})" if total.is_open else shown


def _state(figures: Figures, view: DeskView, name: str) -> Iterator[str]:
    blanks = figures.running.blanks
    if blanks:
        yield Message.plural(
            blanks,
            "{count:,} strike is still to be entered.",
            "{count:,} strikes are still to be entered.",
        )
    else:
        yield result_sentence(figures.running.tally, figures.archive.register.team_name)
    if has_errors(view.problems, name) and not view.trouble:
        yield _COUNTS_NOWHERE
    if not figures.knows_rules:
        yield Message("Its rule set is not known; it is added up under the default rules.")


def _problem_lines(
    problems: Sequence[Problem], name: str, width: int | None, room: int | None
) -> Iterator[ScreenLine]:
    """The worst first, each whole but for the first; those that have no room are counted."""
    ordered = sorted(
        problems, key=lambda problem: (_ORDER.index(problem.severity), problem.sort_key)
    )
    left = room
    for number, problem in enumerate(ordered):
        lines = _wrapped(_told(problem, name), width)
        more = len(ordered) - number
        if left is not None and len(lines) + (more > 1) > left:
            if number == 0:
                lines, more = lines[: max(left - (more > 1), 0)], more - 1
                yield from (ScreenLine(line, STYLES[problem.severity]) for line in lines)
            if more:
                yield ScreenLine(Message("… and {more} more", more=more), FAINT)
            return
        for line in lines:
            yield ScreenLine(line, STYLES[problem.severity])
        if left is not None:
            left -= len(lines)


def _told(problem: Problem, name: str) -> str:
    if problem.place.path != name:
        return problem.as_line()
    place = f"{problem.place.line}:{problem.place.column}: "
    return place + said(problem.as_sentence())


def _wrapped(text: str, width: int | None) -> list[str]:
    if width is None or width < 20:
        return [text]
    return textwrap.wrap(said(text), width, subsequent_indent="  ") or [""]


def _cut(lines: list[ScreenLine], room: int | None, interest: int | None) -> list[ScreenLine]:
    """As many as have room, that of ``interest`` among them, and how many more there are; none
    where that is hardly any."""
    if room is None or len(lines) <= room:
        return lines
    if room < _LEAST_ROWS:
        return [] if interest is None else lines[interest : interest + 1]
    # Before and after each have a line that says how many there are.
    first, last = 0, room - 1
    if interest is not None and interest >= last:
        last = min(len(lines), interest + 2)
        first = last - (room - 1 if last == len(lines) else room - 2)
    shown = lines[first:last]
    if first:
        shown.insert(0, _more_lines(first))
    return [*shown, _more_lines(len(lines) - last)] if last < len(lines) else shown


def _more_lines(number: int) -> ScreenLine:
    more = Message.plural(number, "… and {count:,} more line", "… and {count:,} more lines")
    return ScreenLine(more, FAINT)


class Screen:
    """``is_left`` once somebody asked to end: with Ctrl-C, or by a signal."""

    def __init__(self) -> None:
        self._out = sys.stdout.fileno()
        self._modes: list[Any] | None = None
        self._drawn: object = None
        self.is_left = False

    @property
    def size(self) -> os.terminal_size:
        try:
            size = os.get_terminal_size(self._out)
        except OSError:
            return _USUAL_SIZE
        # A terminal that does not know its size says nought.
        return os.terminal_size((size.columns or 80, size.lines or 24))

    def draw(self, lines: Sequence[str]) -> None:
        """Show the lines from the top; nothing is written where they stand there already. A line
        may hold colours, which are ended with it."""
        frame = (self.size, tuple(lines))
        if frame == self._drawn:
            return
        self._drawn = frame
        text = "\r\n".join(f"{line}{_END_OF_LINE}" for line in lines)
        self._write(f"{_HOME}{text}{_END_OF_SCREEN}")

    @contextlib.contextmanager
    def shown(self) -> Iterator[None]:
        """The page is up within; what was on the terminal is there again afterwards."""
        handlers = self._signals()
        previous = {number: signal.signal(number, handler) for number, handler in handlers}
        self._enter()
        try:
            yield
        finally:
            self._leave()
            for number, handler in previous.items():
                signal.signal(number, handler)

    def _signals(self) -> list[tuple[int, Any]]:
        names = ("SIGINT", "SIGTERM", "SIGHUP")
        handlers = [(getattr(signal, name), self._on_leaving) for name in names
                    if hasattr(signal, name)]  # fmt: skip
        if hasattr(signal, "SIGTSTP"):
            handlers.append((signal.SIGTSTP, self._on_stop))
        return handlers

    def _on_leaving(self, number: int, frame: FrameType | None) -> None:
        if self.is_left:
            raise KeyboardInterrupt
        self.is_left = True

    def _on_stop(self, number: int, frame: FrameType | None) -> None:
        """Ctrl-Z: the shell gets its terminal back until we go on."""
        self._leave()
        signal.signal(number, signal.SIG_DFL)
        os.kill(os.getpid(), number)
        signal.signal(number, self._on_stop)
        self._enter()

    def _enter(self) -> None:
        self._drawn = None
        self._modes = _without_echo()
        self._write(_ENTER)

    def _leave(self) -> None:
        with contextlib.suppress(OSError):
            self._write(_LEAVE)
        _restore(self._modes)

    def _write(self, text: str) -> None:
        sys.stdout.flush()
        rest = text.encode("utf-8", "replace")
        while rest:
            rest = rest[os.write(self._out, rest) :]


def _without_echo() -> list[Any] | None:
    """What is typed into the page would stand across it. Returns the modes as they were."""
    try:
        import termios
    except ImportError:
        return None
    try:
        modes = termios.tcgetattr(sys.stdin.fileno())
        changed = [*modes]
        changed[3] &= ~termios.ECHO
        termios.tcsetattr(sys.stdin.fileno(), termios.TCSANOW, changed)
    except (termios.error, OSError, ValueError):
        return None
    return modes


def _restore(modes: list[Any] | None) -> None:
    if modes is None:
        return
    import termios

    with contextlib.suppress(termios.error, OSError, ValueError):
        # Keys pressed meanwhile were for nobody, and would be the shell's.
        termios.tcsetattr(sys.stdin.fileno(), termios.TCSAFLUSH, modes)
