"""The pages as a site: HTML beside a style sheet, a script and a list of names, all in one folder
that needs neither a server nor a network."""

import json
import re
from collections.abc import Iterator
from functools import cached_property
from html import escape
from importlib import metadata, resources
from pathlib import Path
from typing import NamedTuple

from riesbuch.index.store import digest_of
from riesbuch.pages import paths
from riesbuch.pages.html import HtmlConverter, HtmlPage, site_address, site_path
from riesbuch.pages.markdown import plain
from riesbuch.pages.past import Past
from riesbuch.pages.paths import Page
from riesbuch.pages.player import players_with_page
from riesbuch.pages.writer import Place

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
            "nothing": wording.say("Nothing found under this name"),
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
