"""Other folders' last commits, fetched into a repository of ours below `.riesbuch/`.

Nothing of theirs is run: a fetch brings objects alone, which are never laid out as files, and
the settings, hooks and attributes of their repositories stay there. What our own repository says
is believed only where this user's last command left it (`riesbuch.index.witness`); whoever opens
it says so.
"""

import os
import re
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from riesbuch.folder.club_folder import LEAGUE_FILE, READ_FOLDERS, ClubFolder
from riesbuch.review.finding import found_repository
from riesbuch.review.git import Repository
from riesbuch.review.git_process import SETTINGS, GitError, run_git
from riesbuch.review.working_tree import Entry
from riesbuch.text.league import Origin
from riesbuch.text.plain import refuse_links
from riesbuch.trade.problems import RiesbuchError

SECONDS = 600.0
"""So long a fetch may take."""

_SETTINGS = (
    *SETTINGS,
    "fetch.recurseSubmodules=false",
    "fetch.writeCommitGraph=false",
    "protocol.ext.allow=never",
    "http.lowSpeedLimit=100",
    "http.lowSpeedTime=60",
    "core.askPass=",
)
# By which way out of the house, and with which keys, is the user's own.
_OF_THE_USER = (
    "SSH_AUTH_SOCK", "SSL_CERT_FILE", "SSL_CERT_DIR", "http_proxy", "https_proxy", "HTTPS_PROXY",
    "all_proxy", "ALL_PROXY", "no_proxy", "NO_PROXY",
)  # fmt: skip
_VARIABLES = {
    "GIT_ALLOW_PROTOCOL": "file:git:http:https:ssh",
    "GIT_PROTOCOL_FROM_USER": "0",
    "SSH_ASKPASS_REQUIRE": "never",
}
_ELSEWHERE = re.compile(r"[A-Za-z0-9_+.-]+://|[^/\\]{2,}:")


class FetchedFolder(NamedTuple):
    """A folder's last commit: where it came from, its id, its day, and where in the repository
    the club folder is, ending in `/`, empty where it is the repository's own top folder."""

    url: str
    commit: str
    day: str
    prefix: str


class FetchedFolders:
    """Those that the club folder ``folder`` knows, in one repository called ``name``."""

    def __init__(self, folder: ClubFolder, name: str) -> None:
        self._root = folder.root
        self._place = folder.derived / name

    @property
    def git_dir(self) -> Path:
        return self._place

    def discard(self) -> None:
        """Take the repository away; nothing but time is lost."""
        refuse_links(self._place)
        shutil.rmtree(self._place, ignore_errors=True)

    @property
    def repository(self) -> Repository:
        return Repository(folder=self._place, top=self._place, git_dir=self._place)

    def fetch(self, key: str, origin: Origin) -> FetchedFolder:
        """Bring the last commit of the branch that the folder stands on. Raises RiesbuchError
        where that cannot be, and where there is no club folder in it."""
        url, prefix = self._address(origin.url)
        refuse_links(self._place)
        if not self._place.is_dir():
            self._place.mkdir(parents=True)
            self._run("init", "--quiet", "--bare", "--template=", ".")
        ref = f"refs/gathered/{key}"
        try:
            self._run(
                *("fetch", "--quiet", "--depth=1", "--no-tags", "--no-recurse-submodules"),
                *("--no-write-fetch-head", "--no-auto-maintenance", "--force"),
                *("--", url, f"HEAD:{ref}"),
            )
        except GitError as error:
            if "remote ref HEAD" in str(error):
                raise RiesbuchError(
                    "{url} has no commit yet; in that folder type `riesbuch finish`,"
                    " or `git add --all` and `git commit --message Start`",
                    url=origin.url,
                ) from None
            raise
        told = self._run("log", "-1", "--format=%H %cs", ref).decode("ascii").split()
        commit, day = told
        return FetchedFolder(origin.url, commit, day, self._prefix(commit, origin.url, prefix))

    def files(self, fetched: FetchedFolder) -> dict[str, Entry]:
        """All that stands there where files are read, by path within the club folder."""
        tree = f"{fetched.commit}:{fetched.prefix}".removesuffix("/")
        return self.repository.entries(tree, READ_FOLDERS)

    def _run(self, *arguments: str) -> bytes:
        mine = {name: os.environ[name] for name in _OF_THE_USER if name in os.environ}
        return run_git(
            arguments,
            where=self._place,
            settings=_SETTINGS,
            variables={"GIT_DIR": os.fspath(self._place), **mine, **_VARIABLES},
            seconds=SECONDS,
        ).stdout

    def _address(self, url: str) -> tuple[str, str | None]:
        """What git is to be given, and where the club folder lies in that repository, None where
        that is still to be found."""
        path = Path(os.path.expanduser(url))
        path = Path(os.path.abspath(self._root / path))
        if not path.exists():
            if _ELSEWHERE.match(url):
                return url, None
            raise RiesbuchError(
                "there is no folder {path}; mend its `url` in {league_file}",
                path=path,
                league_file=LEAGUE_FILE,
            )
        if (path / "HEAD").is_file() and (path / "objects").is_dir():
            return os.fspath(path), None
        found = found_repository(path) if path.is_dir() else None
        if found is None:
            raise RiesbuchError(
                "{path} is no git repository, and only what is committed is gathered; in that"
                " folder type `git init`, `git add --all` and `git commit --message Start`",
                path=path,
            )
        path, top = path.resolve(), found[0].resolve()
        below = path.relative_to(top).as_posix()
        return os.fspath(top), "" if below == "." else f"{below}/"

    def _prefix(self, commit: str, url: str, given: str | None) -> str:
        known = given or ""
        if self._run("ls-tree", "--name-only", commit, "--", f"{known}{LEAGUE_FILE}"):
            return known
        names = self._run("ls-tree", "-r", "-z", "--name-only", commit).split(b"\0")
        end = f"/{LEAGUE_FILE}".encode()
        found = [os.fsdecode(name[: 1 - len(end)]) for name in names if name.endswith(end)]
        if given is not None or not found:
            raise RiesbuchError(
                "there is no club folder in what is committed in {url}: it has no {league_file}",
                url=url,
                league_file=LEAGUE_FILE,
            )
        if len(found) > 1:
            raise RiesbuchError(
                "there are {count} club folders in {url}; clone it, and give the path of the one"
                " that is meant",
                url=url,
                count=len(found),
            )
        return found[0]


def by_key(origins: tuple[Origin, ...], *, league: bool) -> Mapping[str, Origin]:
    """What is gathered by what it is called: a club's folder by its club, the league's `league`."""
    return {
        "league" if origin.league else origin.club: origin
        for origin in origins
        if origin.league == league
    }
