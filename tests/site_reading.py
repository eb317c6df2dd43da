"""Reading a site as a browser does, far enough to hold it against what it must never have."""

import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote

ELEMENTS = {
    "html": {"lang"},
    "head": set(),
    "meta": {"charset", "name", "content"},
    "title": set(),
    "link": {"rel", "href"},
    "script": {"src", "defer"},
    "body": set(),
    "header": set(),
    "nav": {"aria-label", "class"},
    "main": {"id", "tabindex"},
    "a": {"href", "class", "aria-current"},
    "h1": {"id"}, "h2": {"id"}, "h3": {"id"}, "h4": {"id"},
    "p": set(), "ul": set(), "ol": set(), "li": set(), "br": set(), "hr": set(),
    "strong": set(), "em": set(), "code": set(), "span": set(),
    "div": {"class", "role", "tabindex", "aria-labelledby"},
    "table": {"class"}, "thead": set(), "tbody": set(), "tr": set(),
    "th": {"scope"},
    "td": set(),
    "img": {"src", "alt"},
}  # fmt: skip
"""All elements of a page, each with the attributes that it may have."""

OWN_WORDS = {
    "class": {"skip", "ways", "scroll", *(f"n{number}" for number in range(1, 25))},
    "role": {"group"},
    "scope": {"col"},
    "rel": {"stylesheet"},
    "tabindex": {"0", "-1"},
    "aria-current": {"page", "true"},
    "name": {"viewport", "color-scheme", "description", "robots"},
}
"""What may stand in attributes that say what an element is."""


class Page(HTMLParser):
    """What stands on a page of a site. Fails on elements and attributes that none has."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.ids: list[str] = []
        self.labelled: list[str] = []
        self.headings: list[int] = []
        self.metas: dict[str, str] = {}
        self.alts: list[str] = []
        self.language = ""
        self.text = ""
        self.title = ""
        self.comments: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert not self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = {key: value or "" for key, value in attrs}
        assert len(attributes) == len(attrs)
        assert set(attributes) <= ELEMENTS[tag], (tag, attributes)
        for key, value in attributes.items():
            assert set(value.split()) <= OWN_WORDS.get(key, {*value.split()}), (tag, key, value)
        self.links += [attributes[key] for key in ("href", "src") if key in attributes]
        self.ids += [attributes["id"]] if "id" in attributes else []
        self.labelled += filter(None, [attributes.get("aria-labelledby")])
        if re.fullmatch("h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "meta" and "name" in attributes:
            self.metas[attributes["name"]] = attributes["content"]
        if tag == "img":
            self.alts.append(attributes["alt"])
        self.language = attributes.get("lang", self.language)
        if tag in ("td", "th", "tr") and self._open[-1] in ("td", "th"):
            self._open.pop()
        if tag in ("tr", "li") and self._open[-1] == tag:
            self._open.pop()
        if tag not in ("meta", "link", "img", "br", "hr"):
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        # Of rows, cells and entries of lists the end may be left out.
        while tag in ("thead", "tbody", "ul", "ol") and self._open[-1] != tag:
            assert self._open.pop() in ("td", "th", "tr", "li")
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "title" in self._open:
            self.title += data
        else:
            self.text += data

    def handle_comment(self, data: str) -> None:
        self.comments.append(data)

    def unknown_decl(self, data: str) -> None:
        raise AssertionError(data)

    handle_pi = unknown_decl


def read_site(site: Path) -> dict[str, Page]:
    """The site's pages by path, after all that holds for any of them was looked at: it has no
    element and no attribute that a page cannot have, one h1 and no heading left out below it, no
    id twice; every link leads to a file of the site, to an id that is there."""
    pages = {
        path.relative_to(site).as_posix(): Page(path.read_text(encoding="utf-8"))
        for path in sorted(site.rglob("*.html"))
    }
    assert pages
    for path, page in pages.items():
        _look_at(path, page)
        for link in page.links:
            assert not re.match(r"[a-zA-Z][a-zA-Z0-9+.-]*:|/", link), (path, link)
            way, mark, fragment = link.partition("#")
            target = path
            if way:
                leads = ((site / path).parent / unquote(way)).resolve()
                assert leads.is_relative_to(site.resolve()), (path, link)
                assert leads.is_file(), (path, link)
                target = leads.relative_to(site.resolve()).as_posix()
            if mark:
                assert unquote(fragment) in pages[target].ids, (path, link)
    return pages


def _look_at(path: str, page: Page) -> None:
    assert page.headings[0] == 1, path
    assert page.headings.count(1) == 1, path
    deeper = zip(page.headings, page.headings[1:], strict=False)
    assert all(later <= earlier + 1 for earlier, later in deeper), (path, page.headings)
    assert len(page.ids) == len(set(page.ids)), path
    assert set(page.labelled) <= set(page.ids), path
    assert all(page.alts), path
    assert page.title.strip(), path
    assert page.metas["description"], path
    assert page.metas["viewport"].startswith("width=device-width")
    (mark,) = page.comments
    assert mark.startswith(" riesbuch page ")
