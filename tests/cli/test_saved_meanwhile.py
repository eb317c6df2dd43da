"""What a person saves while a command writes stays, whatever the command was about to put there."""

import os
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.stopping import Stop, files_of, in_child, undisturbed
from tests.writing_commands import CASES, Case, club

pytestmark = pytest.mark.skipif(os.name != "posix", reason="commands run in forked children")

SAVED = b"\n# saved at the last moment\n"
AT_ONCE = ("roster remove", "git-setup --undo")
"""They take away a file as soon as they have read it, and open none to write before."""

_OF_GIT = ("club/.git/config", "club/.git/refs")


def _to_be_decided(work: Path) -> None:
    club(work)
    (work / "list.csv").write_text(
        "what,written,rows,note,candidates,decision,club,from,to\n", encoding="utf-8"
    )


LIST_THAT_IS_THERE = Case(
    name="import with a list of decisions",
    command="import",
    given=("strikes.csv", "--competition", "oberhang-cup", "--decisions", "list.csv"),
    lay=_to_be_decided,
)


@dataclass(slots=True, kw_only=True)
class Save(Stop):
    """Saves the ``file`` as an editor does, once the process opens one of its folder to write."""

    file: Path
    is_done: bool = False

    def _called(self, event: str, path: str) -> None:
        is_beside = os.path.dirname(path) == os.fspath(self.file.parent)
        if event == "open" and not self.is_done and is_beside:
            self.is_done = True
            beside = self.file.with_name(f"{self.file.name}.new")
            beside.write_bytes(self.file.read_bytes() + SAVED)
            shutil.copymode(self.file, beside)
            beside.replace(self.file)


def _of_people(path: str) -> bool:
    """Not what is made anew each time, and not what git keeps for itself."""
    return path == "list.csv" or (
        path.startswith("club/") and not path.startswith(("club/reports/", "club/book", *_OF_GIT))
    )


@pytest.mark.parametrize("case", [*CASES, LIST_THAT_IS_THERE], ids=lambda case: case.name)
def test_what_is_saved_while_a_command_writes_is_not_lost(case: Case, tmp_path: Path) -> None:
    template, work = tmp_path / "laid-out", tmp_path / "work"
    template.mkdir()
    case.lay(template)
    shutil.copytree(template, work, symlinks=True)
    expected = undisturbed(work, "club", case.words)
    changed = [
        path
        for path, content in expected.before.items()
        if _of_people(path) and expected.after.get(path) != content
    ]
    assert changed or case.name not in ("tidy", LIST_THAT_IS_THERE.name)
    for path in changed:
        shutil.rmtree(work)
        shutil.copytree(template, work, symlinks=True)
        save = Save(work=work, file=work / path)
        (ran,) = in_child(work, [case.words], first=save.put_in)
        left = files_of(work)
        is_there = sum(SAVED in content for content in left.values())
        assert is_there == 1 or (case.name in AT_ONCE and left.get(path) is None), (path, ran)
        assert ran.status in (0, 1), ran
        if ran.status and case.name != LIST_THAT_IS_THERE.name:
            assert "changed meanwhile" in ran.err, ran
