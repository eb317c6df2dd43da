"""A sheet of drawing paper: shapes and letters go on, an SVG text comes off.

Every colour stands twice. As an attribute it is a middle tone that can be told from a white and
from a black page, for hosts that strip styles. The style sheet then lays a ground under the
picture, light or dark as the reader has it, with tones that suit it.
"""

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Literal, NamedTuple
from xml.etree import ElementTree

WIDTH = 720
MARGIN = 16
PHONE_TITLE = 26
PHONE_TEXT = 23
"""Letters that are still 11 pixels high where the picture is shown 358 pixels wide."""
PHONE_BASELINE = 38
LETTERS = "Helvetica Neue, Helvetica, Arial, sans-serif"

Anchor = Literal["start", "middle", "end"]
Cap = Literal["butt", "round", "square"]
Tone = Literal["ink", "soft", "grid", "lane", "home", "away", "struck", "nummer"]
Hue = Literal["hue0", "hue1", "hue2", "hue3", "hue4"]
HUES: tuple[Hue, ...] = ("hue0", "hue1", "hue2", "hue3", "hue4")


class _Colours(NamedTuple):
    """The middle tone, and those that suit a light and a dark ground, where they are others."""

    middle: str
    light: str | None = None
    dark: str | None = None


COLOURS = {
    "ground": _Colours("none", "#fbfaf5", "#191d21"),
    "ink": _Colours("#777777", "#23282d", "#eceae3"),
    "soft": _Colours("#777777", "#5c6166", "#aeb3b6"),
    "grid": _Colours("#8c8c8c", "#cfcabb", "#474d53"),
    "lane": _Colours("#8c8c8c", "#efece1", "#23282d"),
    "home": _Colours("#2f78ad"),
    "away": _Colours("#98651a"),
    "struck": _Colours("#2f78ad", dark="#5aa0d2"),
    "nummer": _Colours("#c0492f"),
    "hue0": _Colours("#2f78ad", dark="#5aa0d2"),
    "hue1": _Colours("#a8701c", dark="#d09a45"),
    "hue2": _Colours("#1f8573", dark="#45ab97"),
    "hue3": _Colours("#b54f78", dark="#d77f9f"),
    "hue4": _Colours("#777777", dark="#a3a7aa"),
}


class Picture(NamedTuple):
    """An SVG text ending with a line feed, and what it says to those who do not see it: the
    ``title``, and the main facts in ``sentence``; both also stand in the SVG."""

    svg: str
    title: str
    sentence: str
    width: int
    height: int


@lru_cache(maxsize=4096)
def coordinate(number: float) -> str:
    """One decimal at most, and none where it is nought."""
    tenths = round(number * 10)
    whole, tenth = divmod(abs(tenths), 10)
    sign = "-" if tenths < 0 else ""
    return f"{sign}{whole}.{tenth}" if tenth else f"{sign}{whole}"


class Canvas:
    """``title`` and ``sentence`` are the text alternative; ``lettered`` stands on top."""

    def __init__(self, height: int, title: str, sentence: str, lettered: str) -> None:
        self.height = height
        self._title = clean(title)
        self._sentence = clean(sentence)
        self._used: set[str] = set()
        extent = {"width": str(WIDTH), "height": str(height)}
        self._root = ElementTree.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg", **extent,
                "viewBox": f"0 0 {WIDTH} {height}", "role": "img",
                "aria-labelledby": "title sentence", "font-family": LETTERS,
            },
        )  # fmt: skip
        ElementTree.SubElement(self._root, "title", {"id": "title"}).text = self._title
        ElementTree.SubElement(self._root, "desc", {"id": "sentence"}).text = self._sentence
        self._style = ElementTree.SubElement(self._root, "style")
        ground = {"class": "ground", **extent, "rx": "6", "fill": COLOURS["ground"].middle}
        ElementTree.SubElement(self._root, "rect", ground)
        self._within = self._root
        shown = fitted(clean(lettered), WIDTH - 2 * MARGIN, True, PHONE_TITLE)
        self.text(MARGIN, PHONE_BASELINE, shown, size=PHONE_TITLE, bold=True)

    def group(self, title: str) -> None:
        """What is drawn next belongs together and is called ``title`` where it is pointed at."""
        self._within = ElementTree.SubElement(self._root, "g")
        ElementTree.SubElement(self._within, "title").text = clean(title)

    def end_group(self) -> None:
        self._within = self._root

    def rect(
        self, x: float, y: float, width: float, height: float, tone: Tone,
        rounded: float = 0, title: str | None = None,
    ) -> None:  # fmt: skip
        attributes = {
            "x": coordinate(x),
            "y": coordinate(y),
            "width": coordinate(width),
            "height": coordinate(height),
        }
        if rounded:
            attributes["rx"] = coordinate(rounded)
        self._shape("rect", attributes, "fill", tone, title)

    def area(self, path: str, tone: Tone | Hue) -> None:
        """The inside of ``path``, in the letters of an SVG path."""
        self._shape("path", {"d": path}, "fill", tone, None)

    def line(
        self, path: str, tone: Tone | Hue, width: float = 1, dashes: str = "",
        cap: Cap = "butt",
    ) -> None:  # fmt: skip
        """A pen drawn along ``path``; ``dashes`` are lengths drawn and left out in turn."""
        attributes = {"d": path, "fill": "none", "stroke-width": coordinate(width)}
        if dashes:
            attributes["stroke-dasharray"] = dashes
        if cap != "butt":
            attributes["stroke-linecap"] = cap
        self._shape("path", attributes, "stroke", tone, None)

    def dots(
        self, dots: Iterable[tuple[float, float, str]], tone: Tone | Hue, width: float
    ) -> None:
        """A dot at each place, with its title."""
        name = f"{tone}-line"
        self._used.add(name)
        attributes = {"class": name, "stroke": COLOURS[tone].middle, "stroke-linecap": "round"}
        attributes |= {"stroke-width": coordinate(width), "fill": "none"}
        group = ElementTree.SubElement(self._within, "g", attributes)
        for x, y, title in dots:
            path = {"d": f"M{coordinate(x)} {coordinate(y)}h0"}
            dot = ElementTree.SubElement(group, "path", path)
            ElementTree.SubElement(dot, "title").text = clean(title)

    def text(
        self, x: float, y: float, text: str, tone: Tone = "ink", anchor: Anchor = "start",
        size: int = PHONE_TEXT, bold: bool = False,
    ) -> ElementTree.Element:  # fmt: skip
        """``y`` is the line that the letters stand on."""
        attributes = {"x": coordinate(x), "y": coordinate(y), "font-size": str(size)}
        if anchor != "start":
            attributes["text-anchor"] = anchor
        if bold:
            attributes["font-weight"] = "bold"
        shape = self._shape("text", attributes, "fill", tone, None)
        shape.text = clean(text)
        return shape

    def figure(self, x: float, y: float, text: str, bold: bool) -> None:
        """Letters amid lines: where styles stand, these give way to the ground around them."""
        self._used.add("figure")
        self.text(x, y, text, "ink", "middle", bold=bold).set("class", "ink figure")

    def text_on(self, x: float, y: float, text: str) -> None:
        """White letters on a shape, of the same colour on any ground."""
        letters = self.text(x, y, text, anchor="middle", bold=True)
        del letters.attrib["class"]
        letters.set("fill", "#ffffff")

    def picture(self) -> Picture:
        light = {tone: known.light for tone, known in COLOURS.items() if known.light}
        dark = {tone: known.dark for tone, known in COLOURS.items() if known.dark}
        in_the_dark = f"@media (prefers-color-scheme:dark){{{_rules(dark, self._used)}}}"
        self._style.text = _rules(light, self._used) + in_the_dark
        # A line for all of one thing, so that git shows few where it moved.
        for shape in self._root:
            shape.tail = "\n"
        self._root.text = "\n"
        # XML takes a line feed in an attribute for a space; a path may stand on many lines.
        svg = ElementTree.tostring(self._root, encoding="unicode").replace("&#10;", "\n") + "\n"
        return Picture(svg, self._title, self._sentence, WIDTH, self.height)

    def _shape(
        self, kind: str, attributes: dict[str, str], painted: str, tone: Tone | Hue,
        title: str | None,
    ) -> ElementTree.Element:  # fmt: skip
        # Strokes have their own class, as a style for a fill would fill the path.
        name = f"{tone}-line" if painted == "stroke" else tone
        self._used.add(name)
        shape = ElementTree.SubElement(self._within, kind, {"class": name, **attributes})
        shape.set(painted, COLOURS[tone].middle)
        if tone in ("grid", "lane"):
            shape.set(f"{painted}-opacity", "0.5" if tone == "grid" else "0.2")
        if title is not None:
            ElementTree.SubElement(shape, "title").text = clean(title)
        return shape


def _rules(tones: dict[str, str], used: set[str]) -> str:
    ground = tones["ground"]
    rules = [f".ground{{fill:{ground}}}"]
    if "figure" in used:
        rules.append(f".figure{{paint-order:stroke;stroke-width:4px;stroke:{ground}}}")
    for tone, colour in tones.items():
        opaque = "-opacity:1" if tone in ("grid", "lane") else ""
        for name, painted in ((tone, "fill"), (f"{tone}-line", "stroke")):
            if name in used:
                also = f";{painted}{opaque}" if opaque else ""
                rules.append(f".{name}{{{painted}:{colour}{also}}}")
    return "".join(rules)


# Hundredths of the letter height, of a wide sans serif: other typefaces only come out narrower.
_WIDTHS = {
    letter: width
    for width, letters in (
        (30, "'ijlîïIJ"),
        (35, " ,.·’/:;\\|"),
        (40, "-()[]tfr!"),
        (53, '"*_`–sz?'),
        (60, "cçLFkvxyP"),
        (64, "TYaoäöàâô«»eéèêESbdghnpquüûß$0123456789{}"),
        (70, "KAVÄBRXZC"),
        (80, "UÜHNDG&OQÖ"),
        (86, "w#+<=>^~−×M"),
    )
    for letter in letters
}
_OF_OTHERS = 100
_OF_FULL_WIDTH = 125
_BOLD = 1.13
_ELLIPSIS = "…"
_LONGEST_ENDING = 3
_JOINERS = "\u200c\u200d"
_TURNING = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean(text: str) -> str:
    """The text as one line that any XML reader takes: white space and control characters become
    single spaces, marks that turn the reading direction go, what is no character is shown as one
    that is not known."""
    if text.isprintable():
        # Most are, and hold none of these.
        return " ".join(text.split())
    kept: list[str] = []
    for character in text:
        category = unicodedata.category(character)
        if category in ("Cc", "Zl", "Zp"):
            kept.append(" ")
        elif (
            category == "Cs"
            or ord(character) & 0xFFFE == 0xFFFE
            or 0xFDD0 <= ord(character) <= 0xFDEF
        ):
            kept.append("\ufffd")
        elif character not in _TURNING:
            kept.append(character)
    return " ".join("".join(kept).split())


@lru_cache(maxsize=4096)
def text_width(text: str, bold: bool = False, size: int = PHONE_TEXT) -> float:
    """An upper estimate of how wide ``text`` comes out in letters of ``size``."""
    hundredths = sum(_letter_width(letter) for letter in text)
    return hundredths * size / 100 * (_BOLD if bold else 1)


def fitted(text: str, width: float, bold: bool = False, size: int = PHONE_TEXT) -> str:
    """``text``, cut to ``width`` where it is wider. A short last word, which tells a club's teams
    apart, is kept: ``Hornussergesellschaft Oberaar B`` becomes ``Hornussergesell… B``."""
    if text_width(text, bold, size) <= width:
        return text
    start, _, last = text.rpartition(" ")
    ending = f"{_ELLIPSIS} {last}" if start and len(last) <= _LONGEST_ENDING else _ELLIPSIS
    kept = start if ending != _ELLIPSIS else text
    while kept and text_width(kept.rstrip() + ending, bold, size) > width:
        kept = _without_last_letter(kept)
    return kept.rstrip() + ending


def _without_last_letter(text: str) -> str:
    while len(text) > 1 and (unicodedata.combining(text[-1]) or text[-1] in _JOINERS):
        text = text[:-1]
    return text[:-1]


def _letter_width(letter: str) -> int:
    known = _WIDTHS.get(letter)
    if known is not None:
        return known
    if unicodedata.combining(letter):
        return 0
    return _OF_FULL_WIDTH if unicodedata.east_asian_width(letter) in "FW" else _OF_OTHERS
