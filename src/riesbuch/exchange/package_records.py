"""The rules, register and seasons of an export as records."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeVar, get_args

from riesbuch.exchange.package_tables import TableFault, TableRow, grouped, in_order
from riesbuch.exchange.written import Fault
from riesbuch.trade.ids import ClubId, CompetitionId, PlayerId, RuleSetId, TeamId, is_identifier
from riesbuch.trade.people import Club, FormerName, Membership, Player
from riesbuch.trade.rules import (
    Award,
    ForfeitPoints,
    NummerZone,
    RankPoints,
    ResultCriterion,
    RuleSet,
    StandingsCriterion,
    StrikersCriterion,
    StrikersScale,
)
from riesbuch.trade.season import Competition, CompetitionKind, Fixture

Tables = Mapping[str, Sequence[TableRow]]
_Record = TypeVar("_Record")


def _by(tables: Tables, name: str, column: str) -> Callable[[Any], list[TableRow]]:
    groups = grouped(list(tables[name]), column)
    return lambda value: list(in_order(groups.get((value,), [])))


def expect_identifiers(tables: Tables, faults: list[TableFault]) -> None:
    """Files are named by these, so they must be identifiers."""
    for name, column in (
        ("rules", "rules"), ("clubs", "club"), ("teams", "team"), ("players", "player"),
        ("competitions", "competition"),
    ):  # fmt: skip
        for row in tables[name]:
            if not is_identifier(row[column]):
                fault = Fault(
                    row.row, column, f"`{row[column]}` is no identifier", "export once more"
                )
                faults.append(TableFault(name, fault))


def rule_sets(tables: Tables) -> dict[RuleSetId, RuleSet]:
    awards = _by(tables, "awards", "rules")
    return {
        RuleSetId(row["rules"]): RuleSet(
            name=row["name"],
            **{key: row[key] for key in ("team_size", "innings", "strikes_per_inning",
                                         "highest_points")},
            nummer_zone=NummerZone(row["zone_from"], row["zone_to"]),
            result_order=_criteria(row["result_order"], ResultCriterion),
            standings_order=_criteria(row["standings_order"], StandingsCriterion),
            rank_points=RankPoints(*(row[key] for key in RankPoints._fields)),
            forfeit=ForfeitPoints(*(row[f"forfeit_{key}"] for key in ForfeitPoints._fields)),
            strikers=StrikersScale(
                row["striker_best"],
                row["striker_least"],
                _criteria(row["striker_order"], StrikersCriterion),
            ),
            awards=tuple(Award(each["name"], each["points"]) for each in awards(row["rules"])),
        )
        for row in tables["rules"]
    }  # fmt: skip


def _criteria(words: tuple[Any, ...], criterion: Any) -> Any:
    return tuple(word for word in words if word in get_args(criterion))


def clubs(tables: Tables) -> Iterator[Club]:
    teams = _by(tables, "teams", "club")
    formerly = _by(tables, "former_names", "club")
    mergers = _by(tables, "mergers", "club")
    for row in tables["clubs"]:
        club = row["club"]
        yield Club(
            id=ClubId(club),
            name=row["name"],
            founded=row["founded"],
            ground=row["ground"],
            teams=tuple((each["team"].rpartition("-")[2], each["name"]) for each in teams(club)),
            formerly=tuple(FormerName(each["name"], each["until"]) for each in formerly(club)),
            merged_from=tuple(ClubId(each["merged"]) for each in mergers(club)),
            positions={},
        )


def players(tables: Tables) -> Iterator[Player]:
    memberships = _by(tables, "memberships", "player")
    parents = _by(tables, "parents", "player")
    for row in tables["players"]:
        if not row["registered"]:
            continue
        player = row["player"]
        yield Player(
            id=PlayerId(player),
            name=row["name"],
            born=row["born"],
            clubs=tuple(Membership(each["club"], each["since"]) for each in memberships(player)),
            parents=tuple(PlayerId(each["parent"]) for each in parents(player)),
            also_written=row["also_written"] or (),
            positions={},
        )


def competitions(tables: Tables) -> dict[int, list[Competition]]:
    """By season, in their order."""
    entrants = grouped(list(tables["entrants"]), "season", "competition")
    found: dict[int, list[Competition]] = {}
    for (year,), rows in sorted(grouped(list(tables["competitions"]), "season").items()):
        found[year] = [
            Competition(
                id=CompetitionId(row["competition"]),
                name=row["name"],
                kind=CompetitionKind(row["kind"]),
                rules=RuleSetId(row["rules"]),
                teams=tuple(
                    TeamId(each["team"])
                    for each in in_order(entrants.get((year, row["competition"]), []))
                ),
                cycles=row["cycles"] or 1,
                promoted=row["promoted"] or 0,
                relegated=row["relegated"] or 0,
                positions={},
            )
            for row in in_order(rows)
        ]
    return found


def fixtures(tables: Tables) -> dict[int, list[Fixture]]:
    """By season, in their order."""
    return {
        year: [
            Fixture(
                competition=CompetitionId(row["competition"]),
                round=row["round"],
                date=row["date"],
                home=TeamId(row["home"]),
                away=TeamId(row["away"]),
                positions={},
            )
            for row in in_order(rows)
        ]
        for (year,), rows in sorted(grouped(list(tables["fixtures"]), "season").items())
    }
