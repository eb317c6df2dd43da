"""How a player is known of whom a source tells the match points, and of the others nothing."""

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
