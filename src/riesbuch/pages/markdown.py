"""Markdown as git hosts show it: CommonMark with tables.

`Markdown` is text that may stand in a page as it is. What comes from the files is plain `str`
and becomes `Markdown` through `escape`, so that the type checker finds what was not escaped.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Generic, NamedTuple, NewType, TypeVar
from urllib.parse import quote

from riesbuch.trade.messages import UNSEEN

Markdown = NewType("Markdown", str)
Row = TypeVar("Row", contravariant=True)

NOTHING = Markdown("")

_UNSEEN = dict.fromkeys(map(ord, UNSEEN), " ")

_ESCAPES = str.maketrans(
    {
        **{mark: "\\" + mark for mark in "\\`*_{}[]<>#!~&"},
        # As references, since hosts look for these two before they look at backslashes.
        "|": "&#124;",
        "$": "&#36;",
    }
)

_BARE_LINK = re.compile(r"(?i)(?<=\w):(?=/)|(?<=www)\.")
# Hosts make links of these, and write to whom is named so, in the text that a reader of Markdown
# has made: only a tag between the characters keeps them apart, and a comment shows nothing.
_MENTION = re.compile(r"(?i)(?:@(?=\w)|\\#(?=\w)|\bGH-(?=[0-9]))")
_NOT_IN_ANCHORS = re.compile(r"[^\w\- ]")
_FEW = 25
_APART = "<!-- -->"
_LIST_MARK = re.compile(r"\A([0-9]{0,9})([-+=.)])")


def plain(written: str) -> str:
    """``written`` on one line: every run of white space and controls is a single space."""
    return " ".join(written.translate(_UNSEEN).split())


@lru_cache(maxsize=16384)
def escape(written: str) -> Markdown:
    """``written`` as Markdown that shows just those characters, wherever it stands."""
    escaped = plain(written).translate(_ESCAPES)
    escaped = _BARE_LINK.sub(lambda found: f"&#{ord(found[0])};", escaped)
    escaped = _MENTION.sub(rf"\g<0>{_APART}", escaped)
    return Markdown(_LIST_MARK.sub(r"\1\\\2", escaped))


def joined(parts: Iterable[Markdown], between: str = ", ") -> Markdown:
    return Markdown(between.join(parts))


def sentences(*parts: Markdown) -> Markdown:
    """Those that say anything, one after the other."""
    return joined(filter(None, parts), " ")


def strong(part: Markdown) -> Markdown:
    """For our own words and figures: emphasis around a name may end where its marks do."""
    return Markdown(f"**{part}**")


def heading(level: int, title: Markdown) -> Markdown:
    return Markdown(f"{'#' * level} {title}")


def bullets(items: Iterable[Markdown]) -> Markdown:
    # An item that begins as in "10. Mai" would begin a list of its own.
    return Markdown("\n".join("- " + _LIST_MARK.sub(r"\1\\\2", item) for item in items))


def link(page: str, target: str, label: Markdown) -> Markdown:
    """A link from ``page`` to ``target``, both given relative to the club folder."""
    return Markdown(f"[{label}]({_way(page.rpartition('/')[0], target)})")


def image(page: str, target: str, sentence: str) -> Markdown:
    """The picture at ``target`` on ``page``; ``sentence`` is for those who do not see it."""
    return Markdown(f"![{escape(sentence)}]({_way(page.rpartition('/')[0], target)})")


@lru_cache(maxsize=16384)
def _way(folder: str, target: str) -> str:
    """The way from ``folder`` to ``target``: `posixpath.relpath` asks where we stand, each time."""
    here, there = folder.split("/") if folder else [], target.split("/")
    shared = 0
    while shared < len(here) and here[shared : shared + 1] == there[shared : shared + 1]:
        shared += 1
    return quote("/".join([*[".."] * (len(here) - shared), *there[shared:]]), safe="/")


class PageColumn(NamedTuple, Generic[Row]):
    """What a table tells of each of its rows; figures stand to the right."""

    title: Markdown
    cell: Callable[[Row], Markdown]
    is_figure: bool = False


def table(
    rows: Iterable[Row], *wanted: PageColumn[Row] | None, closing: Sequence[Markdown] | None = None
) -> Markdown:
    """Nothing where there are no rows; a column that is None is left out. ``closing`` is a line
    below the rows, a cell for each column."""
    columns = [column for column in wanted if column is not None]
    lines = [[column.cell(row) for column in columns] for row in rows]
    if closing is not None:
        lines.append([*closing])
    if not lines:
        return NOTHING
    heads = [
        [column.title for column in columns],
        [Markdown("--:" if column.is_figure else "---") for column in columns],
    ]
    return Markdown("\n".join(f"| {' | '.join(line)} |" for line in (*heads, *lines)))


def stacked(*blocks: Markdown) -> Markdown:
    """The blocks that hold anything, with an empty line between them."""
    return Markdown("\n\n".join(block for block in blocks if block))


def section(level: int, title: Markdown, *blocks: Markdown) -> Markdown:
    """The blocks below their heading; nothing where none holds anything."""
    below = stacked(*blocks)
    return stacked(heading(level, title), below) if below else NOTHING


def chapters(found: Iterable[tuple[Markdown, Markdown]]) -> Markdown:
    """Each text below its title; where there are several, above them what leads to each."""
    titled = list(found)
    marks = joined((Markdown(f"[{title}](#{quote(anchor(title))})") for title, _ in titled), " · ")
    return stacked(
        marks if len(titled) > 1 else NOTHING, *(section(2, title, text) for title, text in titled)
    )


def in_chapters(
    rows: Sequence[Row],
    title: Callable[[Row], Markdown],
    text: Callable[[Sequence[Row]], Markdown],
) -> Markdown:
    """The ``text`` of all rows; of more than a few one for all that stand together under a
    ``title``."""
    if len(rows) <= _FEW:
        return text(rows)
    return chapters((shared, text([*of_it])) for shared, of_it in groupby(rows, title))


def anchor(title: str) -> str:
    """What git hosts call the place of a heading."""
    return _NOT_IN_ANCHORS.sub("", title.strip().lower()).replace(" ", "-")


def page(blocks: Iterable[Markdown]) -> str:
    return stacked(*blocks) + "\n"
