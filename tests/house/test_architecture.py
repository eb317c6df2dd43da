"""The rooms of the house and the arrows between them, read off the code."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

SOURCE = Path(__file__).parents[2] / "src" / "riesbuch"

# From the ground up: a room imports from itself and from rooms before it.
ROOMS = (
    "trade",
    "language",
    "text",
    "folder",
    "judge",
    "index",
    "questions",
    "care",
    "exchange",
    "review",
    "pages",
    "show",
    "cli",
)
NO_CODE = {"guide", "templates", "schema"}
LIBRARIES_OF_ONE_ROOM = {
    # `show` prints by it; see test_what_shows_only_prints.
    "click": {"cli", "show"},
    "tabulate": {"show"},
    "ruamel": {"text"},
    "yaml": {"text"},
    "_ruamel_yaml": {"text"},
    "tomllib": {"text"},
    # It writes, and reads nothing: a new folder's first league.toml.
    "tomli_w": {"text", "care"},
    "sqlite3": {"index", "questions"},
    "subprocess": {"review"},
    "asyncio": set(),
    "pty": set(),
}
PURE_ROOMS = {"trade", "language"}
PURE_PARTS = ("pages/pictures",)
NOT_PURE = {"os", "pathlib", "io", "sys", "subprocess", "sqlite3", "tempfile", "shutil", "time"}
# `os` and `pathlib` by which other programs are run, beside the library of that purpose.
RUNNERS = re.compile(r"(system|popen|exec[lv]p?e?|spawn[lv]p?e?|posix_spawnp?|startfile)")

# Which files may look at a clock: of the day, where a person says "today"; of the seconds that
# go by; and of files' ages.
CLOCKS = {
    "cli/start.py": {"today"},
    "cli/match_day.py": {"today"},
    "cli/sealing.py": {"today"},
    "cli/streams.py": {"time"},
    "cli/desk.py": {"time"},
    "cli/history.py": {"time"},
    "index/scan.py": {"time"},
    "index/witness.py": {"time"},
}
TODAY = {"today", "now", "utcnow", "localtime", "gmtime", "ctime"}
LIBRARIES_OF_DAYS = {"datetime", "email", "calendar"}
CLOCK_OF_SQL = re.compile(r"""\bcurrent_(date|time)|date(time)?\(["']now""", re.I)
SECONDS = {"time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns"}

SQL = re.compile(
    r"\b(SELECT\b|INSERT (OR \w+ )?INTO\b|DELETE FROM\b|UPDATE \w+ SET\b|CREATE (TEMP )?(TABLE|VIEW"
    r"|INDEX)\b|DROP TABLE\b|PRAGMA\b|ATTACH\b|ORDER BY\b|GROUP BY\b|current_(date|time)\b)"
)
ROOMS_OF_SQL = {"index", "questions"}
# What one who holds the tables could ask them by, without a word of SQL standing there.
ASKING = {"execute", "executemany", "executescript", "cursor", "fetchone", "fetchall", "fetchmany"}
# A process that works out seasons is given the folder once.
KEEPS_STATE = {"index/season.py"}
LONGEST = 600


def modules() -> list[Path]:
    return sorted(path for path in SOURCE.rglob("*.py") if room_of(path) not in NO_CODE)


def relative(path: Path) -> str:
    return path.relative_to(SOURCE).as_posix()


def room_of(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(path: Path) -> Iterator[str]:
    """Every module and name that is imported, also late, for types only, or by a text."""
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written out"
            assert node.module is not None
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.Call) and node.args and _imports(node.func):
            yield _beginning_of(path, node.args[0])


def _imports(function: ast.expr) -> bool:
    name = function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")
    return name in ("import_module", "__import__", "find_spec", "resolve_name")


def _beginning_of(path: Path, argument: ast.expr) -> str:
    """The text of an import that is worked out, as far as it stands written: at least a room."""
    first = argument.values[0] if isinstance(argument, ast.JoinedStr) else argument
    assert isinstance(first, ast.Constant), f"{relative(path)} imports what nobody can read"
    assert isinstance(first.value, str)
    assert isinstance(argument, ast.Constant) or first.value.count(".") > 1, relative(path)
    return first.value.rstrip(".")


def texts(path: Path) -> Iterator[str]:
    """Every text in the code but those that only explain it."""
    tree = tree_of(path)
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef))
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in docstrings
        ):
            yield node.value


EACH_MODULE = pytest.mark.parametrize("path", modules(), ids=relative)


def test_the_house_has_these_rooms() -> None:
    rooms = {room_of(path) for path in modules()} - {"__init__", "__main__"}
    assert rooms == set(ROOMS)
    at_the_top = {path.name for path in SOURCE.glob("*.py")}
    assert at_the_top == {"__init__.py", "__main__.py"}


@EACH_MODULE
def test_no_arrow_points_upward(path: Path) -> None:
    room = room_of(path)
    if room == "__main__":
        return
    for name in imported(path):
        package, _, rest = name.partition(".")
        target = rest.partition(".")[0]
        if package != "riesbuch" or target not in ROOMS:
            continue
        assert room != "__init__", f"the package itself imports {name}"
        assert ROOMS.index(target) <= ROOMS.index(room), (
            f"{relative(path)} imports {name}, which is not below it"
        )


@EACH_MODULE
def test_libraries_stay_in_their_room(path: Path) -> None:
    room = room_of(path)
    is_pure = room in PURE_ROOMS or relative(path).startswith(PURE_PARTS)
    for name in imported(path):
        library = name.split(".")[0]
        assert room in LIBRARIES_OF_ONE_ROOM.get(library, {room}), f"{library} in {relative(path)}"
        if is_pure:
            assert library not in NOT_PURE, f"{relative(path)} is pure, but imports {library}"


@EACH_MODULE
def test_no_other_program_is_run_outside_review(path: Path) -> None:
    """Neither git nor ssh-keygen, nor any other."""
    if room_of(path) == "review":
        return
    run = {
        node.attr
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "os"
        and RUNNERS.fullmatch(node.attr)
    }
    run |= {name for name in imported(path) if RUNNERS.fullmatch(name.removeprefix("os."))}
    assert not run


def test_each_program_is_run_by_one_module() -> None:
    """Git by the one, ssh-keygen by the other."""
    found = {relative(path) for path in modules() if "subprocess" in imported(path)}
    assert found == {"review/git_process.py", "review/openssh.py"}


@EACH_MODULE
def test_what_shows_only_prints(path: Path) -> None:
    """Options, arguments and contexts are of `cli`."""
    if room_of(path) != "show":
        return
    assert not any(name.startswith("click.") for name in imported(path))
    if relative(path) != "show/output.py":
        assert "click" not in imported(path)
    used = {
        node.attr
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "click"
    }
    assert used <= {"echo"}


@EACH_MODULE
def test_sql_stands_in_its_rooms(path: Path) -> None:
    """Everybody else hands the tables on to a question, and knows nothing of the database."""
    if room_of(path) in ROOMS_OF_SQL:
        return
    assert not [text for text in texts(path) if SQL.search(text)]
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Attribute):
            assert node.attr not in ASKING, f"line {node.lineno} asks by itself"
        name = getattr(node, "attr", getattr(node, "id", getattr(node, "name", "")))
        assert name not in ("sqlite3", "Connection", "Cursor"), f"{name} does not travel"


def test_no_file_outgrows_a_head() -> None:
    long = {
        relative(path): lines
        for path in modules()
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST
    }
    assert not long


def clocks_of(path: Path) -> set[str]:
    """``time`` where the library of that name is imported, ``today`` where a day or an hour is
    asked of any other, under whatever name it was imported."""
    found = set()
    dates = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            dates |= {
                (alias.asname or alias.name).split(".")[0]
                for alias in node.names
                if alias.name.split(".")[0] in LIBRARIES_OF_DAYS
            }
        elif isinstance(node, ast.ImportFrom) and node.module in LIBRARIES_OF_DAYS:
            dates |= {alias.asname or alias.name for alias in node.names}
            if TODAY & {alias.name for alias in node.names}:
                found.add("today")
    for name in imported(path):
        if name.partition(".")[0] == "time":
            found.add("time")
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Attribute):
            root: ast.expr = node
            while isinstance(root, ast.Attribute):
                root = root.value
            if node.attr in TODAY and isinstance(root, ast.Name) and root.id in dates:
                found.add("today")
            if node.attr in SECONDS:
                found.add("time")
    if any(CLOCK_OF_SQL.search(text) for text in texts(path)):
        found.add("today")
    return found


def test_no_room_reads_the_clock() -> None:
    found = {relative(path): clocks for path in modules() if (clocks := clocks_of(path))}
    assert found == CLOCKS


def test_no_room_keeps_state() -> None:
    for path in modules():
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Global):
                assert relative(path) in KEEPS_STATE, f"{relative(path)} keeps {node.names}"
            assert not (isinstance(node, ast.Attribute) and node.attr == "setlocale"), path


def test_what_is_kept_depends_on_all_code_that_reads() -> None:
    """The index keeps results under a digest of the code they were worked out by: so nothing that
    reads or judges may import from a room that is not part of it."""
    from riesbuch.index.index import _ROOMS_THAT_READ

    for path in modules():
        if room_of(path) in _ROOMS_THAT_READ:
            rooms = {name.split(".")[1] for name in imported(path) if name.startswith("riesbuch.")}
            assert rooms & set(ROOMS) <= set(_ROOMS_THAT_READ), relative(path)


def test_what_is_published_depends_on_all_code_that_writes() -> None:
    from riesbuch.index.index import _ROOMS_THAT_READ
    from riesbuch.pages.publication import _ROOMS_THAT_WRITE

    covered = {*_ROOMS_THAT_READ, *_ROOMS_THAT_WRITE}
    for path in modules():
        if room_of(path) == "pages":
            rooms = {name.split(".")[1] for name in imported(path) if name.startswith("riesbuch.")}
            assert rooms & set(ROOMS) <= covered, relative(path)


def test_nothing_is_written_around_the_harmless_streams() -> None:
    """What `cli/streams.py` makes harmless for a terminal is all that is written there, but for
    the pages of the desk, which make their lines harmless themselves."""
    around = ("sys.__stdout__", "sys.__stderr__", "stdout.buffer", "stderr.buffer", "os.write(",
              "/dev/tty", "stdout.fileno", "stderr.fileno", "stdout.raw", "stderr.raw")  # fmt: skip
    # The index notes how it left its file in a file of its own.
    allowed = {"cli/streams.py", "show/desk.py", "index/witness.py"}
    for path in modules():
        if relative(path) not in allowed:
            text = path.read_text(encoding="utf-8")
            assert not [way for way in around if way in text], relative(path)


def test_no_group_is_repeated_possessively() -> None:
    """Before 3.11.5 Python may end such a match within what follows: see its change log there,
    gh-106052 (from memory). Debian's Python was 3.11.2 for years."""
    possessive = re.compile(r"\)(?:[*+?]|\{[^}]*\})\+(?!=)")
    assert possessive.search(r"(?:a, )*+b")
    for path in modules():
        for line in path.read_text(encoding="utf-8").splitlines():
            if re.search(r"\br[f]?[\"']|\b[f]r[\"']", line):
                assert not possessive.search(line), (relative(path), line)
