"""A terminal that shows one page, drawn over again in one write, and left as it was found."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from types import FrameType
from typing import Any

_ENTER = "\x1b[?1049h\x1b[?25l\x1b[?7l\x1b[2J"
_LEAVE = "\x1b[?7h\x1b[?25h\x1b[?1049l"
_HOME, _END_OF_LINE, _END_OF_SCREEN = "\x1b[H", "\x1b[K", "\x1b[J"
_USUAL_SIZE = os.terminal_size((80, 24))


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
