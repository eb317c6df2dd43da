"""Rules for what is handed down: by itself, beside the register, and beside the sheets."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from itertools import pairwise

from riesbuch.folder.archive import Archive
from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.judge.holdings import Holdings, problem_at
from riesbuch.judge.sheets import or_else, player_at, team_at
from riesbuch.trade.bracket import bracket
from riesbuch.trade.certainty import is_complete, matches_planned, sure_places
from riesbuch.trade.handed_down import (
    HandedDown,
    HandedDownStrikers,
    HandedDownTable,
    Honour,
    StrikerRow,
    TableRow,
)
from riesbuch.trade.ids import CompetitionId, Position
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.messages import Message
from riesbuch.trade.names import player_directory
from riesbuch.trade.problems import Problem, alternatives, did_you_mean
from riesbuch.trade.season import Competition, CompetitionKind
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.strikers import Performance, Striker, strikers
from riesbuch.trade.tally import Tally

_Table = HandedDownTable | HandedDownStrikers
_Row = TableRow | StrikerRow

_FEWER_IS_BETTER = ("nummern", "lost")
_RANKS = {"champion": 1, "runner-up": 2, "best-striker": 1}
"""Of the distinctions that a table tells too."""

_USE_NAME = Message("write `name` for a team that no club declares")
_USE_TEAM_NAME = Message("write `team_name` for a team that no club declares")
_USE_NAME_OF_PERSON = Message("write `name` for somebody without a file")


def path_of(year: int) -> str:
    return season_path(year, Kind.HANDED_DOWN)


def named_competitions(holdings: Holdings) -> Iterator[Problem]:
    """A competition that is handed down stands in season.toml, or its name stands beside it."""
    archive = holdings.archive
    for year, told in archive.handed_down.items():
        season = archive.seasons.get(year)
        if year in archive.unread_seasons or (season and not season.whole):
            continue
        known = [competition.id for competition in season.competitions] if season else []
        known += [key for key, (name, _) in told.competitions().items() if name]
        told_of = {*known}
        for each in _entries(told):
            if each.competition not in told_of:
                key = "competition_name" if isinstance(each, Honour) else "name"
                yield problem_at(
                    path_of(year),
                    each.positions["competition"],
                    "unknown-competition",
                    "nothing says what `{competition}` is called",
                    or_else(
                        did_you_mean(each.competition, known),
                        Message('give its name here: {key} = "…"', key=key),
                    ),
                    competition=each.competition,
                )
            told_of.add(each.competition)


def holders(holdings: Holdings) -> Iterator[Problem]:
    """A row is one team's or one person's, and so is an honour; an award has a name."""
    for year, told in holdings.archive.handed_down.items():
        path = path_of(year)
        ill = {
            problem.place.line
            for problem in holdings.archive.problems
            if problem.place.path == path
        }
        asked: list[tuple[_Row | Honour, tuple[str, ...], bool]] = []
        for table in told.tables:
            asked += [(row, ("team", "name"), True) for row in table.rows]
        for of_strikers in told.striker_tables:
            asked += [(row, ("player", "name"), True) for row in of_strikers.rows]
            asked += [(row, ("team", "team_name"), False) for row in of_strikers.rows]
        for honour in told.honours:
            is_award = honour.what == "award"
            names = ("holder",) if is_award else ("name", "holder")
            asked.append((honour, ("team", "player", *names), True))
            is_of_players = honour.what == "best-striker"
            if not is_award and (honour.player is None) == is_of_players:
                yield from _won_by_others(path, honour, is_of_players)
            if is_award and not _is_given(honour, "name", ill):
                yield problem_at(
                    path,
                    honour.positions["what"],
                    "missing-key",
                    "the award has no `name`",
                    'say what it is called: name = "…"; who got it is `holder`',
                )
        for record, keys, is_needed in asked:
            given = [key for key in keys if _is_given(record, key, ill)]
            if len(given) > 1:
                yield problem_at(
                    path,
                    record.positions[given[-1]],
                    "holder-unclear",
                    "`{first}` and `{last}` both say whose this is",
                    "keep one of them: `{first}` for whoever is in the register",
                    first=given[0],
                    last=given[-1],
                )
            elif not given and is_needed and _place(record)[0] not in ill:
                yield problem_at(
                    path,
                    _place(record),
                    "holder-unclear",
                    "nothing says whose this is",
                    "give {keys} for whoever is in the register, else `{last}`",
                    keys=alternatives(f"`{key}`" for key in keys if key in ("team", "player")),
                    last=keys[-1],
                )


def _won_by_others(path: str, honour: Honour, is_of_players: bool) -> Iterator[Problem]:
    """A team is no best striker, and a player no champion."""
    if is_of_players and honour.team is not None:
        yield problem_at(
            path,
            honour.positions["team"],
            "holder-unclear",
            "`{what}` is won by a player, not by a team",
            "write `player` for whoever is in the register, else `name`",
            what=honour.what,
        )
    elif not is_of_players and honour.team is None:
        yield problem_at(
            path,
            honour.positions["player"],
            "holder-unclear",
            "`{what}` is won by a team, not by a player",
            "write `team` for one of the register, else `name`",
            what=honour.what,
        )


def registered(holdings: Holdings) -> Iterator[Problem]:
    """Teams and players that are named by their identifiers are in the register."""
    archive = holdings.archive
    directory = None
    for year, told in archive.handed_down.items():
        path = path_of(year)
        for each in _entries(told):
            competition = archive.competition(year, each.competition)
            rows: Sequence[_Row | Honour] = (each,) if isinstance(each, Honour) else each.rows
            others = {row.team for row in rows}
            for row in rows:
                advice = _USE_TEAM_NAME if isinstance(row, StrikerRow) else _USE_NAME
                if row.team is not None:
                    at = path, row.positions, "team"
                    yield from team_at(at, row.team, holdings, competition, others, advice)
                player = None if isinstance(row, TableRow) else row.player
                if player is not None and not archive.register.knows_player(player):
                    directory = directory or player_directory(archive.register)
                    place = path, row.positions["player"]
                    yield player_at(place, player, holdings, directory, _USE_NAME_OF_PERSON)


def listed_once(holdings: Holdings) -> Iterator[Problem]:
    """A competition has one table, and a team or player one row in it."""
    for year, told in holdings.archive.handed_down.items():
        for kind in (told.tables, told.striker_tables):
            tables: dict[CompetitionId, Position] = {}
            for table in kind:
                position = table.positions["competition"]
                if table.competition in tables:
                    yield problem_at(
                        path_of(year),
                        position,
                        "listed-twice",
                        "there is such a table of `{competition}` already, in line {line}",
                        "keep one of the two; its `reference` may name both sources",
                        competition=table.competition,
                        line=tables[table.competition][0],
                    )
                tables.setdefault(table.competition, position)
                rows: dict[str, tuple[_Row, str]] = {}
                for row in table.rows:
                    key = "team" if isinstance(row, TableRow) else "player"
                    who: str | None = row.team if isinstance(row, TableRow) else row.player
                    if who is None and isinstance(row, TableRow):
                        key, who = "name", row.name and row.name.casefold()
                    if who is not None and who in rows:
                        above, key_above = rows[who]
                        yield problem_at(
                            path_of(year),
                            row.positions[key],
                            "listed-twice",
                            "`{who}` has a row in this table already, in line {line}",
                            who=getattr(row, key),
                            line=above.positions[key_above][0],
                        )
                    elif who is not None:
                        rows[who] = row, key


def ranks(holdings: Holdings) -> Iterator[Problem]:
    """Rows that share a rank leave out as many of the next: 1, 2, 2, 4."""
    for year, table in _tables(holdings):
        rows_of = Counter(row.rank for row in table.rows if row.rank is not None)
        shared = {rank: count for rank, count in rows_of.items() if count > 1}
        for row in table.rows:
            rank = row.rank or 0
            above = [other for other in shared if other < rank < other + shared[other]]
            if above:
                yield problem_at(
                    path_of(year),
                    row.positions["rank"],
                    "rank-impossible",
                    "there cannot be a rank {rank} below {count} rows of rank {shared}",
                    "whoever is level shares a rank and the next is left out: 1, 2, 2, 4",
                    rank=rank,
                    count=shared[above[0]],
                    shared=above[0],
                )


def ranks_in_order(holdings: Holdings) -> Iterator[Problem]:
    """Ranks follow the figures that the table is ordered by, as far as these are given."""
    for year, table in _tables(holdings):
        order = _order(holdings.archive, year, table)
        ranked: list[_Row] = [
            row for row in table.rows if row.rank is not None and _figure(row, order[0]) is not None
        ]
        ranked.sort(key=lambda row: row.rank or 0)
        for above, row in pairwise(ranked):
            key = next((key for key in order if _figure(above, key) != _figure(row, key)), None)
            before, after = (_figure(above, key), _figure(row, key)) if key else (None, None)
            if before is None or after is None:
                continue
            is_better = (after < before) is (key in _FEWER_IS_BETTER)
            if row.rank == above.rank or is_better:
                yield problem_at(
                    path_of(year),
                    row.positions["rank"],
                    "rank-order",
                    "{who} and {other} share rank {rank}, but `{key}` is {after} and {before}"
                    if row.rank == above.rank
                    else "{who} stands behind {other}, but `{key}` is {after} to {before}",
                    "set what is wrong of the two; where another rule decided, leave it",
                    who=_who(row),
                    other=_who(above),
                    rank=row.rank,
                    key=key,
                    after=after,
                    before=before,
                )


def sums(holdings: Holdings) -> Iterator[Problem]:
    """The figures of a row can be true together."""
    for year, table in _tables(holdings):
        for row in table.rows:
            for key, message in _impossible(row):
                yield problem_at(path_of(year), row.positions[key], "sum-impossible", message)


def _impossible(row: _Row) -> Iterator[tuple[str, Message]]:
    if isinstance(row, TableRow):
        results = [row.won, row.drawn, row.lost]
        total = sum(result or 0 for result in results)
        if row.played is not None and (
            total > row.played or (total < row.played and None not in results)
        ):
            said = Message(
                "`played` is {played}, but `won`, `drawn` and `lost` add up to {total}",
                played=row.played,
                total=total,
            )
            yield "played", said
        nothing, figures = row.played == 0, ("nummern", "points")
        cause = "played"
    else:
        nothing, figures = 0 in (row.matches, row.strikes), ("points", "best")
        cause = "matches" if row.matches == 0 else "strikes"
    for key in figures:
        figure = _figure(row, key)
        if nothing and figure:
            said = Message("`{key}` is {figure}, but `{cause}` is 0", key=key, figure=figure,
                           cause=cause)  # fmt: skip
            yield key, said
            return
    if isinstance(row, TableRow) or row.best is None or row.points is None:
        return
    if row.best > row.points:
        said = Message(
            "`best` is {best}, more than all `points`, {points}", best=row.best, points=row.points
        )
        yield "best", said
    elif row.matches is not None and row.points > row.best * row.matches:
        said = Message(
            "`points` is {points}, more than {matches} times `best`, {best}",
            points=row.points,
            matches=row.matches,
            best=row.best,
        )
        yield "points", said


def honours_agree(holdings: Holdings) -> Iterator[Problem]:
    """An honour and the table beside it name the same."""
    for year, told in holdings.archive.handed_down.items():
        for honour in told.honours:
            tables: Sequence[_Table] = (
                told.striker_tables if honour.what == "best-striker" else told.tables
            )
            rank = _RANKS.get(honour.what)
            first = [
                _who(row)
                for table in tables
                if table.competition == honour.competition
                for row in table.rows
                if row.rank is not None and row.rank == rank
            ]
            if first and _who(honour) and _who(honour) not in first:
                yield problem_at(
                    path_of(year),
                    honour.positions[_holder_key(honour)],
                    "honour-differs",
                    "`{what}` is {who} here, but rank {rank} of the table is {first}",
                    "set what is wrong of the two; where another rule decided, leave it",
                    who=_who(honour),
                    what=honour.what,
                    rank=rank,
                    first=", ".join(first),
                )


CHECKS: tuple[Callable[[Holdings], Iterator[Problem]], ...] = (
    named_competitions,
    holders,
    registered,
    listed_once,
    ranks,
    ranks_in_order,
    sums,
    honours_agree,
)


def against_sheets(
    archive: Archive,
    year: int,
    competition: Competition,
    *,
    tallies: Sequence[Tally],
    performances: Iterable[Performance],
    all_known: bool,
    individuals_known: bool,
) -> Iterator[Problem]:
    """What is handed down of the competition contradicts none of its sheets, whose ``tallies``
    these are. Where there may be other sheets, be it that not ``all_known`` ones count, only what
    no further sheet can make true any more is told. ``individuals_known`` is whether no strike
    of an individual is unknown."""
    told = archive.handed_down.get(year)
    rules = archive.rules_of(competition)
    if told is None or rules is None or not any(added_up.counts for added_up in tallies):
        return
    if archive.lost_rulings(year):
        # What the table would be with them nobody knows.
        return
    fixtures = archive.fixtures_of(year, competition)
    rulings = archive.rulings_of(year, competition)
    is_whole = all_known and is_complete(competition, fixtures, tallies)
    struck = [side.depth for added_up in tallies if added_up.counts
              and added_up.outcome is not Outcome.FORFEITED
              for side in (added_up.home, added_up.away)]  # fmt: skip
    by_strikes = is_whole and individuals_known and set(struck) <= {Depth.STRIKES}
    by_players = is_whole and individuals_known and set(struck) <= {Depth.STRIKES, Depth.PLAYERS}
    ranked = standings(tallies, competition.teams, rules, None, rulings)
    table = {row.team: row for row in ranked}
    born = archive.register.birth_years if "older" in rules.strikers.order else {}
    individuals = {row.player: row for row in strikers(performances, born, rules)}
    has_unknown = any(row.nummern_unknown or row.points_unknown for row in table.values())
    for handed in told.tables:
        if handed.competition == competition.id:
            for row in handed.rows:
                known = table.get(row.team) if row.team else None
                for key in _figures_of(TableRow) if known else ():
                    is_exact = is_whole and not (
                        has_unknown if key == "rank" else getattr(known, f"{key}_unknown", 0)
                    )
                    yield from _differing(year, row, key, known, is_exact=is_exact)
    for of_strikers in told.striker_tables:
        if of_strikers.competition == competition.id:
            for individual in of_strikers.rows:
                struck_by = individuals.get(individual.player) if individual.player else None
                for key in _figures_of(StrikerRow) if struck_by else ():
                    is_exact = by_strikes if key == "strikes" else by_players
                    yield from _differing(year, individual, key, struck_by, is_exact=is_exact)
    if not all_known or matches_planned(competition, fixtures) is None:
        # Where nobody says how many matches there are, nothing is sure.
        return
    of_parts = archive.rules_of_parts(competition)
    sure = sure_places(competition, rules, ranked, tallies, fixtures, of_parts=of_parts)
    first, second = [*sure.first], [team for team, row in table.items() if row.rank == 2]
    if competition.kind is CompetitionKind.CUP:
        drawing = bracket(competition.teams, fixtures, tallies) if is_whole else None
        final = drawing.final if drawing else None
        first = [final.gone_on] if final and final.gone_on else []
        second = [final.beaten] if final and final.beaten else []
    elif has_unknown or not is_whole:
        second = []
    decided: dict[str, Iterable[str]] = {
        "champion": first,
        "promoted": sure.promoted,
        "relegated": sure.relegated,
        "runner-up": second,
        "best-striker": [player for player, row in individuals.items() if row.rank == 1]
        if by_players
        else (),
    }
    yield from _undeserved(year, told, competition.id, decided)


def _differing(
    year: int, row: _Row, key: str, known: Standing | Striker | None, *, is_exact: bool
) -> Iterator[Problem]:
    figure, counted = _figure(row, key), getattr(known, key)
    # Ranks, and what is earned beside others, may come out otherwise with every further sheet.
    grows = key != "rank" and not (key == "rank_points" and isinstance(row, StrikerRow))
    if figure is None or figure == counted or not (is_exact or (grows and figure < counted)):
        return
    yield problem_at(
        path_of(year),
        row.positions[key],
        "handed-down-differs",
        "`{key}` of {who} is {figure} here, by the sheets {counted}"
        if is_exact
        else "`{key}` of {who} is {figure} here, by the sheets at least {counted}",
        "the sheets stand; mend a slip here, or look for the sheet that is wrong",
        key=key,
        who=_who(row),
        figure=figure,
        counted=counted,
    )


def _undeserved(
    year: int, told: HandedDown, competition: CompetitionId, decided: dict[str, Iterable[str]]
) -> Iterator[Problem]:
    for honour in told.honours:
        won = sorted(decided.get(honour.what, ()))
        if honour.competition == competition and won and _who(honour) not in ("", *won):
            yield problem_at(
                path_of(year),
                honour.positions[_holder_key(honour)],
                "handed-down-differs",
                "`{what}` is {who} here, by the sheets {won}",
                "the sheets stand; mend a slip here, or look for the sheet that is wrong",
                who=_who(honour),
                what=honour.what,
                won=", ".join(won),
            )


def _tables(holdings: Holdings) -> Iterator[tuple[int, _Table]]:
    for year, told in holdings.archive.handed_down.items():
        yield from ((year, table) for table in told.tables)
        yield from ((year, table) for table in told.striker_tables)


def _entries(told: HandedDown) -> Iterator[_Table | Honour]:
    yield from told.tables
    yield from told.striker_tables
    yield from told.honours


def _order(archive: Archive, year: int, table: _Table) -> Sequence[str]:
    """What the table is ordered by."""
    competition = archive.competition(year, table.competition)
    rules = archive.rules_of(competition)
    is_of_teams = isinstance(table, HandedDownTable)
    if rules is not None:
        return rules.standings_order if is_of_teams else rules.strikers.order
    kind = competition.kind if competition else table.kind
    if kind is CompetitionKind.FESTIVAL:
        return ("nummern", "points") if is_of_teams else ("points",)
    return ("rank_points",)


def _figures_of(record: type) -> tuple[str, ...]:
    named = ("team", "name", "player", "team_name", "positions")
    return tuple(key for key in record.__annotations__ if key not in named)


def _figure(row: _Row, key: str | None) -> int | None:
    """None also for what no row says."""
    return getattr(row, key, None) if key else None


def _who(record: _Row | Honour) -> str:
    key = _holder_key(record)
    return str(getattr(record, key, None) or "")


def _holder_key(record: _Row | Honour) -> str:
    if isinstance(record, TableRow):
        return "team" if record.team else "name"
    if record.player:
        return "player"
    if isinstance(record, StrikerRow):
        return "name"
    return "team" if record.team else "holder" if record.holder else "name"


def _place(record: _Row | Honour) -> Position:
    """Where it begins: the place of each key that it has not."""
    return min(record.positions.values())


def _is_given(record: _Row | Honour, key: str, ill: Collection[int]) -> bool:
    """Whether it is written; where that could not be read, the file has ``ill`` lines."""
    if getattr(record, key) is not None:
        return True
    return bool(ill) and record.positions[key] != _place(record)
