"""`riesbuch plan`: the tables, the days, and what becomes of a fixtures.toml that is there."""

import datetime
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.text.league import read_fixtures
from riesbuch.text.toml_text import new_fixtures_file, with_other_fixtures
from riesbuch.trade.ids import CompetitionId, TeamId
from riesbuch.trade.planning import round_robin
from riesbuch.trade.season import Fixture
from tests.clubfolder import (
    AARWALD,
    BIRKENFLUH,
    CLUB_FOLDER,
    FIRST,
    FIXTURES,
    SEASON,
    SECOND,
    Delete,
    Edit,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.commandline import EXAMPLE, Outcome, invoke


def teams(number: int) -> tuple[TeamId, ...]:
    return tuple(TeamId(f"club-{index}") for index in range(1, number + 1))


# The tables; they are held against the published ones in trade/test_scoring_published.py


@given(st.integers(2, 40), st.integers(1, 5))
def test_everybody_meets_everybody(size: int, cycles: int) -> None:
    rounds = round_robin(teams(size), cycles)
    assert len(rounds) == cycles * (size - 1 + size % 2)
    for pairs in rounds:
        playing = [team for pair in pairs for team in pair]
        assert len(playing) == len(set(playing)) == size - size % 2
    met = Counter(frozenset(pair) for pairs in rounds for pair in pairs)
    assert set(met.values()) == {cycles}
    assert len(met) == size * (size - 1) // 2
    at_home = Counter(pair.home for pairs in rounds for pair in pairs)
    away = Counter(pair.away for pairs in rounds for pair in pairs)
    assert all(abs(at_home[team] - away[team]) <= 1 for team in teams(size))


def test_a_second_cycle_has_home_and_away_swapped() -> None:
    rounds = round_robin(teams(6), 3)
    first, second, third = rounds[:5], rounds[5:10], rounds[10:]
    assert [[(a, h) for h, a in pairs] for pairs in first] == [list(pairs) for pairs in second]
    assert first == third


# The text of fixtures.toml

fixture_lists = st.lists(
    st.builds(
        Fixture,
        competition=st.sampled_from([CompetitionId("league-1"), CompetitionId("league-2")]),
        round=st.none() | st.integers(1, 30),
        date=st.dates(datetime.date(2026, 1, 1), datetime.date(2026, 12, 31)),
        home=st.sampled_from(teams(9)),
        away=st.sampled_from(teams(9)),
        positions=st.just({}),
    ),
    max_size=8,
)
remarks = st.sampled_from(["", "# a remark\n", "\n\n# two\n# lines\n\n", "\n"])


def comments(text: str) -> Counter[str]:
    """What stands behind the last number sign of each line that has one."""
    return Counter(line.rpartition("#")[2].strip() for line in text.splitlines() if "#" in line)


@given(fixture_lists.filter(bool), fixture_lists, st.sets(st.integers(0, 7)), st.data())
def test_no_comment_and_no_other_fixture_is_lost(
    there: list[Fixture], added: list[Fixture], cut: set[int], data: st.DataObject
) -> None:
    cut = {index for index in cut if index < len(there)}
    text = new_fixtures_file(there).decode()
    parts = text.split("[[fixture]]\n")
    text = parts[0]
    for part in parts[1:]:
        behind = data.draw(st.sampled_from(["", "  # why"]))
        inside = data.draw(st.sampled_from(["", "# inside\n"]))
        text += f"{data.draw(remarks)}[[fixture]]{behind}\n{inside}{part}"
    newline = data.draw(st.sampled_from(["\n", "\r\n"]))
    mark = data.draw(st.sampled_from(["", "\ufeff"]))
    content = (mark + text.replace("\n", newline)).encode()
    after = with_other_fixtures(content, cut, added)
    kept = [each for index, each in enumerate(there) if index not in cut]
    position = min(cut, default=len(there))
    assert list(read_fixtures(after).record or ()) == [*kept[:position], *added, *kept[position:]]
    assert comments(after.decode()) == comments(text)
    assert (b"\r\n" in after) == (newline == "\r\n")
    assert after.startswith("\ufeff".encode()) == bool(mark)


def test_what_is_not_touched_stays_to_the_letter() -> None:
    text = """\
# Kept by hand.

[[fixture]]
competition = "league-1"
date   = 2026-04-12   # the fair
home="club-1"
away = 'club-2'


# The second division
[[fixture]]
competition = "league-2"
round = 1
date = 2026-04-12
home = "club-3"
away = "club-4"
"""
    later = Fixture(
        competition=CompetitionId("league-2"),
        round=1,
        date=datetime.date(2026, 4, 19),
        home=TeamId("club-4"),
        away=TeamId("club-3"),
        positions={},
    )
    block = """\
[[fixture]]
competition = "league-2"
round = 1
date = 2026-04-19
home = "club-4"
away = "club-3"
"""
    assert with_other_fixtures(text.encode(), [], [later]).decode() == f"{text}\n{block}"
    head, mark, _ = text.partition("# The second division\n")
    assert with_other_fixtures(text.encode(), [1], [later]).decode() == f"{head}{mark}{block}"
    assert with_other_fixtures(text.encode(), [0], []).decode() == (
        "# Kept by hand.\n\n# date   = 2026-04-12   # the fair\n\n"
        + text[text.index("# The second") :]
    )


# The command

LEAGUE_OF_FOUR = [
    Replace(SEASON, '"aarwald-a", "aarwald-b", "birkenfluh-a"', '"aarwald-a", "aarwald-b",'
            ' "birkenfluh-a", "birkenfluh-b"'),
]  # fmt: skip
NO_SHEETS: list[Edit] = [Delete(FIRST), Delete(SECOND)]


def plan(root: Path, *words: str, season: str = "2026", first: str = "2026-04-12") -> Outcome:
    return invoke(
        "--folder", root, "plan", "oberhang-1", "--season", season, "--from", first, *words
    )


def listed(root: Path) -> list[dict[str, Any]]:
    fixtures: list[dict[str, Any]] = tomllib.loads((root / FIXTURES).read_text(encoding="utf-8"))[
        "fixture"
    ]
    return fixtures


def lines(root: Path) -> list[str]:
    return [
        f"{each['round']} {each['date']} {each['home']} {each['away']}" for each in listed(root)
    ]


def test_a_plan_is_written_where_there_was_none(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [*LEAGUE_OF_FOUR, *NO_SHEETS, Delete(FIXTURES)])
    done = plan(tmp_path, "--every", "14", "--not", "2026-05-10")
    assert done.status == 0
    assert lines(tmp_path) == [
        "1 2026-04-12 aarwald-a birkenfluh-b",
        "1 2026-04-12 aarwald-b birkenfluh-a",
        "2 2026-04-26 birkenfluh-b birkenfluh-a",
        "2 2026-04-26 aarwald-a aarwald-b",
        "3 2026-05-24 aarwald-b birkenfluh-b",
        "3 2026-05-24 birkenfluh-a aarwald-a",
        "4 2026-06-07 birkenfluh-b aarwald-a",
        "4 2026-06-07 birkenfluh-a aarwald-b",
        "5 2026-06-21 birkenfluh-a birkenfluh-b",
        "5 2026-06-21 aarwald-b aarwald-a",
        "6 2026-07-05 birkenfluh-b aarwald-b",
        "6 2026-07-05 aarwald-a birkenfluh-a",
    ]
    text = (tmp_path / FIXTURES).read_text(encoding="utf-8")
    assert text.startswith("#:schema ../../.riesbuch/schema/fixtures.schema.json\n\n[[fixture]]\n")
    assert problems_of(folder) == []
    assert done.err == (
        f"{FIXTURES}: 12 fixtures written, Sunday 2026-04-12 to Sunday 2026-07-05\n"
    )


def test_home_and_away_runs_and_free_rounds_are_told(tmp_path: Path) -> None:
    lay_out(tmp_path, [*NO_SHEETS, Delete(FIXTURES)])
    done = plan(tmp_path, "--format", "json")
    assert done.status == 0
    assert set(done.data) == {
        "season", "competition", "fixtures", "teams", "shared_grounds", "clashes",
    }  # fmt: skip
    assert done.data["fixtures"][0] == {
        "round": 1,
        "date": "2026-04-12",
        "home": "aarwald-b",
        "away": "birkenfluh-a",
        "has_sheet": False,
    }
    # By hand: B–X, A–B, X–A; X–B, B–A, A–X, where A is free in rounds 1 and 4.
    assert [list(each.values()) for each in done.data["teams"]] == [
        ["aarwald-a", 2, 2, 1, 2, [1, 4]],
        ["aarwald-b", 2, 2, 1, 2, [3, 6]],
        ["birkenfluh-a", 2, 2, 2, 1, [2, 5]],
    ]
    assert done.data["shared_grounds"] == []


@pytest.mark.parametrize(
    ("grounds", "home", "away", "ground"),
    [
        ([], "aarwald-b", "birkenfluh-b", "Aarwald"),
        (
            [
                Replace(AARWALD, "founded: 1911", "ground: Aar  common"),
                Replace(BIRKENFLUH, "teams:", "ground: Aar Common\nteams:"),
            ],
            "birkenfluh-b",
            "aarwald-b",
            "Aar  common",
        ),
    ],
)
def test_two_matches_on_one_ground_and_two_of_one_team_are_told(
    grounds: list[Edit], home: str, away: str, ground: str, tmp_path: Path
) -> None:
    first_division = Replace(SEASON, '"aarwald-b", "birkenfluh-a"', '"birkenfluh-a"')
    second_division = """
[[competition]]
id = "oberhang-2"
name = "Second division"
kind = "league"
rules = "2026"
teams = ["aarwald-b", "birkenfluh-b"]
"""
    season = CLUB_FOLDER[SEASON] + second_division
    beside = f"""\
[[fixture]]
competition = "oberhang-2"
date = 2026-04-12
home = "{home}"
away = "{away}"

[[fixture]]
competition = "oberhang-cup"
date = 2026-04-19
home = "aarwald-a"
away = "birkenfluh-b"
"""
    edits = [Write(SEASON, season), first_division, Write(FIXTURES, beside)]
    lay_out(tmp_path, [*NO_SHEETS, *grounds, *edits])
    done = plan(tmp_path, "--format", "json")
    assert done.status == 0, done.err
    shared = done.data["shared_grounds"][0]
    assert (shared["date"], shared["ground"]) == ("2026-04-12", ground)
    assert [each["home"] for each in shared["matches"]] == ["aarwald-a", home]
    (clash,) = done.data["clashes"]
    assert (clash["team"], clash["date"]) == ("aarwald-a", "2026-04-19")
    assert clash["other"]["competition"] == "oberhang-cup"
    text = (tmp_path / FIXTURES).read_text(encoding="utf-8")
    assert text.startswith(beside)
    assert len(listed(tmp_path)) == 4
    shown = plan(tmp_path, "--replace")
    assert "Several matches on one ground" in shown.out
    assert "Another match on the same day" in shown.out


def test_fixtures_are_not_overwritten_unasked(tmp_path: Path) -> None:
    lay_out(tmp_path, NO_SHEETS)
    done = plan(tmp_path)
    assert (done.status, done.out) == (2, "")
    assert "`oberhang-1` has fixtures already (2) in seasons/2026/fixtures.toml" in done.err
    assert "--replace" in done.err
    assert (tmp_path / FIXTURES).read_text(encoding="utf-8") == CLUB_FOLDER[FIXTURES]


def test_a_dry_run_shows_the_same_and_writes_nothing(tmp_path: Path) -> None:
    lay_out(tmp_path, NO_SHEETS)
    before = (tmp_path / FIXTURES).read_bytes()
    shown = plan(tmp_path, "--replace", "--dry-run")
    assert shown.status == 0
    assert "would be written" in shown.err
    assert (tmp_path / FIXTURES).read_bytes() == before
    assert plan(tmp_path, "--replace").out == shown.out
    assert (tmp_path / FIXTURES).read_bytes() != before
    again = (tmp_path / FIXTURES).read_bytes()
    done = plan(tmp_path, "--replace")
    assert "just so already; nothing was written" in done.err
    assert (tmp_path / FIXTURES).read_bytes() == again


PLAYED_THIRD_ROUND = [
    *LEAGUE_OF_FOUR,
    Replace(FIRST, "round: 1", "round: 6"),
    Write(
        FIXTURES,
        """\
[[fixture]]   # the derby
competition = "oberhang-1"
round = 6
date = 2026-04-12
home = "aarwald-a"
away = "birkenfluh-a"

[[fixture]]
competition = "oberhang-1"
round = 3
date = 2026-05-10
home = "birkenfluh-a"
away = "aarwald-a"

[[fixture]]
competition = "oberhang-1"
round = 3
date = 2026-05-10 # at nine
home = "aarwald-b"
away = "birkenfluh-b"
""",
    ),
    Replace(SECOND, "round: 2", "round: 3"),
]


def test_fixtures_with_a_sheet_stay_and_the_rest_is_planned_around_them(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, PLAYED_THIRD_ROUND)
    done = plan(tmp_path, "--replace", first="2026-06-07")
    assert done.status == 0, done.err
    assert lines(tmp_path) == [
        "6 2026-04-12 aarwald-a birkenfluh-a",
        "3 2026-05-10 birkenfluh-a aarwald-a",
        "1 2026-06-07 aarwald-a birkenfluh-b",
        "1 2026-06-07 aarwald-b birkenfluh-a",
        "2 2026-06-14 birkenfluh-b birkenfluh-a",
        "2 2026-06-14 aarwald-a aarwald-b",
        "3 2026-06-21 aarwald-b birkenfluh-b",
        "4 2026-06-28 birkenfluh-b aarwald-a",
        "4 2026-06-28 birkenfluh-a aarwald-b",
        "5 2026-07-05 birkenfluh-a birkenfluh-b",
        "5 2026-07-05 aarwald-b aarwald-a",
        "6 2026-07-12 birkenfluh-b aarwald-b",
    ]
    text = (tmp_path / FIXTURES).read_text(encoding="utf-8")
    assert text.startswith("[[fixture]]   # the derby\n")
    assert "# date = 2026-05-10 # at nine\n" in text
    assert "2 fixtures have a sheet and stay\n" in done.err
    assert "1 comment of fixtures that went stay" in done.err
    assert problems_of(folder) == []


def test_a_match_that_was_put_off_counts_on_the_day_it_was_played(tmp_path: Path) -> None:
    lay_out(tmp_path, PLAYED_THIRD_ROUND)
    sheet = (tmp_path / FIRST).read_text(encoding="utf-8")
    (tmp_path / FIRST).unlink()
    played = sheet.replace("date: 2026-04-12", "date: 2026-06-21")
    (tmp_path / FIRST.replace("2026-04-12", "2026-06-21")).write_text(played, encoding="utf-8")
    done = plan(tmp_path, "--replace", "--format", "json", first="2026-06-07")
    assert done.status == 0, done.err
    (travel,) = (row for row in done.data["teams"] if row["team"] == "aarwald-a")
    # At home on 7, 14 and 21 June; by the day that was planned first it would be two in a row.
    assert (travel["longest_home"], travel["longest_away"]) == (3, 2)


@pytest.mark.parametrize(
    ("edit", "first", "says"),
    [
        (
            Replace(SEASON, '"aarwald-a", "aarwald-b", ', '"aarwald-b", "aarwald-a", '),
            "2026-06-07",
            "aarwald-a against birkenfluh-a in round 6 has a sheet and stays",
        ),
        (
            Replace(SEASON, "cycles = 2", "cycles = 1"),
            "2026-06-07",
            "aarwald-a against birkenfluh-a in round 6 has a sheet and stays",
        ),
        (
            Replace(SEASON, "cycles = 2", "cycles  = 2"),
            "2026-05-10",
            "aarwald-a would play twice on 2026-05-10: birkenfluh-a against aarwald-a has a sheet",
        ),
        (Write(SECOND, "competition: [\n"), "2026-06-07", f"what to mend first:\n  {SECOND}"),
        (Replace(SECOND, "team: aarwald-a", "team: Aarwald A"), "2026-06-07", "what to mend first"),
        (Replace(SECOND, "team: aarwald-a", "team: aarwald-x"), "2026-06-07", "what to mend first"),
        (
            Write(FIXTURES, "[[fixture]]\ncompetition = 'oberhang-1'\n"),
            "2026-06-07",
            "first mend the fixtures that are there:\nseasons/2026/fixtures.toml:1:1: error",
        ),
        (
            Replace(SEASON, "cycles = 2", "cycles = 0"),
            "2026-06-07",
            "first mend what the plan is made from:\nseasons/2026/season.toml:9:1: error",
        ),
    ],
)
def test_a_plan_that_does_not_fit_is_refused(
    edit: Edit, first: str, says: str, tmp_path: Path
) -> None:
    lay_out(tmp_path, [*PLAYED_THIRD_ROUND, edit])
    before = (tmp_path / FIXTURES).read_bytes()
    done = plan(tmp_path, "--replace", first=first)
    assert done.status in (1, 2)
    assert says in done.err
    assert done.out == ""
    assert (tmp_path / FIXTURES).read_bytes() == before


def test_a_match_that_was_put_off_keeps_its_new_day_free(tmp_path: Path) -> None:
    postponed = """\
competition: oberhang-1
round: 6
date: 2026-04-12
outcome: postponed
moved_to: 2026-06-14
home: {team: aarwald-a}
away: {team: birkenfluh-a}
"""
    lay_out(tmp_path, [*PLAYED_THIRD_ROUND, Write(FIRST, postponed)])
    refused = plan(tmp_path, "--replace", first="2026-06-07")
    assert refused.status == 2
    assert "play twice on 2026-06-14" in refused.err
    assert "--not 2026-06-14" in refused.err
    assert plan(tmp_path, "--replace", "--not", "2026-06-14", first="2026-06-07").status == 0


def test_hand_made_layout_that_cannot_be_added_to_is_left_alone(tmp_path: Path) -> None:
    inline = (
        'fixture = [{competition = "oberhang-cup", date = 2026-04-12, home = "aarwald-a",'
        ' away = "birkenfluh-a"}]\n'
    )
    lay_out(tmp_path, [*NO_SHEETS, Write(FIXTURES, inline)])
    done = plan(tmp_path)
    assert done.status == 1
    assert "is not laid out in blocks headed `[[fixture]]`" in done.err
    assert (tmp_path / FIXTURES).read_text(encoding="utf-8") == inline


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["oberhang-2", "--season", "2026"], "did you mean oberhang-1"),
        (["oberhang-1", "--season", "2027"], "there is no season 2027"),
        (["oberhang-cup", "--season", "2026"], "`oberhang-cup` is a cup"),
        (["oberhang-fest", "--season", "2026"], "`oberhang-fest` has no teams to plan for"),
        (["oberhang-1", "--season", "2026", "--every", "0"], "'--every'"),
        (["oberhang-1", "--season", "2026", "--every", "99"], "round 4 would no longer be in the"),
        (["oberhang-1", "--season", "2026", "--not", "17.5."], "write it like 2026-05-10"),
    ],
)
def test_wrong_usage_is_told(words: list[str], says: str, tmp_path: Path) -> None:
    festival = (
        '\n[[competition]]\nid = "oberhang-fest"\nname = "F"\nkind = "festival"\nrules = "2026"\n'
    )
    lay_out(tmp_path, [*NO_SHEETS, Delete(FIXTURES), Write(SEASON, CLUB_FOLDER[SEASON] + festival)])
    done = invoke("--folder", tmp_path, "plan", *words, "--from", "2026-04-12")
    assert (done.status, done.out) == (2, "")
    assert says in done.err
    assert not (tmp_path / FIXTURES).exists()


def test_a_first_day_outside_the_season_is_told(tmp_path: Path) -> None:
    lay_out(tmp_path, [*NO_SHEETS, Delete(FIXTURES)])
    done = plan(tmp_path, first="2025-04-12")
    assert done.status == 2
    assert "cannot begin on 2025-04-12, outside the season 2026" in done.err


def test_a_day_to_leave_out_that_is_none_is_told(tmp_path: Path) -> None:
    lay_out(tmp_path, [*NO_SHEETS, Delete(FIXTURES)])
    done = plan(tmp_path, "--not", "2026-04-20", "--not", "2026-04-19", "--not", "2026-12-27")
    assert done.status == 0
    assert "no round would have been on Monday 2026-04-20, Sunday 2026-12-27;" in done.err


def test_teams_that_no_club_declares_are_told(tmp_path: Path) -> None:
    lay_out(
        tmp_path,
        [*NO_SHEETS, Delete(FIXTURES), Replace(SEASON, '"aarwald-b"', '"aarwald-z"')],
    )
    done = plan(tmp_path)
    assert done.status == 0
    assert "no club declares `aarwald-z`" in done.err


def test_the_example_league_was_planned_so(tmp_path: Path) -> None:
    text = (EXAMPLE / "seasons" / "2026" / "fixtures.toml").read_text(encoding="utf-8")
    days = sorted({str(each["date"]) for each in tomllib.loads(text)["fixture"]})
    (tmp_path / "seasons" / "2026").mkdir(parents=True)
    for name in ("league.toml", "rules/2024.toml", "seasons/2026/season.toml"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes((EXAMPLE / name).read_bytes())
    first = datetime.date.fromisoformat(days[0])
    every_day = [str(first + datetime.timedelta(days=7 * week)) for week in range(22)]
    left_out = [word for day in every_day if day not in days for word in ("--not", day)]
    done = plan(tmp_path, *left_out)
    assert done.status == 0
    planned = (tmp_path / FIXTURES).read_text(encoding="utf-8")
    # A plan has the days; when a match begins was added by hand.
    assert planned.partition("\n\n")[2] == text.replace('time = "13:30"\n', "")
