"""A league and its clubs as folders beside each other, each a git repository, for one test."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.clubfolder import LEAGUE, MATCHES, Edit, Write, lay_out
from tests.commandline import Outcome, invoke
from tests.gitfolder import begin, commit

SETTINGS = 'name = "Oberhang League"\n'


def named(*clubs: str) -> str:
    """A league.toml that gathers from these clubs' folders."""
    return SETTINGS + "".join(f'\n[[from]]\nclub = "{club}"\nurl = "../{club}"\n' for club in clubs)


class Folders:
    """Those of the clubs and of the league below ``root``, all with the files of the small folder
    of `tests.clubfolder` at first; the league's has neither players nor sheets."""

    def __init__(self, root: Path, clubs: Sequence[str] = ("aarwald", "birkenfluh")) -> None:
        self.root = root
        self.league = root / "league"
        for club in clubs:
            begin(root / club)
            lay_out(root / club)
            commit(root / club)
        begin(self.league)
        lay_out(self.league, [Write(LEAGUE, named(*clubs))])
        for path in (*self.league.glob("players/*"), *self.league.glob(f"{MATCHES}/*")):
            path.unlink()
        (self.league / ".gitignore").write_text(".riesbuch/\n", encoding="utf-8")
        commit(self.league)

    def edit(self, club: str, *edits: Edit) -> None:
        """Make the edits in a club's folder, and commit them."""
        for edit in edits:
            edit.apply(self.root / club)
        commit(self.root / club)

    def gather(self, *arguments: str) -> Outcome:
        return invoke("--folder", self.league, "gather", *arguments)

    def data(self, *arguments: str) -> Any:
        outcome = self.gather(*arguments, "--format", "json")
        assert outcome.status == 0, outcome.err
        return outcome.data

    def todo(self) -> Any:
        return self.gather("--todo", "--format", "json").data

    def files(self, folder: Path | None = None) -> dict[str, bytes]:
        """All files of the league's folder, but git's and what is derived."""
        return files_of(folder or self.league)

    def read(self, path: str) -> str:
        return (self.league / path).read_text(encoding="utf-8")


def files_of(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not {".git", ".riesbuch"} & {*path.relative_to(folder).parts}
    }
