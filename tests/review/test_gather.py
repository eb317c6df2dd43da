"""Clubs' folders gathered into the league's: what comes, what stays, what is to be settled."""

import shutil
from pathlib import Path

import pytest

from riesbuch.folder.club_folder import open_folder
from tests.clubfolder import (
    AARWALD,
    FIRST,
    FIXTURES,
    LEAGUE,
    MATCHES,
    RUEDI,
    SEASON,
    SECOND,
    Delete,
    Replace,
    Write,
    lay_out,
    problems_of,
)
from tests.commandline import invoke
from tests.gatherfolder import SETTINGS, Folders, files_of, named
from tests.gitfolder import begin, commit
from tests.three_clubs import ALIKE, DIFFERENT, OF_ONE, lay_out_clubs, lay_out_league

JONAS = "players/bigler-jonas.yaml"
KIPFER = "players/kipfer-urs.yaml"


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path)


def seal(folder: Path, sheet: str = FIRST) -> None:
    done = invoke("--folder", folder, "seal", sheet, "--home", "Ruedi Aebi", "--away", "Urs Kipfer",
                  "--on", "2026-04-13")  # fmt: skip
    assert done.status == 0, done.err


def correct(folder: Path, change: str, on: str = "2026-04-20") -> None:
    done = invoke("--folder", folder, "correct", FIRST, change, "--reason", "misread",
                  "--agreed", "aarwald", "--agreed", "birkenfluh", "--on", on)  # fmt: skip
    assert done.status == 0, done.err


def test_sheets_come_as_they_are_with_their_people(folders: Folders) -> None:
    data = folders.data()
    there = files_of(folders.root / "aarwald")
    here = folders.files()
    assert {path for path in here if "/matches/" in path} == {FIRST, SECOND}
    named_there = {path for path in here if path.startswith("players/")}
    # Hans comes as Ruedi's father; nobody names Lena.
    assert named_there == {path for path in there if path.startswith("players/")} - {
        "players/zaugg-lena.yaml"
    }
    assert all(here[path] == there[path] for path in (FIRST, SECOND, *named_there))
    assert [(row["source"], row["taken"], row["confirmed"]) for row in data["sources"]] == [
        ("aarwald", 2, 2),
        ("birkenfluh", 2, 2),
    ]
    assert problems_of(open_folder(folders.league)) == []


def test_the_same_again_changes_nothing_and_says_the_same(folders: Folders) -> None:
    folders.data()
    before = folders.files()
    again = folders.data()
    assert (folders.files(), again["taken"], again["files"]) == (before, [], [])
    # What is remembered is what is found anew.
    shutil.rmtree(folders.league / ".riesbuch")
    assert folders.data() == again


def test_a_dry_run_writes_nothing(folders: Folders) -> None:
    before = folders.files()
    assert len(folders.data("--dry-run")["taken"]) == 2
    assert folders.files() == before
    assert len(folders.data()["taken"]) == 2


def test_only_what_is_committed_counts(folders: Folders) -> None:
    (folders.root / "aarwald" / FIRST).write_text("competition: other\n", encoding="utf-8")
    (folders.root / "aarwald" / SECOND).unlink()
    assert len(folders.data()["taken"]) == 2


def test_what_one_alone_has_is_taken_and_listed(folders: Folders) -> None:
    folders.edit("birkenfluh", Delete(FIRST))
    outcome = folders.gather()
    assert outcome.status == 0
    assert "Taken from one folder alone" in outcome.out
    assert FIRST in folders.files()
    rows = {row["source"]: row for row in folders.data()["sources"]}
    assert (rows["aarwald"]["confirmed"], rows["aarwald"]["alone"]) == (1, 1)


def test_where_they_differ_nothing_is_taken(folders: Folders) -> None:
    folders.edit("birkenfluh", Replace(FIRST, "[[15, 0], [16N, 14]]", "[[15, 0], [16, 13]]"))
    data = folders.data()
    assert FIRST not in folders.files()
    assert SECOND in folders.files()
    [match] = data["open"]
    assert match == folders.todo()[0]
    assert match["paths"] == {"aarwald": FIRST, "birkenfluh": FIRST}
    assert match["cells"] == [
        {"at": "home.strikes.bigler-jonas.2.1", "values": {"aarwald": "16N", "birkenfluh": "16"}},
        {"at": "home.strikes.bigler-jonas.2.2", "values": {"aarwald": "14", "birkenfluh": "13"}},
    ]
    shown = folders.gather("--todo")
    assert shown.status == 1
    assert "Jonas Bigler" not in shown.out  # who has no file here is called by the identifier
    assert "bigler-jonas (Aarwald A), second" in shown.out
    # Once they agree, it is settled.
    folders.edit("birkenfluh", Replace(FIRST, "[[15, 0], [16, 13]]", "[[15, 0], [16N, 14]]"))
    assert folders.data()["open"] == []
    assert FIRST in folders.files()
    assert folders.gather("--todo").status == 0


def test_the_list_is_shown_without_a_network(folders: Folders) -> None:
    assert folders.gather("--todo").status == 2
    folders.edit("birkenfluh", Replace(FIRST, "[[15, 0], [16N, 14]]", "[[15, 0], [16N, 13]]"))
    folders.data()
    shown = folders.gather("--todo", "--format", "markdown")
    for club in ("aarwald", "birkenfluh"):
        (folders.root / club).rename(folders.root / f"{club}-gone")
    assert folders.gather("--todo", "--format", "markdown") == shown
    gone = folders.gather()
    assert gone.status == 1
    assert f"there is no folder {folders.root / 'aarwald'}" in gone.err


def test_remarks_comments_and_layout_may_differ(folders: Folders) -> None:
    folders.edit(
        "birkenfluh",
        Replace(FIRST, "round: 1\n", "round: 1\nweather: rain  # all day\n"),
        Replace(FIRST, "aebi-ruedi: [[18, 20], [17, 19]]", "aebi-ruedi: 18 20 17 19"),
    )
    assert folders.data()["open"] == []
    # That of the home club is as good as the other.
    assert folders.read(FIRST) == (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8")


def test_who_tells_less_confirms_what_is_told(folders: Folders) -> None:
    sides = "  points: 93\n  nummern: 1\n"
    text = f"competition: oberhang-1\nround: 1\ndate: 2026-04-12\nhome:\n  team: aarwald-a\n{sides}"
    away = "away:\n  team: birkenfluh-a\n  strikes:\n    kipfer-urs: [[14, 9], [12, 16]]\n"
    away += "    sahli-rosa: [[8, 13], [11, 10]]\n"
    less = text.replace("points: 93", "points: 119").replace("nummern: 1", "nummern: 0") + away
    folders.edit("birkenfluh", Write(FIRST, less))
    data = folders.data()
    assert data["open"] == []
    assert folders.read(FIRST) == (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8")
    other = Folders(folders.root / "other")
    other.edit("birkenfluh", Write(FIRST, less.replace("119", "118")))
    [match] = other.data()["open"]
    assert [cell["at"] for cell in match["cells"]] == ["home.points"]


def test_each_is_asked_for_its_own_matches_alone(folders: Folders) -> None:
    sheet = Write(
        f"{MATCHES}/2026-05-03-birkenfluh-b-birkenfluh-a.yaml",
        "competition: oberhang-cup\ndate: 2026-05-03\nhome:\n  team: birkenfluh-b\n  points: 90\n"
        "  nummern: 0\naway:\n  team: birkenfluh-a\n  points: 80\n  nummern: 0\n",
    )
    folders.edit("aarwald", sheet)
    data = folders.data()
    assert len(data["taken"]) == 2
    assert [row["of_others"] for row in data["sources"]] == [1, 0]


def test_a_club_speaks_for_those_it_carries_on(tmp_path: Path) -> None:
    folders = Folders(tmp_path, ["birkenfluh"])
    oberaar = Write("clubs/oberaar.yaml", "name: Oberaar\nteams: {a: Oberaar A}\n")
    merged = Replace("clubs/birkenfluh.yaml", "name: Birkenfluh", "name: Birkenfluh\nmerged_from: [oberaar]")  # noqa: E501  # fmt: skip
    sheet = Write(
        f"{MATCHES}/2026-05-03-oberaar-a-aarwald-b.yaml",
        "competition: oberhang-cup\ndate: 2026-05-03\nhome:\n  team: oberaar-a\n  points: 90\n"
        "  nummern: 0\naway:\n  team: aarwald-b\n  points: 80\n  nummern: 0\n",
    )
    folders.edit("birkenfluh", oberaar, merged, sheet)
    for edit in (oberaar, merged):
        edit.apply(folders.league)
    assert [taken["path"] for taken in folders.data()["taken"]] == [FIRST, sheet.path, SECOND]


def test_drafts_and_sheets_with_errors_are_told(folders: Folders) -> None:
    folders.edit("aarwald", Replace(FIRST, "[[15, 0], [16N, 14]]", "[[15, 0], [16N, _]]"))
    folders.edit("birkenfluh", Replace(SECOND, "points: 90", "points: many"))
    data = folders.data()
    assert [(left["source"], left["path"]) for left in data["not_taken"]] == [
        ("aarwald", FIRST),
        ("birkenfluh", SECOND),
    ]
    assert "a draft" in data["not_taken"][0]["reason"]
    assert f"{SECOND}:11:11: error: `away.points` is `many`" in data["not_taken"][1]["reason"]
    # The other club has each of them whole.
    assert len(data["taken"]) == 2


def test_a_sheet_that_would_have_an_error_here_is_not_taken(folders: Folders) -> None:
    Replace(SEASON, '"birkenfluh-a"]', '"birkenfluh-b"]').apply(folders.league)
    Delete(FIXTURES).apply(folders.league)
    data = folders.data()
    assert data["taken"] == []
    assert "`birkenfluh-a` does not play in `oberhang-1`" in data["not_taken"][0]["reason"]


def test_a_sheet_that_lies_here_is_never_overwritten(folders: Folders) -> None:
    folders.data()
    changed = folders.read(FIRST).replace("19]", "12]")
    (folders.league / FIRST).write_text(changed, encoding="utf-8")
    [match] = folders.data()["open"]
    assert match["cells"] == [
        {
            "at": "home.strikes.aebi-ruedi.2.2",
            "values": {"here": "12", "aarwald": "19", "birkenfluh": "19"},
        }
    ]
    assert folders.read(FIRST) == changed


def test_a_draft_that_lies_here_is_left(folders: Folders) -> None:
    draft = (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8").replace("19]", "_]")
    Write(FIRST, draft).apply(folders.league)
    data = folders.data()
    assert folders.read(FIRST) == draft
    assert {left["path"] for left in data["not_taken"]} == {FIRST}
    Write(FIRST, "nothing: [").apply(folders.league)
    assert [taken["path"] for taken in folders.data()["taken"]] == []
    assert folders.read(FIRST) == "nothing: ["


def test_a_seal_comes_along(folders: Folders) -> None:
    folders.data()
    own = "weather: fog\n"
    here = folders.read(FIRST).replace("date: 2026-04-12\n", f"date: 2026-04-12\n{own}")
    (folders.league / FIRST).write_text(f"# kept\n{here}", encoding="utf-8")
    seal(folders.root / "aarwald")
    commit(folders.root / "aarwald")
    data = folders.data()
    assert data["taken"] == [{"path": FIRST, "from": ["aarwald", "birkenfluh"], "changed": True}]
    text = folders.read(FIRST)
    assert text.startswith("# kept\n")
    assert own in text
    assert "seal: {on: 2026-04-13, home: Ruedi Aebi" in text
    assert problems_of(open_folder(folders.league)) == []
    assert folders.data()["taken"] == []


def test_a_correction_comes_along_where_both_agreed(folders: Folders) -> None:
    seal(folders.root / "aarwald")
    commit(folders.root / "aarwald")
    folders.data()
    correct(folders.root / "aarwald", "home.strikes.bigler-jonas.2.2=13")
    commit(folders.root / "aarwald")
    # Birkenfluh's is not sealed and says what was said before: to be settled.
    assert [match["paths"].keys() for match in folders.data()["open"]] == [
        {"here", "aarwald", "birkenfluh"}
    ]
    shutil.copy(folders.league / FIRST, folders.root / "birkenfluh" / FIRST)
    commit(folders.root / "birkenfluh")
    data = folders.data()
    assert data["open"] == []
    assert data["taken"] == [{"path": FIRST, "from": ["aarwald"], "changed": True}]
    assert [row["behind"] for row in data["sources"]] == [0, 1]
    assert "home.strikes.bigler-jonas.2.2: 14 -> 13" in folders.read(FIRST)
    assert folders.data()["taken"] == []


def test_a_change_without_agreement_is_told_with_the_reason(folders: Folders) -> None:
    seal(folders.root / "aarwald")
    folders.edit("birkenfluh", Write(FIRST, (folders.root / "aarwald" / FIRST).read_bytes()))
    commit(folders.root / "aarwald")
    folders.data()
    before = folders.read(FIRST)
    correct(folders.root / "aarwald", "home.strikes.bigler-jonas.2.2=13")
    folders.edit("aarwald", Replace(FIRST, "agreed: [aarwald, birkenfluh]", "agreed: [aarwald]"))
    [match] = folders.data()["open"]
    assert folders.read(FIRST) == before
    assert match["why"] == "birkenfluh did not agree to the correction of 2026-04-20"
    assert f"Not taken over on a sealed sheet: {match['why']}." in folders.gather("--todo").out


def test_an_older_state_there_is_told_and_nothing_happens(folders: Folders) -> None:
    seal(folders.root / "aarwald")
    folders.edit("birkenfluh", Write(FIRST, (folders.root / "aarwald" / FIRST).read_bytes()))
    commit(folders.root / "aarwald")
    folders.data()
    correct(folders.league, "home.strikes.bigler-jonas.2.2=13")
    before = folders.read(FIRST)
    data = folders.data()
    assert (data["open"], data["taken"]) == ([], [])
    assert [row["behind"] for row in data["sources"]] == [1, 1]
    assert folders.read(FIRST) == before


def test_two_people_of_one_identifier_are_told(folders: Folders) -> None:
    folders.edit("birkenfluh", Write(JONAS, "name: Jonas Bigler\nborn: 1999\n"))
    folders.edit("aarwald", Write(JONAS, "name: Jonas Bigler\nborn: 1961\n"))
    data = folders.data()
    assert [taken["path"] for taken in data["taken"]] == [SECOND]
    [left] = data["not_taken"]
    assert (left["source"], left["path"]) == ("birkenfluh", JONAS)
    assert "`riesbuch roster rename bigler-jonas bigler-jonas-1999`" in left["reason"]
    assert "1 sheet waits for it" in left["reason"]
    renamed = invoke("--folder", folders.root / "birkenfluh", "roster", "rename", "bigler-jonas",
                     "bigler-jonas-1999")  # fmt: skip
    assert renamed.status == 0, renamed.err
    commit(folders.root / "birkenfluh")
    # Now they say of one match that somebody else struck.
    [match] = folders.data()["open"]
    assert {cell["at"].split(".")[2] for cell in match["cells"]} == {
        "bigler-jonas",
        "bigler-jonas-1999",
    }


@pytest.mark.parametrize(
    ("mine", "theirs", "same"),
    [
        ("name: Jonas Bigler\n", "name: Jonas Bigler\nborn: 1961\n", True),
        ("name: Jonas Bigler\n", "name: J. Bigler\nalso_written: [Jonas Bigler]\n", True),
        ("name: Jonas Bigler\n", "name: Joel Bigler\n", False),
        ("name: Jonas Bigler\nborn: 1961\n", "name: Jonas Bigler\nborn: 1962\n", False),
        (
            "name: Jonas Bigler\nclubs: [{club: aarwald}]\n",
            "name: Jonas Bigler\nclubs: [{club: birkenfluh}]\n",
            False,
        ),
        (
            "name: Jonas Bigler\nborn: 1961\nclubs: [{club: aarwald}]\n",
            "name: Jonas Bigler\nborn: 1961\nclubs: [{club: birkenfluh}]\n",
            True,
        ),
    ],
)
def test_who_is_the_same_person(folders: Folders, mine: str, theirs: str, same: bool) -> None:
    Write(JONAS, mine).apply(folders.league)
    folders.edit("aarwald", Write(JONAS, theirs))
    folders.edit("birkenfluh", Write(JONAS, mine))
    assert (FIRST in [taken["path"] for taken in folders.data()["taken"]]) == same
    assert folders.read(JONAS) == mine


def test_the_file_of_the_own_club_is_taken(folders: Folders) -> None:
    folders.edit("aarwald", Write(KIPFER, "name: Urs Kipfer\n# as Aarwald knows him\n"))
    folders.data()
    assert folders.read(KIPFER) == "name: Urs Kipfer\n"


def test_who_has_no_file_anywhere_keeps_the_sheet_out(folders: Folders) -> None:
    for club in ("aarwald", "birkenfluh"):
        folders.edit(club, Delete(JONAS), Write(LEAGUE, f'{SETTINGS}register = "open"\n'))
    data = folders.data()
    assert [taken["path"] for taken in data["taken"]] == [SECOND]
    assert "`bigler-jonas` has no file in players/" in data["not_taken"][0]["reason"]
    league = folders.league / LEAGUE
    league.write_text('register = "open"\n' + league.read_text(encoding="utf-8"), encoding="utf-8")
    assert [taken["path"] for taken in folders.data()["taken"]] == [FIRST]


def test_a_parent_without_a_file_keeps_child_and_sheet_out(folders: Folders) -> None:
    for club in ("aarwald", "birkenfluh"):
        folders.edit(club, Delete("players/aebi-hans.yaml"))
    data = folders.data()
    assert [taken["path"] for taken in data["taken"]] == [SECOND]
    assert "the parent `aebi-hans` has no file" in data["not_taken"][0]["reason"]


def test_a_match_is_known_by_more_than_its_name(folders: Folders) -> None:
    other = f"{MATCHES}/first.yaml"
    text = (folders.root / "birkenfluh" / FIRST).read_text(encoding="utf-8")
    folders.edit("birkenfluh", Delete(FIRST), Write(other, text))
    assert [taken["path"] for taken in folders.data()["taken"]] == [FIRST, SECOND]
    # Another day, and no round to tell by: they meet once at Aarwald's.
    moved = text.replace("round: 1\n", "").replace("2026-04-12", "2026-04-13")
    folders.edit("birkenfluh", Write(other, moved))
    [match] = folders.data()["open"]
    assert [cell["at"] for cell in match["cells"]] == ["date"]
    assert match["cells"][0]["values"] == {
        "here": "2026-04-12", "aarwald": "2026-04-12", "birkenfluh": "2026-04-13"
    }  # fmt: skip


def test_a_name_that_is_taken_gets_a_number(folders: Folders) -> None:
    Write(FIRST, (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8").replace(
        "oberhang-1", "oberhang-cup"
    )).apply(folders.league)  # fmt: skip
    for path in ("aebi-ruedi", "aebi-hans", "bigler-jonas", "kipfer-urs", "sahli-rosa"):
        source = folders.root / "aarwald" / "players" / f"{path}.yaml"
        shutil.copy(source, folders.league / "players")
    data = folders.data()
    # The same pair cannot have met twice that day; that is told, not written.
    assert [taken["path"] for taken in data["taken"]] in (
        [SECOND],
        [FIRST.replace(".yaml", "-2.yaml"), SECOND],
    )


def test_two_sheets_of_one_match_in_one_folder(folders: Folders) -> None:
    text = (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8")
    folders.edit("aarwald", Write(f"{MATCHES}/again.yaml", text))
    data = folders.data()
    assert len(data["taken"]) == 2
    assert "two sheets" in data["not_taken"][0]["reason"]


def test_a_postponed_match_and_its_repetition(folders: Folders) -> None:
    put_off = Write(
        FIRST,
        "competition: oberhang-1\nround: 1\ndate: 2026-04-12\noutcome: postponed\n"
        "moved_to: 2026-06-14\nhome:\n  team: aarwald-a\naway:\n  team: birkenfluh-a\n",
    )
    text = (folders.root / "aarwald" / FIRST).read_text(encoding="utf-8")
    held = Write(
        f"{MATCHES}/2026-06-14-aarwald-a-birkenfluh-a.yaml",
        text.replace("date: 2026-04-12", "date: 2026-06-14"),
    )
    folders.edit("aarwald", put_off, held)
    folders.edit("birkenfluh", Delete(FIRST), held)
    data = folders.data()
    assert data["open"] == []
    assert [taken["path"] for taken in data["taken"]] == [FIRST, SECOND, held.path]
    assert folders.data()["taken"] == []


def test_one_club_alone_is_fetched(folders: Folders) -> None:
    assert len(folders.data("Aarwald")["taken"]) == 2
    assert [row["source"] for row in folders.data("aarwald")["sources"]] == ["aarwald"]
    unknown = folders.gather("nobody")
    assert unknown.status == 2


def test_a_league_without_folders_says_what_to_write(tmp_path: Path) -> None:
    folder = lay_out(tmp_path)
    outcome = invoke("--folder", folder.root, "gather")
    assert (outcome.status, outcome.out) == (2, "")
    assert "add `[[from]]` with a `club`" in outcome.err


def test_a_folder_that_is_no_repository_is_told_with_what_to_type(folders: Folders) -> None:
    shutil.rmtree(folders.root / "birkenfluh" / ".git")
    outcome = folders.gather()
    assert outcome.status == 1
    assert "is no git repository" in outcome.err
    assert "`git init`" in outcome.err
    assert FIRST in folders.files()
    begin(folders.root / "birkenfluh")
    assert "has no commit yet" in folders.gather().err


def test_a_folder_within_a_repository(folders: Folders) -> None:
    top = folders.root / "all"
    begin(top)
    for name in ("one", "two"):
        lay_out(top / name)
    Delete(FIRST).apply(top / "one")
    commit(top)
    text = named("aarwald").replace("../aarwald", "../all/two")
    Write(LEAGUE, text).apply(folders.league)
    assert len(folders.data()["taken"]) == 2
    Write(LEAGUE, text.replace("../all/two", "../all")).apply(folders.league)
    assert "no club folder in what is committed" in folders.gather().err
    bare = folders.root / "bare"
    shutil.copytree(folders.root / "birkenfluh" / ".git", bare)
    Write(LEAGUE, text.replace("../all/two", f"file://{bare}")).apply(folders.league)
    assert folders.data()["sources"][0]["alone"] == 2


# The way back


@pytest.fixture
def club(tmp_path: Path) -> Folders:
    """The folder of Birkenfluh as `league` of these folders, which gathers from that of Aarwald as
    if that were the league's."""
    folders = Folders(tmp_path, ["aarwald"])
    text = named("aarwald").replace('club = "aarwald"', 'league = true\nclub = "birkenfluh"')
    Write(LEAGUE, text).apply(folders.league)
    sheet = Write(
        f"{MATCHES}/2026-05-03-aarwald-a-aarwald-b.yaml",
        "competition: oberhang-1\nround: 3\ndate: 2026-05-03\nhome:\n  team: aarwald-a\n"
        "  named: {aebi-ruedi: 70}\n  points: 90\n  nummern: 0\naway:\n  team: aarwald-b\n"
        "  points: 80\n  nummern: 0\n",
    )
    folders.edit("aarwald", sheet)
    return folders


def test_the_way_back_takes_the_matches_of_others(club: Folders) -> None:
    taken = [take["path"] for take in club.data("--from-league")["taken"]]
    assert taken == [f"{MATCHES}/2026-05-03-aarwald-a-aarwald-b.yaml"]
    assert RUEDI in club.files()
    assert club.data("--from-league")["taken"] == []
    assert club.gather().status == 2


def test_the_way_back_brings_seasons_that_are_not_here(club: Folders) -> None:
    for path in (SEASON, FIXTURES, AARWALD, "rules/2026.toml"):
        (club.league / path).unlink()
    club.data("--from-league")
    there = files_of(club.root / "aarwald")
    here = club.files()
    assert all(here[path] == there[path] for path in (SEASON, FIXTURES, AARWALD))
    # The club's own matches are still to be typed.
    problems = problems_of(open_folder(club.league))
    assert {problem.code for problem in problems} == {"fixture-without-sheet"}


def test_the_way_back_overwrites_nothing(club: Folders) -> None:
    changed = club.read(SEASON).replace("first division", "1st division")
    Write(SEASON, changed).apply(club.league)
    Delete(FIXTURES).apply(club.league)
    club.data("--from-league")
    assert club.read(SEASON) == changed
    # These would be those of another season.
    assert FIXTURES not in club.files()


# The example


def test_three_clubs_of_the_example(tmp_path: Path) -> None:
    lay_out_clubs(tmp_path)
    league = lay_out_league(tmp_path)
    data = invoke("--folder", league, "gather", "--format", "json").data
    assert [taken["path"] for taken in data["taken"]] == [ALIKE, OF_ONE]
    assert [(match["date"], match["home"]) for match in data["open"]] == [
        (Path(DIFFERENT).name[:10], "ginsterwil-a")
    ]
    check = invoke("--folder", league, "check", "--format", "json").data
    assert not [each for each in check["problems"] if each["severity"] == "error"]
