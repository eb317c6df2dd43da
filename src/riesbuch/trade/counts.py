"""Numbers of things as a part of a sentence: "1 sheet", "6,600 sheets"."""

from typing import NamedTuple

from riesbuch.trade.messages import Message


class Counted(NamedTuple):
    """The forms of one and of many, each with the gap ``count``."""

    one: str
    many: str

    def __call__(self, number: int) -> Message:
        return Message.plural(number, self.one, self.many)


comments = Counted("{count:,} comment", "{count:,} comments")
drafts = Counted("{count:,} draft", "{count:,} drafts")
errors = Counted("{count:,} error", "{count:,} errors")
files = Counted("{count:,} file", "{count:,} files")
files_changed = Counted("{count:,} file changed", "{count:,} files changed")
files_to_change = Counted("{count:,} file would change", "{count:,} files would change")
fixtures = Counted("{count:,} fixture", "{count:,} fixtures")
matches = Counted("{count:,} match", "{count:,} matches")
nummern = Counted("{count:,} Nummer", "{count:,} Nummern")
pages = Counted("{count:,} page", "{count:,} pages")
players = Counted("{count:,} player", "{count:,} players")
points = Counted("{count:,} point", "{count:,} points")
rank_points = Counted("{count:,} rank point", "{count:,} rank points")
rows = Counted("{count:,} row", "{count:,} rows")
sheets = Counted("{count:,} sheet", "{count:,} sheets")
strikes = Counted("{count:,} strike", "{count:,} strikes")
open_trainings = Counted("{count:,} training not filled in", "{count:,} trainings not filled in")
teams = Counted("{count:,} team", "{count:,} teams")
warnings = Counted("{count:,} warning", "{count:,} warnings")
