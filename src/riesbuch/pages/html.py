"""Pages as HTML: their Markdown read as a git host reads it, by markdown-it-py.

Only what our pages are made of is read: headings, paragraphs, lists, tables, links, pictures and
emphasis. Everything else is shown as the characters that it is, so that no element and no
attribute comes from what a user wrote.

As a site they lie beside a style sheet, a script and a list of names, all in one folder that needs
neither a server nor a network.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property, lru_cache
from html import escape
from importlib import metadata, resources
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import unquote

from riesbuch.index.store import digest_of
from riesbuch.pages import paths
from riesbuch.pages.markdown import Markdown, anchor, plain
from riesbuch.pages.past import Past
from riesbuch.pages.paths import Page
from riesbuch.pages.player import players_with_page
from riesbuch.pages.writer import Place
from riesbuch.trade.problems import RiesbuchError

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

Address = Callable[[str, str], str | None]
"""What a link or picture of a page leads to, by the page's folder, relative to the reports and
empty for themselves, and by the way that the page says; None where nothing is to be led to."""

_COMMENT = re.compile(r"<!-- (?:riesbuch page [0-9a-f]{16} )?-->")
"""What `markdown.escape` puts between characters, and a page's mark: no user's text has it."""
_BETWEEN_WAYS = re.compile(r"\)\s+·\s+\[")
_ONLY_WAYS = re.compile(r"\[(?:[^\[\]]|\\[\[\]])*\]\([^()\s]*\)")
_BLOCKS = ["table", "heading", "list", "hr"]
_WITHIN = ["emphasis", "balance_pairs", "link", "image", "escape", "entity", "backticks"]


class HtmlPage(NamedTuple):
    """A page taken apart. ``title`` and ``description`` are plain text, ``anchor`` is the id of the
    h1, the others are HTML: ``heading`` what stands in the h1, ``ways`` the line of links below
    it, ``body`` the rest."""

    title: str
    description: str
    anchor: str
    heading: str
    ways: str
    body: str


class HtmlConverter:
    """Converts pages of one site or book. Raises RiesbuchError where markdown-it-py is missing.

    ``anchors`` stands before each heading's id, which is else that of a git host; headings are
    ``deeper`` levels down. Cells of figures are of the class `n`; ``compact`` tables say instead
    which of their columns are figures, by the classes `n1`, `n2`, and leave out the end tags that
    HTML does without.
    """

    def __init__(
        self, address: Address, anchors: str = "", deeper: int = 0, *, compact: bool = False
    ) -> None:
        try:
            from markdown_it import MarkdownIt
        except ModuleNotFoundError:
            raise RiesbuchError(
                "HTML is made with markdown-it-py, which is not installed; type"
                " `pip install 'riesbuch[site]'`"
            ) from None
        self._address = address
        self._anchors = anchors
        self._deeper = deeper
        self._compact = compact
        # The same cells stand on many pages, so what is within a block is read by itself, once.
        self._blocks = MarkdownIt("zero").enable(_BLOCKS)
        self._blocks.core.ruler.enableOnly(["normalize", "block"])
        self._inline: MarkdownIt = MarkdownIt("zero").enable(_WITHIN)
        self._line = lru_cache(maxsize=65536)(self._converted_line)

    def converted(self, path: str, text: str) -> HtmlPage:
        """The page at ``path``, relative to the reports, from its Markdown."""
        folder = path.rpartition("/")[0]
        tokens = self._blocks.parse(_COMMENT.sub("", text))
        title = heading = ways = ""
        if [token.type for token in tokens[:2]] == ["heading_open", "inline"]:
            heading, title = self._line(tokens[1].content, folder)
            tokens = tokens[3:]
            if [token.type for token in tokens[:2]] == ["paragraph_open", "inline"] and _is_ways(
                tokens[1].content
            ):
                ways, _ = self._line(tokens[1].content, folder)
                tokens = tokens[3:]
        description = next(
            (
                self._line(inline.content, folder)[1]
                for opening, inline in pairwise(tokens)
                if opening.type == "paragraph_open" and not inline.content.startswith("![")
            ),
            "",
        )
        slugs: dict[str, int] = {}
        top = self._anchor(title, slugs)
        body = self._body(tokens, folder, slugs, top)
        return HtmlPage(title, description, top, heading, ways, body)

    def plain(self, line: Markdown) -> str:
        """What a line of Markdown shows."""
        return self._line(line, "")[1]

    def _body(
        self, tokens: Sequence[Token], folder: str, slugs: dict[str, int], nearest: str
    ) -> str:
        """The blocks below the h1; ``nearest`` is the anchor of the last heading."""
        parts: list[str] = []
        for at, token in enumerate(tokens):
            kind, tag = token.type, token.tag
            if kind == "inline":
                parts.append(self._line(token.content, folder)[0])
            elif token.hidden:
                continue
            elif kind == "heading_open":
                nearest = self._anchor(self._line(tokens[at + 1].content, folder)[1], slugs)
                parts.append(f'<{self._deeper_tag(tag)} id="{escape(nearest)}">')
            elif kind == "heading_close":
                parts.append(f"</{self._deeper_tag(tag)}>\n")
            elif kind == "table_open":
                label = f'role="group" aria-labelledby="{escape(nearest)}" tabindex="0"'
                columns = f' class="{_figure_columns(tokens, at)}"' if self._compact else ""
                parts.append(f'<div class="scroll" {label}><table{columns}>\n')
            elif kind == "table_close":
                parts.append("</table></div>\n")
            elif kind in ("th_open", "td_open"):
                # An empty head is no head.
                is_head = kind == "th_open" and tokens[at + 1].content
                figure = ' class="n"' if _is_figure(token) and not self._compact else ""
                parts.append(f'<th scope="col"{figure}>' if is_head else f"<td{figure}>")
            elif kind in ("th_close", "td_close"):
                is_head = kind == "th_close" and tokens[at - 1].content
                if not self._compact:
                    parts.append("</th>" if is_head else "</td>")
            elif kind in ("tr_close", "list_item_close"):
                parts.append("\n" if self._compact else f"</{tag}>\n")
            elif token.nesting == 1:
                parts.append(f"<{tag}>")
            elif token.nesting == -1:
                parts.append(f"</{tag}>\n")
            else:
                parts.append(f"<{tag}>\n")
        return "".join(parts)

    def _deeper_tag(self, tag: str) -> str:
        return f"h{min(int(tag[1:]) + self._deeper, 6)}"

    def _anchor(self, text: str, slugs: dict[str, int]) -> str:
        """The second heading of one name gets a number."""
        slug = anchor(text)
        number = slugs.setdefault(slug, 0)
        slugs[slug] += 1
        return f"{self._anchors}{slug}-{number}" if number else self._anchors + slug

    def _converted_line(self, content: str, folder: str) -> tuple[str, str]:
        """What stands within a block as HTML, and as plain text."""
        (line,) = self._inline.parseInline(content)
        parts: list[str] = []
        shown: list[str] = []
        behind: list[str] = []
        for token in line.children or ():
            kind = token.type
            if kind == "text":
                parts.append(escape(token.content, quote=False))
                shown.append(token.content)
            elif kind == "link_open":
                way = str(token.attrs["href"])
                address = self._address(folder, way)
                if address is None:
                    parts.append("<span>")
                    behind.append(f"</span> <code>{escape(_file_of(way))}</code>")
                else:
                    parts.append(f'<a href="{escape(address)}">')
                    behind.append("</a>")
            elif kind == "link_close":
                parts.append(behind.pop())
            elif kind == "image":
                address = self._address(folder, str(token.attrs["src"]))
                if address is not None:
                    parts.append(f'<img src="{escape(address)}" alt="{escape(_alt(token))}">')
            elif kind in ("softbreak", "hardbreak"):
                parts.append("\n" if kind == "softbreak" else "<br>")
                shown.append(" ")
            elif kind == "code_inline":
                parts.append(f"<code>{escape(token.content, quote=False)}</code>")
                shown.append(token.content)
            else:
                parts.append(f"<{'/' if token.nesting < 0 else ''}{token.tag}>")
        return "".join(parts), "".join(shown)


def _is_figure(cell: Token) -> bool:
    return "right" in str(cell.attrs.get("style", ""))


def _figure_columns(tokens: Sequence[Token], table: int) -> str:
    """The classes of the table whose first token is the one of that number."""
    heads: list[bool] = []
    for token in tokens[table:]:
        if token.type == "thead_close":
            break
        if token.type == "th_open":
            heads.append(_is_figure(token))
    return " ".join(f"n{number}" for number, figure in enumerate(heads, start=1) if figure)


def _is_ways(content: str) -> bool:
    """Whether a paragraph is nothing but links."""
    return all(_ONLY_WAYS.fullmatch(way) for way in _BETWEEN_WAYS.sub(")\n[", content).split("\n"))


def _alt(picture: Token) -> str:
    # Escaped characters are tokens of their own here in versions up to 4.2.
    kinds = ("text", "text_special")
    return "".join(token.content for token in picture.children or () if token.type in kinds)


def _file_of(way: str) -> str:
    """The file that a way leads to, from the club folder on."""
    return re.sub(r"\A(?:\.\./)+", "", unquote(way.partition("#")[0]))


def site_address(folder: str, way: str) -> str | None:
    """Where ``way`` leads within a site: to what lies in the reports, and nowhere else."""
    file, mark, fragment = way.partition("#")
    if not file:
        return way
    steps = folder.split("/") if folder else []
    for step in file.split("/"):
        if step == ".." and not steps:
            return None
        if step == "..":
            steps.pop()
        else:
            steps.append(step)
    if ":" in file or file.startswith("/") or not file.endswith((".md", ".svg")):
        return None
    return site_path(file) + mark + fragment


def site_path(path: str) -> str:
    """A page's own address, or a picture's, in a site."""
    if not path.endswith(".md"):
        return path
    stem = path.removesuffix(".md")
    return (stem[: -len("README")] + "index" if stem.rpartition("/")[2] == "README" else stem) + (
        ".html"
    )


STYLE, SCRIPT, NAMES = "style.css", "site.js", "names.js"
_OWN = "|".join(map(re.escape, ("index.html", STYLE, SCRIPT, NAMES)))
_FOLDERS = "[0-9]{4}|clubs|players|history"
_LONGEST_DESCRIPTION = 200


class Frame(NamedTuple):
    """What stands around every page. ``nav`` leads to the pages of that path, with their titles;
    ``is_hidden`` from machines that search the web."""

    language: str
    league: str
    skip: str
    nav_label: str
    ways_label: str
    nav: tuple[tuple[str, str], ...]
    is_hidden: bool


class Site:
    """A site in ``folder``. Raises RiesbuchError where markdown-it-py is missing."""

    def __init__(self, folder: Path) -> None:
        self.place = Place(
            folder=folder,
            files=re.compile(rf"(?:{_OWN}|(?:{_FOLDERS})/.*\.(?:html|svg))"),
            folders=re.compile(_FOLDERS),
            telling=re.compile(r"clubs/(?!index\.)[^/]+\.html|[0-9]{4}/matches/.*\.html"),
        )
        self._converter = HtmlConverter(site_address, compact=True)

    @cached_property
    def signature(self) -> bytes:
        """A digest of what makes the HTML, beside the code."""
        version = metadata.version("markdown-it-py")
        return digest_of(version.encode(), *(_template(name).encode() for name in (STYLE, SCRIPT)))

    def frame(self, past: Past) -> Frame:
        wording = past.wording
        nav = [
            (paths.CLUBS_PAGE, wording.say("Clubs"), bool(wording.register.clubs)),
            (paths.PLAYERS_PAGE, wording.say("Players"), bool(players_with_page(past))),
            (paths.HISTORY_PAGE, wording.say("History"), bool(past.overview)),
        ]
        return Frame(
            language=wording.words.language,
            league=plain(wording.league),
            skip=wording.say("To the content"),
            nav_label=wording.say("Main pages"),
            ways_label=wording.say("Where this page belongs"),
            nav=tuple((_path(page), title) for page, title, is_there in nav if is_there),
            is_hidden=wording.publishing.minors == "hidden",
        )

    def page(self, frame: Frame, page: Page) -> Page:
        """The page as it is in the site; pictures stay as they are."""
        if not page.path.endswith(".md"):
            return page

        def made() -> str | None:
            text = page.text()
            return None if text is None else self._framed(frame, page.path, text)

        return Page(site_path(page.path), made)

    def assets(self, past: Past) -> Iterator[Page]:
        yield Page(STYLE, lambda: _template(STYLE))
        yield Page(SCRIPT, lambda: self._script(past))
        yield Page(NAMES, lambda: self._names(past))

    def _script(self, past: Past) -> str:
        wording = past.wording
        words = {
            "find": wording.say("Find a club, a player or a season"),
            "nothing": wording.say("Nothing has this name"),
            "one": wording.say("1 found"),
            "many": wording.say("{count} found"),
        }
        return f"const words = {json.dumps(words)};\n{_template(SCRIPT)}"

    def _names(self, past: Past) -> str:
        """What can be found: whatever has a page, by the name that it has there."""
        wording = past.wording
        found = [
            *((wording.club(str(club)), paths.club_page(club)) for club in wording.register.clubs),
            *(
                (wording.player(player, wording.newest), paths.player_page(player))
                for player in players_with_page(past)
            ),
            *(
                (wording.season_title(year), paths.season_page(year))
                for year in sorted({known.season for known in past.overview}, reverse=True)
            ),
        ]
        lines = [
            json.dumps([self._converter.plain(name), site_path(_path(page))])
            for name, page in found
        ]
        return "names([\n" + ",\n".join(lines) + "\n]);\n"

    def _framed(self, frame: Frame, path: str, text: str) -> str:
        html = self._converter.converted(path, text)
        up = "../" * path.count("/")
        title = html.title if html.title == frame.league else f"{html.title} – {frame.league}"
        head = [
            '<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f"<title>{escape(title)}</title>",
            f'<meta name="description" content="{escape(_shortened(html.description or title))}">',
        ]
        if frame.is_hidden or path.startswith("players/"):
            head.append('<meta name="robots" content="noindex">')
        head += [
            f'<link rel="stylesheet" href="{up}{STYLE}">',
            f'<script src="{up}{SCRIPT}" defer></script>',
        ]
        lines = [
            "<!DOCTYPE html>",
            f'<html lang="{frame.language}">',
            *("<head>", *head, "</head>"),
            "<body>",
            f'<a class="skip" href="#page.">{escape(frame.skip)}</a>',
            f'<header><nav aria-label="{escape(frame.nav_label)}">',
            *self._navigation(frame, path, up),
            "</nav></header>",
            '<main id="page." tabindex="-1">',
            *_heading(frame, html),
            f"{html.body}</main>",
            "</body>",
            "</html>",
        ]
        return "\n".join(lines) + "\n"

    def _navigation(self, frame: Frame, path: str, up: str) -> Iterator[str]:
        for target, label in (("README.md", frame.league), *frame.nav):
            here = ""
            if path == target:
                here = ' aria-current="page"'
            elif "/" in target and path.startswith(target.removesuffix("README.md")):
                here = ' aria-current="true"'
            yield f'<a href="{up}{site_path(target)}"{here}>{escape(label)}</a>'


def _heading(frame: Frame, html: HtmlPage) -> Iterator[str]:
    yield f'<h1 id="{escape(html.anchor)}">{html.heading}</h1>'
    if html.ways:
        yield f'<nav class="ways" aria-label="{escape(frame.ways_label)}">{html.ways}</nav>'


def _path(page: str) -> str:
    return page.removeprefix(f"{paths.REPORTS}/")


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_DESCRIPTION else text[:_LONGEST_DESCRIPTION] + "…"


def _template(name: str) -> str:
    return (resources.files("riesbuch.templates") / "site" / name).read_text(encoding="utf-8")
