"""What kinds of sources are called, and one whom they name, of the others telling nothing."""

from collections.abc import Mapping

from riesbuch.trade.messages import Message

NAMED: Mapping[str, Message] = {
    "newspaper": Message("named by a newspaper"),
    "paper-sheet": Message("named on the paper sheet"),
    "minute-book": Message("named in the minute book"),
    "letter": Message("named in a letter"),
    "memory": Message("named from memory"),
    "other": Message("named in an old record"),
    "": Message("named"),
}
"""By the kind of the sheet's source, empty where none is given."""

SOURCES: Mapping[str, Message] = {
    "paper-sheet": Message("a paper sheet"),
    "newspaper": Message("a newspaper"),
    "minute-book": Message("a minute book"),
    "letter": Message("a letter"),
    "memory": Message("memory"),
}
"""Kinds of sources in a few words."""
