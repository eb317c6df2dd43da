"""The rooms of the house and the arrows between them, read off the imports."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent / "src" / "riesbuch"

# From the ground up: a room imports from its own floor's list and from floors below, never above.
FLOORS = (
    ("trade",),
    ("pictures",),
    ("problems",),
    ("files",),
    ("folder",),
    ("archive", "locating"),
    ("checks", "tidying", "starting", "signing"),
    ("examination", "roster"),
    ("results",),
    ("index",),
    ("history", "season"),
    ("review",),
    ("exchange", "stories"),
    ("reports",),
    ("publication",),
    ("cli",),
    ("__main__",),
)
LIBRARIES_OF_ONE_ROOM = {
    "click": {"cli"},
    "tabulate": {"cli"},
    "ruamel": {"files"},
    "tomllib": {"files"},
    "tomli_w": {"files", "starting"},
    "sqlite3": {"index", "history", "review", "exchange"},
    "subprocess": {"review"},
}
PURE_ROOMS = {"trade", "pictures", "problems"}
NOT_PURE = {"os", "pathlib", "io", "sys", "subprocess", "sqlite3", "tempfile", "shutil", "time"}
NO_CODE = {"guide", "templates", "schema"}


def modules() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


def room_of(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def imported(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written out"
            assert node.module is not None
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def floor_of(room: str) -> int:
    for number, rooms in enumerate(FLOORS):
        if room in rooms:
            return number
    raise AssertionError(f"the room {room} stands on no floor; give it one")


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_no_arrow_points_upward(path: Path) -> None:
    room = room_of(path)
    if room in NO_CODE or room == "__init__":
        return
    for name in imported(path):
        parts = name.split(".")
        if (
            parts[0] != "riesbuch"
            or len(parts) < 2
            or not ((SOURCE / parts[1]).is_dir() or (SOURCE / f"{parts[1]}.py").is_file())
        ):
            continue
        if parts[1] in NO_CODE:
            continue
        assert parts[1] == room or floor_of(parts[1]) < floor_of(room), (
            f"{path.relative_to(SOURCE)} imports {name}, which is not below it"
        )


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(SOURCE)))
def test_libraries_stay_in_their_room(path: Path) -> None:
    room = room_of(path)
    for name in imported(path):
        library = name.split(".")[0]
        assert room in LIBRARIES_OF_ONE_ROOM.get(library, {room}), f"{library} in {room}"
        if room in PURE_ROOMS:
            assert library not in NOT_PURE, f"{room} is pure, but {path.name} imports {library}"


def test_every_room_is_on_a_floor() -> None:
    rooms = {room_of(path) for path in modules()} - NO_CODE - {"__init__"}
    assert rooms == {room for floor in FLOORS for room in floor}


def test_no_file_outgrows_a_head() -> None:
    long = {
        str(path.relative_to(SOURCE)): lines
        for path in modules()
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 600
    }
    assert not long


def test_no_room_keeps_state_or_reads_the_clock() -> None:
    allowed = {"cli/start.py", "cli/seal.py", "cli/correct.py"}
    for path in modules():
        text = path.read_text(encoding="utf-8")
        relative = path.relative_to(SOURCE).as_posix()
        for call in ("date.today()", "datetime.now(", "time.time(", "setlocale("):
            assert call not in text or relative in allowed, f"{relative} calls {call}"


def test_nothing_is_written_around_the_harmless_streams() -> None:
    """What `cli/streams.py` makes harmless for a terminal is all that is written there, but for
    the pages of the desk, which make their lines harmless themselves."""
    around = ("sys.__stdout__", "sys.__stderr__", "stdout.buffer", "stderr.buffer", "os.write(",
              "/dev/tty", "stdout.fileno", "stderr.fileno", "stdout.raw", "stderr.raw")  # fmt: skip
    # The index notes its looks, and how it left its file, in files of its own.
    allowed = {"cli/streams.py", "cli/terminal.py", "index/looks.py", "index/witness.py"}
    for path in modules():
        relative = path.relative_to(SOURCE).as_posix()
        if relative not in allowed:
            text = path.read_text(encoding="utf-8")
            assert not [each for each in around if each in text], relative
