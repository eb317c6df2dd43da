"""Which files steer git or the checks that run by themselves."""

import pytest

from riesbuch.review.paths import governs_checks


@pytest.mark.parametrize(
    "path",
    [
        ".gitattributes", "seasons/2026/.gitattributes", "seasons/.GITATTRIBUTES", ".gitmodules",
        ".mailmap", ".lfsconfig", ".gitignore", "club/.github/workflows/check.yml",
        ".github/CODEOWNERS", "CODEOWNERS", ".gitlab-ci.yml", ".gitlab/ci/check.yml",
        "jobs/review.gitlab-ci.yml", ".forgejo/workflows/check.yaml", ".gitea/workflows/x.yml",
        ".woodpecker.yml", ".woodpecker/check.yaml", ".woodpecker.yaml", ".circleci/config.yml",
        ".travis.yml", ".drone.yml", ".build.yml", ".builds/debian.yml", "azure-pipelines.yml",
        "bitbucket-pipelines.yml", "Jenkinsfile", "Jenkinsfile.review", ".appveyor.yml",
        ".cirrus.yml", ".buildkite/pipeline.yml", ".pre-commit-config.yaml", "lefthook.yml",
        ".husky/pre-commit", "tools/hooks/pre-commit", ".githooks/pre-push", "pre-commit",
        "commit-msg", "prepare-commit-msg", "checks.sh", "Makefile", "tools/Checks.SH",
    ],
)  # fmt: skip
def test_a_file_that_steers_git_or_the_checks(path: str) -> None:
    assert governs_checks(path)


@pytest.mark.parametrize(
    "path",
    [
        "", "league.toml", "rules/2024.toml", "clubs/aarwald.yaml", "players/hooks-anna.yaml",
        "seasons/2026/matches/2026-06-07-ginsterwil-a-aarwald-a.yaml", "reports/index.md",
        ".gitkeep", "README.md", "notes/github.md", "notes/gitattributes", "clubs/github.yaml",
        "players/jenkins-file.yaml", "seasons/2026/season.toml", "photos/woodpecker.jpg",
        "players/owners-urs.yaml", "clubs/makefile.yaml", "hooks", "players/drone.yml",
    ],
)  # fmt: skip
def test_a_file_that_does_not(path: str) -> None:
    assert not governs_checks(path)
