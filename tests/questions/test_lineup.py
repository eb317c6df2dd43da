"""`riesbuch lineup` and the drafts in its order: a proposal, with the reasons that it gives."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.clubfolder import (
    FIRST_SHEET,
    FIXTURES,
    LEAGUE,
    MATCHES,
    Replace,
    Write,
    lay_out,
)  # fmt: skip
from tests.commandline import EXAMPLE, invoke
from tests.example_copy import copy_example

LENA = "zaugg-lena"


def asked(root: Path, team: str, *options: str) -> dict[str, Any]:
    outcome = invoke("--folder", root, "lineup", team, "--format", "json", *options)
    assert outcome.status == 0
    found: dict[str, Any] = outcome.data
    return found


def form(root: Path, team: str, *options: str) -> dict[str, dict[str, Any]]:
    rows = invoke("--folder", root, "form", team, "--format", "json", *options).data
    return {row["player"]: row for row in rows}


def players(found: dict[str, Any], part: str) -> list[str]:
    return [row["player"] for row in found[part]]


@pytest.mark.parametrize("team", ["aarwald-a", "birkenfluh-a", "ginsterwil-a", "fuchsmattigen-a"])
def test_the_order_is_what_the_guide_says(team: str) -> None:
    found = asked(EXAMPLE, team)
    known = form(EXAMPLE, team)
    striking, over = players(found, "strikes"), players(found, "over")
    assert len(striking) == found["size"] == 18
    assert sorted([*striking, *over, *players(found, "away")]) == sorted(known)
    expected = {player: row["expected"] for player, row in known.items()}
    assert min(expected[each] for each in striking) >= max(expected[each] for each in over)
    steady, between, strong = striking[:6], striking[6:12], striking[12:]
    assert [expected[each] for each in strong] == sorted(expected[each] for each in strong)
    assert min(expected[each] for each in strong) >= max(expected[e] for e in (*steady, *between))
    rows = {row["player"]: row for row in (*found["strikes"], *found["over"])}
    shares = [rows[each]["nuller"] / rows[each]["strikes"] for each in steady]
    # Drawn towards the team's likewise, so only roughly by what was struck.
    assert sum(shares) <= sum(rows[each]["nuller"] / rows[each]["strikes"] for each in between)
    assert [row["place"] for row in found["strikes"]] == list(range(1, 19))
    assert [row["place"] for row in found["over"]] == list(range(1, len(over) + 1))
    assert all(row["reason"] for part in ("strikes", "over", "away") for row in found[part])


def test_every_output_says_that_it_proposes() -> None:
    assert asked(EXAMPLE, "aarwald-a")["proposal"] == "This is a proposal; the captain decides."
    for form_of_it in ("table", "markdown", "csv"):
        outcome = invoke("--folder", EXAMPLE, "lineup", "aarwald-a", "--format", form_of_it)
        assert "This is a proposal; the captain decides." in outcome.out + outcome.err


def test_who_is_away_and_how_many_strike() -> None:
    whole = asked(EXAMPLE, "aarwald-a")
    without = asked(EXAMPLE, "aarwald-a", "--without", "Lena Zaugg", "--without", "bigler-jonas")
    assert {row["player"]: row["reason"] for row in without["away"]} == {
        LENA: "is away", "bigler-jonas": "is away",
    }  # fmt: skip
    assert {*players(without, "strikes")} == (
        {*players(whole, "strikes"), *players(whole, "over")[:2]} - {LENA, "bigler-jonas"}
    )
    small = asked(EXAMPLE, "aarwald-a", "--size", "4")
    assert len(small["strikes"]) == 4
    assert small["strikes"][-1]["reason"] == "strong: the best"
    assert {row["reason"] for row in small["over"]} == {"4 are expected to strike more"}


def test_the_day_is_that_of_the_next_fixture_and_nothing_later_counts() -> None:
    assert asked(EXAMPLE, "aarwald-a")["date"] == "2026-06-21"
    early = asked(EXAMPLE, "aarwald-a", "--date", "2026-05-10")
    assert early["date"] == "2026-05-10"
    known = form(EXAMPLE, "aarwald-a", "--until", "2026-05-09")
    assert {row["player"]: row["expected"] for row in early["strikes"]} == {
        player: known[player]["expected"] for player in players(early, "strikes")
    }


def test_before_the_first_match_of_a_season(tmp_path: Path) -> None:
    """The fixture is next season's, and so are the rules."""
    next_season = (
        Write("rules/one.toml", 'name = "One a side"\nteam_size = 1\n'),
        Write(
            "seasons/2027/season.toml",
            'season = 2027\n\n[[competition]]\nid = "oberhang-1"\nname = "First"\n'
            'kind = "league"\nrules = "one"\nteams = ["aarwald-a", "birkenfluh-a"]\n',
        ),
        Write(
            "seasons/2027/fixtures.toml",
            '[[fixture]]\ncompetition = "oberhang-1"\ndate = 2027-04-11\n'
            'home = "aarwald-a"\naway = "birkenfluh-a"\n',
        ),
    )
    root = lay_out(tmp_path, next_season).root
    found = asked(root, "aarwald-a")
    assert (found["season"], found["date"], found["size"]) == (2026, "2027-04-11", 1)
    assert players(found, "strikes") == ["aebi-ruedi"]
    assert players(found, "over") == ["bigler-jonas"]
    none_left = asked(root, "birkenfluh-a", "--date", "2026-12-01")
    assert (none_left["date"], none_left["size"]) == ("2026-12-01", 2)


TWO_TEAMS = FIRST_SHEET.replace(
    "    bigler-jonas: [[15, 0], [16N, 14]]\n",
    "    bigler-jonas: [[15, 0], [16N, 14]]\n"
    "  supernumeraries:\n    zaugg-lena: [[9, 9], [9, 9]]\n",
)
OF_B = (
    "competition: oberhang-1\ndate: {date}\nhome: {{team: aarwald-b, strikes:"
    " {{zaugg-lena: [[9, 9], [9, 9]], aebi-hans: [[8, 8], [8, 8]]}}}}\n"
    "away: {{team: birkenfluh-a, points: 90, nummern: 0}}\n"
)


def test_two_teams_of_a_club(tmp_path: Path) -> None:
    """Who struck last for the other one is left to it, until the next match for this one."""
    later = f"{MATCHES}/2026-05-03-aarwald-b-birkenfluh-a.yaml"
    files = (
        Write(f"{MATCHES}/2026-04-12-aarwald-a-birkenfluh-a.yaml", TWO_TEAMS),
        Write(later, OF_B.format(date="2026-05-03")),
    )
    root = lay_out(tmp_path, files).root
    found = asked(root, "aarwald-a")
    assert found["away"] == [{"player": LENA, "reason": "struck last for Aarwald B"}]
    assert {*players(found, "strikes")} == {"aebi-ruedi", "bigler-jonas"}
    before = asked(root, "aarwald-a", "--date", "2026-05-02")
    assert (before["away"], players(before, "over")) == ([], [LENA])
    assert players(asked(root, "aarwald-b"), "strikes") == ["aebi-hans", LENA]
    # On the day itself the sheet of the other team takes her.
    same_day = asked(root, "aarwald-a", "--date", "2026-05-03")
    assert same_day["away"] == [{"player": LENA, "reason": "plays for Aarwald B that day"}]


def test_who_left_or_has_no_file_is_not_proposed(tmp_path: Path) -> None:
    moved = Write(
        "players/bigler-jonas.yaml",
        "name: Jonas Bigler\n"
        "clubs: [{club: aarwald, from: 2000}, {club: birkenfluh, from: 2026}]\n",
    )
    fixture = Write(
        FIXTURES,
        '[[fixture]]\ncompetition = "oberhang-1"\nround = 9\ndate = 2026-07-12\n'
        'home = "aarwald-a"\naway = "birkenfluh-a"\n',
    )
    root = lay_out(tmp_path, (moved, fixture)).root
    found = asked(root, "aarwald-a")
    assert found["away"] == [{"player": "bigler-jonas", "reason": "a member of Birkenfluh"}]
    assert found["date"] == "2026-07-12"
    out = invoke("--folder", root, "lineup", "aarwald-a").out
    assert "A side has 2: 1 player short." in out
    open_register = Replace(LEAGUE, "\n", '\nregister = "open"\n')
    nobody = lay_out(tmp_path / "open", (open_register,)).root
    (nobody / "players" / "bigler-jonas.yaml").unlink()
    assert players(asked(nobody, "aarwald-a"), "away") == []


def test_a_draft_in_the_proposed_order(tmp_path: Path) -> None:
    root = copy_example(tmp_path / "league")
    proposed = asked(root, "birkenfluh-a", "--date", "2026-06-28")
    outcome = invoke("--folder", root, "sheet", "birkenfluh-a", "aarwald-a", "--lineup")
    assert outcome.status == 0
    assert "in the order that `riesbuch lineup` proposes; the captain decides" in outcome.err
    text = (root / f"{MATCHES}/2026-06-28-birkenfluh-a-aarwald-a.yaml").read_text("utf-8")
    side = text[text.index("home:") : text.index("away:")]
    assert "# a proposal by form" in side
    rows = [line.split(":")[0].strip() for line in side.splitlines() if line.endswith(": _")]
    assert rows == [*players(proposed, "strikes"), *players(proposed, "over")]
    assert invoke("--folder", root, "check").status == 0
    refused = invoke("--folder", root, "sheet", "--blank-paper", "--lineup")
    assert refused.status == 2
    shutil.rmtree(root)


def test_a_side_of_which_nothing_is_known_stays_as_it_was(tmp_path: Path) -> None:
    root = lay_out(tmp_path).root
    words = ("sheet", "aarwald-b", "birkenfluh-a", "--date", "2026-07-05",
             "--competition", "oberhang-1", "--lineup")  # fmt: skip
    outcome = invoke("--folder", root, *words)
    assert outcome.status == 0
    assert "Aarwald B: no earlier sheet names its players" in outcome.err
    assert "Birkenfluh A: 2 players in the order that `riesbuch lineup` proposes" in outcome.err
