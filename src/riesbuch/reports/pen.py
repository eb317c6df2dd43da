"""What a page is written with: a language, and the register's names."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from riesbuch.archive import Archive
from riesbuch.reports.catalogue import CATALOGUES
from riesbuch.reports.markdown import Markdown, escape, fill
from riesbuch.reports.phrases import Phrases
from riesbuch.trade.ids import ClubId, PlayerId, TeamId
from riesbuch.trade.people import Register


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """Writes names and figures as Markdown; what is unknown is a dash."""

    say: Phrases
    register: Register

    @property
    def unknown(self) -> Markdown:
        return escape(self.say.unknown)

    def team(self, team: TeamId | None) -> Markdown:
        return self.unknown if team is None else escape(self.register.team_name(team))

    def player(self, player: PlayerId) -> Markdown:
        return escape(self.register.player_name(player))

    def club(self, club: str) -> Markdown:
        known = self.register.clubs.get(ClubId(club))
        return escape(known.name if known else club)

    def number(self, number: int | None) -> Markdown:
        return self.unknown if number is None else Markdown(self.say.number(number))

    def ratio(self, ratio: Fraction | None) -> Markdown:
        return self.unknown if ratio is None else Markdown(self.say.ratio(ratio))

    def date(self, date: datetime.date | None) -> Markdown:
        return self.unknown if date is None else Markdown(self.say.on_date(date))

    def counted(self, count: int, one: str, many: str, **parts: Markdown) -> Markdown:
        return fill(one if count == 1 else many, count=self.number(count), **parts)

    def listed(self, parts: Iterable[Markdown]) -> Markdown:
        """``A, B and C``"""
        *front, last = parts
        return Markdown(f"{', '.join(front)}{self.say.list_end}{last}" if front else last)


def pen_for(archive: Archive) -> Pen:
    return Pen(say=CATALOGUES[archive.league.language], register=archive.register)
