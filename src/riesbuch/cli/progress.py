"""A progress bar on standard error, where somebody is looking and it takes a while."""

import sys
import time
from typing import Any

import click

from riesbuch.cli.streams import stream_of_controls

_SECONDS_WITHOUT = 1.0


class Progress:
    """Called with how many of how many things are done; ``label`` says what is."""

    def __init__(self, label: str = "Reading sheets") -> None:
        self._label = label
        self._begun = time.monotonic()
        self._bar: Any = None

    def __call__(self, done: int, whole: int) -> None:
        if not sys.stderr.isatty():
            return
        if self._bar is None and time.monotonic() - self._begun > _SECONDS_WITHOUT and done < whole:
            file = stream_of_controls()
            self._bar = click.progressbar(length=whole, label=self._label, file=file)
            self._bar.__enter__()
        if self._bar is not None:
            self._bar.update(done - self._bar.pos)
            if done >= whole:
                self._bar.__exit__(None, None, None)
                self._bar = None
