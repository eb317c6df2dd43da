"""The one place that runs git, against real repositories."""

import os
from pathlib import Path

import pytest

from riesbuch.review.git import FileChange, Repository
from riesbuch.review.git_process import warnings
from riesbuch.review.working_tree import seen_files
from riesbuch.trade.problems import RiesbuchError, UsageError
from tests.gitfolder import begin, commit, git


def write(path: Path, content: str | bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)


def pairs(changes: list[FileChange]) -> list[tuple[str | None, str | None]]:
    return [(each.before, each.after) for each in changes]


LONG = "".join(f"line {number}\n" for number in range(20))


@pytest.fixture
def club(tmp_path: Path) -> Path:
    root = tmp_path / "the club"
    begin(root)
    write(root / "league.toml", 'name = "Oberhang League"\n')
    write(root / "seasons/2026/matches/eins.yaml", LONG)
    commit(root)
    return root


def test_the_top_folder_of_a_repository(club: Path) -> None:
    repository = Repository.containing(club)
    assert (repository.prefix, repository.top) == ("", club.resolve())
    assert repository.has_commits()
    assert not repository.is_shallow()


def test_what_git_saw_counts_of_files_older_than_its_index(tmp_path: Path) -> None:
    begin(tmp_path)
    for path in ("club/old.txt", "club/young.txt", "elsewhere.txt"):
        write(tmp_path / path, "one\n")
    for path in ("club/old.txt", "elsewhere.txt"):
        os.utime(tmp_path / path, (1_700_000_000, 1_700_000_000))
    commit(tmp_path)
    written = (tmp_path / "club/young.txt").stat().st_mtime_ns
    os.utime(tmp_path / ".git/index", ns=(written, written))
    found = seen_files(tmp_path / ".git", "club/")
    assert found.keys() == {"old.txt"}
    assert found["old.txt"].is_as((tmp_path / "club/old.txt").lstat())
    assert found["old.txt"].blob == git(tmp_path, "rev-parse", "HEAD:club/old.txt").strip()


def test_a_folder_within_a_repository_sees_only_itself(tmp_path: Path) -> None:
    begin(tmp_path / "all")
    folder = tmp_path / "all" / "Vereine und so" / "Bärgdorf"
    write(folder / "league.toml", "one\n")
    write(tmp_path / "all/elsewhere.txt", "one\n")
    base = commit(tmp_path / "all")
    write(folder / "league.toml", "two\n")
    write(folder / "players/näu wi öppis.yaml", "three\n")
    write(tmp_path / "all/elsewhere.txt", "two\n")
    write(tmp_path / "all/new.txt", "three\n")
    repository = Repository.containing(folder)
    assert repository.prefix == "Vereine und so/Bärgdorf/"
    assert repository.top == (tmp_path / "all").resolve()
    expected = [("league.toml", "league.toml"), (None, "players/näu wi öppis.yaml")]
    assert pairs(repository.changes(base, None)) == expected
    head = commit(tmp_path / "all")
    assert pairs(repository.changes(base, head)) == expected
    named = f"{base}:{repository.prefix}league.toml"
    assert repository.blobs([named]) == {named: b"one\n"}


def test_a_folder_in_no_repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    with pytest.raises(RiesbuchError, match="is in no git repository"):
        Repository.containing(tmp_path)


def test_the_inside_of_git_is_no_working_tree(club: Path) -> None:
    with pytest.raises(RiesbuchError, match="not in the working tree"):
        Repository.containing(club / ".git")


def test_git_is_missing(club: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(RiesbuchError, match="git is not installed"):
        Repository.containing(club)


def test_a_folder_that_is_gone(tmp_path: Path) -> None:
    with pytest.raises(RiesbuchError, match="there is no folder"):
        Repository.containing(tmp_path / "nowhere")


def test_failures_are_gits_own_sentence(club: Path) -> None:
    with pytest.raises(RiesbuchError, match=r"^git: .*no-such-command"):
        Repository.containing(club).run("no-such-command")


def test_revisions(club: Path) -> None:
    repository = Repository.containing(club)
    head = git(club, "rev-parse", "HEAD").strip()
    git(club, "tag", "--annotate", "--message", "first", "spring")
    for name in ("HEAD", "main", head, head[:8], "spring"):
        assert repository.revision(name) == head


@pytest.mark.parametrize(
    "name", ["nowhere", "", "HEAD~1", "--all", "-h", "--git-dir", "HEAD:", "é"]
)
def test_a_name_that_names_no_revision(club: Path, name: str) -> None:
    with pytest.raises(UsageError, match="there is no revision `"):
        Repository.containing(club).revision(name)


def test_a_name_that_may_mean_two_commits(club: Path) -> None:
    first = git(club, "rev-parse", "HEAD").strip()
    second = commit(club, "Second")
    repository = Repository.containing(club)
    git(club, "tag", "main", first)
    git(club, "branch", first[:7], second)
    git(club, "update-ref", "refs/remotes/origin/main", second)
    git(club, "tag", "origin/main", first)
    git(club, "update-ref", "FETCH_HEAD", first)
    git(club, "branch", "FETCH_HEAD", second)
    git(club, "update-ref", "refs/heads/heads/main", first)
    for name, also in (
        ("main", "`refs/tags/main` or `refs/heads/main`"),
        ("main~0", "`refs/tags/main` or `refs/heads/main`"),
        ("main^{tree}", "`refs/tags/main` or `refs/heads/main`"),
        ("origin/main", "`refs/tags/origin/main` or `refs/remotes/origin/main`"),
        ("heads/main", "`refs/heads/main` or `refs/heads/heads/main`"),
        (first[:7], f"`refs/heads/{first[:7]}` or an id that begins so"),
        ("FETCH_HEAD", "`FETCH_HEAD` or `refs/heads/FETCH_HEAD`"),
    ):
        with pytest.raises(UsageError) as caught:
            repository.revision(name)
        assert str(caught.value).startswith(f"`{name}` may mean {also}; give the full name")
    assert repository.revision("refs/heads/main") == second
    assert repository.revision("refs/remotes/origin/main~1") == first


def test_names_that_git_reads_in_one_way_only(club: Path) -> None:
    first = git(club, "rev-parse", "HEAD").strip()
    second = commit(club, "Second")
    git(club, "branch", "decade", first)
    # Whoever may push a branch or a tag must not make these mean another commit.
    git(club, "tag", "refs/heads/nowhere", first)
    git(club, "update-ref", "refs/heads/refs/heads/main", first)
    git(club, "update-ref", "refs/tags/HEAD", first)
    git(club, "update-ref", f"refs/heads/{second}", first)
    told: list[str] = []
    repository = Repository.containing(club, told.append)
    assert repository.revision("decade") == first
    assert repository.revision("refs/heads/main") == second
    for name in ("HEAD", "@", second):
        assert repository.revision(name) == second
    with pytest.raises(UsageError, match="there is no revision `refs/heads/nowhere`"):
        repository.revision("refs/heads/nowhere")
    # Git itself warns of the names all the same.
    assert "git: warning: refname 'HEAD' is ambiguous." in told
    assert len(set(told)) == len(told)


def test_what_git_warns_of_has_no_control_characters(club: Path) -> None:
    said = "warning: a\x1b[2J\x9bb\u202e  c\nhint: no\nwarning: d\r\n".encode()
    assert warnings(said) == ["warning: a\\x1b[2J\\x9bb\\u202e c", "warning: d"]


def test_a_revision_whose_name_begins_with_a_dash(club: Path) -> None:
    head = git(club, "rev-parse", "HEAD").strip()
    git(club, "update-ref", "refs/heads/-x", head)
    assert Repository.containing(club).revision("-x") == head


def test_a_range_is_not_one_revision(club: Path) -> None:
    with pytest.raises(UsageError, match="give the two as"):
        Repository.containing(club).revision("main..main")


def test_a_name_with_a_character_that_no_name_has(club: Path) -> None:
    with pytest.raises(UsageError, match="there is no revision"):
        Repository.containing(club).revision("a\0b")


def test_no_commit_yet(tmp_path: Path) -> None:
    begin(tmp_path)
    write(tmp_path / "league.toml", "one\n")
    repository = Repository.containing(tmp_path)
    assert not repository.has_commits()
    with pytest.raises(UsageError, match="no commit yet"):
        repository.revision("HEAD")
    assert pairs(repository.changes(repository.empty_tree(), None)) == [(None, "league.toml")]


def test_a_shallow_clone_says_that_it_is_one(club: Path, tmp_path: Path) -> None:
    write(club / "league.toml", "two\n")
    commit(club)
    git(tmp_path, "clone", "--quiet", "--depth=1", club.as_uri(), "shallow")
    repository = Repository.containing(tmp_path / "shallow")
    assert repository.is_shallow()
    with pytest.raises(UsageError, match="fetch --unshallow"):
        repository.revision("HEAD~1")


def test_every_kind_of_change_between_two_revisions(club: Path) -> None:
    base = commit(club)
    write(club / "league.toml", "changed\n")
    (club / "seasons/2026/matches/eins.yaml").rename(club / "seasons/2026/matches/zwöi.yaml")
    write(club / "seasons/2026/matches/zwöi.yaml", LONG + "and one\n")
    write(club / "players/a.yaml", "new\n")
    head = commit(club)
    repository = Repository.containing(club)
    changes = repository.changes(base, head)
    assert pairs(changes) == [
        ("league.toml", "league.toml"),
        (None, "players/a.yaml"),
        ("seasons/2026/matches/eins.yaml", "seasons/2026/matches/zwöi.yaml"),
    ]
    assert pairs(repository.changes(head, base)) == [
        ("league.toml", "league.toml"),
        ("players/a.yaml", None),
        ("seasons/2026/matches/zwöi.yaml", "seasons/2026/matches/eins.yaml"),
    ]
    contents = repository.blobs(
        blob for each in changes for blob in (each.blob_before, each.blob_after) if blob
    )
    renamed = changes[2]
    assert contents[renamed.blob_before or ""] == LONG.encode()
    assert contents[renamed.blob_after or ""] == LONG.encode() + b"and one\n"


def test_changes_in_the_working_tree(club: Path) -> None:
    write(club / ".gitignore", "*.tmp\n")
    write(club / "old.yaml", "short\n")
    commit(club)
    (club / "seasons/2026/matches/eins.yaml").rename(club / "seasons/2026/matches/zwei.yaml")
    write(club / "seasons/2026/matches/zwei.yaml", LONG + "and one\n")
    write(club / "ignored.tmp", "x\n")
    write(club / "staged.yaml", "x\n")
    git(club, "add", "staged.yaml")
    write(club / "staged.yaml", "y\n")
    (club / "old.yaml").unlink()
    repository = Repository.containing(club)
    assert pairs(repository.changes("HEAD", None)) == [
        ("old.yaml", None),
        ("seasons/2026/matches/eins.yaml", "seasons/2026/matches/zwei.yaml"),
        (None, "staged.yaml"),
    ]
    assert repository.untracked() == ["seasons/2026/matches/zwei.yaml"]
    assert repository.untracked(ignored=["ignored.tmp", "seasons"]) == [
        "ignored.tmp",
        "seasons/2026/matches/zwei.yaml",
    ]


def test_a_file_that_git_was_told_to_forget_is_one_file(club: Path) -> None:
    git(club, "rm", "--quiet", "--cached", "league.toml")
    assert Repository.containing(club).changes("HEAD", None) == []
    write(club / "league.toml", "changed\n")
    changes = Repository.containing(club).changes("HEAD", None)
    assert pairs(changes) == [("league.toml", "league.toml")]
    changes = Repository.containing(club).changes("HEAD", None, renames=False)
    assert pairs(changes) == [("league.toml", "league.toml")]


def test_a_file_only_touched_is_not_changed(club: Path) -> None:
    (club / "league.toml").touch()
    index = (club / ".git/index").read_bytes()
    assert Repository.containing(club).changes("HEAD", None) == []
    assert (club / ".git/index").read_bytes() == index


def test_a_repository_within_the_folder_is_none_of_its_files(club: Path) -> None:
    begin(club / "other")
    write(club / "other/league.toml", "x\n")
    commit(club / "other")
    assert Repository.containing(club).changes("HEAD", None) == []
    git(club, "add", "--all")
    git(club, "commit", "--quiet", "-m", "with another")
    assert Repository.containing(club).changes("HEAD~1", "HEAD") == []


def test_while_a_merge_is_open_each_file_comes_once(club: Path) -> None:
    git(club, "checkout", "--quiet", "-b", "other")
    write(club / "league.toml", "theirs\n")
    commit(club)
    git(club, "checkout", "--quiet", "main")
    write(club / "league.toml", "ours\n")
    commit(club)
    with pytest.raises(AssertionError, match="git merge other"):
        git(club, "merge", "other")
    assert b"<<<<<<<" in (club / "league.toml").read_bytes()
    changes = Repository.containing(club).changes("HEAD", None)
    assert pairs(changes) == [("league.toml", "league.toml")]
    assert changes[0].blob_before is not None


def test_names_that_are_no_text(club: Path) -> None:
    raw = b"seasons/2026/matches/b\xe4rg.yaml"
    (club / raw.decode("utf-8", "surrogateescape")).write_bytes(b"x\n")
    name = raw.decode("utf-8", "surrogateescape")
    repository = Repository.containing(club)
    assert pairs(repository.changes("HEAD", None)) == [(None, name)]
    commit(club)
    assert pairs(repository.changes("HEAD~1", "HEAD")) == [(None, name)]


def test_names_that_look_like_patterns_options_or_lines(club: Path) -> None:
    names = ["*.yaml", "-rf", ":(top)x", "two\nlines", 'quo"te', "tab\t"]
    for name in names:
        write(club / "odd" / name, f"{name}\n")
    commit(club)
    changes = Repository.containing(club).changes("HEAD~1", "HEAD")
    assert [each.after for each in changes] == sorted(f"odd/{name}" for name in names)


def test_a_missing_object_is_said(club: Path) -> None:
    with pytest.raises(RiesbuchError, match=r"the object 1{40} is missing"):
        Repository.containing(club).blobs(["1" * 40])


def test_contents_may_be_anything(club: Path) -> None:
    contents = {"a": b"", "b": b"\n\n", "c": b"\0\xff blob 3\n", "d": b"x" * 100_000}
    for name, content in contents.items():
        write(club / name, content)
    commit(club)
    found = Repository.containing(club).blobs(f"HEAD:{name}" for name in contents)
    assert found == {f"HEAD:{name}": content for name, content in contents.items()}


def test_the_users_settings_do_not_enter(club: Path, tmp_path: Path) -> None:
    """Neither colours, nor other programs for differences, nor filters for display, nor hooks."""
    ran = tmp_path / "ran"
    script = tmp_path / "script"
    write(script, f"#!/bin/sh\necho ran >> '{ran}'\n")
    script.chmod(0o755)
    for setting, value in (
        ("color.ui", "always"), ("color.diff", "always"), ("diff.external", str(script)),
        ("diff.riesbuch.textconv", str(script)), ("diff.riesbuch.command", str(script)),
        ("core.fsmonitor", str(script)), ("core.pager", str(script)), ("diff.renames", "false"),
        ("diff.noprefix", "true"), ("diff.relative", "false"), ("core.abbrev", "5"),
        ("diff.ignoreSubmodules", "none"), ("status.renames", "false"),
    ):  # fmt: skip
        git(club, "config", setting, value)
    write(club / ".git/info/attributes", "*.yaml diff=riesbuch\n*.toml diff=riesbuch\n")
    (club / "seasons/2026/matches/eins.yaml").rename(club / "seasons/2026/matches/zwei.yaml")
    write(club / "league.toml", "changed\n")
    ran.unlink(missing_ok=True)
    repository = Repository.containing(club)
    expected = [
        ("league.toml", "league.toml"),
        ("seasons/2026/matches/eins.yaml", "seasons/2026/matches/zwei.yaml"),
    ]
    changes = repository.changes("HEAD", None)
    assert pairs(changes) == expected
    assert all(len(each.blob_before or "") == 40 for each in changes)
    assert not ran.exists()
    git(club, "config", "core.fsmonitor", "false")
    commit(club)
    assert pairs(repository.changes("HEAD~1", "HEAD")) == expected


def test_settings_are_read_as_they_are(club: Path) -> None:
    git(club, "config", "core.hooksPath", "my-hooks")
    assert Repository.containing(club).run("config", "core.hooksPath") == b"my-hooks\n"


def test_in_a_hook_git_says_where_its_index_is(club: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (club / "sub").mkdir()
    write(club / "sub/league.toml", "x\n")
    git(club, "add", "sub")
    monkeypatch.chdir(club)
    monkeypatch.setenv("GIT_INDEX_FILE", ".git/index")
    monkeypatch.setenv("GIT_DIR", ".git")
    found = Repository.calling(club)
    assert found is not None
    changes = found.of_folder(club / "sub").staged_changes()
    assert pairs(changes) == [(None, "league.toml")]
    assert changes[0].blob_after is not None
