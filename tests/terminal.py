"""A real terminal of its own for one command, and what stands on its screen."""

import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

SOURCE = Path(__file__).parent.parent / "src"

_CONTROL = re.compile(r"\x1b\[(\??)([0-9;]*)([A-Za-z])|\x1b.")
_LONGEST_WAIT = 20.0


class Terminal:
    """``raw`` is all that the command wrote, ``lines`` what its screen shows now."""

    def __init__(self, process: subprocess.Popen[bytes], master: int, slave: int) -> None:
        self.process = process
        self.raw = b""
        self._master = master
        self._slave = slave

    def resize(self, columns: int, lines: int) -> None:
        size = struct.pack("HHHH", lines, columns, 0, 0)
        fcntl.ioctl(self._slave, termios.TIOCSWINSZ, size)

    def press(self, keys: bytes) -> None:
        os.write(self._master, keys)

    def read(self, seconds: float) -> bytes:
        """What arrives within that time."""
        new = b""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            ready, _, _ = select.select([self._master], [], [], left)
            if not ready:
                break
            try:
                new += os.read(self._master, 65536)
            except OSError:
                break
            if new and seconds > 1:
                break
        self.raw += new
        return new

    def wait_for(self, what: str | Callable[[str], bool]) -> float:
        """Read until the screen holds the text, or is as asked; how many seconds it took."""
        begun = time.monotonic()

        def is_there() -> bool:
            return what in self.text if isinstance(what, str) else what(self.text)

        while not is_there():
            waited = time.monotonic() - begun
            assert waited < _LONGEST_WAIT, f"waited in vain for {what!r}; shown is:\n{self.text}"
            self.read(0.01)
        return time.monotonic() - begun

    @property
    def lines(self) -> list[str]:
        return shown_lines(self.raw.decode("utf-8", "replace"))

    @property
    def text(self) -> str:
        return "\n".join(self.lines)

    @property
    def echoes(self) -> bool:
        return bool(termios.tcgetattr(self._slave)[3] & termios.ECHO)

    def end(self) -> int:
        """Read to the end of the command; its exit status."""
        deadline = time.monotonic() + _LONGEST_WAIT
        while self.process.poll() is None and time.monotonic() < deadline:
            self.read(0.05)
        self.read(0.05)
        return self.process.wait(timeout=1)


def shown_lines(written: str) -> list[str]:
    """The screen after all that was written; colours are left out."""
    lines: list[list[str]] = [[]]
    row = column = 0
    position = 0
    while position < len(written):
        control = _CONTROL.match(written, position)
        if control is not None:
            position = control.end()
            if control[3] == "H":
                row = column = 0
            elif control[3] == "K":
                del lines[row][column:]
            elif control[3] == "J":
                if control[2] == "2":
                    lines = [[] for _ in lines]
                else:
                    del lines[row][column:]
                    del lines[row + 1 :]
            elif control[1] == "?" and control[2] == "1049" and control[3] == "l":
                lines, row, column = [[]], 0, 0
            continue
        character = written[position]
        position += 1
        if character == "\r":
            column = 0
        elif character == "\n":
            row += 1
            while len(lines) <= row:
                lines.append([])
        else:
            line = lines[row]
            line += [" "] * (column - len(line) + 1)
            line[column] = character
            column += 1
    return ["".join(line).rstrip() for line in lines]


@contextlib.contextmanager
def in_terminal(
    *arguments: str | Path,
    columns: int = 100,
    lines: int = 50,
    environment: Mapping[str, str] | None = None,
    through: Sequence[str] = (),
) -> Iterator[Terminal]:
    """``riesbuch`` with ``arguments`` in a terminal of that size, ended at the latest here; run
    by ``through``, a command that takes another as its arguments, where that is given."""
    master, slave = pty.openpty()
    settings = {**os.environ, "PYTHONPATH": str(SOURCE), "TERM": "xterm", "PAGER": "cat"}
    # Who runs the tests has a terminal of another size.
    settings = {key: value for key, value in settings.items() if key not in ("COLUMNS", "LINES")}
    settings |= environment or {}
    fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
    process = subprocess.Popen(
        [*through, sys.executable, "-m", "riesbuch", *map(str, arguments)],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        start_new_session=True,
        preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        env=settings,
    )
    terminal = Terminal(process, master, slave)
    try:
        yield terminal
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGKILL)
        process.wait()
        os.close(master)
        os.close(slave)
