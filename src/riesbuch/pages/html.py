"""Pages as HTML: their Markdown read as a git host reads it, by markdown-it-py.

Only what our pages are made of is read: headings, paragraphs, lists, tables, links, pictures and
emphasis. Everything else is shown as the characters that it is, so that no element and no
attribute comes from what a user wrote.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache
from html import escape
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple
from urllib.parse import unquote

from riesbuch.pages.markdown import Markdown
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
_NO_SLUG = re.compile(r"[^\w\- ]")
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
        anchor = self._anchor(title, slugs)
        body = self._body(tokens, folder, slugs, anchor)
        return HtmlPage(title, description, anchor, heading, ways, body)

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
        """As git hosts name headings: the second of one name gets a number."""
        slug = _NO_SLUG.sub("", text.strip().lower()).replace(" ", "-")
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
