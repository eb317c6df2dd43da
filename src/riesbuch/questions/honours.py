"""Champions, promoted, relegated and best strikers; all seasons at a glance and added up; and what
is missing in their record."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise
from sqlite3 import Connection
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from riesbuch.questions.match_lines import MatchLine, last_day, match_lines
from riesbuch.questions.under_way import ALL_IS_OVER, UnderWay

if TYPE_CHECKING:
    from riesbuch.questions.chronicle import ToldCompetition

Decided = Literal["played", "certain", "handed-down"]

_WON_BY_RANK = ("league", "festival")


class BestOfClass(NamedTuple):
    """The first of the class ``id``."""

    id: str
    name: str
    players: tuple[str, ...]


class AwardWon(NamedTuple):
    """To whom an award goes: to teams or, of all individuals where ``of_class`` is None, to
    players. Who is in no register stands in them by name."""

    award: str
    of_class: str | None
    of_teams: bool
    winners: tuple[str, ...]

    @property
    def told_as(self) -> str:
        """How it stands among what is handed down."""
        if self.of_class is not None:
            return ""
        return f"award of teams {self.award}" if self.of_teams else f"award {self.award}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Honours:
    """Of one competition of one season. ``champions`` are empty while a missing match or an
    unknown figure may change who is first, and where nobody can be told; ``planned`` is None
    where nobody said how many matches there are. ``decided`` is ``played`` where it came to its
    end, ``certain`` where nothing that is missing can change what is told, ``handed-down`` where
    the sheets decide no champion but a ``source`` (its kind and reference) tells one, or anything
    of a competition without sheets; else None. The notes say why those go up or down who do so by
    a decision; None where the table decides. ``told`` are the fields that are handed down; who
    is in no register stands in them by name."""

    season: int
    competition: str
    name: str
    kind: str
    complete: bool = False
    played: int = 0
    planned: int | None = None
    champions: tuple[str, ...] = ()
    promoted: tuple[str, ...] = ()
    relegated: tuple[str, ...] = ()
    best_strikers: tuple[str, ...] = ()
    best_of_classes: tuple[BestOfClass, ...] = ()
    awards: tuple[AwardWon, ...] = ()
    decided: Decided | None
    promotion_note: str | None = None
    relegation_note: str | None = None
    source: tuple[str | None, str | None] | None = None
    told: tuple[str, ...] = ()


class Gap(NamedTuple):
    """Years without a season of ``competition``, or of any where it is None."""

    first: int
    last: int
    competition: str | None


def honours(
    connection: Connection,
    competition: str | None = None,
    season: int | None = None,
    *,
    with_told: bool = True,
) -> tuple[Honours, ...]:
    """Of one competition or all, of one season or all, the newest first; ``with_told`` is whether
    what is handed down is among them."""
    of_those = "competition = coalesce(?, competition) AND season = coalesce(?, season)"
    rows = connection.execute(
        f"SELECT {', '.join(_OF_COMPETITION)} FROM competitions WHERE {of_those}",
        (competition, season),
    ).fetchall()
    by_sheets: dict[tuple[int, str], dict[str, list[str]]] = defaultdict(dict)
    for season_won, key, what, team in connection.execute(
        "SELECT t.season, t.competition, what, t.team FROM titles AS t LEFT JOIN standings USING"
        " (season, competition, team) WHERE decided <> 'handed-down' AND what IN ('champion',"
        f" 'promoted', 'relegated') AND {of_those} ORDER BY rank, t.team",
        (competition, season),
    ):
        by_sheets[season_won, key].setdefault(what, []).append(team)
    found = {row[:2]: _honours(connection, by_sheets[row[:2]], row) for row in rows}
    for season_told, key, name, kind, what, *distinction in connection.execute(
        "SELECT season, competition, name, kind, what, award, team IS NOT NULL,"
        " coalesce(team, player, holder), source, reference FROM titles"
        f" WHERE decided = 'handed-down' AND {of_those} AND ?"
        " ORDER BY what, award, team, player, holder",
        (competition, season, with_told),
    ).fetchall():
        before = found.get((season_told, key)) or Honours(
            season=season_told, competition=key, name=name, kind=kind, decided="handed-down"
        )
        found[season_told, key] = _with_told(before, what, *distinction)
    return tuple(sorted(found.values(), key=lambda won: (-won.season, won.competition)))


_FIELDS = {
    "champion": "champions",
    "promoted": "promoted",
    "relegated": "relegated",
    "best-striker": "best_strikers",
}


def _with_told(
    won: Honours,
    what: str,
    award: str | None,
    of_teams: bool,
    who: str | None,
    *source: str | None,
) -> Honours:
    """With one distinction more; what is handed down takes the place of what sheets leave open."""
    if who is None or what == "runner-up":
        return won
    if award is not None:
        given = AwardWon(award, None, bool(of_teams), (who,))
        same = [each for each in won.awards if each[:3] == given[:3]]
        if given.told_as in won.told:
            given = given._replace(winners=(*same[0].winners, who))
        others = tuple(each for each in won.awards if each not in same)
        return replace(won, awards=(*others, given), told=(*won.told, given.told_as))
    field = _FIELDS[what]
    holders = (*getattr(won, field), who) if field in won.told else (who,)
    changed: dict[str, Any] = {field: tuple(dict.fromkeys(holders)), "told": (*won.told, field)}
    if what == "champion" or won.source is None:
        changed["source"] = source
    if what == "champion":
        changed["decided"] = "handed-down"
    return replace(won, **changed)


_OF_COMPETITION = (
    "season", "competition", "name", "kind", "complete", "played", "planned", "promotion_note",
    "relegation_note",
)  # fmt: skip


def _honours(
    connection: Connection, won: Mapping[str, Sequence[str]], row: tuple[Any, ...]
) -> Honours:
    """By the ``row`` of a competition, and the teams that ``won`` what in it."""
    of_it: dict[str, Any] = dict(zip(_OF_COMPETITION, row, strict=True))
    decided: Decided | None = None
    if of_it["complete"]:
        decided = "played" if "champion" in won or of_it["kind"] == "friendly" else None
    elif won:
        decided = "certain"
    key = row[:2]
    strikers = connection.execute(
        "SELECT player FROM strikers WHERE season = ? AND competition = ? AND rank = 1"
        " ORDER BY player",
        key,
    )
    return Honours(
        **of_it | {"complete": bool(of_it["complete"])},
        champions=tuple(won.get("champion", ())),
        promoted=tuple(won.get("promoted", ())),
        relegated=tuple(won.get("relegated", ())),
        best_strikers=tuple(player for (player,) in strikers),
        best_of_classes=tuple(
            BestOfClass._make((*of_class, players))
            for of_class, players in _together(
                connection,
                "SELECT class, name, player FROM class_strikers WHERE season = ? AND"
                " competition = ? AND rank = 1 ORDER BY number, player",
                key,
            )
        ),
        awards=tuple(
            AwardWon(award, of_class, bool(of_teams), winners)
            for (_, award, of_class, of_teams), winners in _together(
                connection,
                "SELECT a.number, a.award, a.class, a.team IS NOT NULL, coalesce(a.team, a.player)"
                " FROM awards AS a LEFT JOIN strikers AS s USING (season, competition, player)"
                " LEFT JOIN standings AS t ON t.season = a.season AND t.competition ="
                " a.competition AND t.team = a.team WHERE a.season = ? AND a.competition = ?"
                " ORDER BY a.number, coalesce(s.rank, t.rank), coalesce(a.team, a.player)",
                key,
            )
        ),
        decided=decided,
    )


def of_teams(
    connection: Connection, found: Sequence[Honours], teams: Collection[str]
) -> tuple[Honours, ...]:
    """What of ``found`` went to one of ``teams``, and to who struck last for one that season;
    competitions of which nothing did are left out."""
    marks = ", ".join("?" * len(teams))
    struck: dict[tuple[int, str], set[str]] = defaultdict(set)
    for season, competition, player in connection.execute(
        f"SELECT season, competition, player FROM strikers WHERE team IN ({marks})", [*teams]
    ):
        struck[season, competition].add(player)
    theirs = []
    for won in found:
        players = struck[won.season, won.competition]

        def own(listed: tuple[str, ...], of: Collection[str]) -> tuple[str, ...]:
            return tuple(each for each in listed if each in of)

        part = replace(
            won,
            champions=own(won.champions, teams),
            promoted=own(won.promoted, teams),
            relegated=own(won.relegated, teams),
            best_strikers=own(won.best_strikers, players),
            best_of_classes=tuple(
                best._replace(players=kept)
                for best in won.best_of_classes
                if (kept := own(best.players, players))
            ),
            awards=tuple(
                award._replace(winners=kept)
                for award in won.awards
                if (kept := own(award.winners, teams if award.of_teams else players))
            ),
        )
        if (part.champions or part.promoted or part.relegated or part.best_strikers
                or part.best_of_classes or part.awards):  # fmt: skip
            theirs.append(part)
    return tuple(theirs)


def _together(
    connection: Connection, query: str, values: tuple[int, str]
) -> Iterator[tuple[tuple[Any, ...], tuple[str, ...]]]:
    """All that stand in the last column, by what stands before it."""
    for key, rows in groupby(connection.execute(query, values), lambda row: row[:-1]):
        yield key, tuple(row[-1] for row in rows)


def winner_of_the_final(connection: Connection, season: int, competition: str) -> list[str]:
    """The final is the only match of the last round, whether or not its winner is known. One that
    is kept out of the tables makes nobody the champion, least of all the winner of the round
    before; the sheet of a match that was put off or annulled is no match beside it."""
    last = connection.execute(
        "SELECT counts, CASE winner WHEN 'home' THEN home WHEN 'away' THEN away END FROM matches"
        " WHERE season = ? AND competition = ? AND outcome NOT IN ('postponed', 'annulled')"
        " AND round = (SELECT max(round) FROM matches WHERE season = ? AND competition = ?)",
        (season, competition) * 2,
    ).fetchall()
    if len(last) != 1:
        return []
    ((counts, winner),) = last
    return [winner] if counts and winner is not None else []


def gaps(found: Collection[Honours | ToldCompetition]) -> Iterator[Gap]:
    """Years in a row without a record: first those between the seasons of ``found``, then those
    in which a competition pauses between its own seasons while others have one."""
    seasons = {won.season for won in found}
    yield from (Gap(first, last, None) for first, last in _years_between(seasons))
    by_competition: dict[str, set[int]] = {}
    for won in found:
        by_competition.setdefault(won.competition, set()).add(won.season)
    for competition, own in sorted(by_competition.items()):
        for first, last in _years_between(own):
            if not seasons.isdisjoint(range(first, last + 1)):
                yield Gap(first, last, competition)


def _years_between(seasons: Collection[int]) -> Iterator[tuple[int, int]]:
    for earlier, later in pairwise(sorted(seasons)):
        if later - earlier > 1:
            yield earlier + 1, later - 1


_DAYS = 7


class CompetitionOverview(NamedTuple):
    """``planned`` is None where nobody said how many matches there are to be. ``first`` are the
    teams that share the first place so far, of a cup the winner of its final; ``champion`` is
    whether nothing can change that any more."""

    season: int
    competition: str
    name: str
    kind: str
    played: int
    planned: int | None
    complete: bool
    champion: bool
    first: tuple[str, ...]


def overview(connection: Connection) -> tuple[CompetitionOverview, ...]:
    """The newest season first; within one by identifier."""
    leading: dict[tuple[int, str], list[str]] = defaultdict(list)
    for season, competition, team in connection.execute(
        "SELECT season, competition, team FROM standings WHERE rank = 1 AND played > 0"
        " ORDER BY season, competition, team"
    ):
        leading[season, competition].append(team)
    return tuple(
        CompetitionOverview(
            *(won.season, won.competition, won.name, won.kind, won.played, won.planned),
            won.complete,
            bool(won.champions),
            tuple(_first(connection, won, leading)),
        )
        for won in honours(connection, with_told=False)
    )


def _first(
    connection: Connection, of: Honours, leading: Mapping[tuple[int, str], list[str]]
) -> Sequence[str]:
    if of.champions:
        return of.champions
    if of.kind in _WON_BY_RANK:
        return leading.get((of.season, of.competition), ())
    if of.kind == "cup":
        return winner_of_the_final(connection, of.season, of.competition)
    return ()


def latest_matches(connection: Connection) -> tuple[MatchLine, ...]:
    """The matches of the week that ended with the last one on record."""
    last = last_day(connection)
    if last is None:
        return ()
    since = last - datetime.timedelta(days=_DAYS - 1)
    return match_lines(
        connection,
        "m.counts AND m.season >= ? AND m.date BETWEEN ? AND ?",
        (since.year, since.isoformat(), last.isoformat()),
    )


class TableRow(NamedTuple):
    """A team's row in a competition's table of ``teams``."""

    season: int
    competition: str
    rank: int
    team: str
    played: int
    won: int
    drawn: int
    lost: int
    nummern: int
    points: int
    rank_points: int
    nummern_unknown: int
    points_unknown: int
    teams: int


def table_rows(
    connection: Connection, condition: str = "1", values: tuple[int | str, ...] = ()
) -> tuple[TableRow, ...]:
    """Rows of the team tables for which ``condition`` holds, a piece of SQL over `standings` as
    s; the newest season first, each table from the top down."""
    rows = connection.execute(
        f"SELECT {', '.join(TableRow._fields[:-1])}, (SELECT count(*) FROM standings o"
        " WHERE o.season = s.season AND o.competition = s.competition)"
        f" FROM standings s WHERE {condition} ORDER BY season DESC, competition, rank, team",
        values,
    )
    return tuple(map(TableRow._make, rows))


class AllTimeRow(NamedTuple):
    """A team over all league seasons; ``titles`` are those of leagues whose
    first place is decided."""

    rank: int
    team: str
    seasons: int
    played: int
    won: int
    drawn: int
    lost: int
    nummern: int
    points: int
    nummern_unknown: int
    points_unknown: int
    first: int
    last: int
    titles: int


def all_time_table(connection: Connection, found: Sequence[Honours]) -> tuple[AllTimeRow, ...]:
    """Most matches won first, then fewer lost; teams level on both share a rank. Rank points are
    not added up, since not every season gave as many. ``found`` are the honours."""
    titles: dict[str, int] = {}
    for won in found:
        for team in won.champions if won.kind == "league" else ():
            titles[team] = titles.get(team, 0) + 1
    rows = connection.execute(
        "SELECT s.team, count(DISTINCT s.season), sum(s.played), sum(s.won), sum(s.drawn),"
        " sum(s.lost), sum(s.nummern), sum(s.points), sum(s.nummern_unknown),"
        " sum(s.points_unknown), min(s.season), max(s.season) FROM standings s JOIN competitions c"
        " ON c.season = s.season AND c.competition = s.competition WHERE c.kind = 'league' AND"
        " s.played > 0 GROUP BY s.team ORDER BY sum(s.won) DESC, sum(s.lost), s.team"
    ).fetchall()
    table: list[AllTimeRow] = []
    for number, row in enumerate(rows, start=1):
        level = [above.rank for above in table[-1:] if (above.won, above.lost) == (row[3], row[5])]
        table.append(AllTimeRow._make((level[0] if level else number, *row, titles.get(row[0], 0))))
    return tuple(table)


class Faithful(NamedTuple):
    """Somebody's matches with known match points, in seasons last struck for the club."""

    player: str
    matches: int
    points: int
    first: int
    last: int


def by_team(
    connection: Connection, under_way: UnderWay = ALL_IS_OVER
) -> Mapping[str, list[Faithful]]:
    """Of each team all who struck for it, without what is ``under_way``."""
    found: dict[str, list[Faithful]] = {}
    for team, *row in connection.execute(
        "SELECT team, player, sum(matches), sum(points), min(season), max(season) FROM strikers"
        f" WHERE {under_way.beside('strikers')} GROUP BY team, player ORDER BY team, player"
    ):
        found.setdefault(team, []).append(Faithful(*row))
    return found


def most_matches(
    found: Mapping[str, Sequence[Faithful]], teams: Sequence[str], most: int
) -> list[Faithful]:
    """Who struck most often for one of ``teams``; more than ``most`` where several are level at
    the end. ``found`` is what `by_team` finds."""
    summed: dict[str, Faithful] = {}
    for striker in (striker for team in teams for striker in found.get(team, ())):
        player, matches, points, first, last = striker
        before = summed.get(player, Faithful(player, 0, 0, first, last))
        summed[player] = Faithful(
            player,
            before.matches + matches,
            before.points + points,
            min(before.first, first),
            max(before.last, last),
        )
    rows = sorted(summed.values(), key=lambda striker: (-striker.matches, striker.player))
    if len(rows) <= most:
        return rows
    return [striker for striker in rows if striker.matches >= rows[most - 1].matches]


class SeasonGaps(NamedTuple):
    """``played`` of ``planned`` matches are in the tables, of the competitions that say how many
    there are to be; ``missing`` are neither played nor settled otherwise. Of all ``sheets`` of
    matches that were struck, ``strike_by_strike`` are known so on both sides, of ``no_winner``
    nobody knows the winner; of those known in less detail ``no_source`` name no source.
    ``drafts`` are not typed up yet."""

    season: int
    planned: int
    played: int
    missing: int
    sheets: int
    strike_by_strike: int
    no_winner: int
    no_source: int
    drafts: int


def season_gaps(connection: Connection) -> tuple[SeasonGaps, ...]:
    """The newest season first."""
    planned = {
        season: figures
        for season, *figures in connection.execute(
            "SELECT season, coalesce(sum(planned), 0), coalesce(sum(CASE WHEN planned IS NOT NULL"
            " THEN played END), 0), sum(missing) FROM competitions GROUP BY season"
        )
    }
    of_sheets = {
        season: row
        for season, *row in connection.execute(
            "SELECT m.season, count(*), sum(known), sum(winner IS NULL AND NOT draft AND NOT"
            " kept_out AND outcome IN ('played', 'abandoned')), sum(source IS NULL AND reference IS"
            " NULL AND NOT known AND NOT draft), sum(draft) FROM matches AS m JOIN (SELECT season,"
            " sheet, sum(depth = 'strikes') = 2 AS known FROM sides GROUP BY season, sheet) AS s ON"
            " s.season = m.season AND s.sheet = m.sheet WHERE NOT errors AND outcome IN ('played',"
            " 'abandoned') GROUP BY m.season"
        )
    }
    return tuple(
        SeasonGaps(season, *planned.get(season, (0, 0, 0)), *of_sheets.get(season, [0] * 5))
        for season in sorted({*planned, *of_sheets}, reverse=True)
    )


def sources(connection: Connection) -> tuple[tuple[str | None, int], ...]:
    """How many sheets come from which kind of source, None where none is named."""
    return tuple(
        connection.execute(
            "SELECT source, count(*) FROM matches WHERE NOT errors"
            " GROUP BY source ORDER BY count(*) DESC, source"
        ).fetchall()
    )
