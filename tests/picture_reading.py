"""Reads a picture back: what is lettered and drawn where, as a reader of the SVG has it."""

import re
from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple
from xml.etree import ElementTree

from riesbuch.pages.pictures.canvas import Picture, text_width

NAMESPACE = "{http://www.w3.org/2000/svg}"
_STEP = re.compile(r"([A-Za-z])|(-?\d+(?:\.\d)?)")


class Box(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float
    text: str

    def overlaps(self, other: "Box") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def parsed(picture: Picture) -> ElementTree.Element:
    return ElementTree.fromstring(picture.svg)


def elements(picture: Picture, kind: str, name: str | None = None) -> list[ElementTree.Element]:
    found = parsed(picture).iter(NAMESPACE + kind)
    return [each for each in found if name is None or name in each.get("class", "").split()]


def number(element: ElementTree.Element, attribute: str) -> float:
    return float(element.attrib[attribute])


def texts(picture: Picture) -> list[str]:
    return [each.text or "" for each in elements(picture, "text")]


def title_of(element: ElementTree.Element) -> str:
    return element.findtext(NAMESPACE + "title") or ""


def boxes(picture: Picture) -> list[Box]:
    return [_box(each) for each in elements(picture, "text")]


def _box(text: ElementTree.Element) -> Box:
    size, letters = int(text.attrib["font-size"]), text.text or ""
    width = text_width(letters, text.get("font-weight") == "bold", size)
    x, y = number(text, "x"), number(text, "y")
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[text.get("text-anchor", "start")]
    return Box(left, y - 0.76 * size, left + width, y + 0.2 * size, letters)


def overlapping(picture: Picture) -> list[tuple[str, str]]:
    return [
        (one.text, other.text)
        for one, other in combinations(boxes(picture), 2)
        if one.overlaps(other)
    ]


def points(path: str) -> list[list[tuple[float, float]]]:
    """The corners of each part of a path."""
    parts: list[list[tuple[float, float]]] = []
    x = y = 0.0
    for letter, numbers in _commands(path):
        relative = letter.islower()
        kind = letter.lower()
        if kind == "z":
            x, y = parts[-1][0]
            continue
        pairs = _pairs(kind, numbers, x, y, relative)
        for index, (right, down) in enumerate(pairs):
            x, y = (x + right, y + down) if relative else (right, down)
            if kind == "m" and index == 0:
                parts.append([])
            parts[-1].append((x, y))
    return parts


def _commands(path: str) -> Iterator[tuple[str, list[float]]]:
    letter, numbers = "", list[float]()
    for found in _STEP.finditer(path):
        if found[1]:
            if letter:
                yield letter, numbers
            letter, numbers = found[1], []
        else:
            numbers.append(float(found[2]))
    yield letter, numbers


def _pairs(
    kind: str, numbers: list[float], x: float, y: float, relative: bool
) -> list[tuple[float, float]]:
    if kind == "h":
        return [(each, 0.0 if relative else y) for each in numbers]
    if kind == "v":
        return [(0.0 if relative else x, each) for each in numbers]
    assert kind in "ml", kind
    assert len(numbers) % 2 == 0
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def extent(picture: Picture) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of everything drawn and lettered."""
    corners = [(each.left, each.top) for each in boxes(picture)]
    corners += [(each.right, each.bottom) for each in boxes(picture)]
    for rect in elements(picture, "rect"):
        x, y = float(rect.get("x", "0")), float(rect.get("y", "0"))
        corners += [(x, y), (x + number(rect, "width"), y + number(rect, "height"))]
    for path in elements(picture, "path"):
        corners += [corner for part in points(path.attrib["d"]) for corner in part]
    across, down = zip(*corners, strict=True)
    return min(across), min(down), max(across), max(down)
