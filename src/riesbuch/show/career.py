"""A career as it is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from riesbuch.language.naming import NAMED
from riesbuch.show.matches import basis_data, basis_note, errors_note, source_told, unreadable_note
from riesbuch.show.output import Answer, Cell, Column, Ratio, Table, figure_column, table_data
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined

if TYPE_CHECKING:
    from riesbuch.questions.career import (
        Appearance,
        Career,
        Distinction,
        Outing,
        SeasonOfPlayer,
        Split,
        TimeInTeam,
    )
    from riesbuch.questions.chronicle import ToldStriker

_MOST_SHOWN = 3

_Event = tuple[str, str, str]


def career_answer(
    career: Career,
    names: Mapping[str, str],
    outings: Sequence[Outing] | None = None,
    splits: Sequence[Split] = (),
) -> Answer:
    """What a player has struck; ``names`` are those of teams. Where ``outings`` are given, match by
    match too, and added up by ``splits``."""

    def team_name(team: str) -> str:
        return names.get(team, team)

    seasons = _seasons(career, team_name, career.seasons)
    teams, distinctions = _teams(career, team_name), _distinctions(career)
    tables: list[Table[Any]] = [seasons, *([teams] if len(career.teams) > 1 else ())]
    told = _told(career, team_name)
    tables += [table for table in (told, distinctions) if table.rows]
    if career.appearances:
        tables.append(_events(Message("Best and longest"), [*_firsts(career), *_bests(career)]))
    if career.milestones:
        tables.append(_events(Message("Milestones"), _milestones(career)))
    data = _career_data(career, table_data(seasons), table_data(teams), table_data(told))
    data["distinctions"] = table_data(distinctions)
    of_years: list[SeasonOfPlayer | ToldStriker] = [*career.seasons, *career.told]
    of_years.sort(key=lambda row: row[:2])
    listed: Table[Any] = _seasons(career, team_name, of_years)
    if outings is not None:
        listed, added_up = _outings(career, outings, team_name), _splits(splits)
        tables += [table for table in (listed, added_up) if table.rows]
        data |= {"list": table_data(listed), "splits": table_data(added_up)}
    return Answer(
        tables=tables,
        notes=[*_career_notes(career)],
        data=data,
        csv=listed,
        nothing=() if career.appearances or career.told else [_no_career(career)],
    )


def _no_career(career: Career) -> str:
    return Message(
        "{name} ({player}) took part in {matches}, but of none are all the player's strikes known."
        if career.unknown
        else "{name} ({player}) is on record, but struck in no match that counts.",
        name=career.person.name,
        player=career.person.id,
        matches=counts.matches(career.unknown),
    )


def _seasons(
    career: Career,
    team_name: Callable[[str], str],
    seasons: Sequence[SeasonOfPlayer | ToldStriker],
) -> Table[SeasonOfPlayer | ToldStriker]:
    """``seasons`` that are handed down have a source, and no average."""
    name, player = career.person.name, career.person.id

    def average(row: SeasonOfPlayer | ToldStriker) -> Ratio | None:
        points = getattr(row, "struck_points", None)
        return None if points is None else Ratio(points, row.strikes or 0)

    def own(key: str) -> Callable[[SeasonOfPlayer | ToldStriker], Cell]:
        return lambda row: getattr(row, key, None)

    columns: tuple[Column[SeasonOfPlayer | ToldStriker], ...] = (
        Column("player", value=lambda _: player, formats=("csv",)),
        Column("season", "Season"),
        Column("competition", "Competition"),
        Column("team", "Team", shown=lambda row: team_name(row.team or "")),
        figure_column("matches", "Matches"),
        figure_column("strikes", "Strikes", shown=lambda row: row.strikes or None, spare=2),
        figure_column("points", "Points"),
        figure_column("average", "Average", average, spare=1),
        figure_column("best", "Best"),
        figure_column(
            "rank_points", "Rank points", shown=lambda row: row.rank_points if row.rank else None
        ),
        figure_column("rank", "Rank"),
        Column("ranked", value=own("ranked")),
        Column("named", value=own("named")),
        Column("player_name", value=lambda _: name, formats=("csv",)),
        Column(
            "team_name",
            value=lambda row: team_name(row.team) if row.team else own("team_name")(row),
            formats=("csv",),
        ),
        Column("source", value=own("source"), formats=("csv",)),
        Column("reference", value=own("reference"), formats=("csv",)),
    )
    title = name if name == player else f"{name} ({player})"
    whole: list[Cell] = [
        Message("all"), "", "", len(career.appearances), career.strikes or None, career.points,
        Ratio(career.struck_points, career.strikes).text,
        career.best[0].points if career.best else None, "", "",
    ]  # fmt: skip
    return Table(columns, seasons, title, [whole] if len(career.seasons) > 1 else ())


_SIDES = {"home": Message("home"), "away": Message("away")}
_BY = {
    "place": Message("place in the order"),
    "inning": Message("inning"),
    "side": Message("home or away"),
    "ground": Message("ground"),
}


def _outings(
    career: Career, outings: Sequence[Outing], team_name: Callable[[str], str]
) -> Table[Outing]:
    def opponent(outing: Outing) -> str | None:
        return outing.appearance.opponent and team_name(outing.appearance.opponent)

    columns: tuple[Column[Outing], ...] = (
        Column("player", value=lambda _: career.person.id, formats=("csv",)),
        Column("date", "Date", lambda row: row.appearance.date),
        Column("sheet", value=lambda row: row.appearance.sheet),
        Column("season", value=lambda row: row.appearance.season),
        Column("competition"),
        Column("team", value=lambda row: row.appearance.team),
        Column("opponent", "Against", lambda row: row.appearance.opponent, opponent),
        Column("side", "Side", shown=lambda row: _SIDES[row.side]),
        Column("ground", "Ground", spare=1),
        figure_column("place", "Place"),
        Column("innings", "Strikes", _written, _written),
        figure_column("points", "Points", lambda row: row.appearance.points),
        figure_column("rank_points", "Rank points"),
        Column("named_by", value=lambda row: row.appearance.named_by),
    )
    return Table(columns, outings, Message("Match by match"))


def _written(outing: Outing) -> str | None:
    if outing.innings is None:
        return None
    return ", ".join(" ".join(inning) for inning in outing.innings)


def _splits(splits: Sequence[Split]) -> Table[Split]:
    def value(split: Split) -> Cell:
        if split.by == "side":
            return _SIDES[str(split.value)]
        return None if split.value is None else str(split.value)

    columns: tuple[Column[Split], ...] = (
        Column("by", "By", shown=lambda split: _BY[split.by]),
        Column("value", "Which", shown=value),
        figure_column("matches", "Matches"),
        figure_column("strikes", "Strikes", shown=lambda split: split.strikes or None),
        figure_column("points", "Points"),
        figure_column(
            "average", "Average", lambda split: Ratio(split.struck_points, split.strikes)
        ),
    )
    return Table(columns, splits, Message("Added up"))


def _told(career: Career, team_name: Callable[[str], str]) -> Table[ToldStriker]:
    columns: tuple[Column[ToldStriker], ...] = (
        Column("season", "Season"),
        Column("competition", "Competition"),
        Column("name"),
        Column("team", "Team", shown=lambda row: team_name(row.team or row.team_name or "")),
        Column("team_name"),
        figure_column("matches", "Matches"),
        figure_column("strikes", "Strikes", spare=2),
        figure_column("points", "Points"),
        figure_column("best", "Best"),
        figure_column("rank_points", "Rank points"),
        figure_column("rank", "Rank"),
        Column("source", "Source", shown=lambda row: source_told(row.source, row.reference)),
        Column("reference"),
    )
    return Table(columns, career.told, Message("Handed down, in none of the sums"))


def _teams(career: Career, team_name: Callable[[str], str]) -> Table[TimeInTeam]:
    columns: tuple[Column[TimeInTeam], ...] = (
        Column("team", "Team", shown=lambda row: team_name(row.team)),
        figure_column("matches", "Matches"),
        Column("first", "First"),
        Column("last", "Last"),
    )
    return Table(columns, career.teams, Message("Teams"))


def _distinctions(career: Career) -> Table[Distinction]:
    columns: tuple[Column[Distinction], ...] = (
        Column("season", "Season"),
        Column("competition", "Competition"),
        Column("class", value=lambda won: won.of_class),
        Column("award"),
        Column(
            title="Won",
            shown=lambda won: won.award or Message("first of the class {name}", name=won.of_class),
        ),
    )
    return Table(columns, career.distinctions, Message("Classes and awards"))


def _events(title: str, events: Sequence[_Event]) -> Table[_Event]:
    columns: tuple[Column[_Event], ...] = (
        Column(title="What", shown=lambda event: event[0]),
        Column(title="Date", shown=lambda event: event[1]),
        Column(title="Sheet", shown=lambda event: event[2]),
    )
    return Table(columns, events, title)


def _firsts(career: Career) -> list[_Event]:
    if not career.appearances:
        return []
    last = career.appearances[-1]
    return [(Message("last match on record"), last.date, last.sheet)]


def _bests(career: Career) -> list[_Event]:
    events: list[_Event] = []
    if career.best:
        points = _points(career.best[0])
        events += _level(Message("best match: {points}", points=points), career.best)
    if career.best_strikes:
        strike = career.best_strikes[0].best_strike
        what = Message("best strike: {best_strike}", best_strike=strike)
        events += _level(what, career.best_strikes)
    for run in career.longest_runs[:_MOST_SHOWN]:
        matches = counts.matches(len(run.sheets))
        begun = Message("longest run: {matches}, from", matches=matches)
        events.append((begun, run.since, run.sheets[0]))
        events.append((Message("… to"), run.until, run.sheets[-1]))
    return events + _more(len(career.longest_runs))


def _points(appearance: Appearance) -> Message:
    """``named by a newspaper, 85 points`` where no more is known."""
    points = counts.points(appearance.points)
    if appearance.named_by is None:
        return points
    return joined(", ", (NAMED[appearance.named_by], points))


def _level(what: str, appearances: Sequence[Appearance]) -> list[_Event]:
    events = [
        (what if not index else _again(appearance), appearance.date, appearance.sheet)
        for index, appearance in enumerate(appearances[:_MOST_SHOWN])
    ]
    return events + _more(len(appearances))


def _again(appearance: Appearance) -> Message:
    again = Message("… and again")
    if appearance.named_by is None:
        return again
    return joined(", ", (again, NAMED[appearance.named_by]))


def _more(number: int) -> list[_Event]:
    more = number - _MOST_SHOWN
    return [(Message("… and {more} more", more=more), "", "")] if more > 0 else []


def _milestones(career: Career) -> list[_Event]:
    return [
        (
            Message("first match")
            if milestone.number == 1
            else Message(
                "{number:,}th match" if milestone.of == "matches" else "{number:,}th point",
                number=milestone.number,
            ),
            milestone.date,
            milestone.sheet,
        )
        for milestone in career.milestones
    ]


def _career_notes(career: Career) -> Iterator[str]:
    struck, whole = career.strike_by_strike, len(career.appearances)
    yield basis_note(whole, struck)
    if struck < whole:
        yield Message(
            "Strikes, average, best strike and Nummern rest on these alone."
            if struck
            else "Strikes, average, best strike and Nummern are unknown."
        )
    kinds = [match.named_by for match in career.appearances if match.named_by is not None]
    for kind in dict.fromkeys(kinds):
        yield Message(
            "{matches}: {named}, with no more than the points; no rank points are earned.",
            matches=counts.matches(kinds.count(kind)),
            named=NAMED[kind],
        )
    if struck:
        yield Message("Nummern struck for the team: {nummern}.", nummern=career.nummern)
    if told := sum(row.points or 0 for row in career.told):
        yield Message(
            "Handed down besides: {points}; with these it is {sum:,}.",
            points=counts.points(told),
            sum=career.points + told,
        )
    if career.unknown:
        yield Message.plural(
            career.unknown,
            "{count:,} match with an unknown strike of the player is left out.",
            "{count:,} matches with an unknown strike of the player are left out.",
        )
    yield from errors_note(career.with_errors)
    yield from unreadable_note(career.unreadable)


def _career_data(career: Career, seasons: object, teams: object, told: object) -> dict[str, Any]:
    return {
        "player": career.person.id,
        "name": career.person.name,
        "matches": len(career.appearances),
        "strikes": career.strikes,
        "points": career.points,
        "average": Ratio(career.struck_points, career.strikes).number,
        "best": career.best[0].points if career.best else None,
        "best_sheets": [appearance.sheet for appearance in career.best],
        "best_strike": career.best_strikes[0].best_strike if career.best_strikes else None,
        "best_strike_sheets": [appearance.sheet for appearance in career.best_strikes],
        "nummern": career.nummern,
        "seasons": seasons,
        "handed_down": told,
        "teams": teams,
        "milestones": [milestone._asdict() for milestone in career.milestones],
        "longest_runs": [
            {
                "team": run.team,
                "matches": len(run.sheets),
                "from": run.since,
                "to": run.until,
                "sheets": run.sheets,
            }
            for run in career.longest_runs
        ],
        "basis": {
            **basis_data(len(career.appearances), career.strike_by_strike),
            "named": career.named,
            "left_out": career.unknown,
            "with_errors": career.with_errors,
            "unreadable": career.unreadable,
        },
    }
