"""What becomes a book: Markdown and pictures, bound into one HTML file that is in want of nothing.

The style sheet and the script that lays the text out in pages lie beside the templates. The script
alone knows on which page something stands; without it the file reads as one long page with links.
"""

import hashlib
import re
from base64 import b64encode
from collections.abc import Iterable, Mapping
from html import escape
from importlib import resources
from typing import NamedTuple
from urllib.parse import unquote, urljoin

from riesbuch.pages.html import HtmlConverter
from riesbuch.pages.markdown import Markdown, bullets
from riesbuch.pages.paths import REPORTS, Page

COLUMNS_OF_LINES = 2
COLUMNS_OF_PERSONS = 3
_PLACES = (
    (re.compile(r"players/([^/]+)\.md"), "person-{}"),
    (re.compile(r"clubs/([^/]+)\.md"), "club-{}"),
    (re.compile(r"(\d+)/README\.md"), "season-{}"),
    (re.compile(r"(\d+)/matches/([^/]+)\.md"), "match-{}-{}"),
    (re.compile(r"(\d+)/([^/]+)/.*\.md"), "competition-{}-{}"),
    (re.compile(r"history/([^/]+)\.md"), "history-{}"),
)
_PLAINER = (
    (re.compile(r'<div class="scroll"[^>]*>'), ""),
    (re.compile(r"</table></div>"), "</table>"),
    (re.compile(r"<(h\d) id=[^>]*>"), r"<\1>"),
    (re.compile(r'<p>(<img src="[^"]*" alt="[^"]*">)</p>'), r"\1"),
)
"""What stands around tables, headings and pictures on a page, and nothing in a book."""
_PICTURE = re.compile(r'<img src="([^"]*)" alt="[^"]*">')
_WAYS = re.compile(r'<p>(?:<a href="[^"]*">[^<]*</a>(?: · |(?=</p>))){2,}</p>')
_LINK = re.compile(r'<a href="([^"]*)">(.*?)</a>', re.S)
_NAMES_IN_PICTURE = re.compile(r' (id|aria-labelledby)="([^"]*)"')
_STYLE_IN_PICTURE = re.compile(r"<style>.*?</style>", re.S)


def anchor_of(path: str) -> str | None:
    """The name of the place in a book where that stands which has its page at ``path``, relative
    to the reports."""
    for page, name in _PLACES:
        found = page.fullmatch(path)
        if found:
            return name.format(*found.groups())
    return None


class _Entry(NamedTuple):
    """A line of the contents."""

    level: int
    anchor: str
    title: str


class Binding:
    """The chapters one after the other. ``pictures`` are pages, by path relative to the reports,
    that give the pictures which texts show."""

    def __init__(self, language: str, pictures: Mapping[str, Page]) -> None:
        self._language = language
        self._pages_of_pictures = pictures
        self._parts: list[str] = []
        self._contents: list[_Entry] = []
        self._pictures = 0
        self._converters: dict[int, HtmlConverter] = {}

    @property
    def persons(self) -> frozenset[str]:
        """Everybody who is named so far with a link to their own page."""
        found = (anchor_of(href) or "" for part in self._parts for href, _ in _LINK.findall(part))
        return frozenset(anchor[len("person-") :] for anchor in found if anchor[:7] == "person-")

    def chapter(self, anchor: str, title: Markdown, kind: str = "chapter") -> None:
        if self._contents:
            self._parts.append("</section>")
        self._parts.append(f'<section class="{kind}">')
        self.heading(1, anchor, title)

    def heading(self, level: int, anchor: str, title: Markdown, *, is_listed: bool = True) -> None:
        said = self._line(title)
        self._parts.append(f'<h{level} id="{escape(anchor)}">{said}</h{level}>')
        if is_listed:
            self._contents.append(_Entry(level, anchor, _LINK.sub(r"\2", said)))

    def text(self, text: Markdown, deeper: int = 0, *, in_columns: bool = False) -> None:
        """As it stands on a page beside the reports' front page, its headings ``deeper`` by so
        many levels, its lists ``in_columns``."""
        body = self._rendered(f"# –\n\n{text}", "", deeper)
        self._parts.append(_in_columns(body) if in_columns else body)

    def page(self, page: str, here: str, deeper: int = 0, *, in_columns: bool = False) -> None:
        """What the page ``here`` tells below its title, in its own Markdown, but for lines that
        only lead to other places."""
        body = _WAYS.sub("", self._rendered(page, here, deeper, is_page=True))
        self._parts.append(_in_columns(body) if in_columns else body)

    def columns(
        self,
        number: int,
        groups: Iterable[tuple[Markdown, Iterable[tuple[str | None, Markdown]]]],
    ) -> None:
        """Lines below the title of their group, in so many columns; of somebody in a register with
        the identifier, and room for the pages."""
        lines = []
        for title, of_group in groups:
            lines.append(f'<li class="group">{self._line(title)}</li>')
            for person, line in of_group:
                name = f' id="person-{escape(person)}"' if person else ""
                at = ' <span class="at"></span>' if person else ""
                lines.append(f"<li{name}>{self._line(line)}{at}</li>")
        self._parts.append(f'<ul class="columns" data-columns="{number}">{"".join(lines)}</ul>')

    def bound(self, title: str, cover: str, contents: Markdown) -> str:
        """The whole file; ``cover`` is HTML."""
        style, script = _asset("book.css"), _asset("book.js")
        digest = b64encode(hashlib.sha256(script.encode()).digest()).decode()
        body = "\n".join([*self._parts, "</section>"])
        anchors = frozenset(re.findall(r'<(?:h\d|li) id="([^"]*)"', body))
        entries = "".join(
            f'<li class="level{entry.level}"><a href="#{entry.anchor}">{entry.title}</a>'
            '<span class="at"></span></li>'
            for entry in self._contents
        )
        return "\n".join(
            [
                "<!doctype html>",
                f'<html lang="{self._language}">',
                '<head><meta charset="utf-8">',
                '<meta http-equiv="Content-Security-Policy" content="default-src \'none\';'
                f" style-src 'unsafe-inline'; script-src 'sha256-{digest}'\">",
                '<meta name="viewport" content="width=840">',
                f"<title>{escape(title)}</title>",
                f"<style>{style}</style></head>",
                f'<body data-title="{escape(title)}"><main>',
                f'<section class="cover">{cover}</section>',
                f'<nav class="contents"><h1>{self._line(contents)}</h1>',
                f'<ul class="columns" data-columns="2">{entries}</ul></nav>',
                _LINK.sub(lambda found: _resolved(found, anchors), body),
                f"</main><script>{script}</script></body></html>",
            ]
        )

    def _rendered(self, text: str, here: str, deeper: int = 0, *, is_page: bool = False) -> str:
        if deeper not in self._converters:
            self._converters[deeper] = HtmlConverter(_from_reports, deeper=deeper)
        page = self._converters[deeper].converted(here.removeprefix(f"{REPORTS}/"), text)
        # The line that leads to other pages is of no use here.
        body = page.body if is_page or not page.ways else f"<p>{page.ways}</p>\n{page.body}"
        for pattern, plainer in _PLAINER:
            body = pattern.sub(plainer, body)
        return _PICTURE.sub(lambda found: self._picture(found[1]), body)

    def _line(self, text: Markdown) -> str:
        """What stands within a block."""
        item = self._rendered(f"# –\n\n{bullets([text])}", "")
        return item[item.index("<li>") + len("<li>") : item.rindex("</li>")]

    def picture(self, path: str) -> None:
        """That at ``path``, relative to the reports."""
        self._parts.append(self._picture(path))

    def _picture(self, path: str) -> str:
        """With names of its own for whatever is named in it, and without its style sheet, which
        would be one of the whole book. Nothing where there is nothing to be seen."""
        page = self._pages_of_pictures.get(path)
        svg = page.text() if page else None
        if svg is None:
            return ""
        self._pictures += 1
        number = self._pictures

        def renamed(found: re.Match[str]) -> str:
            names = " ".join(f"picture{number}-{name}" for name in found[2].split())
            return f' {found[1]}="{names}"'

        svg = _NAMES_IN_PICTURE.sub(renamed, _STYLE_IN_PICTURE.sub("", svg.strip()))
        return f"<figure>{svg}</figure>"


def _from_reports(folder: str, way: str) -> str:
    """Where a link on a page of ``folder`` leads to, both relative to the reports."""
    return unquote(urljoin(f"/{folder}/" if folder else "/", way)).lstrip("/")


def _in_columns(body: str) -> str:
    """Lists as they are, but for those within others, stand in columns."""
    columns = f'<ul class="columns" data-columns="{COLUMNS_OF_LINES}">'
    return re.sub("^<ul>", columns, body, flags=re.M)


def _resolved(link: re.Match[str], anchors: frozenset[str]) -> str:
    """A link within the book, or the words alone."""
    anchor = anchor_of(link[1])
    return f'<a href="#{anchor}">{link[2]}</a>' if anchor in anchors else link[2]


def _asset(name: str) -> str:
    return (resources.files("riesbuch.templates") / name).read_text(encoding="utf-8")
