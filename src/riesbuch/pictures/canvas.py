"""A sheet of drawing paper: shapes and letters go on, an SVG text comes off.

Every colour stands twice. As an attribute it is a middle tone that can be told from a white and
from a black page, for hosts that strip styles. The style sheet then lays a ground under the
picture, light or dark as the reader has it, with tones that suit it.
"""

from collections.abc import Iterable
from functools import lru_cache
from html import escape
from typing import Literal, NamedTuple

from riesbuch.pictures.lettering import clean, fitted

WIDTH = 720
MARGIN = 16
TITLE_SIZE = 16
TEXT_SIZE = 12
SMALL_SIZE = 11
TITLE_BASELINE = 28
LETTERS = "Helvetica Neue, Helvetica, Arial, sans-serif"

Anchor = Literal["start", "middle", "end"]
Cap = Literal["butt", "round", "square"]
Tone = Literal["ink", "soft", "grid", "lane", "home", "away", "struck", "nummer"]
Hue = Literal["hue0", "hue1", "hue2", "hue3", "hue4"]
HUES: tuple[Hue, ...] = ("hue0", "hue1", "hue2", "hue3", "hue4")

MIDDLE_TONES: dict[str, str] = {
    "ink": "#777777",
    "soft": "#777777",
    "grid": "#8c8c8c",
    "lane": "#8c8c8c",
    "home": "#2f78ad",
    "away": "#98651a",
    "struck": "#2f78ad",
    "nummer": "#c0492f",
    "hue0": "#2f78ad",
    "hue1": "#a8701c",
    "hue2": "#1f8573",
    "hue3": "#b54f78",
    "hue4": "#777777",
}
LIGHT: dict[str, str] = {
    "ground": "#fbfaf5",
    "ink": "#23282d",
    "soft": "#5c6166",
    "grid": "#cfcabb",
    "lane": "#efece1",
}
DARK: dict[str, str] = {
    "ground": "#191d21",
    "ink": "#eceae3",
    "soft": "#aeb3b6",
    "grid": "#474d53",
    "lane": "#23282d",
    "struck": "#5aa0d2",
    "hue0": "#5aa0d2",
    "hue1": "#d09a45",
    "hue2": "#45ab97",
    "hue3": "#d77f9f",
    "hue4": "#a3a7aa",
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
    """``title`` and ``sentence`` are the text alternative; the title is also lettered on top."""

    def __init__(self, height: int, title: str, sentence: str) -> None:
        self.height = height
        self._title = clean(title)
        self._sentence = clean(sentence)
        self._used: set[str] = set()
        self._lines: list[str] = []
        self._in_group = False
        room = WIDTH - 2 * MARGIN
        self.text(
            MARGIN, TITLE_BASELINE, fitted(self._title, room, TITLE_SIZE, True),
            size=TITLE_SIZE, bold=True,
        )  # fmt: skip

    def group(self, title: str) -> None:
        """What is drawn next belongs together and is called ``title`` where it is pointed at."""
        self.end_group()
        self._lines += ["<g>", _element("title", {}, clean(title))]
        self._in_group = True

    def end_group(self) -> None:
        if self._in_group:
            self._lines.append("</g>")
        self._in_group = False

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

    def area(self, path: str, tone: Tone | Hue, opacity: float = 1) -> None:
        """The inside of ``path``, in the letters of an SVG path."""
        self._shape("path", {"d": path, **_opacity(opacity)}, "fill", tone)

    def line(
        self, path: str, tone: Tone | Hue, width: float = 1, dashes: str = "",
        cap: Cap = "butt", opacity: float = 1,
    ) -> None:  # fmt: skip
        """A pen drawn along ``path``; ``dashes`` are lengths drawn and left out in turn."""
        attributes = {"d": path, "fill": "none", "stroke-width": coordinate(width)}
        if dashes:
            attributes["stroke-dasharray"] = dashes
        if cap != "butt":
            attributes["stroke-linecap"] = cap
        attributes |= _opacity(opacity)
        self._shape("path", attributes, "stroke", tone)

    def dots(self, dots: Iterable[tuple[float, float, str]], tone: Tone, width: float) -> None:
        """A dot at each place, with its title."""
        name = f"{tone}-line"
        self._used.add(name)
        attributes = {"class": name, "stroke": MIDDLE_TONES[tone], "stroke-linecap": "round"}
        attributes |= {"stroke-width": coordinate(width), "fill": "none"}
        self._lines.append(f"{_opened('g', attributes)}>")
        for x, y, title in dots:
            path = {"d": f"M{coordinate(x)} {coordinate(y)}h0"}
            self._lines.append(_element("path", path, title=clean(title)))
        self._lines.append("</g>")

    def text(
        self, x: float, y: float, text: str, tone: Tone = "ink", size: int = TEXT_SIZE,
        anchor: Anchor = "start", bold: bool = False,
    ) -> None:  # fmt: skip
        """``y`` is the line that the letters stand on."""
        attributes = {"x": coordinate(x), "y": coordinate(y), "font-size": str(size)}
        if anchor != "start":
            attributes["text-anchor"] = anchor
        if bold:
            attributes["font-weight"] = "bold"
        self._shape("text", attributes, "fill", tone, text=clean(text))

    def figure(self, x: float, y: float, text: str, size: int, bold: bool) -> None:
        """Letters amid lines: where styles stand, these give way to the ground around them."""
        self._used.add("figure")
        attributes = {"x": coordinate(x), "y": coordinate(y), "font-size": str(size)}
        attributes["text-anchor"] = "middle"
        if bold:
            attributes["font-weight"] = "bold"
        self._shape("text", attributes, "fill", "ink", text=clean(text), kind_of="figure")

    def text_on(self, x: float, y: float, text: str, size: int = SMALL_SIZE) -> None:
        """White letters on a shape, of the same colour on any ground."""
        attributes = {
            "x": coordinate(x), "y": coordinate(y), "font-size": str(size),
            "text-anchor": "middle", "font-weight": "bold", "fill": "#ffffff",
        }  # fmt: skip
        self._lines.append(_element("text", attributes, clean(text)))

    def picture(self) -> Picture:
        self.end_group()
        light = _rules(LIGHT, self._used)
        dark = _rules(DARK, self._used)
        paper = {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": str(WIDTH),
            "height": str(self.height),
            "viewBox": f"0 0 {WIDTH} {self.height}",
            "role": "img",
            "aria-labelledby": "title sentence",
            "font-family": LETTERS,
        }
        ground = {"class": "ground", "width": str(WIDTH), "height": str(self.height)}
        lines = [
            f"{_opened('svg', paper)}>",
            _element("title", {"id": "title"}, self._title),
            _element("desc", {"id": "sentence"}, self._sentence),
            _element("style", {}, f"{light}@media (prefers-color-scheme:dark){{{dark}}}"),
            _element("rect", {**ground, "rx": "6", "fill": "none"}),
            *self._lines,
            "</svg>\n",
        ]
        svg = "\n".join(lines)
        return Picture(svg, self._title, self._sentence, WIDTH, self.height)

    def _shape(
        self, kind: str, attributes: dict[str, str], painted: str, tone: Tone | Hue,
        title: str | None = None, text: str = "", kind_of: str = "",
    ) -> None:  # fmt: skip
        # Strokes have their own class, as a style for a fill would fill the path.
        name = f"{tone}-line" if painted == "stroke" else tone
        self._used.add(name)
        attributes = {"class": f"{name} {kind_of}" if kind_of else name, **attributes}
        attributes[painted] = MIDDLE_TONES[tone]
        if tone in ("grid", "lane"):
            attributes[f"{painted}-opacity"] = "0.5" if tone == "grid" else "0.2"
        self._lines.append(_element(kind, attributes, text, title and clean(title)))


def _opened(kind: str, attributes: dict[str, str]) -> str:
    """The attributes are our own and hold nothing that needs escaping."""
    return "".join([f"<{kind}", *[f' {name}="{value}"' for name, value in attributes.items()]])


def _element(
    kind: str, attributes: dict[str, str], text: str = "", title: str | None = None
) -> str:
    opened = _opened(kind, attributes)
    if title is not None:
        return f"{opened}>\n{_element('title', {}, title)}\n</{kind}>"
    return f"{opened}>{escape(text, quote=False)}</{kind}>" if text else f"{opened} />"


def _opacity(opacity: float) -> dict[str, str]:
    return {} if opacity == 1 else {"opacity": coordinate(opacity)}


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
