"""What a sheet says beyond what it is judged and added up by, for the questions asked of it."""

from typing import Any

from riesbuch.trade.match import Match, Row


def pack_facts(match: Match) -> list[Any]:
    """Ground, weather, notes, source, and all that individuals struck, by position."""
    source = match.source
    people: list[list[Any]] = []
    for name, side in match.sides:
        people += [_row(name, "team", row) for row in side.rows or ()]
        people += [_row(name, "supernumerary", row) for row in side.supernumeraries]
        people += [
            [name, "points", each.player, None, None, each.points, None, None]
            for each in side.player_points or ()
        ]
    return [
        match.ground,
        match.weather,
        match.notes,
        source.kind.value if source and source.kind else None,
        source.reference if source else None,
        people,
    ]


def _row(side: str, role: str, row: Row) -> list[Any]:
    """Side, role, player, strikes as written in a JSON list, how many are struck and known,
    points, Nummern, best strike."""
    if not row.took_part:
        return [side, role, row.player, None, 0, None, None, None]
    struck = row.struck
    written = '","'.join([strike.written for strike in row.strikes])
    return [
        side,
        role,
        row.player,
        f'["{written}"]',
        len(struck),
        row.total,
        row.nummern,
        max(struck, default=None),
    ]
