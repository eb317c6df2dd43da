"""Closing a match day: what is shown, asked, published and committed, by real git."""

import errno
import io
import os
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import riesbuch.review.committing as committing
import riesbuch.review.working_tree as working_tree
from tests.clubfolder import FIRST, LEAGUE, RULES, SECOND, SECOND_SHEET, lay_out
from tests.commandline import Outcome, invoke
from tests.gitfolder import ENVIRONMENT, begin, commit, git

FIRST_ID = "2026/2026-04-12-aarwald-a-birkenfluh-a"
MESSAGE = """\
Oberhang League, first division, round 2

Birkenfluh A – Aarwald A 0 Nr. 87 – 1 Nr. 90
"""
DRAFTED = "  strikes:\n    aebi-ruedi: [[18, 20], [17, 19]]\n    bigler-jonas: [[15, 0], [_, _]]\n"
DAY = ("--on", "2026-05-10")


@pytest.fixture
def club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A club folder in a repository, all of it committed but its second sheet."""
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    root = tmp_path / "club"
    lay_out(root)
    (root / SECOND).unlink()
    (root / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    assert invoke("--folder", root, "publish").status == 0
    begin(root)
    commit(root)
    return root


@pytest.fixture
def played(club: Path) -> Path:
    (club / SECOND).write_text(SECOND_SHEET, encoding="utf-8")
    return club


def finish(root: Path, *more: str) -> Outcome:
    return invoke("--folder", root, "finish", *DAY, *more)


def answer(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))


def replace(root: Path, path: str, old: str, new: str) -> None:
    text = (root / path).read_text(encoding="utf-8")
    assert text.count(old) == 1
    (root / path).write_text(text.replace(old, new), encoding="utf-8")


def commits(root: Path) -> int:
    return len(git(root, "rev-list", "HEAD").split())


def untouched(root: Path) -> Mapping[str, bytes]:
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and not {".git", ".riesbuch"} & set(path.relative_to(root).parts)
    }


def test_one_commit_tells_the_round(played: Path) -> None:
    done = finish(played, "--yes")
    assert done.status == 0, done.err
    assert git(played, "log", "-1", "--format=%B").strip() == MESSAGE.strip()
    assert git(played, "status", "--porcelain") == ""
    assert commits(played) == 2
    files = git(played, "show", "--name-only", "--format=").split()
    assert SECOND in files
    assert "reports/2026/oberhang-1/README.md" in files
    assert "nothing was pushed" in done.err
    assert invoke("--folder", played, "publish", "--check").status == 0
    assert git(played, "fsck", "--strict") == ""


def test_a_second_run_says_that_there_is_nothing(played: Path) -> None:
    finish(played, "--yes")
    again = finish(played)
    assert (again.status, again.out, again.err) == (0, "", "there is nothing to finish\n")
    assert commits(played) == 2


def test_it_shows_what_it_will_do_and_asks(played: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = untouched(played)
    for reply in ("n\n", "\n", ""):
        answer(monkeypatch, reply)
        refused = finish(played)
        assert refused.status == 1
        assert refused.err.endswith("nothing was done\n")
        assert "Publish and commit this?" in refused.err
        assert untouched(played) == before
        assert commits(played) == 1
    for line in MESSAGE.splitlines():
        assert f"    {line}".rstrip() in refused.out.splitlines()
    table = [
        " ".join(line.split()) for line in refused.out.splitlines() if line.startswith("Aarwald A")
    ]
    assert table == ["Aarwald A 1 1 to 2 0 to 1 119 to 209 4 to 5"]
    answer(monkeypatch, "y\n")
    assert finish(played).status == 0
    assert commits(played) == 2


def test_the_message_speaks_the_language_of_the_reports(played: Path) -> None:
    replace(played, LEAGUE, "\n", '\nlanguage = "de"\n')
    finish(played, "--yes")
    assert git(played, "log", "-1", "--format=%B").splitlines()[0] == (
        "Oberhang League, first division, 2. Runde"
    )


def test_errors_in_what_is_new_keep_the_day_open(played: Path) -> None:
    replace(played, SECOND, "nummern: 1", "nummern: one")
    before = untouched(played)
    refused = finish(played, "--yes")
    assert refused.status == 1
    assert f"{SECOND}:12:12: error:" in refused.err
    assert "nothing was done" in refused.err
    assert untouched(played) == before
    assert commits(played) == 1


def test_an_open_draft_of_the_day_keeps_it_open_and_one_of_a_later_day_does_not(
    played: Path,
) -> None:
    replace(played, SECOND, "  points: 90\n  nummern: 1\n", DRAFTED)
    refused = finish(played, "--yes")
    assert refused.status == 1
    assert f"{SECOND}:13:30: draft:" in refused.err
    assert commits(played) == 1
    early = invoke("--folder", played, "finish", "--on", "2026-05-09", "--yes")
    assert early.status == 0, early.err
    assert git(played, "status", "--porcelain") == ""


def test_what_was_entered_before_is_named_first_and_in_the_message(
    played: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    replace(played, FIRST, "[[15, 0], [16N, 14]]", "[[15, 9], [16N, 14]]")
    answer(monkeypatch, "n\n")
    shown = finish(played).out
    named = shown.index(f"{FIRST_ID}: changed")
    assert shown.index("Jonas Bigler (Aarwald A), first inning, second strike: 0 to 9") > named
    assert named < shown.index("Table of oberhang-1") < shown.index("The commit will hold")
    assert finish(played, "--yes").status == 0
    assert (
        git(played, "log", "-1", "--format=%B")
        .strip()
        .endswith(f"Changed, though entered before:\n{FIRST_ID}")
    )


def test_rules_under_old_results_are_named(played: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with (played / RULES).open("a", encoding="utf-8") as file:
        file.write("\n[rank_points]\nclean = 3\n")
    answer(monkeypatch, "n\n")
    shown = finish(played).out
    assert f"{RULES}: rank_points.clean 2 -> 3" in shown
    assert "Sheets that add up or count otherwise though nobody touched them" in shown
    assert FIRST_ID in shown


def test_a_sealed_sheet_is_not_changed_in_passing(played: Path) -> None:
    names = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-12")
    assert invoke("--folder", played, "seal", FIRST_ID, *names).status == 0
    commit(played)
    sealed = (played / FIRST).read_text(encoding="utf-8")
    (played / FIRST).write_text(sealed[: sealed.index("seal:")], encoding="utf-8")
    replace(played, FIRST, "[[15, 0], [16N, 14]]", "[[15, 9], [16N, 14]]")
    refused = finish(played, "--yes")
    assert refused.status == 1
    assert "NOT SANCTIONED" in refused.err
    assert f"`git restore {FIRST}`" in refused.err
    assert commits(played) == 2


def test_a_seal_alone_is_no_news_of_an_old_result(club: Path) -> None:
    names = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-12")
    assert invoke("--folder", club, "seal", FIRST_ID, *names).status == 0
    done = finish(club, "--yes")
    assert done.status == 0
    assert FIRST_ID not in done.out
    assert git(club, "log", "-1", "--format=%s").strip() == "Register, season and pages"


def test_foreign_files_stay_as_they_are_even_staged_ones(played: Path) -> None:
    (played / "list.txt").write_text("bread\n", encoding="utf-8")
    git(played, "add", "list.txt")
    (played / "photo.jpg").write_bytes(b"\xff")
    (played / "reports/notes.md").write_text("# Mine\n", encoding="utf-8")
    done = finish(played, "--yes")
    assert done.status == 0
    assert "list.txt, photo.jpg, reports/notes.md" in done.out
    left = ["A  list.txt", "?? photo.jpg", "?? reports/notes.md"]
    assert git(played, "status", "--porcelain").splitlines() == left
    assert git(played, "show", "--name-only", "--format=").count(".txt") == 0


def test_a_folder_within_a_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    top = tmp_path / "everything"
    root = top / "sport" / "club"
    lay_out(root)
    (root / SECOND).unlink()
    (root / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    begin(top)
    commit(top)
    (top / "other.txt").write_text("mine\n", encoding="utf-8")
    git(top, "add", "other.txt")
    (root / SECOND).write_text(SECOND_SHEET, encoding="utf-8")
    done = finish(root, "--yes")
    assert done.status == 0
    assert "none of the folder's own files: other.txt\n" in done.out
    assert git(top, "status", "--porcelain") == "A  other.txt\n"
    assert f"sport/club/{SECOND}" in git(top, "show", "--name-only", "--format=").split()


def test_the_first_commit_of_a_repository(club: Path) -> None:
    for path in sorted((club / ".git").rglob("*"), reverse=True):
        path.unlink() if path.is_file() else path.rmdir()
    begin(club)
    done = finish(club, "--yes")
    assert done.status == 0, done.err
    assert commits(club) == 1
    assert git(club, "status", "--porcelain") == ""
    # From then on it is git's, and not a match day's.
    (club / ".gitignore").write_text(".riesbuch/\nplayers/\n", encoding="utf-8")
    assert finish(club, "--yes").err == "there is nothing to finish\n"
    assert git(club, "status", "--porcelain") == " M .gitignore\n"


def test_without_git_it_publishes_and_says_what_to_type(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = tmp_path / "club"
    lay_out(root)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    done = finish(root, "--yes")
    assert done.status == 0
    assert "`git init`" in done.err
    assert (root / "reports/README.md").exists()
    assert not (root / ".git").exists()
    replace(root, SECOND, "points: 90", "points: _")
    assert finish(root, "--yes").status == 1


def test_git_wants_a_name(played: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ENVIRONMENT:
        if "AUTHOR" in name or "COMMITTER" in name:
            monkeypatch.delenv(name)
    before = untouched(played)
    refused = finish(played, "--yes")
    assert refused.status == 1
    assert 'git config --global user.name "YOUR NAME"' in refused.err
    assert untouched(played) == before
    git(played, "config", "user.name", "Vreni Oesch")
    git(played, "config", "user.email", "vreni@oberhang.invalid")
    assert finish(played, "--yes").status == 0


def test_nothing_is_committed_into_a_merge(played: Path) -> None:
    git(played, "checkout", "--quiet", "-b", "other")
    replace(played, LEAGUE, "Oberhang League", "Oberhang")
    git(played, "commit", "--quiet", "--all", "--message", "One")
    git(played, "checkout", "--quiet", "main")
    replace(played, LEAGUE, "Oberhang League", "Hang")
    git(played, "commit", "--quiet", "--all", "--message", "Other")
    with pytest.raises(AssertionError):
        git(played, "merge", "other")
    refused = finish(played, "--yes")
    assert refused.status == 1
    assert "`git merge --abort`" in refused.err
    assert commits(played) == 2


def test_stopped_between_publishing_and_committing_it_is_given_again(
    played: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> str:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(committing, "commit", stopped)
        assert finish(played, "--yes").status == 130
    assert commits(played) == 1
    assert finish(played, "--yes").status == 0
    assert git(played, "log", "-1", "--format=%B").strip() == MESSAGE.strip()
    assert git(played, "status", "--porcelain") == ""


@pytest.mark.parametrize("path", [SECOND, "reports/README.md"])
def test_what_cannot_be_read_is_not_left_out(
    path: str, played: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Path.open

    def broken(place: Path, *arguments: Any, **options: Any) -> Any:
        if place == played / path and arguments == ("rb",):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return opened(place, *arguments, **options)

    with monkeypatch.context() as patched:
        patched.setattr(Path, "open", broken)
        refused = finish(played, "--yes")
    assert refused.status == 1
    assert f"{path} cannot be read, so nothing was committed" in refused.err
    assert commits(played) == 1
    assert finish(played, "--yes").status == 0
    assert git(played, "status", "--porcelain") == ""


@pytest.mark.parametrize("path", [FIRST, str(Path(FIRST).parent)])
def test_what_cannot_be_seen_for_a_moment_is_not_committed_as_gone(
    path: str, played: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert finish(played, "--yes").status == 0

    def unseen(place: str) -> os.stat_result:
        if place == f"{played}/{path}":
            raise OSError(errno.EIO, os.strerror(errno.EIO), place)
        return os.lstat(place)

    with monkeypatch.context() as patched:
        patched.setattr(working_tree, "os", SimpleNamespace(**{**vars(os), "lstat": unseen}))
        refused = finish(played, "--yes")
    assert refused.status == 1
    assert f"{played}/{path}" in refused.err
    assert commits(played) == 2
    assert git(played, "status", "--porcelain") == ""


def test_where_the_branch_cannot_be_moved_all_is_staged_and_nothing_lost(
    played: Path,
) -> None:
    lock = played / ".git/refs/heads/main.lock"
    lock.touch()
    refused = finish(played, "--yes")
    assert refused.status == 1
    assert refused.err.splitlines()[-1].startswith("riesbuch: git: ")
    assert commits(played) == 1
    assert f"A  {SECOND}" in git(played, "status", "--porcelain")
    lock.unlink()
    assert finish(played, "--yes").status == 0
    assert git(played, "status", "--porcelain") == ""


def test_a_sheet_that_goes_is_committed_as_gone(played: Path) -> None:
    finish(played, "--yes")
    (played / SECOND).unlink()
    done = finish(played, "--yes")
    assert done.status == 0
    assert "2026/2026-05-10-birkenfluh-a-aarwald-a" in done.out
    assert SECOND not in git(played, "ls-files").split()
    assert git(played, "status", "--porcelain") == ""


def test_what_was_shown_is_committed_whatever_is_saved_meanwhile(
    played: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Meanwhile(io.StringIO):
        def readline(self, *_: object) -> str:
            replace(played, FIRST, "[[15, 0], [16N, 14]]", "[[15, 9], [16N, 14]]")
            return "y\n"

    monkeypatch.setattr("sys.stdin", Meanwhile())
    finish(played)
    assert "[[15, 0], [16N, 14]]" in git(played, "show", f"HEAD:{FIRST}")
    assert f" M {FIRST}" in git(played, "status", "--porcelain")


def test_line_ends_of_windows_are_not_committed_where_git_turns_them(played: Path) -> None:
    git(played, "config", "core.autocrlf", "true")
    (played / SECOND).write_bytes(SECOND_SHEET.replace("\n", "\r\n").encode())
    assert finish(played, "--yes").status == 0
    assert "\r" not in git(played, "show", f"HEAD:{SECOND}")


def test_no_hook_and_no_filter_runs(played: Path, tmp_path: Path) -> None:
    trace = tmp_path / "ran"
    hook = played / ".git/hooks/pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(f"#!/bin/sh\ntouch {trace}\n", encoding="utf-8")
    hook.chmod(0o755)
    git(played, "config", "filter.spy.clean", f"touch {trace}; cat")
    (played / ".git/info").mkdir(exist_ok=True)
    (played / ".git/info/attributes").write_text("*.yaml filter=spy\n", encoding="utf-8")
    assert finish(played, "--yes").status == 0
    assert not trace.exists()


def test_links_are_none_of_the_folders_own_files(played: Path) -> None:
    os.symlink(os.devnull, played / "players/somebody.yaml")
    refused = finish(played, "--yes")
    assert "players/somebody.yaml" in refused.err + refused.out
    assert "players/somebody.yaml" not in git(played, "ls-files").split()


def test_a_result_with_what_nobody_knows(club: Path) -> None:
    sheet = SECOND_SHEET.replace("  nummern: 1\n", "")
    (club / SECOND).write_text(sheet, encoding="utf-8")
    assert finish(club, "--yes").status == 0
    assert "0 Nr. 87 – 90 (Nummern not known)" in git(club, "log", "-1", "--format=%B")


def test_a_page_that_somebody_edited_is_left_and_named(played: Path) -> None:
    page = played / "reports/README.md"
    page.write_text(f"Hello!\n{page.read_text(encoding='utf-8')}", encoding="utf-8")
    done = finish(played, "--yes")
    assert done.status == 0
    assert "reports/README.md was edited since `publish` wrote it" in done.err
    assert page.read_text(encoding="utf-8").startswith("Hello!")


def test_an_old_sheet_with_errors_does_not_keep_the_day_open(played: Path) -> None:
    replace(played, FIRST, "[[15, 0], [16N, 14]]", "[[15, 61], [16N, 14]]")
    git(played, "commit", "--quiet", "--all", "--message", "A slip")
    done = finish(played, "--yes")
    assert done.status == 0
    assert FIRST in done.err
    assert git(played, "log", "-1", "--format=%B").strip() == MESSAGE.strip()
