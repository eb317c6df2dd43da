"""The Markdown of pages as HTML: what a user wrote is shown as these characters, links stay
within the site, and tables and headings can be reached."""

import sys
from html.parser import HTMLParser

import pytest
from hypothesis import example, given

from riesbuch.pages.html import HtmlConverter, HtmlPage, site_address, site_path
from riesbuch.pages.markdown import (
    Markdown,
    PageColumn,
    bullets,
    escape,
    heading,
    image,
    joined,
    link,
    page,
    table,
)
from riesbuch.trade.problems import RiesbuchError
from tests.pages.test_markdown import expected, texts, words


class _Elements(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.shown = ""
        self.others: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.shown += data

    def handle_comment(self, data: str) -> None:
        self.others.append(data)

    handle_decl = handle_pi = unknown_decl = handle_comment


def elements(html: str) -> _Elements:
    parser = _Elements()
    parser.feed(html)
    parser.close()
    assert not parser.others
    return parser


def converted(*blocks: Markdown, path: str = "a.md") -> HtmlPage:
    return HtmlConverter(site_address).converted(path, page(blocks))


@given(texts, texts)
@example("<script>alert(1)</script>", "](javascript:alert(1))")
@example('"onload="alert(1)', "a@b#1 GH-1")
@example("<!-- riesbuch page 0123456789abcdef -->", "<!-- -->")
def test_what_was_written_is_shown_and_makes_no_element(first: str, second: str) -> None:
    found = converted(
        heading(1, escape(first)),
        Markdown(f"Told: {escape(second)}"),
        heading(2, Markdown(f"Of {escape(first)}")),
        table(
            [first, second],
            PageColumn(escape(second), escape),
            PageColumn(Markdown("n"), escape, is_figure=True),
        ),
        bullets([Markdown(f"Also {escape(second)}"), Markdown("two")]),
    )
    heads = [("td" if not expected(second) else "th"), "th"]
    body = elements(found.body)
    rows = ["tr", "td", "td"] * 2
    assert [tag for tag, _ in body.found] == [
        *("p", "h2", "div", "table", "thead", "tr"), *heads, "tbody", *rows, "ul", "li", "li",
    ]  # fmt: skip
    assert {key for _, attributes in body.found for key in attributes} <= {
        "id", "class", "role", "scope", "tabindex", "aria-labelledby",
    }  # fmt: skip
    one, two = expected(first), expected(second)
    told = f"Told: {two} Of {one} {two} n {one} {one} {two} {two} Also {two} two"
    assert words(" ".join(body.shown.split())) != []
    assert "".join(body.shown.split()) == "".join(told.split())
    assert (found.title, elements(found.heading).shown) == (one, one)
    assert not elements(found.heading).found


@given(texts)
@example("a](b)")
@example("](javascript:alert(1))")
def test_a_link_leads_only_where_it_should(written: str) -> None:
    found = elements(
        converted(
            Markdown("Told"), link("reports/a.md", "reports/b.md", escape(written))
        ).body.partition("</p>")[2]
    )
    assert found.found == [("p", {}), ("a", {"href": "b.html"})]
    assert found.shown.strip() == expected(written)


@given(texts)
def test_a_picture_has_its_sentence(written: str) -> None:
    found = elements(converted(image("reports/a.md", "reports/a.svg", written)).body)
    attributes = {"src": "a.svg", "alt": expected(written)}
    assert found.found == [("p", {}), ("img", attributes)]


@pytest.mark.parametrize(
    ("folder", "way", "address"),
    [
        ("", "README.md", "index.html"),
        ("2026", "../clubs/README.md#a", "../clubs/index.html#a"),
        ("2026/matches", "../../players/readme_.md", "../../players/readme_.html"),
        ("2026/matches", "2026-04-12.svg", "2026-04-12.svg"),
        ("2026", "#totals", "#totals"),
        ("2026", "../../seasons/2026/matches/a.yaml", None),
        ("", "../README.md", None),
        ("2026", "../2026/notes.txt", None),
        ("", "javascript:a.md", None),
        ("", "https://example.org/a.md", None),
        ("", "//example.org/a.md", None),
        ("", "/a.md", None),
    ],
)
def test_what_lies_outside_is_not_linked(folder: str, way: str, address: str | None) -> None:
    assert site_address(folder, way) == address


def test_a_file_outside_is_named_where_it_lies() -> None:
    here = "reports/2026/matches/a.md"
    sheet = link(here, "seasons/2026/matches/ä.yaml", Markdown("Match sheet"))
    found = elements(converted(sheet, Markdown("x"), path="2026/matches/a.md").body)
    assert [tag for tag, _ in found.found] == ["p", "span", "code", "p"]
    assert found.shown.split("\n")[0] == "Match sheet seasons/2026/matches/ä.yaml"


def test_title_ways_and_the_rest_are_told_apart() -> None:
    here = "reports/2026/README.md"
    ways = joined([link(here, "reports/README.md", escape("A [b]")), Markdown("[c](#c)")], " · ")
    found = converted(
        heading(1, Markdown("Season *2026*")), ways, Markdown("First. [d](d.md)"), path="2026/a.md"
    )
    assert found.title == "Season 2026"
    assert found.heading == "Season <em>2026</em>"
    assert found.anchor == "season-2026"
    assert found.ways == '<a href="../index.html">A [b]</a> · <a href="#c">c</a>'
    assert found.description == "First. d"
    assert found.body == '<p>First. <a href="d.html">d</a></p>\n'


def test_a_paragraph_that_says_something_is_no_line_of_ways() -> None:
    found = converted(heading(1, Markdown("a")), Markdown("[b](b.md) · c [d](d.md)"))
    assert found.ways == ""
    assert "<p>" in found.body


def test_headings_have_the_ids_of_a_git_host() -> None:
    titles = ["On this day: 7 June", "Überzählige", "A", "A", "1.1 (2 Nr.)", "The file `a.md`"]
    found = converted(heading(1, Markdown("A")), *(heading(2, Markdown(t)) for t in titles))
    ids = [attributes["id"] for tag, attributes in elements(found.body).found if tag == "h2"]
    assert ids == ["on-this-day-7-june", "überzählige", "a-1", "a-2", "11-2-nr", "the-file-amd"]


def test_headings_of_a_book_are_deeper_and_keep_apart() -> None:
    text = page([heading(1, Markdown("A")), heading(2, Markdown("B"))])
    found = HtmlConverter(site_address, anchors="c1-", deeper=2).converted("a.md", text)
    assert (found.anchor, found.body) == ("c1-a", '<h4 id="c1-b">B</h4>\n')


def test_a_table_scrolls_by_itself_and_says_whose_it_is() -> None:
    column = PageColumn[int](Markdown("n"), lambda row: Markdown(str(row)), is_figure=True)
    found = converted(heading(1, Markdown("A")), table([1], column)).body
    assert found.startswith('<div class="scroll" role="group" aria-labelledby="a" tabindex="0">')
    assert '<th scope="col" class="n">n</th>' in found
    assert '<td class="n">1</td>' in found


def test_without_the_library_the_command_that_gets_it_is_said(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "markdown_it", None)
    with pytest.raises(RiesbuchError, match=r"pip install 'riesbuch\[site\]'"):
        HtmlConverter(site_address)


def test_addresses() -> None:
    assert site_path("README.md") == "index.html"
    assert site_path("players/README.md") == "players/index.html"
    assert site_path("players/a.md") == "players/a.html"
    assert site_path("2026/oberhang-1/README.svg") == "2026/oberhang-1/README.svg"


def test_compact_tables_say_once_which_columns_are_figures() -> None:
    column = PageColumn[int](Markdown("n"), lambda row: Markdown(str(row)), is_figure=True)
    words = PageColumn[int](Markdown("w"), lambda row: Markdown("a|"[:row]))
    text = page([heading(1, Markdown("A")), table([1, 0], words, column)])
    found = HtmlConverter(site_address, compact=True).converted("a.md", text).body
    assert found.partition("<table")[2] == (
        ' class="n2">\n<thead><tr><th scope="col">w<th scope="col">n\n</thead>\n'
        "<tbody><tr><td>a<td>1\n<tr><td><td>0\n</tbody>\n</table></div>\n"
    )
