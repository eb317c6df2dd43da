"""Git repositories laid out for one test, by real git."""

import os
import subprocess
from pathlib import Path

ENVIRONMENT = {
    "GIT_CONFIG_GLOBAL": os.devnull,
    "GIT_CONFIG_SYSTEM": os.devnull,
    "GIT_AUTHOR_NAME": "Vreni Oesch",
    "GIT_AUTHOR_EMAIL": "vreni@oberhang.invalid",
    "GIT_COMMITTER_NAME": "Vreni Oesch",
    "GIT_COMMITTER_EMAIL": "vreni@oberhang.invalid",
    "GIT_AUTHOR_DATE": "2026-05-11T12:00:00Z",
    "GIT_COMMITTER_DATE": "2026-05-11T12:00:00Z",
    "GIT_ALLOW_PROTOCOL": "file",
}


def git(where: Path, *arguments: str) -> str:
    """What git writes to its standard output; a failure fails the test."""
    done = subprocess.run(
        ["git", *arguments],
        cwd=where,
        env={**os.environ, **ENVIRONMENT},
        capture_output=True,
        check=False,
        encoding="utf-8",
    )
    assert done.returncode == 0, f"git {' '.join(arguments)}: {done.stderr}"
    return done.stdout


def begin(where: Path) -> None:
    """A new repository on the branch ``main``, without a commit."""
    where.mkdir(parents=True, exist_ok=True)
    git(where, "init", "--quiet", "--initial-branch=main")


def commit(where: Path, message: str = "Weekend") -> str:
    """Commit everything in the working tree; the commit's id."""
    git(where, "add", "--all")
    git(where, "commit", "--quiet", "--allow-empty", "--message", message)
    return git(where, "rev-parse", "HEAD").strip()
