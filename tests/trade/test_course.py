"""How a competition and a match went."""

from pathlib import Path

import pytest

from riesbuch.trade.course import form, last_round, movement, totals
from riesbuch.trade.tally import Tally
from tests.reports_folder import HEAD, archive_of, results_of, small_folder

MATCHES = (
    (1, "2026-05-10", "aarwald-a", "birkenfluh-a", (60, 70), (0, 1)),
    (2, "2026-05-17", "birkenfluh-a", "aarwald-a", (80, 80), (1, 1)),
    (3, "2026-05-24", "aarwald-a", "birkenfluh-a", (50, 90), (2, 0)),
    (4, "2026-05-31", "birkenfluh-a", "aarwald-a", (61, 60), (0, 0)),
)


def sheet(number: int) -> str:
    round_, date, home, away, points, nummern = MATCHES[number]
    return (
        f"{HEAD}round: {round_}\ndate: {date}\n"
        f"home: {{team: {home}, points: {points[0]}, nummern: {nummern[0]}}}\n"
        f"away: {{team: {away}, points: {points[1]}, nummern: {nummern[1]}}}\n"
        + ("winner: draw\n" if points[0] == points[1] else "")
    )


@pytest.fixture
def tallies(tmp_path: Path) -> list[Tally]:
    archive = archive_of(small_folder(tmp_path, {f"m{n}": sheet(n) for n in range(4)}))
    (results,) = results_of(archive)
    return [each.tally for each in results.matches]


def test_form_is_the_last_results_the_newest_last(tallies: list[Tally]) -> None:
    assert form(reversed(tallies)) == {
        "aarwald-a": ("won", "drawn", "lost", "lost"),
        "birkenfluh-a": ("lost", "drawn", "won", "won"),
    }
    more = [each._replace(sheet=f"{each.sheet}-again") for each in tallies]
    assert form([*tallies, *more])["aarwald-a"] == ("drawn", "lost", "lost", "lost", "lost")


def test_the_last_round_is_the_highest_though_an_earlier_was_caught_up_later(
    tallies: list[Tally],
) -> None:
    late = tallies[0]._replace(date=tallies[3].date)
    assert [each.round for each in last_round([late, *tallies[1:]])] == [4]
    without_rounds = [each._replace(round=None) for each in tallies]
    assert [each.date for each in last_round(without_rounds)] == [tallies[3].date]
    assert last_round([]) == []


def test_movement_is_in_places_since_the_table_before_the_last_round(tmp_path: Path) -> None:
    archive = archive_of(small_folder(tmp_path, {f"m{n}": sheet(n) for n in (0, 2)}))
    (results,) = results_of(archive)
    tallies = [each.tally for each in results.matches]
    moved = movement(tallies, results.standings, results.competition.teams, results.rules)
    # Each has won once without a Nummer; the second conceded fewer Nummern.
    assert moved == {"birkenfluh-a": 1, "aarwald-a": -1}
    assert movement(tallies[:1], results.standings, results.competition.teams, results.rules) == {}


def test_totals_rest_on_what_is_known(tallies: list[Tally]) -> None:
    unknown = tallies[0]._replace(home=tallies[0].home._replace(points=None, nummern=None))
    found = totals([unknown, *tallies[1:]])["aarwald-a"]
    assert (found.sides, found.known, found.points, found.highest, found.lowest) == (
        4, 3, 190, 80, 50,
    )  # fmt: skip
    assert (found.nummern_known, found.conceded, found.caused, found.clean) == (3, 3, 2, 1)
