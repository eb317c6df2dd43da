"""Which matches are waited for: what was annulled, kept out or never made up is settled, and each
such sheet stands for its own fixture alone."""

import datetime
from pathlib import Path
from typing import Any

import pytest

from riesbuch.pages.paths import competition_page
from riesbuch.trade.certainty import is_complete, missing_matches
from riesbuch.trade.ids import CompetitionId, RuleSetId, TeamId
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Competition, CompetitionKind, Fixture
from riesbuch.trade.tally import Tally
from tests.commandline import invoke
from tests.sheetwriting import added_up, sheet_text, side

A, B = TeamId("team-a"), TeamId("team-b")
DAY, NEW_DAY, LATER = "2026-05-10", "2026-06-14", "2026-07-05"
LEAGUE, CUP = CompetitionKind.LEAGUE, CompetitionKind.CUP
PUT_OFF, ANNULLED = "outcome: postponed", "outcome: annulled"


def competition(kind: CompetitionKind = LEAGUE, cycles: int = 1) -> Competition:
    return Competition(
        id=CompetitionId("oberhang-1"), name="League", kind=kind, rules=RuleSetId("2026"),
        teams=(A, B), cycles=cycles, positions={},
    )  # fmt: skip


def fixture(day: str, round_number: int | None = 1, home: TeamId = A, away: TeamId = B) -> Fixture:
    return Fixture(
        competition=CompetitionId("oberhang-1"), round=round_number,
        date=datetime.date.fromisoformat(day), home=home, away=away, positions={},
    )  # fmt: skip


def sheet(
    day: str, top: str = "", round_number: int | None = 1, home: TeamId = A, away: TeamId = B
) -> Tally:
    """Played, where ``top`` does not say otherwise."""
    numbered = f"round: {round_number}\n{top}" if round_number else top
    sides = [side(home, points=90, nummern=0), side(away, points=80, nummern=0)]
    if top:
        sides = [home, away]
    return added_up(sheet_text(*sides, numbered.strip(), day), RuleSet())


def missing(
    fixtures: list[Fixture], tallies: list[Tally], of: Competition | None = None, **over: bool
) -> int:
    return missing_matches(of or competition(), fixtures, tallies, **over).total()


@pytest.mark.parametrize(
    ("top", "while_under_way", "once_over"),
    [
        (PUT_OFF, 1, 0),
        # It may have been played on its new day, of which there is no sheet.
        (f"{PUT_OFF}\nmoved_to: {NEW_DAY}", 1, 1),
        (ANNULLED, 0, 0),
        ("counts: false", 0, 0),
        (f"{PUT_OFF}\ncounts: false", 0, 0),
        # A match that was played, though nobody knows how it ended, is no settled one.
        ("outcome: abandoned", 1, 1),
    ],
)
def test_what_is_waited_for(top: str, while_under_way: int, once_over: int) -> None:
    tallies = [sheet(DAY, top)]
    for fixtures in ([], [fixture(DAY)]):
        assert missing(fixtures, tallies) == while_under_way
        assert missing(fixtures, tallies, is_over=True) == once_over
    assert missing([fixture(DAY)], tallies, competition(CUP), is_over=True) == once_over


def test_a_fixture_for_the_new_day_is_waited_for_whoever_put_it_off() -> None:
    """The sheet of the first day stands for the first fixture alone, though of the same round."""
    fixtures = [fixture(DAY), fixture(NEW_DAY)]
    for top in (ANNULLED, PUT_OFF, "counts: false"):
        for of in (competition(), competition(CUP)):
            assert missing(fixtures, [sheet(DAY, top)], of, is_over=True) == 1
            for second in ("", ANNULLED, "counts: false"):
                tallies = [sheet(DAY, top), sheet(NEW_DAY, second)]
                assert missing(fixtures, tallies, of, is_over=True) == 0
    # What was put off to a day with a fixture of its own, and annulled there, is settled.
    put_off = sheet(DAY, f"{PUT_OFF}\nmoved_to: {NEW_DAY}")
    assert missing(fixtures, [put_off, sheet(NEW_DAY, ANNULLED)]) == 0
    # So is what was played there: one match, however often it is listed.
    assert missing(fixtures, [put_off, sheet(NEW_DAY)]) == 0


def test_two_sheets_that_put_one_match_off_are_one_meeting() -> None:
    twice = [sheet(DAY, f"{PUT_OFF}\nmoved_to: {NEW_DAY}"), sheet(NEW_DAY, PUT_OFF)]
    of = competition(cycles=3)  # the ground may be A's twice
    assert missing([], twice, of) == 3
    assert missing([], twice, of, is_over=True) == 2
    again = [*twice, sheet(LATER, PUT_OFF)]
    assert missing([], again, of, is_over=True) == 2
    # Of another round it is another meeting.
    assert missing([], [*twice, sheet(LATER, PUT_OFF, 2)], of, is_over=True) == 1


def test_a_match_made_up_on_the_other_ground_is_one_meeting() -> None:
    put_off = sheet(DAY, f"{PUT_OFF}\nmoved_to: {NEW_DAY}")
    made_up = sheet(NEW_DAY, home=B, away=A)
    assert missing([fixture(DAY)], [put_off, made_up]) == 0
    # The return match is missing all the same, whatever became of the first.
    both = competition(cycles=2)
    assert missing([], [sheet(DAY, PUT_OFF), made_up], both, is_over=True) == 1
    return_match = sheet(LATER, round_number=2, home=B, away=A)
    assert missing([], [sheet(DAY, PUT_OFF), return_match], both, is_over=True) == 0


def test_a_competition_of_which_all_was_put_off_is_not_complete() -> None:
    fixtures = [fixture(DAY)]
    assert not is_complete(competition(), fixtures, [sheet(DAY, PUT_OFF)], is_over=True)
    assert is_complete(competition(), fixtures, [sheet(DAY, ANNULLED)])


# In a folder


def season(root: Path, year: int, *sheets: tuple[str, str]) -> None:
    """``sheets`` are the day's month and day, and what follows."""
    folder = root / f"seasons/{year}"
    (folder / "matches").mkdir(parents=True, exist_ok=True)
    (folder / "season.toml").write_text(
        f'season = {year}\n\n[[competition]]\nid = "oberhang-1"\nname = "League"\n'
        'kind = "league"\nrules = "2026"\nteams = ["aarwald-a", "birkenfluh-a"]\ncycles = 2\n'
        "promoted = 1\n"
    )
    for day, text in sheets:
        home, away = ("aarwald-a", "birkenfluh-a") if day < "06" else ("birkenfluh-a", "aarwald-a")
        known = [""] * 2 if "outcome" in text else [f", points: {p}, nummern: 0" for p in (90, 80)]
        (folder / f"matches/{year}-{day}-{home}-{away}.yaml").write_text(
            f"competition: oberhang-1\ndate: {year}-{day}\n{text}"
            f"home: {{team: {home}{known[0]}}}\naway: {{team: {away}{known[1]}}}\n"
        )


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "clubs").mkdir()
    (tmp_path / "rules").mkdir()
    (tmp_path / "league.toml").write_text('name = "Oberhang League"\n')
    (tmp_path / "rules/2026.toml").write_text("team_size = 2\n")
    for club in ("aarwald", "birkenfluh"):
        (tmp_path / f"clubs/{club}.yaml").write_text(
            f"name: {club.title()}\nteams: {{a: {club.title()} A}}\n"
        )
    return tmp_path


def honours(root: Path, year: int) -> dict[str, Any]:
    found = invoke("--folder", root, "honours", "--format", "json").data["honours"]
    return next(dict(each) for each in found if each["season"] == year)


def asked(root: Path, statement: str) -> Any:
    outcome = invoke("--folder", root, "ask", statement, "--format", "json")
    assert outcome.status == 0, outcome.err
    return outcome.data


WON = ("05-10", "")
UNDATED = ("06-14", "outcome: postponed\n")
OPEN = "SELECT missing, over, complete FROM competitions WHERE season = 1987"


def test_a_match_never_made_up_ends_with_its_season(root: Path) -> None:
    """What is told of it changes with the later season, there and back, also in used tables."""
    season(root, 1987, WON, UNDATED)
    assert asked(root, OPEN) == [{"missing": 1, "over": 0, "complete": 0}]
    assert honours(root, 1987)["champions"] == []
    page = root / "reports/1987/README.md"
    assert invoke("--folder", root, "publish").status == 0
    gap = "1 of 2 matches"
    table = root / competition_page(1987, CompetitionId("oberhang-1"))
    assert gap in page.read_text()
    assert "promoted" not in table.read_text()
    # A season that was laid out has not begun yet.
    season(root, 1988)
    assert asked(root, OPEN) == [{"missing": 1, "over": 0, "complete": 0}]
    season(root, 1988, WON)
    assert asked(root, OPEN) == [{"missing": 0, "over": 1, "complete": 1}]
    found = honours(root, 1987)
    assert (found["champions"], found["promoted"], found["decided"]) == (
        ["aarwald-a"], ["aarwald-a"], "played",
    )  # fmt: skip
    assert invoke("--folder", root, "publish").status == 0
    assert gap not in page.read_text()
    assert "promoted" in table.read_text()
    first = root / "seasons/1988/matches/1988-05-10-aarwald-a-birkenfluh-a.yaml"
    first.write_text(first.read_text().replace("home: {", "counts: false\nhome: {"))
    assert asked(root, OPEN) == [{"missing": 1, "over": 0, "complete": 0}]
    assert invoke("--folder", root, "publish", "--check").status == 1
    assert invoke("--folder", root, "publish").status == 0
    assert gap in page.read_text()


def test_a_match_with_a_new_day_stays_missing(root: Path) -> None:
    season(root, 1987, WON, ("06-14", "outcome: postponed\nmoved_to: 1987-09-06\n"))
    season(root, 1988, WON)
    assert asked(root, OPEN) == [{"missing": 1, "over": 1, "complete": 0}]
    assert honours(root, 1987)["champions"] == []


def test_what_is_settled_breaks_no_run(root: Path) -> None:
    """Between two matches won there is one of each; the near miss has no known result."""
    ways = ("outcome: annulled\n", "outcome: postponed\n", "counts: false\n")
    for way, longest in (*((way, 2) for way in ways), ("outcome: abandoned\n", 1)):
        season(root, 1987, ("04-12", ""), ("04-19", way), WON)
        found = invoke("--folder", root, "records", "--format", "json").data["records"]
        (run,) = [each["value"] for each in found if each["record"] == "winning_run"]
        assert (run or 1) == longest, way


def test_a_repetition_that_is_listed_is_due(root: Path) -> None:
    season(root, 2026, ("04-12", "round: 1\noutcome: annulled\n"))
    listed = "".join(
        f'[[fixture]]\ncompetition = "oberhang-1"\nround = 1\ndate = {day}\nhome = "aarwald-a"\n'
        'away = "birkenfluh-a"\n\n'
        for day in ("2026-04-12", "2026-05-10")
    )
    (root / "seasons/2026/fixtures.toml").write_text(listed)
    due = "--folder", root, "due", "--on", "2026-05-17", "--format", "json"
    assert [match["date"] for match in invoke(*due).data["missing"]] == ["2026-05-10"]
    (root / "seasons/2026/fixtures.toml").write_text(listed.partition("\n\n")[0] + "\n")
    assert invoke(*due).data["missing"] == []
