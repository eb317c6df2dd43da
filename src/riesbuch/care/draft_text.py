"""The text of a draft sheet: a match to come with its players, every strike still to be entered."""

from collections.abc import Iterator

from riesbuch.care.fixture_choice import PlannedMatch
from riesbuch.care.lineup import Lineup
from riesbuch.text.layout import SHEET_SHAPE, canonical, written_scalar
from riesbuch.text.schemas import editor_line
from riesbuch.trade.ids import PlayerId
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.strikes import BLANK, write_strike

_FOLDERS_ABOVE = 3
_NOBODY = "nobody is known here: write `strikes:` with a line for each player, or `points:`"
_MEMBERS = "no earlier order is known: these are the club's members, to be sorted and thinned out"


def draft_text(
    match: PlannedMatch, ground: str | None, home: Lineup, away: Lineup, rules: RuleSet
) -> str:
    """The sheet in the one layout. ``ground`` is that of the home club, if known."""
    head = [
        editor_line("sheet", _FOLDERS_ABOVE),
        f"competition: {match.competition}",
        *([f"round: {match.round}"] if match.round is not None else []),
        f"date: {match.date}",
        *([f"ground: {written_scalar(ground, in_line=False)}"] if ground else []),
    ]
    lines = [*head, "", "home:", *_side(home, rules), "", "away:", *_side(away, rules)]
    return canonical("".join(f"{line}\n" for line in lines), SHEET_SHAPE)


def _side(lineup: Lineup, rules: RuleSet) -> Iterator[str]:
    yield f"  team: {lineup.team}"
    if not lineup.players:
        yield f"  # {_NOBODY}"
        return
    if lineup.captain is not None:
        yield f"  captain: {lineup.captain}"
    yield "  strikes:"
    if lineup.after is None:
        yield f"    # {_MEMBERS}"
    for player in lineup.players:
        yield f"    {_row(player, rules)}"
    for aside in lineup.spare:
        yield f"    # {_row(aside.player, rules)}  # {aside.reason}"
    if lineup.supernumeraries:
        yield "  supernumeraries:"
        for player in lineup.supernumeraries:
            yield f"    {_row(player, rules)}"


def _row(player: PlayerId, rules: RuleSet) -> str:
    inning = f"[{', '.join([write_strike(BLANK)] * rules.strikes_per_inning)}]"
    return f"{player}: [{', '.join([inning] * rules.innings)}]"
