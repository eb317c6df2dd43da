"""People in the records: a career, families, and whoever is found by a word."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from riesbuch.language.naming import NAMED
from riesbuch.show.matches import (
    basis_data,
    basis_note,
    errors_note,
    former_name_data,
    source_told,
    unreadable_note,
)
from riesbuch.show.output import (
    NEVER_FOLDED,
    Answer,
    Cell,
    Column,
    Ratio,
    Table,
    figure_column,
    table_data,
)
from riesbuch.trade import counts
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.problems import listed_years

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
    from riesbuch.questions.families import Families, InTeam, Together
    from riesbuch.questions.find import Hit, SearchResult

_MOST_SHOWN = 3
_WIDTHS = {"lines": 48, "in_teams": 64, "together": 44, "found": 36}
_HOLDS = "\u00a0"
"""A blank at which no line is broken."""

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
        notes=_career_notes(career),
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
        events += _level(
            Message("best match: {points}", points=_points(career.best[0])),
            career.best,
        )
    if career.best_strikes:
        events += _level(
            Message("best strike: {best_strike}", best_strike=career.best_strikes[0].best_strike),
            career.best_strikes,
        )
    for run in career.longest_runs[:_MOST_SHOWN]:
        events.append(
            (
                Message("longest run: {matches}, from", matches=counts.matches(len(run.sheets))),
                run.since,
                run.sheets[0],
            )
        )
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


def _career_notes(career: Career) -> list[str]:
    struck, whole = career.strike_by_strike, len(career.appearances)
    notes = [basis_note(whole, struck)]
    if struck < whole:
        notes.append(
            Message(
                "Strikes, average, best strike and Nummern rest on these alone."
                if struck
                else "Strikes, average, best strike and Nummern are unknown."
            )
        )
    kinds = [match.named_by for match in career.appearances if match.named_by is not None]
    for kind in dict.fromkeys(kinds):
        notes.append(
            Message(
                "{matches}: {named}, with no more than the points; no rank points are earned.",
                matches=counts.matches(kinds.count(kind)),
                named=NAMED[kind],
            )
        )
    if struck:
        notes.append(Message("Nummern struck for the team: {nummern}.", nummern=career.nummern))
    if told := sum(row.points or 0 for row in career.told):
        notes.append(
            Message(
                "Handed down besides: {points}; with these it is {sum:,}.",
                points=counts.points(told),
                sum=career.points + told,
            )
        )
    if career.unknown:
        notes.append(
            Message.plural(
                career.unknown,
                "{count:,} match with an unknown strike of the player is left out.",
                "{count:,} matches with an unknown strike of the player are left out.",
            )
        )
    return [*notes, *errors_note(career.with_errors), *unreadable_note(career.unreadable)]


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


def families_answer(families: Families, notes_on_club: Sequence[str]) -> Answer:
    """Lines of parents and children; ``notes_on_club`` is what is to be said of the club that
    was asked of."""
    lines, in_teams, together = _lines(families), _in_teams(families), _together(families)
    basis = basis_note(families.matches, families.strike_by_strike)
    with_errors = errors_note(families.with_errors)
    nothing: list[str] = []
    if not families.lines:
        none = Message(
            "No line of parents and children is known; a player's `parents` say who they are."
            if families.party is None
            else "No line of parents and children of that club is known; a player's `parents` say"
            " who they are."
        )
        nothing = [none, *notes_on_club, basis, *with_errors]
    alone = (
        [Message("No generations are known side by side in one match.")]
        if not families.together
        else []
    )
    return Answer(
        tables=[lines, *(table for table in (in_teams, together) if table.rows)],
        notes=[
            _summary(families),
            *notes_on_club,
            basis,
            Message(
                "Who struck is known of {players_known}, at least on one side; – stands"
                " for no such match.",
                players_known=families.players_known,
            ),
            *alone,
            *with_errors,
        ],
        data={
            "club": None if families.party is None else families.party.id,
            "merged_from": () if families.party is None else families.party.predecessors,
            "formerly": former_name_data(families.formerly),
            "lines": [
                {
                    "generations": len(line),
                    "players": [
                        {"player": kin.player, "seasons": kin.seasons, "teams": kin.teams}
                        for kin in line
                    ],
                }
                for line in families.lines
            ],
            "teams": table_data(in_teams),
            "together": table_data(together),
            "basis": {
                **basis_data(families.matches, families.strike_by_strike),
                "players_known": families.players_known,
            },
            "with_errors": families.with_errors,
        },
        nothing=nothing,
    )


def _summary(families: Families) -> str:
    """What the tables come to, which may be long."""
    longest = max(map(len, families.lines), default=0)
    most = max((len(side.players) for side in families.together), default=0)
    number = len(families.lines)
    lines = f"{number:,}"
    if not longest:
        return Message.plural(number, "{lines} line.", "{lines} lines.", lines=lines)
    if not most:
        return Message.plural(
            number,
            "{lines} line, of {longest} generations.",
            "{lines} lines, the longest of {longest} generations.",
            lines=lines,
            longest=longest,
        )
    return Message.plural(
        number,
        "{lines} line, of {longest} generations, side by side at most {most}.",
        "{lines} lines, the longest of {longest} generations, side by side at most {most}.",
        lines=lines,
        longest=longest,
        most=most,
    )


_Generation = dict[str, Any]


def _lines(families: Families) -> Table[_Generation]:
    columns: tuple[Column[_Generation], ...] = (
        figure_column(
            "line", "Line", shown=lambda row: row["line"] if row["generation"] == 1 else ""
        ),
        figure_column("generation", "Generation"),
        Column("player"),
        Column("player_name", "Player"),
        Column(
            "seasons",
            "Seasons",
            shown=lambda row: listed_years(row["seasons"]) or None,
            width=_WIDTHS["lines"],
        ),
        Column("teams"),
    )
    rows = [
        {**kin._asdict(), "player_name": kin.name, "line": number, "generation": generation}
        for number, line in enumerate(families.lines, start=1)
        for generation, kin in enumerate(line, start=1)
    ]
    return Table(columns, rows, Message("Lines of parents and children"))


def _in_teams(families: Families) -> Table[InTeam]:
    columns = _of_generations(families, _WIDTHS["in_teams"])
    return Table(columns, families.in_teams, Message("Generations of one team, each at its time"))


def _together(families: Families) -> Table[Together]:
    generations, *of_players = _of_generations(families, _WIDTHS["together"])
    columns: list[Column[Together]] = [
        generations,
        figure_column(title="Matches", shown=lambda row: row.matches),
        Column(title="First", shown=lambda row: row.first),
        *of_players,
        Column("matches"),
        Column("first"),
        Column("first_sheet"),
    ]
    return Table(columns, families.together, Message("Generations side by side in one match"))


def _of_generations(families: Families, width: int) -> tuple[Column[Any], ...]:
    """What both tables say of a line's players in one team."""
    return (
        figure_column(title="Generations", shown=lambda row: len(row.players)),
        Column("team", "Team", shown=lambda row: families.team_names.get(row.team, row.team)),
        Column("generations", value=lambda row: len(row.players)),
        Column("players", "Players", shown=lambda row: _named(families, row.players), width=width),
    )


def _named(families: Families, players: Sequence[str]) -> str:
    names = (families.names.get(player, player) for player in players)
    return f"{_HOLDS}– ".join(name.replace(" ", _HOLDS) for name in names)


_KINDS = {
    "player": Message("player"),
    "club": Message("club"),
    "team": Message("team"),
    "competition": Message("competition"),
    "handed-down": Message("handed down"),
    "date": Message("date"),
    "ground": Message("ground"),
    "weather": Message("weather"),
    "referee": Message("referee"),
    "note": Message("note"),
    "doubt": Message("doubt"),
    "source": Message("source"),
    "reference": Message("reference"),
    "transcriber": Message("copied by"),
    "ruling": Message("ruling"),
}


def find_answer(written: str, search: SearchResult) -> Answer:
    """What has the words ``written``; what has them but for a letter stands apart."""
    from riesbuch.questions.find import Likeness

    columns: tuple[Column[Hit], ...] = (
        Column("kind", "What", shown=lambda hit: _KINDS[hit.kind]),
        Column("match", value=lambda hit: hit.likeness.name.lower()),
        Column("text", "Text", shown=_called, width=_WIDTHS["found"]),
        Column("name"),
        Column("identifier"),
        Column("path"),
        Column("sheets", "Where", shown=_where, width=NEVER_FOLDED),
        Column("paths", formats=("json",)),
    )
    exact = [hit for hit in search.hits if hit.likeness is not Likeness.SLIP]
    slips = [hit for hit in search.hits if hit.likeness is Likeness.SLIP]
    searched = Message(
        "Searched: {players}, {clubs}, and all words of {matches}, rulings and what is handed"
        " down.",
        players=counts.players(search.players),
        clubs=Message.plural(search.clubs, "{count:,} club", "{count:,} clubs"),
        matches=counts.matches(search.matches),
    )
    nothing = Message("Nothing has the words `{text}`.", text=written)
    hits = Table(columns, search.hits)
    parts = (Table(columns, exact), Table(columns, slips, Message("One letter differs")))
    return Answer(
        tables=[table for table in parts if table.rows],
        notes=[searched],
        data={
            "text": written,
            "hits": table_data(hits),
            "basis": basis_data(search.matches, search.strike_by_strike),
        },
        csv=hits,
        nothing=() if search.hits else [nothing, searched],
    )


def _called(hit: Hit) -> str:
    if hit.text in (hit.name, hit.identifier):
        return hit.name
    if hit.kind == "club":
        return Message("{name} (formerly {text})", name=hit.name, text=hit.text)
    if hit.kind == "date":
        return Message("{name} (founded {text})", name=hit.name, text=hit.text)
    return Message("{name} (also {text})", name=hit.name, text=hit.text)


def _where(hit: Hit) -> list[str]:
    if hit.path:
        used = Message("ground of {matches}", matches=counts.matches(len(hit.sheets)))
        return [hit.path, used] if hit.sheets else [hit.path]
    first, *others = hit.sheets or hit.paths
    return [first, Message("and {others} more", others=len(others))] if others else [first]
