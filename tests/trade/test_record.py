"""What `record` makes behaves as what `dataclass` makes."""

import copy
import pickle
from dataclasses import FrozenInstanceError, fields, replace

import pytest

from riesbuch.trade.ids import CompetitionId, PlayerId, SheetId, TeamId
from riesbuch.trade.match import Match, PlayerPoints, Side
from riesbuch.trade.season import Part

POINTS = PlayerPoints(player=PlayerId("abt"), points=70, position=(3, 4))
SIDE = Side(team=TeamId("ried-a"), player_points=(POINTS,))


def match(ground: str | None = None) -> Match:
    return Match(
        sheet=SheetId("2026/x"),
        season=2026,
        competition=CompetitionId("first"),
        date=None,
        home=SIDE,
        away=SIDE,
        ground=ground,
        positions={"home": (4, 1)},
    )


@pytest.mark.parametrize("one", [POINTS, SIDE, match("Allmend")])
def test_a_record_is_the_same_after_any_journey(one: object) -> None:
    for other in (pickle.loads(pickle.dumps(one)), copy.copy(one), copy.deepcopy(one)):
        assert other == one
        assert hash(other) == hash(one)
        assert repr(other) == repr(one)


def test_where_a_value_stands_is_no_part_of_it() -> None:
    moved = replace(POINTS, position=(9, 9))
    assert (moved, hash(moved)) == (POINTS, hash(POINTS))
    assert replace(POINTS, points=71) != POINTS
    assert replace(match(), positions={}) == match() != match("Allmend")


def test_records_of_two_kinds_are_never_equal() -> None:
    assert Side(team=None) != Part
    assert POINTS != ("abt", 70)


def test_a_record_stays_as_it_was_made() -> None:
    for one in (POINTS, SIDE):
        with pytest.raises(FrozenInstanceError):
            one.team = "other"  # type: ignore
        with pytest.raises(FrozenInstanceError):
            del one.points  # type: ignore
    assert POINTS.points == 70


def test_what_has_no_default_has_to_be_given_and_nothing_else_can_be() -> None:
    with pytest.raises(TypeError, match="points"):
        PlayerPoints(player=PlayerId("abt"), position=(1, 1))  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="grounds"):
        Side(team=None, grounds="x")  # type: ignore[call-arg]


def test_a_record_shows_its_fields_but_for_places() -> None:
    shown = repr(match("Allmend"))
    assert shown.startswith("Match(sheet='2026/x', season=2026, competition='first', part=None,")
    assert "ground='Allmend'" in shown
    assert "positions" not in shown
    assert [each.name for each in fields(POINTS)] == ["player", "points", "position"]


def test_only_what_keeps_something_has_a_dictionary() -> None:
    assert not hasattr(POINTS, "__dict__")
    assert SIDE.team_rows is SIDE.team_rows
