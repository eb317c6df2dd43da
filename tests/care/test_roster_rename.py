"""A player gets another identifier everywhere, and nothing else changes; or nothing does."""

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from riesbuch.care.player_in_files import few
from riesbuch.folder.club_folder import ClubFolder, open_folder
from riesbuch.text.editing import edited
from riesbuch.trade.problems import RiesbuchError
from tests.clubfolder import FIRST, LENA, RUEDI, Replace, Write, problems_of
from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.failing import fill_disk
from tests.rosterfolder import (
    BY_POINTS,
    MANIFOLD,
    MANIFOLD_SHEET,
    NADJA,
    bytes_of,
    register_of,
    rename,
    roster_folder,
    tables_of,
)

IDENTIFIERS = st.from_regex(r"[a-z0-9]{1,9}(-[a-z0-9]{1,9}){0,3}", fullmatch=True)
PLAYERS = ("aebi-ruedi", "bigler-jonas", "kipfer-urs", "sahli-rosa", "zaugg-lena", "aebi-nadja")


@pytest.fixture
def folder(tmp_path: Path) -> ClubFolder:
    return roster_folder(tmp_path / "club")


def test_every_place_that_names_the_player_and_no_other(folder: ClubFolder) -> None:
    before = bytes_of(folder)
    rename(folder, "aebi-ruedi", "aebi-rudolf")
    after = bytes_of(folder)
    changed = {path for path in before if after.get(path) != before[path]}
    assert changed == {FIRST, MANIFOLD, BY_POINTS, NADJA, RUEDI}
    assert after["players/aebi-rudolf.yaml"] == before[RUEDI]
    lines = zip(before[MANIFOLD].splitlines(), after[MANIFOLD].splitlines(), strict=True)
    assert [new.decode() for old, new in lines if old != new] == [
        "  captain: 'aebi-rudolf'   # as ever",
        '    "aebi-rudolf":   [[18, 20], [17, x]]  # aebi-ruedi',
        '    - {by: "aebi-rudolf", strikes: [[x, x], [x, 13]]}',
        "  - {at: home.strikes.aebi-rudolf.1.2, note: 20 or 26}",
    ]
    assert after[BY_POINTS] == before[BY_POINTS].replace(b"aebi-ruedi", b"aebi-rudolf")
    assert after[NADJA] == before[NADJA].replace(b'"aebi-ruedi"', b'"aebi-rudolf"')


@settings(max_examples=60)
@given(old=st.sampled_from(PLAYERS), new=IDENTIFIERS)
@example(old="aebi-ruedi", new="home")
@example(old="aebi-ruedi", new="14")
@example(old="sahli-rosa", new="strikes")
@example(old="zaugg-lena", new="no")
@example(old="kipfer-urs", new="0x1")
def test_there_and_back_is_byte_for_byte_as_before(
    old: str, new: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    if new in PLAYERS or new in ("null", "aebi-hans"):
        return
    folder = roster_folder(tmp_path_factory.mktemp("club"))
    before, tables = bytes_of(folder), tables_of(folder)
    rename(folder, old, new)
    assert tables_of(folder, {new: old}) == tables
    assert new in register_of(folder).players
    assert old not in register_of(folder).players
    rename(folder, new, old)
    assert bytes_of(folder) == before


@pytest.fixture(scope="module")
def unsealed_example(tmp_path_factory: pytest.TempPathFactory) -> ClubFolder:
    root = tmp_path_factory.mktemp("unsealed") / "example"
    copy_example(root)
    folder = open_folder(root)
    for year in folder.years():
        for path in folder.sheet_files(year):
            text = path.read_bytes().decode("utf-8")
            gone = [key for key in ("seal", "corrections") if f"\n{key}:" in text]
            if gone:
                path.write_bytes(edited(text, dict.fromkeys(gone)).encode("utf-8"))
    return folder


@pytest.mark.parametrize("player", ["aebi-ruedi", "bigler-jonas", "aebi-samuel"])
def test_in_the_example_the_tables_stay(player: str, unsealed_example: ClubFolder) -> None:
    before, tables = bytes_of(unsealed_example), tables_of(unsealed_example)
    planned = rename(unsealed_example, player, "a-name-of-another-length")
    assert len(planned.paths) > 1
    assert tables_of(unsealed_example, {"a-name-of-another-length": player}) == tables
    rename(unsealed_example, "a-name-of-another-length", player)
    assert bytes_of(unsealed_example) == before


# Refused


def test_of_many_lines_a_dozen_are_named_and_the_rest_counted() -> None:
    lines = [f"line {number}" for number in range(14)]
    assert few(lines[:12]).splitlines() == [f"  {line}" for line in lines[:12]]
    assert few(lines).splitlines()[11:] == ["  line 11", "  and 2 more"]


@pytest.mark.parametrize(
    ("new", "message"),
    [
        ("Aebi Rudolf", "did you mean aebi-rudolf"),
        ("null", "not an identifier"),
        ("x" * 65, "at most 64"),
        ("aebi-ruedi", "called so already"),
        ("zaugg-lena", "`riesbuch roster merge zaugg-lena aebi-ruedi`"),
    ],
)
def test_a_name_that_cannot_be(folder: ClubFolder, new: str, message: str) -> None:
    before = bytes_of(folder)
    with pytest.raises(RiesbuchError, match=message):
        rename(folder, "aebi-ruedi", new)
    assert bytes_of(folder) == before


def test_a_name_that_sheets_give_to_another(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path, Replace(MANIFOLD, "    zaugg-lena:", "    zaugg-l:"))
    with pytest.raises(RiesbuchError, match=f"(?s)zaugg-l` is named already.*{MANIFOLD}"):
        rename(folder, "aebi-ruedi", "zaugg-l")


@pytest.mark.parametrize(
    "edit",
    [
        Replace(MANIFOLD, "date: 2026-06-07", "date: 2026-06-07\ndate: 2026-06-08"),
        Replace(MANIFOLD, "[[18, 20], [17, x]]", "[[18, 20], [17, l4]]"),
        Replace(NADJA, "parents:", "parent:"),
        Write("seasons/2026/matches/spoilt.yaml", 'home: {team: "aarwald\\x2da", captain: ['),
        Write("seasons/2026/matches/spoilt.yaml", "date: 2026-06-07".encode("utf-16")),
    ],
)
def test_a_file_that_cannot_be_read_whole_and_may_name_the_player(
    tmp_path: Path, edit: Replace | Write
) -> None:
    folder = roster_folder(tmp_path, edit)
    before = bytes_of(folder)
    with pytest.raises(RiesbuchError, match=re.escape(edit.path)):
        rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == before


def test_a_broken_file_that_cannot_name_the_player_is_no_hindrance(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path, Write("seasons/2026/matches/spoilt.yaml", "home: ["))
    rename(folder, "aebi-ruedi", "aebi-rudolf")


def test_an_identifier_written_with_escapes_is_found(tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path, Replace(MANIFOLD, "captain: 'aebi-ruedi'", 'captain: "aebi\\x2druedi"')
    )
    rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert "captain: aebi-rudolf   # as ever" in (folder.root / MANIFOLD).read_text("utf-8")


def sealed(folder: ClubFolder, path: str) -> None:
    sheet = folder.sheet_id(folder.root / path)
    outcome = invoke("--folder", folder.root, "seal", sheet or "", "--home", "A", "--away", "B")
    assert outcome.status == 0, outcome.err


def test_what_is_sealed_stays_sealed(folder: ClubFolder) -> None:
    sealed(folder, FIRST)
    before = bytes_of(folder)
    outcome = invoke("--folder", folder.root, "roster", "rename", "aebi-ruedi", "aebi-rudolf")
    assert (outcome.status, outcome.out) == (1, "")
    assert "a sealed sheet says what `aebi-ruedi` struck" in outcome.err
    assert FIRST in outcome.err
    assert MANIFOLD not in outcome.err
    after = bytes_of(folder)
    assert {path: after.get(path) for path in before} == before


def test_a_seal_does_not_cover_captains_and_replacing_players(tmp_path: Path) -> None:
    folder = roster_folder(
        tmp_path,
        Replace(MANIFOLD, "captain: 'aebi-ruedi'", "captain: aebi-hans"),
        Replace(MANIFOLD, 'by: "aebi-ruedi"', "by: aebi-hans"),
    )
    sealed(folder, MANIFOLD)
    rename(folder, "aebi-hans", "aebi-johann")
    assert (folder.root / MANIFOLD).read_text("utf-8").count("aebi-johann") == 2
    assert [each for each in problems_of(folder) if each.code.startswith("seal")] == []


def test_corrections_follow_where_the_seal_does_not_hinder(tmp_path: Path) -> None:
    corrected = """\
corrections:
  - on: 2026-06-08
    by: Lena
    agreed: [aarwald, birkenfluh]
    reason: aebi-hans was meant
    changed:
      - "home.strikes.aebi-hans.1.1: 18 -> nothing"
      - 'home.captain: aebi-hans  -> aebi-ruedi'
      - "home.strikes.bigler-jonas.1.1: 14 -> 15"
      - "away.strikes.aebi-hans.1.1 was 12"
"""
    folder = roster_folder(tmp_path, Write(MANIFOLD, MANIFOLD_SHEET + corrected))
    before = bytes_of(folder)
    rename(folder, "aebi-hans", "14")
    text = (folder.root / MANIFOLD).read_text("utf-8")
    assert '- "home.strikes.14.1.1: 18 -> nothing"\n' in text
    assert "- 'home.captain: 14  -> aebi-ruedi'\n" in text
    assert '- "home.strikes.bigler-jonas.1.1: 14 -> 15"\n' in text
    assert '- "away.strikes.aebi-hans.1.1 was 12"\n' in text
    assert "reason: aebi-hans was meant" in text
    rename(folder, "14", "aebi-hans")
    assert bytes_of(folder) == before


def test_a_name_that_only_a_correction_gives(tmp_path: Path) -> None:
    corrected = """\
corrections:
  - {on: 2026-06-08, by: Lena, agreed: [aarwald], reason: the elder was meant,
     changed: ["home.strikes.aebi-johann.1.1: 18 -> nothing"]}
"""
    folder = roster_folder(tmp_path, Write(MANIFOLD, MANIFOLD_SHEET + corrected))
    with pytest.raises(RiesbuchError, match="`aebi-johann` is named already"):
        rename(folder, "aebi-ruedi", "aebi-johann")


# Stopped


class Killed(BaseException):
    """The computer stops: nothing after it happens."""


def failing_after(
    moves: int, monkeypatch: pytest.MonkeyPatch, error: Callable[[], BaseException], once: bool
) -> None:
    """From the move of that number on, or at that one alone, no file is moved into place, and no
    new one gets its name."""
    replace, link, unlink, count = os.replace, os.link, os.unlink, [0]

    def counted(source: str, target: str, move: Callable[[str, str], None] = replace) -> None:
        count[0] += 1
        if count[0] == moves or (count[0] > moves and not once):
            raise error()
        move(source, target)

    def linked(source: str, target: str) -> None:
        counted(source, target, link)

    def kept(path: str) -> None:
        if count[0] >= moves and not once and not str(path).endswith(".tmp"):
            raise error()
        unlink(path)

    monkeypatch.setattr(os, "replace", counted)
    monkeypatch.setattr(os, "link", linked)
    monkeypatch.setattr(os, "unlink", kept)


# The marked file, three sheets, a child's file, and the former file into its place.
MOVES = range(1, 7)


@pytest.mark.parametrize("moves", MOVES)
def test_a_full_disk_leaves_all_as_it_was(
    moves: int, folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = bytes_of(folder)
    failing_after(moves, monkeypatch, lambda: OSError(28, "No space left on device"), once=True)
    with pytest.raises(RiesbuchError, match="No space left on device; every file is as it was"):
        rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == before


@pytest.mark.parametrize("moves", MOVES)
@pytest.mark.parametrize("reason", [Killed, lambda: OSError(5, "Input/output error")])
def test_what_was_stopped_is_finished_by_the_same_command(
    moves: int,
    reason: Callable[[], BaseException],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    whole = roster_folder(tmp_path / "whole")
    rename(whole, "aebi-ruedi", "aebi-rudolf")
    folder = roster_folder(tmp_path / "stopped")
    before, problems, tables = bytes_of(folder), problems_of(folder), tables_of(folder)
    with monkeypatch.context() as patch:
        failing_after(moves, patch, reason, once=False)
        with pytest.raises((Killed, RiesbuchError)):
            rename(folder, "aebi-ruedi", "aebi-rudolf")
    half = bytes_of(folder)
    half.pop("players/aebi-rudolf.yaml", None)
    written = [path for path in half if half[path] != before[path]]
    assert len(written) == max(moves - 2, 0)
    assert problems_of(folder) == problems
    if moves > 1:
        with pytest.raises(RiesbuchError, match="rename aebi-ruedi aebi-rudolf` again first"):
            rename(folder, "aebi-rudolf", "another")
    if moves == 6:
        assert tables_of(folder, {"aebi-rudolf": "aebi-ruedi"})[0] == tables[0]  # type: ignore[index]
    rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == bytes_of(whole)


@pytest.mark.parametrize("room", range(7))
def test_what_a_full_disk_stopped_is_finished_by_the_same_command(
    room: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing can be put back on it, but files can be taken away: that alone must not be done."""
    whole = roster_folder(tmp_path / "whole")
    rename(whole, "aebi-ruedi", "aebi-rudolf")
    folder = roster_folder(tmp_path / "stopped")
    problems = problems_of(folder)
    with monkeypatch.context() as patch:
        fill_disk(patch, room)
        if room < 6:
            with pytest.raises(RiesbuchError, match="No space left on device"):
                rename(folder, "aebi-ruedi", "aebi-rudolf")
        else:
            rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert room == 6 or problems_of(folder) == problems
    if room < 6:
        rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == bytes_of(whole)


def test_an_interruption_leaves_all_as_it_was(
    folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = bytes_of(folder)
    failing_after(4, monkeypatch, KeyboardInterrupt, once=True)
    outcome = invoke("--folder", folder.root, "roster", "rename", "aebi-ruedi", "aebi-rudolf")
    assert outcome.status == 130
    assert bytes_of(folder) == before


def test_a_file_that_somebody_saves_meanwhile_is_left_to_them(
    folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace = os.replace

    def saved_meanwhile(source: str, target: str) -> None:
        replace(source, target)
        (folder.root / MANIFOLD).write_text(f"{MANIFOLD_SHEET}# more\n", encoding="utf-8")

    before = bytes_of(folder)
    monkeypatch.setattr(os, "replace", saved_meanwhile)
    with pytest.raises(RiesbuchError, match="changed meanwhile"):
        rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert bytes_of(folder) == {**before, MANIFOLD: f"{MANIFOLD_SHEET}# more\n".encode()}


def test_what_somebody_saves_before_the_last_step_fails_is_finished_by_the_same_command(
    folder: ClubFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file that was written last names the player anew: the new file must stay."""
    replace = os.replace

    def failing(source: str, target: str) -> None:
        if Path(source).name == Path(RUEDI).name:
            with (folder.root / NADJA).open("a", encoding="utf-8") as file:
                file.write("# more\n")
            raise OSError(5, "Input/output error")
        replace(source, target)

    problems = problems_of(folder)
    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", failing)
        with pytest.raises(RiesbuchError, match="5 of 5 files could not be put back: give the"):
            rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert problems_of(folder) == problems
    rename(folder, "aebi-ruedi", "aebi-rudolf")
    assert not (folder.root / RUEDI).exists()
    assert (folder.root / NADJA).read_text("utf-8").endswith("- zaugg-lena\n# more\n")
    assert problems_of(folder) == problems


@pytest.mark.parametrize("first", range(1, 7))
def test_whatever_fails_of_the_undo_too_is_finished_by_the_same_command(
    first: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file cannot be moved into place, and then one step of putting back cannot be done."""
    whole = roster_folder(tmp_path / "whole")
    rename(whole, "aebi-ruedi", "aebi-rudolf")
    replace, link, unlink = os.replace, os.link, os.unlink
    undone: list[str] = []
    for second in range(1, first + 1):
        folder = roster_folder(tmp_path / f"stopped-{second}")
        problems, count = problems_of(folder), [0]

        def step(path: str, count: list[int] = count, second: int = second) -> None:
            count[0] += 1
            if count[0] in (first, first + second):
                undone.append(Path(path).name)
                raise OSError(28, "No space left on device")

        def moved(source: str, target: str, step: Callable[[str], None] = step) -> None:
            step(target)
            replace(source, target)

        def linked(source: str, target: str, step: Callable[[str], None] = step) -> None:
            step(target)
            link(source, target)

        def taken_away(path: str, step: Callable[[str], None] = step) -> None:
            if not str(path).endswith(".tmp"):
                step(path)
            unlink(path)

        with monkeypatch.context() as patch:
            patch.setattr(os, "replace", moved)
            patch.setattr(os, "link", linked)
            patch.setattr(os, "unlink", taken_away)
            with pytest.raises(RiesbuchError, match="No space left on device"):
                rename(folder, "aebi-ruedi", "aebi-rudolf")
        assert problems_of(folder) == problems, second
        rename(folder, "aebi-ruedi", "aebi-rudolf")
        assert bytes_of(folder) == bytes_of(whole), second
    # A first move that fails leaves nothing to undo; each later one all that was moved before it.
    assert len(undone) == first + (first - 1)


def test_a_file_of_just_the_same_words_is_no_renaming_under_way(tmp_path: Path) -> None:
    folder = roster_folder(tmp_path, Write("players/aebi-ruedi-dorf.yaml", "name: Ruedi Aebi\n"),
                           Write(RUEDI, "name: Ruedi Aebi\n"))  # fmt: skip
    with pytest.raises(RiesbuchError, match="there is a player `aebi-ruedi-dorf` already"):
        rename(folder, "aebi-ruedi", "aebi-ruedi-dorf")


# The command


def test_dry_run_says_the_same_and_writes_nothing(folder: ClubFolder) -> None:
    before = bytes_of(folder)
    words = ("--folder", folder.root, "roster", "rename", "Ruedi Aebi", "aebi-rudolf")
    dry = invoke(*words, "--dry-run")
    assert bytes_of(folder) == before
    wet = invoke(*words)
    assert (dry.status, wet.status) == (0, 0)
    assert dry.out == wet.out
    assert wet.out.splitlines() == sorted(
        [NADJA, "players/aebi-rudolf.yaml", FIRST, MANIFOLD, BY_POINTS]
    )
    assert dry.err == f"5 files would change\n{RUEDI} would be there no more\n"
    assert wet.err == f"5 files changed\n{RUEDI} is there no more\n"


def test_the_mode_of_the_file_stays(folder: ClubFolder) -> None:
    (folder.root / LENA).chmod(0o640)
    rename(folder, "zaugg-lena", "zaugg-helena")
    assert (folder.root / "players/zaugg-helena.yaml").stat().st_mode & 0o777 == 0o640
