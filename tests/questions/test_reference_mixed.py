"""Small random folders with rulings, parts, classes, named points and handed-down seasons all at
once, against an independent recomputation."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.commandline import invoke
from tests.reference import careers, honours
from tests.reference.classes import awards, class_tables
from tests.reference.mixed import GROUPS, PLAYERS, SEASONS, Builder
from tests.reference.recomputed import Recomputed
from tests.reference.tables import standings, strikers, without_awards
from tests.reference.titles import titles

SEEDS = range(4)


class Mixed(Recomputed):
    def ask(self, *words: str) -> Any:
        outcome = invoke("--folder", self.root, *words, "--format", "json")
        assert outcome.status == 0, outcome.err
        return outcome.data


@pytest.fixture(scope="module", params=SEEDS)
def mixed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Mixed:
    root = tmp_path_factory.mktemp("mixed") / "club"
    Builder(root, request.param).build()
    checked = invoke("--folder", root, "check", "--format", "json").data
    assert {each["severity"] for each in checked["problems"]} == {"warning"}
    return Mixed(root)


def competitions(mixed: Mixed) -> Iterator[tuple[int, str, str]]:
    for (season, key), settings in sorted(mixed.frames.competitions.items()):
        yield season, key, settings["rules"]


def test_all_standings(mixed: Mixed) -> None:
    for season, key, _ in competitions(mixed):
        found = mixed.ask("standings", key, "--season", str(season))
        assert found == mixed.standings[season, key], (season, key)


def test_standings_on_days_between(mixed: Mixed) -> None:
    """Matches and rulings up to that day alone; one is in force from its own day on."""
    frames = mixed.frames
    for season, key, rules in competitions(mixed):
        of_it = frames.rulings[
            (frames.rulings.season == season) & (frames.rulings.competition == key)
        ]
        days = {f"{season}-05-12", f"{season}-09-02", *of_it["on"]}
        for day in sorted(days):
            found = mixed.ask("standings", key, "--season", str(season), "--until", day)
            expected = standings(frames, mixed.results, season, key, rules, day)
            assert found == expected, (season, key, day)


def prizes(mixed: Mixed, season: int, key: str) -> dict[str, set[str]]:
    """Of each player the awards in the competition."""
    rules, table = mixed.frames.competitions[season, key]["rules"], mixed.strikers[season, key]
    by_class = class_tables(mixed.frames, season, rules, table)
    found: dict[str, set[str]] = {row["player"]: set() for row in table}
    for award in awards(mixed.frames, rules, table, by_class):
        for player in award["players"]:
            found[player].add(award["award"])
    return found


def test_all_striker_tables(mixed: Mixed) -> None:
    for season, key, _ in competitions(mixed):
        found = mixed.ask("strikers", key, "--season", str(season))
        awarded = {row["player"]: set(row["awards"]) for row in found}
        assert without_awards(found) == mixed.strikers[season, key], (season, key)
        assert awarded == prizes(mixed, season, key)


def test_striker_tables_of_classes_and_teams(mixed: Mixed) -> None:
    for season, key, rules in competitions(mixed):
        table = mixed.strikers[season, key]
        for of_class, listed in class_tables(mixed.frames, season, rules, table).items():
            found = mixed.ask("strikers", key, "--season", str(season), "--class", of_class)
            assert without_awards(found) == listed, (season, key, of_class)
        played = mixed.played[(mixed.played.season == season) & (mixed.played.competition == key)]
        for team in sorted(set(played.team)):
            found = mixed.ask("strikers", key, "--season", str(season), "--team", team)
            own = strikers(
                mixed.frames, mixed.played[mixed.played.team == team], season, key, rules, None
            )
            assert without_awards(found) == own, (season, key, team)


def test_striker_tables_of_both_groups_together(mixed: Mixed) -> None:
    for season in SEASONS:
        for until in (None, f"{season}-05-12"):
            options = ["--season", str(season), *(["--until", until] if until else [])]
            found = mixed.ask("strikers", *GROUPS, *options)
            table = strikers(mixed.frames, mixed.played, season, tuple(GROUPS), "league", until)
            assert without_awards(found) == table, (season, until)
            for of_class, listed in class_tables(mixed.frames, season, "league", table).items():
                found = mixed.ask("strikers", *GROUPS, *options, "--class", of_class)
                assert without_awards(found) == listed, (season, until, of_class)


def test_classes_and_awards(mixed: Mixed) -> None:
    awarded = 0
    won = {(each["season"], each["competition"]): each for each in mixed.ask("honours")["honours"]}
    for season, key, rules in competitions(mixed):
        table = mixed.strikers[season, key]
        by_class = class_tables(mixed.frames, season, rules, table)
        rows = mixed.ask(
            "ask",
            "SELECT class, rank, player FROM class_strikers WHERE"
            f" season = {season} AND competition = '{key}' ORDER BY class, rank, player",
        )
        assert rows == [
            {"class": of_class, "rank": row["rank"], "player": row["player"]}
            for of_class, listed in sorted(by_class.items())
            for row in sorted(listed, key=lambda row: (row["rank"], row["player"]))
        ]
        best = {each["class"]: each["players"] for each in won[season, key]["best_of_classes"]}
        assert best == {
            of_class: sorted(row["player"] for row in listed if row["rank"] == 1)
            for of_class, listed in by_class.items()
            if listed
        }
        given = {
            (each["award"], each["class"]): each["players"] for each in won[season, key]["awards"]
        }
        assert given == {
            (each["award"], each["class"]): each["players"]
            for each in awards(mixed.frames, rules, table, by_class)
            if each["players"]
        }
        awarded += len(given)
    assert awarded > 0


def test_honours_of_sheets(mixed: Mixed) -> None:
    expected = honours.expected(mixed)
    found = {
        (each["season"], each["competition"]): {key: each[key] for key in expected[2001, "fest"]}
        for each in mixed.ask("honours")["honours"]
        if each["decided"] != "handed-down"
    }
    assert {key: each for key, each in found.items() if key in expected} == expected


def test_all_titles(mixed: Mixed) -> None:
    columns = "season, competition, what, award, team, player, holder, decided"
    found = [tuple(row.values()) for row in mixed.ask("ask", f"SELECT {columns} FROM titles")]
    assert len(found) == len(set(found))
    expected = titles(mixed)
    assert set(found) == expected
    assert {"handed-down"} < {title[-1] for title in expected}


def test_all_careers(mixed: Mixed) -> None:
    for club in (GROUPS["group-1"][0], GROUPS["group-2"][0]):
        for number in range(1, PLAYERS + 1):
            player = f"{club}-{number}"
            found = careers.shown(mixed.ask("career", player))
            assert found == careers.expected(mixed, player), player
