"""Options of those who agree: names and days."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

from riesbuch.cli.context import DateType

_Function = TypeVar("_Function", bound=Callable[..., Any])


def day_option(help_text: str) -> Callable[[_Function], _Function]:
    return click.option("--on", type=DateType(), metavar="DATE", help=help_text)


def signature(option: str, given: str) -> str:
    """A name or a reason as given, on one line and not empty."""
    from riesbuch.trade.problems import UsageError

    text = " ".join(given.split())
    if not text or not text.isprintable() or text.lower() in ("null", "~"):
        raise UsageError(f"{option} needs a text; `{given}` is none")
    return text
