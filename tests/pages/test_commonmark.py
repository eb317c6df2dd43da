"""Pages read by the reference implementation of CommonMark, as git hosts carry it, with tables,
struck text and addresses made links: it is none of ours, and not the reader that makes our HTML."""

import pytest
from cmarkgfm.cmark import Options, markdown_to_html_with_extensions
from hypothesis import example, given
from markdown_it import MarkdownIt

from riesbuch.pages.markdown import Markdown, bullets, escape, heading, page
from tests.commandline import EXAMPLE
from tests.pages.test_markdown import _Seen, expect_three_in_their_cells, expected, texts

EXTENSIONS = ["table", "strikethrough", "autolink"]


def by_the_reference(markdown: str) -> _Seen:
    parser = _Seen()
    parser.feed(markdown_to_html_with_extensions(markdown, Options.CMARK_OPT_UNSAFE, EXTENSIONS))
    parser.close()
    return parser


@given(texts, texts, texts)
@example("|", "\\", "a\\")
@example("http://example.org", "www.example.org", "a@example.org")
def test_text_stays_in_its_cell(first: str, second: str, title: str) -> None:
    expect_three_in_their_cells(by_the_reference, first, second, title)


@given(texts)
@example("a #")
@example("10. May")
@example("===")
@example("http://example.org")
@example("a@example.org")
def test_text_is_a_heading_a_paragraph_and_an_item(written: str) -> None:
    for markdown, tags in (
        (heading(2, escape(written)), ["h2"]),
        (page([escape(written)]), ["p"] if expected(written) else []),
        (bullets([escape(written)]), ["ul", "li"]),
    ):
        rendered = by_the_reference(markdown)
        assert (rendered.tags, rendered.shown.strip("\n")) == (tags, expected(written))


@pytest.mark.parametrize("written", ["*a*", "<b>", "[a](b)", "http://example.org", "a@example.org"])
def test_it_would_have_noticed(written: str) -> None:
    assert by_the_reference(page([Markdown(written)])).tags != ["p"]


def test_both_readers_see_the_same_on_every_page_of_the_example() -> None:
    paths = sorted((EXAMPLE / "reports").rglob("*.md"))
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    differ = []
    for path in paths:
        text = path.read_text("utf-8")
        ours, reference = _Seen(), by_the_reference(text)
        ours.feed(reader.render(text))
        ours.close()
        if (ours.tags, ours.shown.split()) != (reference.tags, reference.shown.split()):
            differ.append(path.name)
    assert differ == []
    assert len(paths) > 500
