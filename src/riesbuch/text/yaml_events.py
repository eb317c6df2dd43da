"""The YAML parser's event stream, and which parser gives it.

The C parser is chosen once, at import, where it is installed; else the pure one, which gives
the same trees.
"""

from collections.abc import Callable
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
    StreamStartEvent,
)

__all__ = [
    "C_PARSER_IN_USE",
    "AliasEvent",
    "DocumentEndEvent",
    "DocumentStartEvent",
    "MappingEndEvent",
    "MappingStartEvent",
    "MarkedYAMLError",
    "NextEvent",
    "ScalarEvent",
    "SequenceEndEvent",
    "SequenceStartEvent",
    "StreamEndEvent",
    "StreamStartEvent",
    "YAMLError",
    "c_events",
    "open_events",
    "pure_events",
]

NextEvent = Callable[[], Any]
"""Gives the next event of a stream at every call; raises YAMLError."""

try:
    from ruamel.yaml.cyaml import CParser  # type: ignore[attr-defined]

    C_PARSER_IN_USE = True
except ImportError:
    C_PARSER_IN_USE = False


def c_events(text: str) -> NextEvent:
    get_event: NextEvent = CParser(text).get_event
    return get_event


def pure_events(text: str) -> NextEvent:
    events = iter(YAML(typ="safe", pure=True).parse(text))

    def next_event() -> Any:
        try:
            return next(events)
        except ValueError as error:
            # The number of an escaped character is handed to `chr` as it is written.
            raise YAMLError(str(error)) from None

    return next_event


open_events = c_events if C_PARSER_IN_USE else pure_events
