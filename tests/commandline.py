"""Running the command line within the test's own process."""

import contextlib
import gc
import io
import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from riesbuch.cli.main import run
from riesbuch.trade.messages import Words

EXAMPLE = Path(__file__).parent.parent / "example_league"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    status: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out)


class _TerminalStream(io.TextIOWrapper):
    def isatty(self) -> bool:
        return True


def invoke(
    *arguments: str | Path, words: Words | None = None, columns: int | None = None
) -> Outcome:
    """Run ``riesbuch`` with ``arguments``; exit status, standard output and error apart. With
    ``words`` in the language that they are of; as on a terminal of so many ``columns``."""
    collects = gc.isenabled()
    stream = io.TextIOWrapper if columns is None else _TerminalStream
    out, err = (stream(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with (
        mock.patch.dict(os.environ, {} if columns is None else {"COLUMNS": str(columns)}),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        pytest.raises(SystemExit) as leaving,
    ):
        run([str(argument) for argument in arguments], words)
    # A command does without the garbage collector; the tests live longer than one.
    if collects:
        gc.enable()
    assert isinstance(leaving.value.code, int)
    return Outcome(status=leaving.value.code, out=_written(out), err=_written(err))


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    assert isinstance(stream.buffer, io.BytesIO)
    return stream.buffer.getvalue().decode("utf-8")
