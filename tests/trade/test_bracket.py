"""A cup's bracket, held against cups drawn at random."""

import datetime
import itertools
import random

import pytest

from riesbuch.trade.bracket import Alone, Bracket, Tie, bracket
from riesbuch.trade.ids import CompetitionId, SheetId, TeamId, Winner
from riesbuch.trade.match import Depth, Outcome
from riesbuch.trade.season import Fixture
from riesbuch.trade.tally import SideTally, Tally

CUP = CompetitionId("cup")


def side(team: TeamId, points: int) -> SideTally:
    return SideTally(
        team=team, depth=Depth.NONE, ries=None, points=points, nummern=0, rank_points=None
    )


def match(number: int, home: TeamId, away: TeamId, winner: Winner | None, again: int = 0) -> Tally:
    return Tally(
        sheet=SheetId(f"2026/{number}-{home}-{away}-{again}"),
        season=2026,
        competition=CUP,
        round=number,
        date=datetime.date(2026, 4 + number, 1 + again),
        outcome=Outcome.PLAYED,
        home=side(home, 900 if winner == "home" else 800),
        away=side(away, 900 if winner == "away" else 800),
        winner=winner,
        decided_by="points",
        is_draft=False,
        counts=True,
    )


def ties_of(found: Bracket) -> list[Tie]:
    return [cell for row in found.rows for cell in row if isinstance(cell, Tie)]


def alone_in(found: Bracket, *, later: bool) -> set[tuple[int, TeamId]]:
    return {
        (number, cell.team)
        for row in found.rows
        for number, cell in zip(found.rounds, row, strict=True)
        if isinstance(cell, Alone) and cell.later == later
    }


@pytest.mark.parametrize("seed", range(60))
def test_who_went_on_is_who_won(seed: int) -> None:
    """Of 2 to 17 teams, with byes, matches played again after a draw, and rounds still to come."""
    chance = random.Random(seed)
    teams = [TeamId(f"clas-{chr(97 + index)}") for index in range(chance.randint(2, 17))]
    left, number = list(teams), 0
    tallies: list[Tally] = []
    fixtures: list[Fixture] = []
    winners: dict[tuple[int, frozenset[TeamId]], TeamId] = {}
    byes: set[tuple[int, TeamId]] = set()
    met: set[TeamId] = set()
    rounds = chance.randint(1, 6)
    while len(left) > 1 and number < rounds:
        number += 1
        chance.shuffle(left)
        # A draw gives byes in the first round alone, unless an odd team is left.
        pairs = len(left) - 2 ** ((len(left) - 1).bit_length() - 1)
        going, left = left[: pairs * 2], left[pairs * 2 :]
        byes |= {(number, team) for team in left}
        for home, away in zip(going[::2], going[1::2], strict=True):
            met |= {home, away}
            if chance.random() < 0.5:
                day = datetime.date(2026, 4 + number, 1)
                fixtures.append(
                    Fixture(competition=CUP, round=number, date=day, home=home, away=away,
                            positions={})
                )  # fmt: skip
            if chance.random() < 0.2:
                tallies.append(match(number, home, away, "draw"))
                home, away = chance.choice(((home, away), (away, home)))
            winner: Winner = chance.choice(("home", "away"))
            tallies.append(match(number, home, away, winner, again=1))
            gone = home if winner == "home" else away
            winners[number, frozenset((home, away))] = gone
            left.append(gone)
    chance.shuffle(tallies)
    found = bracket(teams, fixtures, tallies)
    assert found is not None
    drawn = ties_of(found)
    assert {(tie.round, frozenset(tie.teams)): tie.gone_on for tie in drawn} == winners
    assert len(drawn) == len(winners)
    assert sorted(tally.sheet for tie in drawn for tally in tie.tallies) == sorted(
        tally.sheet for tally in tallies
    )
    # Each line leads from the left: whoever is in a tie won the one before it in its rows.
    for row in found.rows:
        line = [cell for cell in row if cell is not None]
        for before, after in itertools.pairwise(line):
            ahead = {after.team} if isinstance(after, Alone) else set(after.teams)
            assert (before.team if isinstance(before, Alone) else before.gone_on) in ahead
    if len(left) == 1:
        assert found.final is not None
        assert found.final.gone_on == left[0]
        assert alone_in(found, later=False) == set()
    else:
        assert found.final is None
        waiting = {team for _, team in alone_in(found, later=False)}
        assert waiting == set(left)
    assert {team for _, team in alone_in(found, later=True)} <= {team for _, team in byes}


def test_a_pairing_still_to_come_and_a_match_without_a_round() -> None:
    a, b, c, d = (TeamId(f"clas-{letter}") for letter in "abcd")
    final = Fixture(
        competition=CUP, round=2, date=datetime.date(2026, 8, 1), home=a, away=c, positions={}
    )
    odd = match(1, a, d, "home", again=5)._replace(round=None)
    found = bracket((), [final], [match(1, a, b, "home"), match(1, d, c, "away"), odd])
    assert found is not None
    assert found.elsewhere == (odd,)
    assert found.final is not None
    assert found.final.tallies == ()
    assert [len(row) for row in found.rows] == [2, 2]
    assert found.rows[0][1] is found.final
    assert found.rows[1][1] is None


def test_the_match_for_the_third_place_is_no_final() -> None:
    a, b, c, d = (TeamId(f"clas-{letter}") for letter in "abcd")
    tallies = [match(1, a, b, "home"), match(1, c, d, "home"), match(2, b, d, "home")]
    found = bracket((a, b, c, d), [], [*tallies, match(3, a, c, "away")])
    assert found is not None
    assert found.final is not None
    assert found.final.gone_on == c
    assert alone_in(found, later=False) == set()


def test_without_a_round_there_is_no_bracket() -> None:
    a, b = TeamId("clas-a"), TeamId("clas-b")
    assert bracket((a, b), [], []) is None
    assert bracket((a, b), [], [match(1, a, b, "home")._replace(round=None)]) is None
