"""The tables of a competition, of what they are and what they rest on, and all honours."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from riesbuch.show.matches import basis_data, basis_note, errors_note, source_told
from riesbuch.show.output import (
    Answer,
    Cell,
    Column,
    Ratio,
    Table,
    data_columns,
    figure_column,
    table_data,
)
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import all_of

if TYPE_CHECKING:
    from riesbuch.questions.chronicle import HandedDownTable
    from riesbuch.questions.honours import AwardWon, Gap, Honours
    from riesbuch.questions.tables import CompetitionTable, RulingLine
    from riesbuch.questions.who import Party

_AWARDED_NAMED = 3
"""To more people an award is told by their number."""

_NO_RECORD = Message("no record")
_WIDTHS = {"champions": 18, "promoted": 14, "best_strikers": 27, "players": 44}
_FIGURES_OF_TEAMS = {
    "played": "Played",
    "won": "Won",
    "drawn": "Drawn",
    "lost": "Lost",
    "nummern": "Nummern",
    "points": "Points",
    "rank_points": "Rank points",
}


def table_heading(
    competition: str,
    season: int,
    until: datetime.date | None = None,
    rules: str | None = None,
    own_rules: str | None = None,
    part: str | None = None,
) -> Message:
    """What table it is, perhaps of a ``part`` alone, by its name; ``rules`` are those the season
    is added up under instead of its ``own_rules``."""
    what = Message("This is {competition} in {season}", competition=competition, season=season)
    if part is not None:
        what += Message(", {part} alone", part=part)
    if until is not None:
        what += Message(", up to {until}", until=until)
    if rules != own_rules:
        what += Message(
            ", by the rules {rules} instead of {own_rules}", rules=rules, own_rules=own_rules
        )
    return what + "."


def standings_answer(heading: str, table: CompetitionTable, teams: Mapping[str, str]) -> Answer:
    """The team table; ``teams`` are names."""

    def team(row: Mapping[str, Any]) -> str:
        return teams.get(row["team"], row["team"])

    def figure(key: str, title: Message | None) -> Column[Mapping[str, Any]]:
        return figure_column(key, title, shown=lambda row: standing_cell(row, key))

    columns: tuple[Column[Mapping[str, Any]], ...] = (
        figure("rank", Message("Rank")),
        Column("team", "Team", shown=team),
        figure("played", Message("Played")),
        figure("won", None if table.by_figures else Message("Won")),
        figure("drawn", None if table.by_figures else Message("Drawn")),
        figure("lost", None if table.by_figures else Message("Lost")),
        figure("nummern", Message("Nummern")),
        figure("points", Message("Points")),
        figure("rank_points", Message("Rank points")) if table.is_league else Column("rank_points"),
        *data_columns("nummern_unknown", "points_unknown", "ruled"),
        *_awards_columns(table),
        Column("team_name", value=team, formats=("csv",)),
    )
    basis = table.basis
    notes = [heading, basis_note(basis.matches, basis.strike_by_strike)]
    if min(basis.points, basis.nummern) < basis.sides:
        notes.append(
            Message(
                "Points are known of {points} of {of} sides, Nummern of {nummern}; what is unknown"
                " adds nothing.",
                points=f"{basis.points:,}",
                of=f"{basis.sides:,}",
                nummern=f"{basis.nummern:,}",
            )
        )
    notes += (ruling_note(ruling, team(ruling._asdict())) for ruling in table.rulings)
    return Answer([Table(columns, table.rows)], notes)


def handed_down_answer(
    table: HandedDownTable, teams: Mapping[str, str], players: Mapping[str, str]
) -> Answer:
    """A table as it is handed down; ``teams`` and ``players`` are names. People do not see columns
    of which nothing is handed down."""
    of_players = "player" in table.rows[0]

    def team(row: Mapping[str, Any]) -> Any:
        return teams.get(row["team"], row["team"]) or row["team_name"]

    def player(row: Mapping[str, Any]) -> Any:
        return players.get(row["player"], row["player"]) or row["player_name"]

    def figure(key: str, title: str) -> Column[Mapping[str, Any]]:
        is_known = any(row[key] is not None for row in table.rows)
        return figure_column(key, title if is_known else None)

    def average(row: Mapping[str, Any]) -> Ratio | None:
        return Ratio(row["points"], row["strikes"]) if row["points"] and row["strikes"] else None

    has_average = of_players and any(map(average, table.rows))
    columns: tuple[Column[Mapping[str, Any]], ...]
    if of_players:
        columns = (
            figure("rank", "Rank"),
            Column("player", "Player", shown=player),
            Column("team", "Team", shown=team),
            figure("matches", "Matches"),
            figure("strikes", "Strikes"),
            figure("points", "Points"),
            figure_column("average", "Average" if has_average else None, average),
            figure("best", "Best"),
            figure("rank_points", "Rank points"),
            Column("player_name", value=player),
            Column("awards", value=lambda _: [], formats=("json",)),
        )
    else:
        columns = (
            figure("rank", "Rank"),
            Column("team", "Team", shown=team),
            *(figure(key, title) for key, title in _FIGURES_OF_TEAMS.items()),
            Column("nummern_unknown", value=lambda _: None),
            Column("points_unknown", value=lambda _: None),
            Column("ruled", value=lambda _: None),
            Column("awards", value=lambda _: [], formats=("json",)),
        )
    columns += (Column("team_name", value=team), Column("source"), Column("reference"))
    note = Message(
        "Handed down, not added up from sheets; source: {sources}.",
        sources=joined("; ", (source_told(*source) for source in table.sources)),
    )
    return Answer(
        [Table(columns, table.rows)], [table_heading(table.competition, table.season), note]
    )


def ruling_note(ruling: RulingLine, team: str) -> Message:
    """What a table has in it by a ruling on the ``team``, and why."""
    figures = (
        (ruling.rank_points, counts.rank_points),
        (ruling.nummern, counts.nummern),
        (ruling.points, counts.points),
    )
    return Message(
        "Ruled for {team}: {figures} ({by}, {date}): {reason}"
        if ruling.ruled_by
        else "Ruled for {team}: {figures} ({date}): {reason}",
        team=team,
        figures=all_of(
            Message.layout("{sign}{figure}", sign="+-"[number < 0], figure=counted(abs(number)))
            for number, counted in figures
            if number
        ),
        by=ruling.ruled_by,
        date=ruling.date,
        reason=ruling.reason,
    )


def strikers_answer(
    heading: str, table: CompetitionTable, teams: Mapping[str, str], players: Mapping[str, str]
) -> Answer:
    """The striker table; ``teams`` and ``players`` are names."""

    def team(row: Mapping[str, Any]) -> str:
        return teams.get(row["team"], row["team"])

    def player(row: Mapping[str, Any]) -> str:
        return players.get(row["player"], row["player"])

    columns: tuple[Column[Mapping[str, Any]], ...] = (
        figure_column("rank", "Rank"),
        Column("player", "Player", shown=player),
        Column("team", "Team", shown=team),
        figure_column("matches", "Matches"),
        # To people a nought would say that the strikes were counted.
        figure_column("strikes", "Strikes", shown=lambda row: row["strikes"] or None, spare=3),
        figure_column("points", "Points"),
        figure_column("average", "Average", striker_average, spare=1),
        figure_column("best", "Best", spare=2),
        figure_column("rank_points", "Rank points"),
        *_awards_columns(table),
        Column("player_name", value=player, formats=("csv",)),
        Column("team_name", value=team, formats=("csv",)),
    )
    basis = table.basis
    notes = [heading, *table.remarks, basis_note(basis.matches, basis.strike_by_strike)]
    if basis.individuals < basis.sides:
        notes.append(
            Message(
                "The points of individuals are known of {known} of {of} sides.",
                known=f"{basis.individuals:,}",
                of=f"{basis.sides:,}",
            )
        )
    return Answer([Table(columns, table.rows)], notes)


def _awards_columns(table: CompetitionTable) -> tuple[Column[Mapping[str, Any]], ...]:
    return (
        Column(
            "awards",
            "Awards" if any(row["awards"] for row in table.rows) else None,
            shown=lambda row: ", ".join(row["awards"]),
            formats=("json",),
            spare=4,
        ),
        # An award's name may have blanks, by which a list is parted there.
        Column("awards", value=lambda row: ", ".join(row["awards"]), formats=("csv",)),
    )


def standing_cell(row: Mapping[str, Any], key: str) -> Cell:
    """A figure of a table's row; a sum that is not whole says so."""
    from riesbuch.trade.standings import at_least

    value: Cell = row[key]
    unknown = row.get(f"{key}_unknown")
    return at_least(str(value), unknown) if unknown else value


def striker_average(row: Mapping[str, Any]) -> Ratio:
    return Ratio(row["struck_points"], row["strikes"])


def honours_answer(
    by_season: Sequence[Honours],
    gaps: Sequence[Gap],
    basis: tuple[int, int],
    with_errors: int,
    names: tuple[Mapping[str, str], Mapping[str, str]],
    newest: int,
    party: Party | None = None,
    on_names: Sequence[str] = (),
) -> Answer:
    """Champions and best strikers, and the years without a record. ``basis`` are how many matches
    count and how many of them are known strike by strike; ``names`` are those of teams and of
    players, ``newest`` is the last season of the folder. Where these are the honours of a
    ``party`` alone, ``on_names`` says whom it stands for."""
    whole, known = basis
    teams, players = names

    def listed(keys: Sequence[str], called: Mapping[str, str]) -> str | None:
        return ", ".join(called.get(key, key) for key in keys) or None

    def champion(row: Honours) -> str | None:
        told = _as_told(row, "champions", _certain(row, listed(row.champions, teams)))
        return told or (None if party else _how_far(row))

    def moving(row: Honours, key: str, note: str | None) -> str | None:
        return _as_told(row, key, _decided(listed(getattr(row, key), teams), note))

    def best(row: Honours) -> str | None:
        names_of = listed(row.best_strikers, players)
        return _as_far_as_known(row, newest, "best_strikers", names_of)

    def promoted(row: Honours) -> str | None:
        return moving(row, "promoted", row.promotion_note)

    def relegated(row: Honours) -> str | None:
        return moving(row, "relegated", row.relegation_note)

    def winners(won: AwardWon) -> str | None:
        if len(won.winners) <= _AWARDED_NAMED:
            return listed(won.winners, teams if won.of_teams else players)
        return (counts.teams if won.of_teams else counts.players)(len(won.winners))

    columns: tuple[Column[Honours | Gap], ...] = (
        Column("season", "Season", shown=_either(lambda row: row.season, _years)),
        Column(
            "competition",
            "Competition",
            shown=_either(lambda row: row.competition, lambda gap: gap.competition or _NO_RECORD),
        ),
        *data_columns("name", "kind", "complete", "played", "planned"),
        Column(
            "champions",
            "Champion",
            shown=_either(champion, lambda gap: gap.competition and _NO_RECORD),
            width=_WIDTHS["champions"],
        ),
        Column("promoted", "Promoted", shown=_either(promoted), spare=1, width=_WIDTHS["promoted"]),
        Column("relegated", "Relegated", shown=_either(relegated), spare=1),
        Column(
            "best_strikers", "Best striker", shown=_either(best), width=_WIDTHS["best_strikers"]
        ),
        Column("best_of_classes", value=_either(_best_of_classes), formats=("json",)),
        Column("awards", value=_either(_awards), formats=("json",)),
        *data_columns("decided", "promotion_note", "relegation_note"),
        Column("source", value=_either(_source), formats=("json",)),
        Column("source", value=_either(lambda row: row.source and row.source[0]), formats=("csv",)),
        Column(
            "reference", value=_either(lambda row: row.source and row.source[1]), formats=("csv",)
        ),
    )
    honours: Table[Honours | Gap] = Table(columns, by_season)
    rows: list[Honours | Gap] = [*by_season, *gaps]
    rows.sort(key=_either(lambda row: row.season, lambda gap: gap.last), reverse=True)
    of_classes = [
        (row, first.name, _as_far_as_known(row, newest, "best_of_classes", first_names))
        for row in by_season
        for first in row.best_of_classes
        for first_names in [listed(first.players, players)]
    ]
    awards = [
        (row, won.award, _as_far_as_known(row, newest, won.told_as, winners(won)))
        for row in by_season
        for won in row.awards
    ]
    nothing = Message("There is no competition on record.")
    if party:
        nothing = Message("No honours of {name} are on record.", name=party.name)
    missing = Message("No record: {seasons}.", seasons=", ".join(map(_gap, gaps)))
    return Answer(
        tables=[
            Table(columns, rows),
            *_named(Message("Class"), Message("Best of the class"), of_classes),
            *_named(Message("Award"), Message("Won by"), awards),
        ],
        notes=[
            *on_names,
            *_decisions(by_season),
            basis_note(whole, known),
            *errors_note(with_errors),
        ],
        data={
            "club": party.id if party else None,
            "honours": table_data(honours),
            "gaps": [gap._asdict() for gap in gaps],
            "basis": basis_data(whole, known),
            "with_errors": with_errors,
        },
        csv=honours,
        csv_notes=[missing] if gaps else (),
        nothing=() if by_season else [nothing],
    )


def _best_of_classes(row: Honours) -> list[dict[str, Any]]:
    return [
        {"class": best.id, "name": best.name, "players": list(best.players)}
        for best in row.best_of_classes
    ]


def _awards(row: Honours) -> list[dict[str, Any]]:
    return [
        {
            "award": won.award,
            "class": won.of_class,
            "players": [] if won.of_teams else list(won.winners),
            "teams": list(won.winners) if won.of_teams else [],
        }
        for won in row.awards
    ]


def _source(row: Honours) -> dict[str, str | None] | None:
    return row.source and dict(zip(("kind", "reference"), row.source, strict=True))


def _named(
    name: str, who: str, rows: Sequence[tuple[Honours, str, str | None]]
) -> list[Table[tuple[Honours, str, str | None]]]:
    """A table of what each competition has several of; none where there is nothing."""
    columns: tuple[Column[tuple[Honours, str, str | None]], ...] = (
        Column("season", "Season", lambda row: row[0].season),
        Column("competition", "Competition", lambda row: row[0].competition),
        Column("name", name, lambda row: row[1]),
        Column("players", who, lambda row: row[2], width=_WIDTHS["players"]),
    )
    return [Table(columns, rows)] if rows else []


def _either(
    of_honours: Callable[[Honours], Any], of_gap: Callable[[Gap], Cell] = lambda _: None
) -> Callable[[Honours | Gap], Any]:
    return lambda row: of_gap(row) if isinstance(row, tuple) else of_honours(row)


def _certain(row: Honours, champions: str | None) -> str | None:
    if champions is None or row.decided != "certain":
        return champions
    return Message("{champions} (certain before the end)", champions=champions)


def _decided(teams: str | None, note: str | None) -> str | None:
    """Who goes up or down, marked where a decision says so."""
    if note is None:
        return teams
    return Message("{teams} (by decision)", teams=teams or Message("nobody"))


def _decisions(by_season: Sequence[Honours]) -> Iterator[Message]:
    """The reasons of decisions on who goes up or down."""
    for row in by_season:
        where = {"season": row.season, "competition": row.competition}
        if row.promotion_note is not None:
            yield Message(
                "Promoted by decision in {season} ({competition}): {note}",
                **where,
                note=row.promotion_note,
            )
        if row.relegation_note is not None:
            yield Message(
                "Relegated by decision in {season} ({competition}): {note}",
                **where,
                note=row.relegation_note,
            )


def _years(gap: Gap) -> str:
    return str(gap.first) if gap.first == gap.last else f"{gap.first}–{gap.last}"


def _gap(gap: Gap) -> str:
    return _years(gap) if gap.competition is None else f"{gap.competition} {_years(gap)}"


def _how_far(row: Honours) -> str | None:
    """What stands in place of champions: how far the competition came."""
    if row.decided == "handed-down":
        return None
    if not row.complete:
        if row.planned is None:
            return Message.layout("({matches})", matches=counts.matches(row.played))
        planned = counts.matches(row.planned)
        return Message("({played} of {matches})", played=row.played, matches=planned)
    return None if row.kind == "friendly" else "unknown"


def _as_far_as_known(row: Honours, newest: int, field: str, best: str | None) -> str | None:
    """Marked where they are handed down, or where matches are missing: of the ``newest`` season
    they may be to come."""
    if best and field not in row.told and not row.complete:
        if row.season == newest:
            return Message("{best} (so far)", best=best)
        return Message("{best} (on record)", best=best)
    return _as_told(row, field, best)


def _as_told(row: Honours, field: str, holders: str | None) -> str | None:
    """Marked where they are handed down."""
    if holders is None or field not in row.told:
        return holders
    return Message("{holders} (handed down)", holders=holders)
