"""Nothing that a club folder, its repository or the environment names is run, and git is asked of
no other repository than the folder's own."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from riesbuch.review import git_process
from riesbuch.review.git import Repository
from riesbuch.trade.problems import RiesbuchError
from tests.clubfolder import FIRST, lay_out
from tests.commandline import invoke
from tests.gitfolder import begin, commit, git

HOOKS = (
    "pre-commit", "post-checkout", "post-index-change", "reference-transaction",
    "fsmonitor-watchman", "pre-auto-gc", "post-rewrite", "proc-receive", "post-merge",
    "pre-merge-commit",
)  # fmt: skip


@pytest.fixture
def top(tmp_path: Path) -> Path:
    """A repository whose folder ``club`` is a club folder, one strike of it changed since."""
    top = tmp_path / "top"
    begin(top)
    lay_out(top / "club")
    (top / "club/.gitignore").write_text(".riesbuch/\n", encoding="utf-8")
    commit(top)
    return top


@pytest.fixture
def script(tmp_path: Path) -> Iterator[Path]:
    """A program that leaves a mark, answers anything, and of a sheet says what it was before."""
    script = tmp_path / "script"
    before = tmp_path / "before.yaml"
    script.write_text(
        f"#!/bin/sh\necho \"$0 $*\" >> '{tmp_path}/ran'\ncat '{before}' 2>/dev/null\nexit 0\n",
        encoding="utf-8",
    )
    script.chmod(0o755)
    yield script
    ran = tmp_path / "ran"
    assert not ran.exists(), ran.read_text(encoding="utf-8")


def change(top: Path) -> None:
    sheet = top / "club" / FIRST
    shutil.copy(sheet, top.parent / "before.yaml")
    text = sheet.read_text(encoding="utf-8")
    # As long as before, and of the same second: only its bytes tell.
    stat = sheet.stat()
    sheet.write_text(text.replace("[18, 20]", "[18, 10]"), encoding="utf-8")
    os.utime(sheet, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def settings(script: Path) -> dict[str, str]:
    program = str(script)
    return {
        "filter.f.clean": program, "filter.f.smudge": program, "filter.f.process": program,
        "filter.f.required": "true", "diff.external": program, "diff.d.command": program,
        "diff.d.textconv": program, "diff.d.cachetextconv": "true", "merge.m.driver": program,
        "merge.default": "m", "core.fsmonitor": program, "core.pager": program,
        "pager.diff": program, "pager.log": program, "core.editor": program,
        "sequence.editor": program, "core.askPass": program, "core.sshCommand": program,
        "core.gitProxy": program, "core.alternateRefsCommand": program,
        "credential.helper": program, "gpg.program": program, "gpg.ssh.program": program,
        "log.showSignature": "true", "core.hooksPath": str(script.parent / "hooks"),
        "interactive.diffFilter": program, "uploadpack.packObjectsHook": program,
        "trailer.x.command": program, "core.attributesFile": str(script.parent / "attributes"),
        "alias.diff": f"!{program}", "alias.ls-tree": f"!{program}", "core.untrackedCache": "true",
        "alias.rev-parse": f"!{program}", "submodule.recurse": "true", "diff.submodule": "diff",
    }  # fmt: skip


ATTRIBUTES = "* filter=f diff=d merge=m ident\n"


def hooks(folder: Path, script: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name in HOOKS:
        shutil.copy(script, folder / name)


def the_change_is_seen(top: Path) -> None:
    outcome = invoke("--folder", top / "club", "review")
    assert outcome.status == 0, outcome.err
    assert "20 to 10" in outcome.out
    outcome = invoke("--folder", top / "club", "review", "--format", "json", "HEAD")
    assert [each["change"] for each in outcome.data["sheets"]] == ["changed"]


def test_a_folder_that_looks_like_a_bare_repository(top: Path, script: Path) -> None:
    """Git by itself would take it for one: its settings came with the folder."""
    club = top / "club"
    (club / "objects/info").mkdir(parents=True)
    (club / "refs/heads").mkdir(parents=True)
    for path in ("objects/info/keep", "refs/heads/keep"):
        (club / path).touch()
    (club / "HEAD").write_text("ref: refs/heads/main\n", encoding="utf-8")
    (club / "config").write_text(
        "[core]\n\trepositoryformatversion = 0\n\tbare = false\n\tworktree = .\n", encoding="utf-8"
    )
    for key, value in settings(script).items():
        git(club, "config", "--file", "config", key, value)
    hooks(club / "hooks", script)
    (club / ".gitattributes").write_text(ATTRIBUTES, encoding="utf-8")
    git(top, "add", "--all", "--force")
    commit(top)
    change(top)
    assert Repository.containing(club).git_dir == (top / ".git").resolve()
    the_change_is_seen(top)
    assert invoke("--folder", club, "check").status == 0


def test_settings_of_the_repository(top: Path, script: Path) -> None:
    (top / "club/.gitattributes").write_text(ATTRIBUTES, encoding="utf-8")
    (top / ".gitattributes").write_text(ATTRIBUTES, encoding="utf-8")
    (top / ".gitmodules").write_text(
        '[submodule "club/x"]\n\tpath = club/x\n\turl = ext::sh\n\tupdate = !sh\n', encoding="utf-8"
    )
    (top / ".lfsconfig").write_text(f"[lfs]\n\turl = {script}\n", encoding="utf-8")
    commit(top)
    change(top)
    for key, value in settings(script).items():
        git(top, "config", key, value)
    (top / ".git/info/attributes").write_text(ATTRIBUTES, encoding="utf-8")
    hooks(top / ".git/hooks", script)
    hooks(script.parent / "hooks", script)
    the_change_is_seen(top)


def test_settings_of_the_environment(
    top: Path, script: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (top / "club/.gitattributes").write_text(ATTRIBUTES, encoding="utf-8")
    commit(top)
    change(top)
    other = tmp_path / "other"
    begin(other)
    commit(other)
    programs = tmp_path / "programs"
    programs.mkdir()
    for name in ("git", "git-ls-tree", "git-diff-index", "git-cat-file"):
        shutil.copy(script, programs / name)
    given = settings(script)
    for number, (key, value) in enumerate(given.items()):
        monkeypatch.setenv(f"GIT_CONFIG_KEY_{number}", key)
        monkeypatch.setenv(f"GIT_CONFIG_VALUE_{number}", value)
    monkeypatch.setenv("GIT_CONFIG_COUNT", str(len(given)))
    monkeypatch.setenv("GIT_CONFIG_PARAMETERS", f"'core.fsmonitor={script}'")
    for name in (
        "GIT_EXTERNAL_DIFF", "GIT_PAGER", "PAGER", "GIT_EDITOR", "VISUAL", "EDITOR", "GIT_ASKPASS",
        "SSH_ASKPASS", "GIT_SSH", "GIT_SSH_COMMAND", "GIT_PROXY_COMMAND", "GIT_SEQUENCE_EDITOR",
    ):  # fmt: skip
        monkeypatch.setenv(name, str(script))
    monkeypatch.setenv("GIT_EXEC_PATH", str(programs))
    monkeypatch.setenv("GIT_TEMPLATE_DIR", str(programs))
    for name in ("GIT_TRACE", "GIT_TRACE2", "GIT_TRACE2_EVENT", "GIT_TRACE_SETUP"):
        monkeypatch.setenv(name, str(tmp_path / "ran"))
    monkeypatch.setenv("GIT_DIR", str(other / ".git"))
    monkeypatch.setenv("GIT_WORK_TREE", str(other))
    monkeypatch.setenv("GIT_COMMON_DIR", str(other / ".git"))
    monkeypatch.setenv("GIT_INDEX_FILE", str(other / ".git/index"))
    monkeypatch.setenv("GIT_OBJECT_DIRECTORY", str(other / ".git/objects"))
    monkeypatch.setenv("GIT_NAMESPACE", "elsewhere")
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(top))
    monkeypatch.setenv("GIT_REPLACE_REF_BASE", "refs/elsewhere/")
    the_change_is_seen(top)


def test_settings_of_the_user(
    top: Path, script: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (top / "club/.gitattributes").write_text(ATTRIBUTES, encoding="utf-8")
    commit(top)
    change(top)
    own = tmp_path / "own settings"
    for key, value in settings(script).items():
        git(tmp_path, "config", "--file", str(own), key, value)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", str(own))
    the_change_is_seen(top)


def test_a_program_called_git_in_the_folder(
    top: Path, script: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    change(top)
    for place in (top, top / "club"):
        shutil.copy(script, place / "git")
    monkeypatch.chdir(top / "club")
    for first in (".", "", "club", "../club"):
        monkeypatch.setenv("PATH", f"{first}{os.pathsep}{os.environ['PATH']}")
        the_change_is_seen(top)


def test_a_clone_that_leaves_contents_out_fetches_nothing(
    top: Path, script: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    git(top, "config", "uploadpack.allowFilter", "true")
    options = ("--quiet", "--no-checkout", "--filter=blob:none")
    git(tmp_path, "clone", *options, top.as_uri(), "partial")
    partial = tmp_path / "partial"
    (partial / "club").mkdir()
    blob = git(top, "rev-parse", f"HEAD:club/{FIRST}").strip()
    for url in ("ext::" + str(script), "ssh://nowhere.invalid/x", top.as_uri()):
        git(partial, "config", "remote.origin.url", url)
        git(partial, "config", "remote.origin.uploadpack", str(script))
        git(partial, "config", "core.sshCommand", str(script))
        monkeypatch.setenv("GIT_ALLOW_PROTOCOL", "ext:file:ssh")
        with pytest.raises(RiesbuchError, match="fetch --refetch --no-filter"):
            Repository.containing(partial / "club").blobs([blob])


def test_other_contents_in_place_of_a_commit(top: Path) -> None:
    """What `git replace` puts in place of an object is in no commit."""
    before = git(top, "rev-parse", f"HEAD:club/{FIRST}").strip()
    change(top)
    git(top, "replace", before, git(top, "hash-object", "-w", f"club/{FIRST}").strip())
    the_change_is_seen(top)


@pytest.mark.parametrize("flag", ["--assume-unchanged", "--skip-worktree"])
def test_a_file_that_git_was_told_not_to_look_at(top: Path, flag: str) -> None:
    change(top)
    git(top, "update-index", flag, f"club/{FIRST}")
    the_change_is_seen(top)


def test_lines_that_only_end_otherwise_are_no_change(top: Path) -> None:
    sheet = top / "club" / FIRST
    sheet.write_bytes(sheet.read_bytes().replace(b"\n", b"\r\n"))
    assert Repository.containing(top / "club").changes("HEAD", None) == []


def test_a_further_working_tree_and_a_submodule(top: Path, tmp_path: Path) -> None:
    git(top, "worktree", "add", "--quiet", "../tree", "-b", "second")
    change(tmp_path / "tree")
    the_change_is_seen(tmp_path / "tree")
    assert Repository.containing(top / "club").changes("HEAD", None) == []
    outer = tmp_path / "outer"
    begin(outer)
    git(outer, "submodule", "--quiet", "add", top.as_uri(), "inner")
    commit(outer)
    change(outer / "inner")
    the_change_is_seen(outer / "inner")


def test_a_repository_whose_files_lie_elsewhere(top: Path, tmp_path: Path) -> None:
    git(top, "config", "core.worktree", str(tmp_path))
    with pytest.raises(RiesbuchError, match=r"`core\.worktree`"):
        Repository.containing(top / "club")


def test_a_repository_of_somebody_else(top: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Git refuses it, and so do we."""
    monkeypatch.setattr(git_process, "_TAKEN_OVER", ("GIT_TEST_ASSUME_DIFFERENT_OWNER",))
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    outcome = invoke("--folder", top / "club", "review")
    assert (outcome.status, outcome.out) == (1, "")
    assert "belongs to somebody else" in outcome.err
    assert f"`git config --global --add safe.directory {top}`" in outcome.err


def test_a_git_file_that_names_nothing(tmp_path: Path) -> None:
    lay_out(tmp_path)
    (tmp_path / ".git").write_text("nothing\n", encoding="utf-8")
    with pytest.raises(RiesbuchError, match="does not say where"):
        Repository.containing(tmp_path)
    (tmp_path / ".git").write_text("gitdir: ../nowhere\n", encoding="utf-8")
    with pytest.raises(RiesbuchError, match=r"^git: not a git repository"):
        Repository.containing(tmp_path)


def test_a_link_in_place_of_a_folder_is_not_followed(top: Path, tmp_path: Path) -> None:
    """What is behind the link is none of the folder's files."""
    matches = (top / "club" / FIRST).parent
    shutil.move(matches, tmp_path / "elsewhere")
    matches.symlink_to(tmp_path / "elsewhere")
    changes = Repository.containing(top / "club").changes("HEAD", None, ignored=["seasons"])
    gone = [each.before for each in changes if each.after is None]
    assert FIRST in gone
    assert "seasons/2026/matches" in [each.after for each in changes]
