"""New pieces of seasons' files, written out from records."""

import json
from collections.abc import Iterator, Sequence

from riesbuch.trade.season import Competition, CompetitionKind


def toml_text(text: str) -> str:
    """``text`` as a basic string of TOML."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def season_head(year: int) -> str:
    return f"season = {year}\n"


def competition_text(competition: Competition) -> str:
    """A ``[[competition]]`` table that reads back as a record equal to ``competition``."""
    return "\n".join(["", "[[competition]]", *_competition(competition), ""])


def _competition(competition: Competition) -> Iterator[str]:
    yield f"id = {toml_text(competition.id)}"
    yield f"name = {toml_text(competition.name)}"
    yield f"kind = {toml_text(competition.kind.value)}"
    yield f"rules = {toml_text(competition.rules)}"
    if competition.teams:
        yield f"teams = {_texts(competition.teams)}"
    if competition.cycles != 1 or competition.kind is CompetitionKind.LEAGUE:
        yield f"cycles = {competition.cycles}"
    if competition.promoted:
        yield f"promoted = {competition.promoted}"
    if competition.relegated:
        yield f"relegated = {competition.relegated}"


def _texts(texts: Sequence[str]) -> str:
    return f"[{', '.join(toml_text(each) for each in texts)}]"
