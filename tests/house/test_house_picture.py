"""What DEVELOPERS.md names is there: rooms, modules, what they define, tests and their tools."""

import ast
import re
from functools import cache
from importlib import import_module

import pytest

from tests.house.test_architecture import ROOMS, SOURCE

ROOT = SOURCE.parents[1]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FENCED = re.findall(r"^```\w*\n(.*?)^```$", PAGE, re.S | re.M)
NAMED = sorted(
    {
        re.sub(r"\s+", " ", span)
        for span in re.findall(r"`([^`]+)`", re.sub(r"^```.*?^```$", "", PAGE, flags=re.S | re.M))
    }
)

IN_A_ROOM = re.compile(rf"((?:{'|'.join(ROOMS)})(?:/[a-z_]+)+)/?(?:\.(?!py$)(\w+(?:\.\w+)*))?")
TEST = re.compile(r"(\w+/)*test_\w+")
# One with a capital inside, or several words.
NAME = re.compile(r"_?[A-Z]+[a-z]+(?:[A-Z][a-z]+)*|_?[a-z]+(?:_[a-z]+)+|[A-Z]+(?:_[A-Z]+)+")
# Words of other programs.
FOREIGN = {"data_version"}
MOST_STATIONS = 10


@cache
def source_words() -> frozenset[str]:
    """Every name that the code uses, and every word of its texts but the docstrings'."""
    words: set[str] = set()
    for path in [*SOURCE.rglob("*.py"), *(ROOT / "tests").rglob("*.py")]:
        if path.name == "test_house_picture.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Name(id=name) | ast.Attribute(attr=name) | ast.arg(arg=name):
                    words.add(name)
                case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                    words.add(name)
                case ast.Constant(value=str(text)):
                    words.update(re.findall(r"\w+", text))
    return frozenset(words)


@pytest.mark.parametrize("name", [name for name in NAMED if IN_A_ROOM.fullmatch(name)])
def test_what_a_room_is_said_to_have_is_there(name: str) -> None:
    """``room/module``, ``room/part/`` or ``room/module.name``."""
    found = IN_A_ROOM.fullmatch(name)
    assert found is not None
    place, attributes = found.groups()
    if TEST.fullmatch(name):
        return
    assert (SOURCE / f"{place}.py").exists() or (SOURCE / place).is_dir(), place
    held = import_module(f"riesbuch.{place.replace('/', '.')}")
    for attribute in attributes.split(".") if attributes else ():
        assert hasattr(held, attribute), f"{name}: no {attribute}"
        held = getattr(held, attribute)


def test_files_are_named_with_their_place() -> None:
    named = [name for name in NAMED if re.fullmatch(r"[\w./]+\.py", name)]
    assert len(named) > 20
    missing = [
        name for name in named if not (SOURCE / name).exists() and not (ROOT / name).exists()
    ]
    assert missing == []


def test_tests_are_named_with_their_place() -> None:
    named = [name.removeprefix("tests/") for name in NAMED if TEST.fullmatch(name)]
    assert len(named) > 20
    assert [name for name in named if not (ROOT / "tests" / f"{name}.py").exists()] == []


def test_modules_that_are_to_be_run_are_there() -> None:
    run = re.findall(r"python -m (tests\.[\w.]+)", PAGE)
    assert run
    for module in run:
        place = ROOT / module.replace(".", "/")
        assert place.with_suffix(".py").exists() or (place / "__main__.py").exists(), module


def test_names_alone_are_names_of_the_code() -> None:
    alone = {
        part.removesuffix("()")
        for name in NAMED
        for part in name.split(".")
        if NAME.fullmatch(part.removesuffix("()"))
    }
    assert len(alone) > 20
    assert sorted(alone - source_words() - FOREIGN) == []


def test_the_picture_has_the_rooms_in_their_order() -> None:
    picture = next(block for block in FENCED if block.startswith("cli "))
    assert tuple(line.split()[0] for line in picture.splitlines()) == ROOMS[::-1]


def test_journeys_are_short() -> None:
    (journeys,) = re.findall(r"^### Five journeys\n(.*?)^### ", PAGE, re.S | re.M)
    stations = [
        [int(number) for number in re.findall(r"^(\d+)\. `", text, re.M)]
        for text in re.split(r"^\*\*", journeys, flags=re.M)[1:]
    ]
    assert len(stations) == 5
    for numbers in stations:
        assert numbers == list(range(1, len(numbers) + 1))
        assert len(numbers) <= MOST_STATIONS
