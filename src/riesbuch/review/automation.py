"""Which files of a repository steer git or the checks that run by themselves."""

import re

# Read by git itself: gitattributes(5), gitmodules(5), gitignore(5), gitmailmap(5); the last but
# one by its extension for large files, git-lfs-config(5).
_OF_GIT = frozenset(
    {".gitattributes", ".gitmodules", ".gitignore", ".mailmap", ".lfsconfig", ".gitconfig"}
)
# Folders that hooks are kept in, or that hosts and job runners read, each as its documentation
# names it.
_FOLDERS = frozenset(
    {
        ".git", "hooks", ".hooks", "githooks", ".githooks", "git-hooks", ".git-hooks", ".husky",
        ".github", ".gitlab", ".gitea", ".forgejo", ".gogs", ".woodpecker", ".circleci",
        ".buildkite", ".builds", ".semaphore", ".azure-pipelines", ".azuredevops", ".teamcity",
        ".tekton", ".pipelines", ".drone", ".ci",
    }
)  # fmt: skip
# Job files of the usual hosts and of programs that run hooks; who must agree to a change; and
# scripts, such as the job of the guide.
_FILE = re.compile(
    r"""\.gitlab-ci(\..*)?\.ya?ml | .*\.gitlab-ci\.ya?ml | \.woodpecker.* | \.travis\.ya?ml
    | \.drone\.(ya?ml|star|jsonnet) | \.build\.ya?ml | \.cirrus\.(ya?ml|star)
    | \.?appveyor\.ya?ml | \.?azure-pipelines.*\.ya?ml | bitbucket-pipelines\.ya?ml
    | jenkinsfile.* | .*\.jenkinsfile | buildspec\.ya?ml | cloudbuild\.(ya?ml|json)
    | codefresh\.ya?ml | wercker\.ya?ml
    | \.pre-commit-(config|hooks)\.ya?ml | \.?lefthook(-local)?\.(ya?ml|toml|json)
    | \.?overcommit\.ya?ml | (pre|post|commit|prepare|update|reference)-(commit|merge-commit|push
    |receive|checkout|merge|rewrite|rebase|update|msg|commit-msg|transaction|applypatch)
    | codeowners | owners | tox\.ini | noxfile\.py | (gnu)?makefile | justfile | taskfile\.ya?ml
    | .*\.(sh|bash|ps1|bat|cmd)""",
    re.VERBOSE,
)


def governs_checks(path: str) -> bool:
    """Whether the file at ``path``, relative to the repository's top folder with `/` between
    its parts, says what git does with files, or what is checked by itself before a change goes
    in: attributes, hooks, the jobs of a git host. Capitals are as good as small letters, since
    some file systems do not tell them apart."""
    *folders, name = path.casefold().split("/")
    return (
        name in _OF_GIT
        or any(each in _FOLDERS or each.startswith(".woodpecker") for each in folders)
        or _FILE.fullmatch(name) is not None
    )
