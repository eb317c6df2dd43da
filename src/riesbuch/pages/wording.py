"""What a page is written with: a language, and the register's names."""

import datetime
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from riesbuch.folder.archive import Archive
from riesbuch.language.page_phrases import Phrases, PhrasesOfThePast
from riesbuch.language.pages import CATALOGUES, CATALOGUES_OF_THE_PAST
from riesbuch.language.pictures import DRAWING_WORDS, DrawingWords
from riesbuch.pages.markdown import Markdown, escape, fill, link, plain
from riesbuch.pages.paths import club_page, player_page
from riesbuch.text.league import Publishing
from riesbuch.trade.ids import ClubId, PlayerId, TeamId
from riesbuch.trade.names import is_minor, is_private, naming_in_text, public_name
from riesbuch.trade.people import Register
from riesbuch.trade.standings import at_least


@dataclass(frozen=True, kw_only=True)
class Pen:
    """Writes names and figures as Markdown; what is unknown is a dash.

    ``newest`` is the last season on record, by which it is told who is a child now."""

    say: Phrases
    past: PhrasesOfThePast
    drawing: DrawingWords
    register: Register
    publishing: Publishing = field(default_factory=Publishing)
    newest: int = 0

    @property
    def unknown(self) -> Markdown:
        return escape(self.say.unknown)

    def team(self, team: TeamId | str | None, here: str | None = None) -> Markdown:
        """The team's name; on the page ``here`` a link to its club."""
        if team is None:
            return self.unknown
        name = escape(self.register.team_name(TeamId(team)))
        club = ClubId(team.rpartition("-")[0])
        if here is None or club not in self.register.clubs or here == club_page(club):
            return name
        return link(here, club_page(club), name)

    def player(self, player: PlayerId | str, season: int, here: str | None = None) -> Markdown:
        """The player as one of ``season`` may be named; on the page ``here`` a link to the
        player's own page. All pages get their people's names here."""
        player = PlayerId(player)
        told = self.name(player, season)
        name = escape(self.say.somebody if told is None else told)
        if told != self.register.player_name(player) or here in (None, player_page(player)):
            return name
        return link(here or "", player_page(player), name) if self.publishing.players else name

    def name(self, player: PlayerId, season: int) -> str | None:
        """The name by which one of ``season`` may be told of; None where there is none."""
        return public_name(self.register, player, season, self.publishing.minors)

    def has_page(self, player: PlayerId | str) -> bool:
        """Whether a player, who is on record, has a page. It would name a child in its path."""
        player = PlayerId(player)
        is_named = self.publishing.minors == "full-name" or not is_minor(
            self.register, player, self.newest
        )
        return self.publishing.players and is_named and not is_private(self.register, player)

    def text(self, written: str) -> Markdown:
        """What somebody wrote in their own words, without the names of those who are private."""
        if self._private_names is None:
            return escape(written)
        composed = unicodedata.normalize("NFC", plain(written))
        return escape(self._private_names.sub(self.say.somebody, composed))

    @cached_property
    def _private_names(self) -> re.Pattern[str] | None:
        return naming_in_text(each for each in self.register.players.values() if each.private)

    def club(self, club: str, here: str | None = None) -> Markdown:
        known = self.register.clubs.get(ClubId(club))
        if known is None:
            return escape(club)
        name = escape(known.name)
        return name if here in (None, club_page(club)) else link(here or "", club_page(club), name)

    def number(self, number: int | None) -> Markdown:
        return self.unknown if number is None else Markdown(self.say.number(number))

    def at_least(self, known: int, unknown: int) -> Markdown:
        """A sum of what is known, marked where ``unknown`` more are missing in it."""
        return Markdown(at_least(self.say.number(known), unknown))

    def ratio(self, ratio: Fraction | None) -> Markdown:
        return self.unknown if ratio is None else Markdown(self.say.ratio(ratio))

    def average(self, points: int, strikes: int) -> Markdown:
        return self.ratio(Fraction(points, strikes) if strikes else None)

    def date(self, date: datetime.date | str | None) -> Markdown:
        if isinstance(date, str):
            date = datetime.date.fromisoformat(date)
        return self.unknown if date is None else Markdown(self.say.on_date(date))

    def counted(self, count: int, one: str, many: str, **parts: Markdown) -> Markdown:
        return fill(one if count == 1 else many, count=self.number(count), **parts)

    def listed(self, parts: Iterable[Markdown]) -> Markdown:
        """``A, B and C``"""
        *front, last = parts
        return Markdown(f"{', '.join(front)}{self.say.list_end}{last}" if front else last)

    def pair(self, first: int | None, second: int | None) -> Markdown:
        """``3 : 1``"""
        if first is None and second is None:
            return self.unknown
        return Markdown(f"{self.number(first)} : {self.number(second)}")


def pen_for(archive: Archive) -> Pen:
    return Pen(
        say=CATALOGUES[archive.league.language],
        past=CATALOGUES_OF_THE_PAST[archive.league.language],
        drawing=DRAWING_WORDS[archive.league.language],
        register=archive.register,
        publishing=archive.league.publishing,
        newest=max(archive.seasons, default=0),
    )
