"""``riesbuch git-setup``: checks, diffs and merges by real git, and everything taken out again."""

import os
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from riesbuch.text.decoding import conflict_sides
from tests.clubfolder import FIRST, FIRST_SHEET, LENA, RULES, SEASON, SECOND, SECOND_SHEET, lay_out
from tests.commandline import invoke
from tests.gitfolder import ENVIRONMENT, begin, commit, git

SOURCE = Path(__file__).parents[2] / "src"
HOOK = ".git/hooks/pre-commit"


@pytest.fixture(autouse=True)
def _git_finds_this_tool(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in ENVIRONMENT.items():
        monkeypatch.setenv(name, value)
    # The tests may run from a checkout that is not installed.
    monkeypatch.setenv("PYTHONPATH", str(SOURCE))


@dataclass(frozen=True, kw_only=True)
class Done:
    status: int
    out: str
    err: str


def try_git(where: Path, *arguments: str) -> Done:
    done = subprocess.run(
        ["git", *arguments], cwd=where, capture_output=True, check=False, encoding="utf-8"
    )
    return Done(status=done.returncode, out=done.stdout, err=done.stderr)


def setup(club: Path, *options: str) -> str:
    outcome = invoke("--folder", club, "git-setup", *options)
    assert outcome.status == 0, outcome.err
    return outcome.out


@pytest.fixture(params=["", "the league's öffice/club"])
def club(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A club folder, set up and committed: a repository of its own, or a folder in one."""
    top = tmp_path / "my repository"
    begin(top)
    club = lay_out(top / request.param).root
    commit(top, "The season so far")
    setup(club)
    commit(top, "Set up")
    return club


def edit(club: Path, path: str, *pairs: tuple[str, str]) -> None:
    text = (club / path).read_text(encoding="utf-8")
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (club / path).write_text(text, encoding="utf-8", newline="\n")


# Setting up and undoing


def everything(top: Path) -> dict[str, tuple[bytes, int]]:
    return {
        str(path.relative_to(top)): (path.read_bytes(), path.stat().st_mode)
        for path in sorted(top.rglob("*"))
        if path.is_file() and ".riesbuch" not in path.parts
    }


@pytest.mark.parametrize("prefix", ["", "club/of ours"])
def test_set_up_twice_and_undone(prefix: str, tmp_path: Path) -> None:
    top = tmp_path / "top"
    begin(top)
    club = lay_out(top / prefix).root
    before = everything(top)
    said = setup(club)
    assert [line.split()[0] for line in said.splitlines()] == ["wrote", "set", "wrote", "wrote"]
    assert os.access(top / HOOK, os.X_OK)
    after = everything(top)
    assert setup(club) == ""
    assert everything(top) == after
    assert "nothing to undo" not in invoke("--folder", club, "git-setup", "--undo").err
    assert everything(top) == before
    assert invoke("--folder", club, "git-setup", "--undo").err == "nothing to undo\n"
    assert everything(top) == before


HOOKS_OF_USERS = {
    "sh": "#!/bin/sh\necho mine; exit 0\n",
    "bash": "#!/usr/bin/env bash\n\necho mine\n",
    "python": "#!/usr/bin/env python3\nprint('mine')\n",
    "no first line": "echo mine\n",
    "no line end": "#!/bin/sh",
}


@pytest.mark.parametrize("kind", list(HOOKS_OF_USERS))
@pytest.mark.parametrize("mode", [0o755, 0o644])
def test_a_hook_of_the_user_stays(kind: str, mode: int, tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    hook = tmp_path / HOOK
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(HOOKS_OF_USERS[kind], encoding="utf-8")
    hook.chmod(mode)
    (tmp_path / ".gitattributes").write_bytes(b"*.svg binary\n* text=auto")
    before = everything(tmp_path)
    setup(club)
    after = everything(tmp_path)
    assert setup(club) == ""
    assert everything(tmp_path) == after
    git(tmp_path, "add", "--all")
    done = try_git(tmp_path, "commit", "--message", "First")
    assert done.status == 0, done.err
    runs = mode == 0o755 and kind != "no line end"
    assert ("mine" in done.out + done.err) == runs
    edit(club, FIRST, ("[18, 20]", "[18, 61]"))
    git(tmp_path, "add", "--all")
    assert try_git(tmp_path, "commit", "--message", "Second").status == 1
    assert git(tmp_path, "check-attr", "binary", "x.svg") == "x.svg: binary: set\n"
    setup(club, "--undo")
    kept = {path: state for path, state in everything(tmp_path).items() if path in before}
    same = [path for path in before if path not in (FIRST, ".git/index")]
    assert {path: kept.get(path) for path in same} == {path: before[path] for path in same}
    assert not list((tmp_path / ".git/hooks").glob("*before-riesbuch"))


def test_no_hook_put_aside_is_lost(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    hook = tmp_path / HOOK
    hook.parent.mkdir(exist_ok=True)
    hook.write_text("first\n", encoding="utf-8")
    setup(club)
    hook.write_text("second\n", encoding="utf-8")
    before = everything(tmp_path)
    outcome = invoke("--folder", club, "git-setup")
    assert (outcome.status, outcome.out) == (1, "")
    assert "pre-commit.before-riesbuch" in outcome.err
    assert everything(tmp_path) == before


def test_a_hook_that_is_a_link_stays_one(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    script = tmp_path / "shared.sh"
    script.write_text("#!/bin/sh\necho mine\n", encoding="utf-8")
    script.chmod(0o755)
    (tmp_path / HOOK).parent.mkdir(exist_ok=True)
    (tmp_path / HOOK).symlink_to("../../shared.sh")
    setup(club)
    assert script.read_text(encoding="utf-8") == "#!/bin/sh\necho mine\n"
    git(tmp_path, "add", "--all")
    done = try_git(tmp_path, "commit", "--message", "First")
    assert "mine" in done.out + done.err
    setup(club, "--undo")
    assert (tmp_path / HOOK).is_symlink()


def test_what_the_user_wrote_into_our_hook_stays(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    setup(club)
    with (tmp_path / HOOK).open("a", encoding="utf-8") as hook:
        hook.write("echo mine\n")
    with (tmp_path / ".gitattributes").open("a", encoding="utf-8") as attributes:
        attributes.write("*.svg binary\n")
    setup(club, "--undo")
    assert (tmp_path / HOOK).read_text(encoding="utf-8") == "#!/bin/sh\necho mine\n"
    assert (tmp_path / ".gitattributes").read_text(encoding="utf-8") == "*.svg binary\n"


def test_hooks_elsewhere_and_worktrees(tmp_path: Path) -> None:
    top = tmp_path / "top"
    begin(top)
    club = lay_out(top).root
    commit(top)
    git(top, "config", "core.hooksPath", "../shared hooks")
    outcome = invoke("--folder", club, "git-setup")
    assert "core.hooksPath" in outcome.err
    assert (tmp_path / "shared hooks/pre-commit").is_file()
    assert not (top / HOOK).exists()
    # In a repository that knows nothing of us the shared hook does nothing.
    other = tmp_path / "other"
    begin(other)
    git(other, "config", "core.hooksPath", "../shared hooks")
    (other / "league.toml").write_text("name = 1\n", encoding="utf-8")
    commit(other)
    git(top, "worktree", "add", "--quiet", "../tree", "-b", "second")
    tree = tmp_path / "tree"
    assert invoke("--folder", tree, "git-setup").out.startswith("wrote .gitattributes")
    edit(tree, FIRST, ("[18, 20]", "[18, 61]"))
    done = try_git(tree, "commit", "--all", "--message", "Wrong")
    assert done.status == 1
    assert f"{FIRST}:9:23: error: " in done.err
    assert "(strike-too-high)" in done.err


def test_two_folders_in_one_repository(tmp_path: Path) -> None:
    begin(tmp_path)
    clubs = [lay_out(tmp_path / name).root for name in ("one", "two")]
    before = everything(tmp_path)
    for club in clubs:
        setup(club)
    commit(tmp_path)
    for club in clubs:
        edit(club, FIRST, ("[18, 20]", "[18, 61]"))
        done = try_git(tmp_path, "commit", "--all", "--message", "Wrong")
        assert done.status == 1
        git(tmp_path, "checkout", "--quiet", "HEAD", ".")
    assert "left the configuration and the hooks" in setup(clubs[0], "--undo")
    edit(clubs[1], FIRST, ("[18, 20]", "[18, 61]"))
    assert try_git(tmp_path, "commit", "--all", "--message", "Wrong").status == 1
    git(tmp_path, "checkout", "--quiet", "HEAD", ".")
    setup(clubs[0], "--undo")
    setup(clubs[1], "--undo")
    after = everything(tmp_path)
    assert after[".git/config"] == before[".git/config"]
    assert (tmp_path / HOOK).exists() is False


@pytest.mark.parametrize(
    ("file", "line", "attributes"),
    [
        ("{club}/seasons/.gitattributes", "* -diff", ["diff"]),
        ("{club}/seasons/2026/.gitattributes", "matches/*.yaml merge=union", ["merge"]),
        ("{club}/seasons/2026/matches/.gitattributes", "*.yaml binary", ["diff", "merge"]),
        ("{club}/seasons/2026/matches/.gitattributes", "2026-04-12* !merge", ["merge"]),
        ("{club}/.gitattributes", "seasons/** -merge", ["merge"]),
        ("{club}/.gitattributes", "*-to-come.yaml diff", ["diff"]),
        ("{club}/seasons/.gitattributes", "* plain", ["diff", "merge"]),
        (".git/info/attributes", "*.yaml -merge", ["merge"]),
    ],
)
@pytest.mark.parametrize("prefix", ["", "club/of ours"])
def test_attributes_that_undo_it_are_named(
    prefix: str, file: str, line: str, attributes: list[str], tmp_path: Path
) -> None:
    top = tmp_path / "top"
    begin(top)
    club = lay_out(top / prefix).root
    (top / ".gitattributes").write_text("[attr]plain -diff -merge\n", encoding="utf-8")
    setup(club)
    path = file.format(club=prefix or ".").removeprefix("./")
    with (top / path).open("a", encoding="utf-8") as attributes_file:
        attributes_file.write(f"{line}\n")
    outcome = invoke("--folder", club, "git-setup")
    assert (outcome.status, outcome.out) == (1, "")
    told = outcome.err.splitlines()
    assert [each.partition(" has `")[2].partition("`")[0] for each in told] == attributes
    assert all(each.startswith(f"{path} undoes it: for ") for each in told)
    for attribute in ("diff", "merge"):
        is_said = git(club, "check-attr", attribute, FIRST).endswith(f"{attribute}: riesbuch\n")
        assert is_said == (attribute not in attributes or "to-come" in line)


def test_attributes_that_undo_nothing(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path / "club").root
    # What is above the club folder weighs less than our lines in it.
    (tmp_path / ".gitattributes").write_text("* -merge -diff\n", encoding="utf-8")
    (club / "seasons/.gitattributes").write_text("*.toml -merge\n*.svg binary\n", encoding="utf-8")
    (club / "players/.gitattributes").write_text("* -diff\n", encoding="utf-8")
    setup(club)
    outcome = invoke("--folder", club, "git-setup")
    assert (outcome.status, outcome.err) == (0, "all of it was set up already\n")


def test_attributes_that_are_a_link_are_refused(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path / "club").root
    (tmp_path / "elsewhere").write_text("mine\n", encoding="utf-8")
    (club / ".gitattributes").symlink_to(tmp_path / "elsewhere")
    outcome = invoke("--folder", club, "git-setup")
    assert outcome.status == 1
    assert ".gitattributes is a link" in outcome.err
    assert (tmp_path / "elsewhere").read_text(encoding="utf-8") == "mine\n"


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("merge.riesbuch.driver", "`merge.riesbuch.driver` is set otherwise"),
        ("diff.riesbuch.textconv", "`diff.riesbuch.textconv` is set otherwise"),
        ("diff.riesbuch.command", "`diff.riesbuch.command` there shows differences"),
        ("diff.external", "`diff.external` there shows differences"),
    ],
)
def test_settings_that_undo_it_are_named(key: str, said: str, tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    setup(club)
    git(club, "config", "--file", ".git/more", key, "true")
    git(club, "config", "include.path", "more")
    outcome = invoke("--folder", club, "git-setup")
    assert (outcome.status, outcome.out) == (1, "")
    assert ".git/more undoes it: " in outcome.err
    assert said in outcome.err
    assert "set up already" not in outcome.err


def test_no_hook_can_run(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    git(club, "config", "core.hooksPath", os.devnull)
    for _ in range(2):
        outcome = invoke("--folder", club, "git-setup")
        assert outcome.status == 1
        assert f"no hook can be in {os.devnull}, since `core.hooksPath` in " in outcome.err
    assert "took merge.riesbuch.name" in setup(club, "--undo")


def test_hooks_in_the_working_tree_are_named(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path / "club").root
    git(club, "config", "core.hooksPath", ".hooks")
    outcome = invoke("--folder", club, "git-setup")
    assert outcome.status == 0
    assert "whoever changes that folder in a commit changes the hooks" in outcome.err


def test_lines_above_our_block_in_a_hook_are_named(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    setup(club)
    hook = tmp_path / HOOK
    text = hook.read_text(encoding="utf-8")
    hook.write_text(text.replace("#!/bin/sh\n", "#!/bin/sh\n# mine\nexit 0\n"), encoding="utf-8")
    outcome = invoke("--folder", club, "git-setup")
    assert outcome.status == 1
    assert "the hook pre-commit undoes it: lines above our block" in outcome.err


def test_no_repository_and_no_git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    club = lay_out(tmp_path / "club").root
    outcome = invoke("--folder", club, "git-setup")
    assert (outcome.status, outcome.out) == (1, "")
    assert "`git init`" in outcome.err
    monkeypatch.setenv("PATH", str(tmp_path))
    outcome = invoke("--folder", club, "git-setup")
    assert (outcome.status, outcome.out) == (1, "")
    assert "git is not installed" in outcome.err
    assert not (club / ".gitattributes").exists()


def test_a_tool_that_is_gone_is_said(club: Path) -> None:
    top = Path(git(club, "rev-parse", "--show-toplevel").strip())
    hook = top / HOOK
    text = hook.read_text(encoding="utf-8")
    hook.write_text(text.replace(shlex.quote(sys.executable), "/nowhere/python"), encoding="utf-8")
    edit(club, FIRST, ("[18, 20]", "[18, 2]"))
    done = try_git(club, "commit", "--all", "--message", "Unchecked")
    assert done.status == 1
    assert "riesbuch is not where it was" in done.err
    assert "brought our block in the hook pre-commit up to date" in setup(club)
    assert try_git(club, "commit", "--all", "--message", "Checked").status == 0


# The check before a commit


def test_an_error_is_not_committed(club: Path) -> None:
    edit(club, FIRST, ("[18, 20]", "[18, 61]"))
    assert try_git(club, "commit", "--message", "Nothing staged").status == 1
    done = try_git(club, "commit", "--all", "--message", "Wrong")
    assert done.status == 1
    assert f"{FIRST}:9:23: error: " in done.err
    assert "(strike-too-high)" in done.err
    assert "nothing is committed" in done.err
    assert git(club, "log", "--format=%s", "--max-count=1") == "Set up\n"
    edit(club, FIRST, ("[18, 61]", "[18, 16]"))
    assert try_git(club, "commit", "--all", "--message", "Right").status == 0


def test_the_staged_content_counts_not_the_working_tree(club: Path) -> None:
    edit(club, FIRST, ("[18, 20]", "[18, 61]"))
    git(club, "add", FIRST)
    edit(club, FIRST, ("[18, 61]", "[18, 16]"))
    assert try_git(club, "commit", "--message", "Wrong inside").status == 1
    git(club, "add", FIRST)
    edit(club, FIRST, ("[18, 16]", "[18, 61]"))
    assert try_git(club, "commit", "--message", "Right inside").status == 0
    # What was staged of it alone, as `git add -p` does.
    git(club, "checkout", "--quiet", FIRST)
    edit(club, FIRST, ("[14, 9]", "[14, 10]"))
    git(club, "add", FIRST)
    edit(club, FIRST, ("[8, 13]", "[8, 99]"))
    assert try_git(club, "commit", "--message", "A part").status == 0
    assert try_git(club, "commit", "--message", "A path", FIRST).status == 1


def test_files_that_are_not_in_the_commit(club: Path) -> None:
    """An untracked player's file does not help a sheet that needs it."""
    edit(club, FIRST, ("sahli-rosa", "sahli-vreni"))
    (club / "players/sahli-vreni.yaml").write_text("name: Vreni Sahli\n", encoding="utf-8")
    done = try_git(club, "commit", "--all", "--message", "Without her")
    assert done.status == 1
    assert "(unknown-player)" in done.err
    git(club, "add", "--all")
    assert try_git(club, "commit", "--message", "With her").status == 0


def test_errors_elsewhere_hinder_only_whoever_brings_them(club: Path) -> None:
    edit(club, SECOND, ("nummern: 1", "nummern: many"))
    git(club, "add", "--all")
    assert try_git(club, "commit", "--no-verify", "--message", "An old sin").status == 0
    edit(club, FIRST, ("[18, 20]", "[18, 16]"))
    done = try_git(club, "commit", "--all", "--message", "Another sheet")
    assert done.status == 0
    assert "1 error besides, in files that this commit leaves alone" in done.err
    git(club, "rm", "--quiet", "players/sahli-rosa.yaml")
    done = try_git(club, "commit", "--message", "Who was she")
    assert done.status == 1
    assert f"{FIRST}:15:5: error: " in done.err
    assert "(unknown-player)" in done.err
    assert f"{SECOND}:" not in done.err


@pytest.mark.parametrize(
    ("path", "old", "new", "code"),
    [
        (RULES, "team_size = 2", "team_size = 1", "too-many-strikes"),
        (SEASON, '"aarwald-b", "birkenfluh-a"', '"aarwald-b"', "team-not-in-competition"),
        (LENA, "name: ", "nmae: ", "unknown-key"),
        ("league.toml", "name = ", "name = [", "toml-syntax"),
    ],
)
def test_other_files_are_checked_too(club: Path, path: str, old: str, new: str, code: str) -> None:
    edit(club, path, (old, new))
    done = try_git(club, "commit", "--all", "--message", "Wrong")
    assert done.status == 1
    assert f"({code})" in done.err


def test_removed_and_renamed_sheets(club: Path) -> None:
    git(club, "rm", "--quiet", SECOND)
    assert try_git(club, "commit", "--message", "Removed").status == 0
    git(club, "mv", FIRST, FIRST.replace("-a.yaml", "-Ä.yaml"))
    done = try_git(club, "commit", "--message", "Renamed badly")
    assert done.status == 1
    assert "(bad-file-name)" in done.err
    git(club, "mv", FIRST.replace("-a.yaml", "-Ä.yaml"), FIRST.replace("-a.yaml", "-again.yaml"))
    assert try_git(club, "commit", "--message", "Renamed well").status == 0


def test_the_first_commit(tmp_path: Path) -> None:
    begin(tmp_path)
    club = lay_out(tmp_path).root
    setup(club)
    edit(club, FIRST, ("[18, 20]", "[18, 61]"))
    git(club, "add", "--all")
    assert try_git(club, "commit", "--message", "First").status == 1
    # A file that is only meant to be added is not in the commit.
    git(club, "rm", "--quiet", "--cached", FIRST)
    git(club, "add", "--intent-to-add", FIRST)
    done = try_git(club, "commit", "--message", "First")
    assert done.status == 0, done.err


def test_a_commit_beside_the_club_folder(club: Path) -> None:
    (club / "minutes.txt").write_text("All were there.\n", encoding="utf-8")
    edit(club, SECOND, ("nummern: 1", "nummern: many"))
    git(club, "add", "minutes.txt")
    done = try_git(club, "commit", "--message", "Minutes")
    assert (done.status, done.err) == (0, "")


def test_drafts_and_warnings_are_named_and_committed(club: Path) -> None:
    edit(club, FIRST, ("[18, 20]", "[18, _]"))
    done = try_git(club, "commit", "--all", "--message", "A draft")
    assert done.status == 0
    assert f"{FIRST}:9:23: draft: " in done.err


# The merge


@pytest.fixture
def branches(club: Path) -> Path:
    git(club, "branch", "captain")
    return club


def on_both(club: Path, ours: list[tuple[str, str]], theirs: list[tuple[str, str]]) -> None:
    """Commit edits of the first sheet on two branches."""
    for branch, edits in (("captain", theirs), ("main", ours)):
        git(club, "checkout", "--quiet", branch)
        edit(club, FIRST, *edits)
        done = try_git(club, "commit", "--all", "--quiet", "--no-verify", "--message", branch)
        assert done.status == 0, done.err


def test_neighbouring_cells_merge(branches: Path) -> None:
    on_both(
        branches,
        [("[18, 20]", "[17, 20]"), ("16N", "15N")],
        [
            ("[18, 20]", "[18, 21]"),
            ("team: birkenfluh-a", "team: birkenfluh-a\n  captain: sahli-rosa"),
        ],
    )
    done = try_git(branches, "merge", "--no-edit", "captain")
    assert done.status == 0, done.out
    assert (branches / FIRST).read_text(encoding="utf-8") == (
        FIRST_SHEET.replace("[18, 20]", "[17, 21]")
        .replace("16N", "15N")
        .replace("team: birkenfluh-a", "team: birkenfluh-a\n  captain: sahli-rosa")
    )


@pytest.mark.parametrize(
    ("labels", "said"),
    [
        (("%S", "%X", "%Y"), ("ours", "theirs")),
        (("", "", ""), ("ours", "theirs")),
        (("abc", "main", "captain"), ("main", "captain")),
    ],
)
def test_an_older_git_gives_no_names_of_the_sides(
    labels: tuple[str, str, str],
    said: tuple[str, str],
    club: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(club)
    files = []
    for name, points in (("base", "18"), ("one", "17"), ("other", "16")):
        files.append(club / f".merge-{name}")
        files[-1].write_text(FIRST_SHEET.replace("[18, 20]", f"[{points}, 20]"), encoding="utf-8")
    assert invoke("for-git", "merge", *files, "7", *labels).status == 3
    text = files[1].read_text(encoding="utf-8")
    assert f"\n<<<<<<< {said[0]}\n" in text
    assert f"\n>>>>>>> {said[1]}\n" in text


def test_both_sides_of_a_conflict_are_shown_added_up(club: Path) -> None:
    row = "    bigler-jonas: [[15, 0], [16N, 14]]\n"
    one, other = row.replace("14", "13"), row.replace("14", "12")
    sides = f"<<<<<<< ours\n{one}=======\n{other}>>>>>>> theirs\n"
    (club / FIRST).write_text(FIRST_SHEET.replace(row, sides), encoding="utf-8")
    lines = invoke("for-git", "show", club / FIRST).out.splitlines()
    began, parted, ended = (
        next(n for n, line in enumerate(lines) if line == sign)
        for sign in ("<<<<<<< ours", "=======", ">>>>>>> theirs")
    )
    assert began < parted < ended
    assert "13" in lines[began + 1]
    assert "12" in lines[parted + 1]
    assert not any(line.startswith("home.strikes.bigler") for line in lines[:began])


@pytest.mark.parametrize("how", ["merge", "rebase", "cherry-pick"])
def test_a_conflict_and_its_end(branches: Path, how: str) -> None:
    on_both(
        branches, [("[18, 20]", "[17, 20]")], [("[18, 20]", "[16, 20]"), ("[14, 9]", "[13, 9]")]
    )
    done = try_git(branches, how, "captain")
    assert done.status == 1
    assert "CONFLICT" in done.out
    text = (branches / FIRST).read_text(encoding="utf-8")
    assert text.count("<<<<<<< ") == text.count("\n=======\n") == text.count(">>>>>>> ") == 1
    ours, theirs = (16, 17) if how == "rebase" else (17, 16)
    words = f"# aebi-ruedi (home side), first inning, first strike: {ours} in "
    assert words in text
    assert f", {theirs} in " in text
    assert "[13, 9]" in text
    # Nobody commits the markers by accident.
    git(branches, "add", "--all")
    if how == "merge":
        done = try_git(branches, "commit", "--no-edit")
        assert done.status == 1
        assert "(merge-conflict)" in done.err
    before, _, rest = text.partition("<<<<<<< ")
    kept, _, behind = rest.partition("=======\n")
    row = kept.split("\n", 3)[3]
    text = before + row + behind.partition(">>>>>>> ")[2].partition("\n")[2]
    assert text == FIRST_SHEET.replace("[18, 20]", f"[{ours}, 20]").replace("[14, 9]", "[13, 9]")
    (branches / FIRST).write_text(text, encoding="utf-8")
    git(branches, "add", "--all")
    if how == "merge":
        assert try_git(branches, "commit", "--no-edit").status == 0


def test_a_clean_merge_that_is_wrong_is_stopped(branches: Path) -> None:
    """Each side is right by itself; together the sheet has a player twice."""
    on_both(branches, [("aebi-ruedi: [[", "zaugg-lena: [[")], [("sahli-rosa", "zaugg-lena")])
    done = try_git(branches, "merge", "--no-edit", "captain")
    assert done.status != 0
    assert "(player-on-both-sides)" in done.err


def test_a_merge_without_the_tool_leaves_both_versions(branches: Path) -> None:
    """Nobody can show then that what git makes of the lines is right."""
    ours, theirs = ("[18, 20]", "[17, 20]"), ("[12, 16]", "[12, 15]")
    on_both(branches, [ours], [theirs])
    driver = git(branches, "config", "merge.riesbuch.driver")
    driver = driver.replace(shlex.quote(sys.executable), "/no/python")
    git(branches, "config", "merge.riesbuch.driver", driver.strip())
    done = try_git(branches, "merge", "--no-edit", "captain")
    assert done.status == 1
    text = (branches / FIRST).read_text(encoding="utf-8")
    versions = FIRST_SHEET.replace(*ours), FIRST_SHEET.replace(*theirs)
    assert conflict_sides(text) == versions


def test_a_merge_that_nothing_proves_leaves_both_versions(branches: Path) -> None:
    on_both(
        branches,
        [("[18, 20]", "[17, 20]"), ("round: 1", "raund: 1")],
        [("[12, 16]", "[12, 15]"), ("round: 1", "raund: 1")],
    )
    done = try_git(branches, "merge", "--no-edit", "captain")
    assert done.status == 1
    assert "both versions stand in it as one conflict" in done.err
    text = (branches / FIRST).read_text(encoding="utf-8")
    assert text.count("<<<<<<<") == 1
    ours, theirs = conflict_sides(text) or ("", "")
    assert ("[17, 20]" in ours, "[12, 15]" in ours) == (True, False)
    assert ("[17, 20]" in theirs, "[12, 15]" in theirs) == (False, True)


def test_conflicts_show_the_origin_to_whoever_asks(branches: Path) -> None:
    git(branches, "config", "merge.conflictStyle", "diff3")
    on_both(branches, [("[18, 20]", "[17, 20]")], [("[18, 20]", "[16, 20]")])
    assert try_git(branches, "merge", "captain").status == 1
    text = (branches / FIRST).read_text(encoding="utf-8")
    assert "\n|||||||" in text
    assert "aebi-ruedi: [[18, 20]" in text


# The diff


def test_the_diff_shows_the_sheet_added_up(club: Path) -> None:
    edit(
        club, FIRST, ("[18, 20]", "[18, 2]"), ("round: 1\n", "round: 1\nnotes: late start  # so\n")
    )
    lines = git(club, "diff").splitlines()
    assert "-aebi-ruedi                  18   20    17   19       74" in lines
    assert "+aebi-ruedi                  18    2    17   19       56" in lines
    assert "-Ries totals                 33   20    33   33      119" in lines
    assert "+notes: late start" in lines
    assert "+# so" in lines
    # Blanks are nothing to show, and what cannot be read is shown as it stands.
    git(club, "checkout", "--quiet", FIRST)
    edit(club, FIRST, ("[18, 20]", "[ 18, 20 ]"))
    assert "@@" not in git(club, "diff")
    edit(club, FIRST, ("[ 18, 20 ]", "[18, 20"))
    assert "+    aebi-ruedi: [[18, 20, [17, 19]]" in git(club, "diff").splitlines()


def test_the_diff_follows_the_rules_of_the_folder(club: Path) -> None:
    edit(club, RULES, ("team_size = 2", "team_size = 2\nrank_points = {win = 7, clean = 0}"))
    edit(club, FIRST, ("[18, 20]", "[18, 2]"))
    assert "rank points 7 to 0" in git(club, "diff", "-U99", FIRST)
    shutil.rmtree(club / "rules")
    assert "rank points 4 to 0" in git(club, "diff", "-U99", FIRST)


def test_the_diff_of_a_conflict(branches: Path) -> None:
    on_both(branches, [("[18, 20]", "[17, 20]")], [("[18, 20]", "[16, 20]")])
    assert try_git(branches, "merge", "captain").status == 1
    lines = git(branches, "diff").splitlines()
    assert "  Nummern conceded             0" in lines
    assert " +aebi-ruedi                  17   20    17   19       73" in lines
    assert "+ aebi-ruedi                  16   20    17   19       72" in lines


def test_the_log_shows_old_sheets_and_drafts(club: Path) -> None:
    (club / SECOND).write_text(SECOND_SHEET.replace("[24,", "[25,"), encoding="utf-8")
    edit(club, FIRST, ("[18, 20]", "[18, _]"))
    commit(club)
    shown = git(club, "log", "--patch", "--max-count=1")
    assert "+A draft: strikes are still to be entered." in shown
    assert "+Ries totals                25   21   22   20" in shown
