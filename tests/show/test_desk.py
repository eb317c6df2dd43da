"""``riesbuch desk``: a sheet followed while an editor saves it, in a real terminal."""

import os
import re
import shutil
import signal
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from riesbuch.care.desk import DeskView, RunningTally, figures_of, running_tally
from riesbuch.folder.archive import open_archive
from riesbuch.folder.club_folder import open_folder
from riesbuch.show.desk import ScreenLine, page_lines
from riesbuch.show.output import BOLD
from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.problems import Place, Problem, Severity
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from tests.clubfolder import FIRST, FIRST_SHEET, LENA, Delete, Edit, Replace, Write, lay_out
from tests.commandline import EXAMPLE, invoke

if sys.platform != "win32":
    from tests.terminal import Terminal, in_terminal

IN_TERMINAL = pytest.mark.skipif(sys.platform == "win32", reason="it needs a pseudo terminal")
BOTH_READ = "Aarwald A (home)"

BLANK = FIRST_SHEET.replace("[16N, 14]", "[16N, _]").replace("[8, 13], [11, 10]", "[_, _], [_, _]")


def match_of(text: str) -> Match:
    match = read_sheet(text.encode(), SheetId("2026/a"), 2026).match
    assert match is not None
    return match


def added(text: str) -> RunningTally:
    return running_tally(match_of(text), RuleSet(team_size=2), CompetitionKind.LEAGUE)


# Figures so far


def test_blank_strikes_count_nothing_yet() -> None:
    found = added(BLANK)
    assert [each.added_up for each in found.home.ries] == [33, 20, 33, 19]
    assert [each.is_open for each in found.home.ries] == [False, False, False, True]
    assert found.home.points.added_up == 105
    assert [each.added_up for each in found.away.ries] == [14, 9, 12, 16]
    assert (found.home.blanks, found.away.blanks, found.blanks) == (1, 4, 5)
    assert found.away.nummern.added_up == 1
    assert found.home.nummern.added_up == 0
    assert found.tally.winner is None


def test_what_is_whole_is_as_in_the_tally() -> None:
    found = added(FIRST_SHEET)
    assert tuple(each.added_up for each in found.home.ries) == found.tally.home.ries
    assert found.home.points.added_up == found.tally.home.points == 119
    assert not any(each.is_open for each in (*found.home.ries, found.home.points))


def test_a_column_with_nothing_in_it_has_no_total() -> None:
    text = FIRST_SHEET.replace("[17, 19]", "[_, _]").replace("[16N, 14]", "[_, _]")
    found = added(text)
    assert [each.added_up for each in found.home.ries] == [33, 20, None, None]
    assert found.away.nummern.added_up == 0


@pytest.mark.parametrize(
    ("paper", "differences"),
    [
        ("{ries: [33, 20, 33, 33], points: 119}", [0, 0, 0, 0, 0, None]),
        ("{ries: [33, 21, 33, 33], points: 120, nummern: 0}", [0, -1, 0, 0, -1, 0]),
    ],
)
def test_differences_to_the_paper(paper: str, differences: list[int | None]) -> None:
    text = FIRST_SHEET.replace("away:", f"  paper: {paper}\naway:")
    home = added(text).home
    assert [each.difference for each in (*home.ries, home.points, home.nummern)] == differences


def test_an_unknown_strike_leaves_the_total_to_the_paper() -> None:
    text = FIRST_SHEET.replace("[[15, 0]", "[[~, 0]").replace(
        "away:", "  paper: {ries: [33, 20, 33, 33], points: 119, nummern: 0}\naway:"
    )
    home = added(text).home
    assert [each.added_up for each in home.ries] == [33, 20, 33, 33]
    assert home.ries[0].difference is None
    assert home.points.difference is None


def test_other_depths_show_what_they_have() -> None:
    text = FIRST_SHEET.partition("away:")[0] + (
        "away:\n  team: birkenfluh-a\n  points: 90\n  nummern: 1\n"
    )
    away = added(text).away
    assert (away.ries, away.points.added_up, away.nummern.added_up) == ((), 90, 1)


def test_bad_news_leaves_the_last_good_figures(tmp_path: Path) -> None:
    lay_out(tmp_path)
    archive = open_archive(open_folder(tmp_path))
    good = DeskView(figures=figures_of(match_of(FIRST_SHEET), RuleSet(), archive))
    view = DeskView(trouble="it is empty").after(good)
    assert (view.figures, view.trouble) == (good.figures, "it is empty")
    assert good.after(view) == good
    assert DeskView(trouble="it is empty").after(DeskView()).figures is None


# The row that is typed


OPEN = EXAMPLE / "seasons/2026/matches/2026-06-07-sommerhubel-a-birkenfluh-a.yaml"
TYPED = re.compile(r"^    ([a-z-]+): \[\[\d+N?, \d+N?\], \[(_, _)\]\]$", re.M)


def view_of(text: str) -> DeskView:
    archive = open_archive(open_folder(EXAMPLE), [2026])
    match = read_sheet(text.encode(), SheetId(f"2026/{OPEN.stem}"), 2026).match
    assert match is not None
    rules, _ = archive.scoring_of(match)
    return DeskView(figures=figures_of(match, rules, archive))


def test_the_row_changed_last_is_always_shown() -> None:
    text = OPEN.read_text(encoding="utf-8")
    rows = [*TYPED.finditer(text)]
    assert len(rows) == 36
    problems = [
        Problem(place=Place(OPEN.name, line), severity=Severity.ERROR, code="anchor", message="no")
        for line in range(1, 40)
    ]
    view = view_of(text)
    for row in rows:
        text = f"{text[: row.start(2)]}7, 3{text[row.end(2) :]}"
        view = view_of(text).after(view)
        for told in ((), problems):
            lines = page_lines(replace(view, problems=told), OPEN.name, 80, 24)
            assert len(lines) <= 24
            (changed,) = [line for line in lines[6:] if line.style == BOLD]
            assert re.search(r" 7    3 +\d+$", changed.text)
        name = view.figures.archive.register.player_name(row[1]) if view.figures else ""
        assert changed.text.startswith(name)


def test_before_anything_is_changed_the_first_open_row_is_shown() -> None:
    text = TYPED.sub(lambda row: row[0].replace("_, _", "7, 3"), OPEN.read_text("utf-8"), count=30)
    view = view_of(text)
    lines = page_lines(view, OPEN.name, 80, 24)
    assert any(re.search(r"_    _ +–$", line.text) for line in lines)
    assert not any(line.style == BOLD for line in lines[6:])


def test_bad_news_keeps_the_row_changed_last() -> None:
    text = OPEN.read_text("utf-8")
    first = view_of(text)
    second = view_of(TYPED.sub(lambda row: row[0].replace("_, _", "7, 3"), text, count=1))
    view = DeskView(trouble="it is empty").after(second.after(first))
    assert view.changed_row == second.after(first).changed_row == 0
    assert first.changed_row is None


# Once, where nobody looks


def test_without_a_sheet_the_newest_open_draft_is_shown(tmp_path: Path) -> None:
    lay_out(tmp_path)
    outcome = invoke("--folder", tmp_path, "desk")
    assert (outcome.status, outcome.out) == (2, "")
    assert "there is no open draft" in outcome.err
    second = FIRST.replace("2026-04-12", "2026-04-19")
    Write(FIRST, BLANK).apply(tmp_path)
    assert (
        invoke("--folder", tmp_path, "desk").out == invoke("--folder", tmp_path, "desk", FIRST).out
    )
    Write(second, BLANK.replace("2026-04-12", "2026-04-19")).apply(tmp_path)
    assert "2026-04-19" in invoke("--folder", tmp_path, "desk").out


@pytest.mark.parametrize(
    ("edits", "status"),
    [
        ([], 0),
        ([Write(FIRST, BLANK)], 0),
        ([Replace(FIRST, "[18, 20]", "[18, 99]")], 1),
        ([Write(FIRST, "competition: [\n")], 1),
        ([Delete(LENA), Replace(FIRST, "sahli-rosa", "zaugg-lena")], 1),
    ],
)
def test_without_a_terminal_it_is_shown_once(
    tmp_path: Path, edits: list[Edit], status: int
) -> None:
    lay_out(tmp_path, edits)
    desk = invoke("--folder", tmp_path, "desk", tmp_path / FIRST)
    check = invoke("--folder", tmp_path, "check", tmp_path / FIRST)
    assert desk.status == check.status == status
    told = [line.split(":", 1)[1] for line in check.out.splitlines()]
    shown = [line for line in desk.out.splitlines() if re.match(r"\d+:\d+: ", line)]
    assert sorted(told) == sorted(shown)
    assert "\x1b" not in desk.out


def test_not_a_sheet_is_wrong_usage(tmp_path: Path) -> None:
    lay_out(tmp_path)
    assert invoke("--folder", tmp_path, "desk", "league.toml").status == 2
    assert invoke("--folder", tmp_path, "desk", "2026/2026-01-01").status == 2


EVENING = "trainings/2026/2026-04-02.yaml"
TRAINING = """\
date: 2026-04-02
club: aarwald
strikes:
  bigler-jonas: 15 16 ~ 0
  zaugg-lena: _
present: [aebi-ruedi]
"""


def test_a_training_tells_who_struck_how_many(tmp_path: Path) -> None:
    lay_out(tmp_path, [Write(EVENING, TRAINING)])
    desk = invoke("--folder", tmp_path, "desk", EVENING)
    assert desk.status == 0
    assert desk.out.splitlines() == [
        "Training of Aarwald, 2026-04-02",
        "2 players, 4 strikes, 10.33 points per strike",
        "Present without strikes: Ruedi Aebi",
        "",
        "",
        "5:3: draft: 1 row is still to be entered – type the strikes, name who was only there under"
        " `present`, and delete who was not (draft)",
        "Jonas Bigler    4  10.33   15 16 ~ 0",
        "Lena Zaugg      0      –   _",
    ]
    Write(EVENING, TRAINING.replace("16 ~", "61 ~")).apply(tmp_path)
    desk = invoke("--folder", tmp_path, "desk", tmp_path / EVENING)
    assert desk.status == 1
    assert "The evening has errors and counts nowhere until they are mended." in desk.out
    Write(EVENING, "date: [\n").apply(tmp_path)
    assert "Now: it cannot be read: line 1" in invoke("--folder", tmp_path, "desk", EVENING).out


# While somebody types


def save_by_rename(path: Path, text: str) -> None:
    beside = path.with_name(".saving.tmp")
    beside.write_text(text, encoding="utf-8")
    os.replace(beside, path)


def leave(terminal: "Terminal") -> None:
    terminal.press(b"\x03")
    assert terminal.end() == 0


@IN_TERMINAL
def test_every_way_of_saving_is_seen(tmp_path: Path) -> None:
    folder = lay_out(tmp_path, [Write(FIRST, BLANK)])
    path = folder.root / FIRST
    with in_terminal("--folder", tmp_path, "desk", path) as terminal:
        terminal.wait_for("5 strikes are still to be entered")
        assert not terminal.echoes

        save_by_rename(path, BLANK.replace("[16N, _]", "[16N, 7]"))
        terminal.wait_for("4 strikes are still to be entered")
        assert "33     20     33     26    112" in terminal.text

        with path.open("w", encoding="utf-8") as file:
            file.flush()
            terminal.read(0.05)
            file.write(FIRST_SHEET.replace("[18, 20]", "[19, 20]"))
        terminal.wait_for("120")
        assert "Now:" not in terminal.raw.decode()

        path.unlink()
        terminal.wait_for("Now: the file is not there")
        assert "120" in terminal.text
        path.write_text(FIRST_SHEET, encoding="utf-8")
        terminal.wait_for(lambda text: "119" in text and "Now:" not in text)
        leave(terminal)


@IN_TERMINAL
def test_a_training_is_followed_too(tmp_path: Path) -> None:
    lay_out(tmp_path, [Write(EVENING, TRAINING)])
    with in_terminal("--folder", tmp_path, "desk", EVENING) as terminal:
        terminal.wait_for("2 players, 4 strikes")
        save_by_rename(tmp_path / EVENING, TRAINING.replace(": _", ": 11 12"))
        terminal.wait_for("3 players, 6 strikes")
        save_by_rename(tmp_path / EVENING, "date: [\n")
        terminal.wait_for("Now: it cannot be read")
        assert "3 players, 6 strikes" in terminal.text
        Delete(LENA).apply(tmp_path)
        save_by_rename(tmp_path / EVENING, TRAINING)
        terminal.wait_for("the player `zaugg-lena` has no file")
        leave(terminal)


@IN_TERMINAL
def test_a_sheet_that_cannot_be_read_keeps_its_figures(tmp_path: Path) -> None:
    path = lay_out(tmp_path).root / FIRST
    with in_terminal("--folder", tmp_path, "desk", path) as terminal:
        terminal.wait_for("119")
        path.write_text(FIRST_SHEET.replace("[18, 20]", "[18, 20"), encoding="utf-8")
        terminal.wait_for("figures are those of before")
        assert "119" in terminal.text
        assert "(yaml-syntax)" in terminal.text
        path.write_text(FIRST_SHEET.replace("[18, 20]", "[18, 99]"), encoding="utf-8")
        terminal.wait_for("9:23: error: ")
        assert "Now:" not in terminal.text
        leave(terminal)


@IN_TERMINAL
def test_two_saves_of_one_length_in_one_moment(tmp_path: Path) -> None:
    path = lay_out(tmp_path).root / FIRST
    with in_terminal("--folder", tmp_path, "desk", path) as terminal:
        terminal.wait_for("119")
        for strike in ("19", "20", "21"):
            path.write_text(FIRST_SHEET.replace("[18, 20]", f"[{strike}, 20]"), encoding="utf-8")
            moment = path.stat().st_mtime_ns - path.stat().st_mtime_ns % 10**9
            os.utime(path, ns=(moment, moment))
        terminal.wait_for("122")
        leave(terminal)


@IN_TERMINAL
def test_the_register_and_other_sheets_are_followed_too(tmp_path: Path) -> None:
    lay_out(tmp_path, [Replace(FIRST, "sahli-rosa", "neu-anna")])
    player = tmp_path / "players" / "neu-anna.yaml"
    twin = tmp_path / FIRST.replace("2026-04-12", "copy")
    with in_terminal("--folder", tmp_path, "desk", tmp_path / FIRST) as terminal:
        terminal.wait_for("(unknown-player)")
        player.write_text("name: Anna Neu\n", encoding="utf-8")
        terminal.wait_for(lambda text: "Anna Neu" in text and "error: " not in text)
        twin.write_text(FIRST_SHEET, encoding="utf-8")
        renamed = tmp_path / FIRST.replace("2026-04-12", "z")
        os.rename(tmp_path / FIRST, renamed)
        terminal.wait_for("Now: the file is not there")
        os.rename(renamed, tmp_path / FIRST)
        terminal.wait_for(lambda text: "Now:" not in text)
        player.write_text("name: Anna Alt\n", encoding="utf-8")
        terminal.wait_for("Anna Alt")
        leave(terminal)


@IN_TERMINAL
def test_the_terminal_is_left_as_it_was(tmp_path: Path) -> None:
    lay_out(tmp_path)
    with in_terminal("--folder", tmp_path, "desk", tmp_path / FIRST) as terminal:
        terminal.wait_for(BOTH_READ)
        terminal.read(0.3)
        frames = terminal.raw
        leave(terminal)
        after = terminal.raw[len(frames) :].decode()
        assert terminal.echoes
        for on, off in (("?1049h", "?1049l"), ("?25l", "?25h"), ("?7l", "?7h")):
            assert frames.decode().count(on) == 1
            assert after.count(off) == 1
        assert "Traceback" not in after
        assert BOTH_READ in terminal.text


@IN_TERMINAL
def test_nothing_is_drawn_while_nothing_changes(tmp_path: Path) -> None:
    lay_out(tmp_path)
    with in_terminal("--folder", tmp_path, "desk", tmp_path / FIRST) as terminal:
        terminal.wait_for(BOTH_READ)
        terminal.read(0.5)
        assert terminal.read(0.9) == b""
        # Ctrl-C is not all there is to end it.
        terminal.process.send_signal(signal.SIGTERM)
        assert terminal.end() == 0
        assert terminal.echoes


@IN_TERMINAL
def test_a_frame_is_drawn_over_the_last_one(tmp_path: Path) -> None:
    path = lay_out(tmp_path).root / FIRST
    with in_terminal("--folder", tmp_path, "desk", path) as terminal:
        terminal.wait_for("119")
        before = len(terminal.raw)
        save_by_rename(path, FIRST_SHEET.replace("[18, 20]", "[19, 20]"))
        terminal.wait_for("120")
        frame = terminal.raw[before:].decode()
        assert frame.startswith("\x1b[H")
        assert frame.endswith("\x1b[J")
        assert "\x1b[2J" not in frame
        assert all(line.rstrip("\r").endswith("\x1b[K") for line in frame[:-3].split("\n"))
        leave(terminal)


@IN_TERMINAL
def test_long_lists_are_cut_to_the_terminal(tmp_path: Path) -> None:
    rows = "".join(f"    neu-{number}: [[1, 1], [1, 1]]\n" for number in range(9))
    text = FIRST_SHEET + rows
    path = lay_out(tmp_path, [Write(FIRST, text)]).root / FIRST
    with in_terminal("--folder", tmp_path, "desk", path, columns=60, lines=16) as terminal:
        terminal.wait_for("… and")
        assert len(terminal.lines) <= 16
        assert all(len(line) <= 60 for line in terminal.lines)
        told = sum("error: " in line for line in terminal.lines)
        hidden = next(line for line in terminal.lines if line.endswith(" more"))
        check = invoke("--folder", tmp_path, "check", path)
        assert hidden == f"… and {len(check.out.splitlines()) - told} more"
        terminal.resize(120, 60)
        terminal.wait_for(lambda shown: shown.count("(unknown-player)") == 9)
        assert "… and" not in terminal.text
        terminal.resize(30, 4)
        terminal.wait_for(lambda shown: len(shown.splitlines()) <= 4)
        leave(terminal)


@IN_TERMINAL
@pytest.mark.parametrize(("setting", "coloured"), [({}, True), ({"NO_COLOR": "1"}, False)])
def test_colours_can_be_switched_off(
    tmp_path: Path, setting: dict[str, str], coloured: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    path = lay_out(tmp_path, [Replace(FIRST, "[18, 20]", "[18, 99]")]).root / FIRST
    with in_terminal("--folder", tmp_path, "desk", path, environment=setting) as terminal:
        terminal.wait_for("(strike-too-high)")
        assert (b"\x1b[31m" in terminal.raw) is coloured
        leave(terminal)


@IN_TERMINAL
@pytest.mark.skipif(shutil.which("bash") is None, reason="a shell with jobs is needed")
def test_ctrl_z_gives_the_terminal_back_meanwhile(tmp_path: Path) -> None:
    lay_out(tmp_path)
    shell = ("bash", "-c", 'set -m; "$@"; echo stopped; sleep 1; fg > /dev/null', "bash")
    with in_terminal("--folder", tmp_path, "desk", tmp_path / FIRST, through=shell) as terminal:
        terminal.wait_for(BOTH_READ)
        terminal.press(b"\x1a")
        terminal.wait_for("stopped")
        assert terminal.raw.count(b"\x1b[?1049l") == 1
        assert terminal.echoes
        terminal.wait_for(lambda _: terminal.raw.count(b"\x1b[?1049h") == 2)
        terminal.wait_for(BOTH_READ)
        assert not terminal.echoes
        leave(terminal)


def test_names_cannot_steer_the_terminal() -> None:
    assert ScreenLine("a\x1b[2Jb").shown(None, colours=False) == "a\\x1b[2Jb"
    assert ScreenLine("abcdef").shown(4, colours=False) == "abc…"
    problem = Problem(
        place=Place("a.yaml", 3, 4), severity=Severity.ERROR, code="anchor", message="not taken"
    )
    lines = page_lines(DeskView(problems=(problem,), trouble="it is empty"), "a.yaml", 80, 24)
    assert [each.text for each in lines] == [
        "a.yaml", "Now: it is empty", "", "3:4: error: not taken (anchor)"
    ]  # fmt: skip
