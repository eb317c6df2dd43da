"""A tally as a table, and as the contract's JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riesbuch.show.output import Column, TableView

if TYPE_CHECKING:
    from riesbuch.trade.tally import SideTally, Tally


def tally_view(added_up: Tally) -> TableView:
    """A row a side."""
    lengths = [len(side.ries or ()) for side in (added_up.home, added_up.away)]
    ries_columns = [
        Column(key=f"ries_{number}", title=f"Ries {number}", is_number=True)
        for number in range(1, max(lengths) + 1)
    ]

    def row(name: str, side: SideTally) -> list[str | int | None]:
        ries: list[int | None] = list(side.ries or ())
        ries += [None] * (len(ries_columns) - len(ries))
        figures = [side.points, side.nummern, side.rank_points]
        return [name, side.team, side.depth.value, *ries, *figures]

    return TableView(
        columns=(
            Column(key="side", title="Side"),
            Column(key="team", title="Team"),
            Column(key="depth", title="Depth"),
            *ries_columns,
            Column(key="points", title="Points", is_number=True),
            Column(key="nummern", title="Nummern", is_number=True),
            Column(key="rank_points", title="Rank points", is_number=True),
        ),
        rows=[row("home", added_up.home), row("away", added_up.away)],
        data=tally_data(added_up),
    )


def tally_data(added_up: Tally) -> dict[str, object]:
    """The contract's JSON of a tally."""

    def side(figures: SideTally) -> dict[str, object]:
        return {
            "team": figures.team,
            "depth": figures.depth.value,
            "ries": None if figures.ries is None else list(figures.ries),
            "points": figures.points,
            "nummern": figures.nummern,
            "rank_points": figures.rank_points,
        }

    return {
        "sheet": added_up.sheet,
        "season": added_up.season,
        "competition": added_up.competition,
        "round": added_up.round,
        "date": added_up.date.isoformat() if added_up.date else None,
        "outcome": added_up.outcome.value,
        "home": side(added_up.home),
        "away": side(added_up.away),
        "winner": added_up.winner,
        "decided_by": added_up.decided_by,
        "draft": added_up.is_draft,
        "counts": added_up.counts,
    }
