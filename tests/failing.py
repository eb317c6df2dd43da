"""A disk that is full from some write on, on which files can still be taken away."""

import os
import tempfile
from errno import ENOSPC
from typing import Any

import pytest


def fill_disk(monkeypatch: pytest.MonkeyPatch, room_for: int) -> None:
    """From now on ``room_for`` more files or entries of a folder can be made, no more."""
    left = [room_for]

    def taking(name: str, make: Any) -> Any:
        def made(*args: Any, **named: Any) -> Any:
            if name == "mkdir" and os.path.isdir(args[0]):
                return make(*args, **named)
            if left[0] == 0:
                raise OSError(ENOSPC, os.strerror(ENOSPC), name)
            left[0] -= 1
            return make(*args, **named)

        return made

    monkeypatch.setattr(tempfile, "mkstemp", taking("mkstemp", tempfile.mkstemp))
    monkeypatch.setattr(tempfile, "mkdtemp", taking("mkdtemp", tempfile.mkdtemp))
    monkeypatch.setattr(os, "link", taking("link", os.link))
    monkeypatch.setattr(os, "mkdir", taking("mkdir", os.mkdir))
