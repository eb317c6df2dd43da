"""Standard output and error as every command has them: the one place where text is made harmless
for a terminal, and where it is noticed that text could not be written. A progress bar too."""

import contextlib
import io
import os
import sys
import time
from collections.abc import Iterator
from typing import Any, TextIO

import click

from riesbuch.show.output import Accent, said
from riesbuch.trade.messages import Message, Words, harmless

_SECONDS_WITHOUT_A_BAR = 1.0
_LABEL = Message("Reading sheets")


class HarmlessStream:
    """A text stream on which no control character arrives but tabs and line ends.

    What cannot be written is dropped, so that the work that is told of is done all the same, and
    kept as ``failure``; a reader who leaves, as `head` does, is no failure. It has no ``buffer``,
    so that nobody writes around it. ``words`` are those of the user's language, None in English;
    ``accent`` is what of the text to come is in colour, where there are ``colours``; ``held``
    takes what is not to be written yet, with its stream.
    """

    def __init__(self, stream: TextIO, words: Words | None) -> None:
        self.raw = stream
        self.words = words
        self.failure: OSError | None = None
        self.accent: Accent | None = None
        self.held: list[tuple[HarmlessStream, str]] | None = None
        self._is_dropping = False

    def write(self, text: str | bytes) -> int:
        # Some versions of click write what a shell asks for as bytes.
        shown = harmless(text.decode() if isinstance(text, bytes) else text)
        if self.accent is not None and self.colours:
            part, style = self.accent
            shown = shown.replace(part, f"\x1b[{style}m{part}\x1b[0m", 1)
        if self.held is not None:
            self.held.append((self, shown))
        else:
            self.write_as_it_is(shown)
        return len(text)

    def write_as_it_is(self, text: str) -> None:
        if not self._is_dropping:
            with self._noticed():
                self.raw.write(text)

    @property
    def colours(self) -> bool:
        """On a terminal, if nobody asks for none (no-color.org)."""
        wanted = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
        return wanted and self.raw.isatty()

    def writelines(self, lines: Any) -> None:
        for line in lines:
            self.write(line)

    def flush(self) -> None:
        if not self._is_dropping:
            with self._noticed():
                self.raw.flush()

    @contextlib.contextmanager
    def _noticed(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            self._is_dropping = True
            if not isinstance(error, BrokenPipeError):
                self.failure = error
            # Python writes what is left once more at its end, and would complain of it.
            with contextlib.suppress(OSError, ValueError):
                _open_at(self.raw.fileno(), os.O_WRONLY)

    def __getattr__(self, name: str) -> Any:
        if name == "buffer":
            raise AttributeError(name)
        return getattr(self.raw, name)


@contextlib.contextmanager
def harmless_streams(words: Words | None = None) -> Iterator[tuple[HarmlessStream, HarmlessStream]]:
    """Standard output and error within are harmless ones, and after a fault too, for Python's own
    words on it; any that are closed are opened, so that no file of ours gets their numbers."""
    _open_closed()
    before = sys.stdout, sys.stderr
    streams = HarmlessStream(sys.stdout, words), HarmlessStream(sys.stderr, words)
    for stream in before:
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace", newline="\n")
    sys.stdout, sys.stderr = streams
    yield streams
    sys.stdout, sys.stderr = before


@contextlib.contextmanager
def paged() -> Iterator[None]:
    """What is written within is shown page by page, if it is longer than the screen and somebody
    looks; where it fails, as it comes."""
    streams = [
        stream
        for stream in (sys.stdout, sys.stderr)
        if isinstance(stream, HarmlessStream) and stream.isatty()
    ]
    if not (sys.stdin.isatty() and sys.stdout.isatty() and _has_pager()):
        yield
        return
    import shutil

    held: list[tuple[HarmlessStream, str]] = []
    for stream in streams:
        stream.held = held
    is_done = False
    try:
        yield
        is_done = True
    finally:
        for stream in streams:
            stream.held = None
        text = "".join(text for _, text in held)
        size = shutil.get_terminal_size()
        lines = sum(1 + len(line) // size.columns for line in text.splitlines())
        if is_done and lines >= size.lines:
            # As git does it: what has room is not paged, colours are, the text stays.
            os.environ.setdefault("LESS", "FRX")
            click.echo_via_pager(text.removesuffix("\n"), color=True)
        else:
            for stream, part in held:
                stream.write_as_it_is(part)


def _has_pager() -> bool:
    words = os.environ.get("PAGER", "less").split()
    if not words or words == ["cat"] or os.environ.get("TERM") == "dumb":
        return False
    import shutil

    return shutil.which(words[0]) is not None


def stream_of_controls() -> TextIO:
    """Standard error for what is drawn with controls of our own, and holds no text of files."""
    stream = sys.stderr
    return stream.raw if isinstance(stream, HarmlessStream) else stream


def _open_closed() -> None:
    """Standard input that is closed has nothing in it; to write to the others fails, as the
    library of GNU's own tools does it (module `stdopen`)."""
    if sys.stdin is None:
        _open_at(0, os.O_RDONLY)
        sys.stdin = os.fdopen(0, encoding="utf-8")
    if sys.stdout is None:
        _open_at(1, os.O_RDONLY)
        sys.stdout = os.fdopen(1, "w", encoding="utf-8")
    if sys.stderr is None:
        _open_at(2, os.O_RDONLY)
        sys.stderr = os.fdopen(2, "w", encoding="utf-8")


def _open_at(number: int, mode: int) -> None:
    opened = os.open(os.devnull, mode)
    if opened != number:
        os.dup2(opened, number)
        os.close(opened)
    os.set_inheritable(number, True)


class Progress:
    """A progress bar on standard error, where somebody is looking and it takes a while. Called
    with how many of how many things are done; ``label`` says what is."""

    def __init__(self, label: Message = _LABEL) -> None:
        self._label = label
        self._begun = time.monotonic()
        self._bar: Any = None

    def __call__(self, done: int, whole: int) -> None:
        if not sys.stderr.isatty():
            return
        if (
            self._bar is None
            and time.monotonic() - self._begun > _SECONDS_WITHOUT_A_BAR
            and done < whole
        ):
            file = stream_of_controls()
            self._bar = click.progressbar(length=whole, label=said(self._label), file=file)
            self._bar.__enter__()
        if self._bar is not None:
            self._bar.update(done - self._bar.pos)
            if done >= whole:
                self._bar.__exit__(None, None, None)
                self._bar = None
