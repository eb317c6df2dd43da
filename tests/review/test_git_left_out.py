"""Sheets that git has and that are not there: told, or read from git; never silently missing."""

import subprocess
from pathlib import Path

import pytest

from riesbuch.review.finding import may_leave_out
from riesbuch.review.paths import left_out_sentence
from tests.clubfolder import FIRST, SECOND, lay_out
from tests.commandline import invoke
from tests.gitfolder import begin, commit, git


@pytest.fixture(params=["", "club/of ours"])
def club(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    top = tmp_path / "top"
    begin(top)
    club = lay_out(top / request.param).root
    (club / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    (club / "players/nobody-else.yaml").write_text("name: Nobody Else\n", encoding="utf-8")
    commit(top)
    return club


def top_of(club: Path) -> Path:
    return Path(git(club, "rev-parse", "--show-toplevel").strip())


def make_sparse(club: Path, *paths: str) -> None:
    prefix = git(club, "rev-parse", "--show-prefix").strip()
    out = [f"!/{prefix}{path}" for path in paths]
    git(top_of(club), "sparse-checkout", "set", "--no-cone", "/*", *out)
    assert not any((club / path).exists() for path in paths)


def test_the_usual_folder_asks_git_nothing(club: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise AssertionError("a process is started")

    assert not may_leave_out(club)
    monkeypatch.setattr(subprocess, "Popen", fail)
    for arguments in (("check",), ("standings", "oberhang-1"), ("records",)):
        outcome = invoke("--folder", club, *arguments)
        assert outcome.status == 0, outcome.err
        assert "checked out" not in outcome.err


def test_no_repository_and_a_broken_one(tmp_path: Path) -> None:
    club = lay_out(tmp_path).root
    assert not may_leave_out(club)
    (club / ".git").write_text("nothing\n", encoding="utf-8")
    assert not may_leave_out(club)
    assert invoke("--folder", club, "check").status == 0


@pytest.mark.parametrize(
    "arguments", [("check",), ("standings", "oberhang-1"), ("records",), ("strikers", "oberhang-1")]
)
def test_a_sparse_checkout_is_told(club: Path, arguments: tuple[str, ...]) -> None:
    make_sparse(club, SECOND, "players/nobody-else.yaml")
    outcome = invoke("--folder", club, *arguments)
    assert outcome.err.splitlines()[0] == (
        "1 sheet and 1 other file are not checked out and count nowhere here;"
        " `git sparse-checkout disable` brings all"
    )
    git(top_of(club), "sparse-checkout", "disable")
    assert "checked out" not in invoke("--folder", club, *arguments).err


@pytest.mark.parametrize("flag", ["--skip-worktree", "--assume-unchanged"])
@pytest.mark.parametrize("version", ["2", "4"])
def test_a_file_that_git_does_not_miss_is_told(club: Path, flag: str, version: str) -> None:
    git(club, "update-index", "--index-version", version)
    git(club, "update-index", flag, "--", FIRST)
    assert "checked out" not in invoke("--folder", club, "check").err
    (club / FIRST).unlink()
    for _ in range(2):
        said = invoke("--folder", club, "check").err
        assert said.startswith("1 sheet is not checked out and counts nowhere here; `git update-")
    commands = [each.removeprefix("git ") for each in said.split("`")[1::2]]
    for command in commands[:2]:
        git(club, *command.split())
    assert "checked out" not in invoke("--folder", club, "check").err


def test_a_shared_index_is_looked_into(club: Path) -> None:
    git(club, "update-index", "--skip-worktree", "--", FIRST)
    (club / FIRST).unlink()
    git(club, "update-index", "--split-index")
    assert "1 sheet is not checked out" in invoke("--folder", club, "check").err


def test_git_that_cannot_be_asked_hinders_nothing(
    club: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    make_sparse(club, SECOND)
    monkeypatch.setenv("PATH", str(tmp_path))
    assert left_out_sentence(club) == ""
    assert invoke("--folder", club, "check").status == 0


def test_a_review_reads_from_git_what_is_left_out(club: Path) -> None:
    text = (club / FIRST).read_text(encoding="utf-8")
    (club / FIRST).write_text(text.replace("[18, 20]", "[18, 10]"), encoding="utf-8")
    base = git(club, "rev-parse", "HEAD").strip()
    commit(top_of(club), "One strike")
    whole = {
        arguments: invoke("--folder", club, "review", "--format", "json", *arguments).data
        for arguments in ((), (base,), (base, "HEAD"))
    }
    assert [each["change"] for each in whole[base,]["sheets"]] == ["changed"]
    make_sparse(club, FIRST, SECOND)
    for arguments, expected in whole.items():
        outcome = invoke("--folder", club, "review", "--format", "json", *arguments)
        assert (outcome.status, outcome.data) == (0, expected)
    assert "20 to 10" in invoke("--folder", club, "review", base).out


def test_a_commit_is_checked_with_what_is_left_out(club: Path) -> None:
    """A sheet that is not there still needs its player."""
    make_sparse(club, FIRST)
    assert invoke("--folder", club, "git-setup").status == 0
    git(club, "rm", "--quiet", "players/sahli-rosa.yaml")
    with pytest.raises(AssertionError, match="unknown-player"):
        git(club, "commit", "--message", "Who was she")
