"""Nothing that stands in a club's files can break a page: held against a CommonMark reader."""

import re
from collections.abc import Callable
from html.parser import HTMLParser

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from riesbuch.pages.markdown import (
    Markdown,
    PageColumn,
    bullets,
    escape,
    heading,
    link,
    page,
    plain,
    strong,
    table,
)

HOSTILE = [
    "|", "||", "\\", "\\|", "`", "``", "*", "_", "**", "[", "]", "(", ")", "<", ">", "&", "#",
    "!", "~", "~~~", "$", "-", "+", "=", "---", ":", "/", "1.", "12)", "1. ", "- ", "> ", "```",
    "<b>", "</td>", "<script>", "<!--", "-->", "&amp;", "&#124;", "[a](b)", "![a](b)", "[^1]",
    "http://example.org", "HTTPS://example.org", "www.example.org", "\n", "\r\n", "\t", "\u2028",
    "\x00", "\x1f", "\u202e", "é", "@", "#1", "GH-1",
    "a/b#1", "javascript:", "<https://example.org>", " ", "a", "B", "9",
]  # fmt: skip
texts = st.one_of(
    st.text(), st.lists(st.sampled_from(HOSTILE), max_size=8).map("".join), st.text("|\\`*_[]<>#!&")
)


class _Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[str] = []
        self.shown = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [f"{name}={value}" for name, value in attrs if name != "style"]

    def handle_data(self, data: str) -> None:
        self.shown += data

    def handle_comment(self, data: str) -> None:
        # What keeps an `@` from a name; every other comment would have slipped in.
        if data != " ":
            self.tags.append("comment")

    def handle_decl(self, decl: str) -> None:
        self.tags.append("declaration")

    def handle_pi(self, data: str) -> None:
        self.tags.append("instruction")


def seen(markdown: str) -> _Seen:
    """What a host makes of it; HTML is let through, so that none slips in unseen."""
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    parser = _Seen()
    parser.feed(reader.render(markdown))
    parser.close()
    return parser


def expected(written: str) -> str:
    """``written`` with white space collapsed. Controls, and the marks that turn the direction
    of a line, count as white space."""
    return re.sub(
        r"[\s\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]+", " ", written
    ).strip()


def words(shown: str) -> list[str]:
    return shown.split(" ") if shown else []


@given(texts)
def test_text_is_told_as_it_was_written_on_one_line(written: str) -> None:
    assert plain(written) == expected(written)


def expect_three_in_their_cells(
    read: Callable[[str], _Seen], first: str, second: str, title: str
) -> None:
    """Two texts and a title, put into a table, are what a reader of Markdown sees in its cells."""
    rendered = read(
        table(
            [(first, second), ("1", "")],
            PageColumn(escape(title), lambda row: escape(row[0])),
            PageColumn(Markdown("n"), lambda row: escape(row[1]), is_figure=True),
        )
    )
    cells = ["tr", "td", "td"]
    assert rendered.tags == ["table", "thead", "tr", "th", "th", "tbody", *cells, *cells]
    lines = [line for line in rendered.shown.split("\n") if line]
    shown = [expected(each) for each in (title, "n", first, second, "1")]
    assert lines == [each for each in shown if each]


@given(texts, texts, texts)
@example("|", "\\", "a\\")
@example("\\|", "`|`", "` |")
def test_text_in_a_table_stays_in_its_cell(first: str, second: str, title: str) -> None:
    expect_three_in_their_cells(seen, first, second, title)


@given(texts, st.integers(min_value=1, max_value=6))
@example("a #", 2)
@example("- a", 1)
def test_text_in_a_heading_is_only_its_title(written: str, level: int) -> None:
    rendered = seen(heading(level, escape(written)))
    assert (rendered.tags, rendered.shown.rstrip("\n")) == ([f"h{level}"], expected(written))


@given(texts)
@example("a](b)")
def test_text_of_a_link_leads_only_where_the_link_does(written: str) -> None:
    rendered = seen(page([link("reports/a.md", "reports/b.md", escape(written))]))
    assert (rendered.tags, rendered.shown.rstrip("\n")) == (["p", "a"], expected(written))
    assert rendered.attributes == ["href=b.md"]


@given(texts)
@example("10. May")
@example("-")
@example("===")
@example("    a")
def test_text_by_itself_is_a_paragraph_and_an_item(written: str) -> None:
    paragraph = seen(page([escape(written)]))
    assert paragraph.tags == (["p"] if expected(written) else [])
    assert paragraph.shown.rstrip("\n") == expected(written)
    item = seen(bullets([escape(written)]))
    assert (item.tags, item.shown.strip("\n")) == (["ul", "li"], expected(written))


@given(texts)
def test_no_address_is_left_that_a_host_makes_a_link_of(written: str) -> None:
    assert not re.search(r"(?i)[a-z0-9]://|www\.", escape(written))


@pytest.mark.parametrize(
    ("start", "target", "destination"),
    [
        ("reports/README.md", "reports/2026/cup/README.md", "2026/cup/README.md"),
        ("reports/2026/matches/a.md", "seasons/2026/matches/a.yaml",
         "../../../seasons/2026/matches/a.yaml"),
        ("reports/2026/cup/README.md", "reports/2026/cup/strikers.md", "strikers.md"),
        ("reports/a.md", "reports/so so (1) ä%|.md", "so%20so%20%281%29%20%C3%A4%25%7C.md"),
    ],
)  # fmt: skip
def test_links_are_relative_to_their_page(start: str, target: str, destination: str) -> None:
    assert link(start, target, Markdown("x")) == f"[x]({destination})"


def test_figures_stand_to_the_right() -> None:
    written = table(
        [("Aarwald", "74")],
        PageColumn(Markdown("Team"), lambda row: Markdown(row[0])),
        PageColumn(Markdown("Points"), lambda row: strong(Markdown(row[1])), is_figure=True),
        closing=[Markdown("All"), Markdown("74")],
    )
    assert written == ("| Team | Points |\n| --- | --: |\n| Aarwald | **74** |\n| All | 74 |")


def test_a_page_has_its_blocks_apart_and_none_that_is_empty() -> None:
    assert page([Markdown("a"), Markdown(""), Markdown("b")]) == "a\n\nb\n"


@pytest.mark.parametrize(
    "written", ["@secretary", "Ruedi @ome/team", "#123", "GH-7", "club/folder#12", "a@example.org"]
)
def test_a_host_writes_to_nobody_and_links_nothing(written: str) -> None:
    """Hosts look for these in the text between two tags, after Markdown has been made HTML."""
    html = MarkdownIt("commonmark", {"html": True}).render(page([escape(written)]))
    mention = r"@\w|#\d|GH-\d"
    assert re.search(mention, written)
    assert not [each for each in re.split("<[^>]*>", html) if re.search(mention, each)]
    assert seen(page([escape(written)])).shown.strip() == written


@pytest.mark.parametrize(
    "written",
    ["[x](javascript:alert)", "<img src=x onerror=y>", "<javascript:x>", "a | b", "[x]: /y"],
)
def test_names_bring_no_link_and_no_tag(written: str) -> None:
    rendered = seen(table([written], PageColumn(escape("n"), escape)))
    assert rendered.tags == ["table", "thead", "tr", "th", "tbody", "tr", "td"]
    assert rendered.attributes == []
    assert written in rendered.shown
