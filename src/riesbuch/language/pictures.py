"""What pictures say, in the languages of the reports."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from riesbuch.trade.ids import Language


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWords:
    """``thousands`` parts the thousands of a number, ``list_end`` goes before the last of a
    list. Gaps in braces in the words are filled by the pictures; what ends in ``_one`` is said
    of a single thing, what ends in ``_many`` of any other number."""

    thousands: str
    list_end: str

    def number(self, number: int) -> str:
        return f"{number:,}".replace(",", self.thousands)

    def figure_of(self, figure: int | Fraction) -> str:
        """A count as it is, an average with two decimals, a half rounded up."""
        if isinstance(figure, int):
            return self.number(figure)
        above, below = abs(figure.numerator), figure.denominator
        hundredths = (200 * above + below) // (2 * below)
        sign = "−" if figure < 0 and hundredths else ""
        return f"{sign}{self.number(hundredths // 100)}.{hundredths % 100:02d}"

    def listed(self, parts: Iterable[str]) -> str:
        *most, last = parts
        return f"{', '.join(most)}{self.list_end}{last}" if most else last

    def counted(self, one: str, many: str, count: int) -> str:
        return (one if count == 1 else many).format(count=self.number(count))


@dataclass(frozen=True, slots=True, kw_only=True)
class StripWords(PictureWords):
    """``metres`` has a gap {metres}; ``average`` {average}; ``most`` {zone} and {count}; the
    counts have {count}. ``beyond`` has a gap {zone}: the first of those put together.
    ``key`` says what the bars and their numbers are."""

    strikes_one: str
    strikes_many: str
    nummern_one: str
    nummern_many: str
    nothing_one: str
    nothing_many: str
    unknown_one: str
    unknown_many: str
    key: str
    average: str
    most: str
    beyond: str
    metres: str
    zone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonCourseWords(PictureWords):
    """``after`` has a gap {round}; ``placed`` {team}, {rank} and {points}; ``placed_only`` {team}
    and {rank}; ``course`` {team} and {ranks}. ``unknown`` stands for a rank nobody knows."""

    round: str
    rank_points: str
    after: str
    placed: str
    placed_only: str
    course: str
    unknown: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CareerWords(PictureWords):
    """``figure`` names what is drawn, as in "points a strike"; ``season`` has gaps {year} and
    {figure}; ``span`` {first}, {last} and {count}; ``span_one`` {first}; ``best`` and ``latest``
    {year} and {figure}; ``gaps`` {years}; the matches {count}."""

    figure: str
    season: str
    span_one: str
    span: str
    best: str
    latest: str
    gaps: str
    matches_one: str
    matches_many: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchCourseWords(PictureWords):
    """``ries`` has a gap {number}; ``course`` {name} and {totals}; ``no_course`` {name};
    ``lead`` {name}, {points} and {number}; ``level`` {number}; the counts {count}."""

    ries: str
    course: str
    no_course: str
    points_one: str
    points_many: str
    nummern_one: str
    nummern_many: str
    lead: str
    level: str


STRIP_EN = StripWords(
    thousands=",", list_end=" and ",
    strikes_one="{count} strike", strikes_many="{count} strikes",
    nummern_one="{count} Nummer", nummern_many="{count} Nummern",
    nothing_one="{count} worth nothing", nothing_many="{count} worth nothing",
    unknown_one="{count} more of unknown points", unknown_many="{count} more of unknown points",
    key="Strikes that reached each zone of 10 m; 0 is worth nothing",
    average="{average} points a strike", most="most often zone {zone} ({count})",
    beyond="{zone}+", metres="{metres} m", zone="Zone {zone}",
)  # fmt: skip
STRIP_DE = StripWords(
    thousands="’", list_end=" und ",
    strikes_one="{count} Streich", strikes_many="{count} Streiche",
    nummern_one="{count} Nummer", nummern_many="{count} Nummern",
    nothing_one="{count} Nuller", nothing_many="{count} Nuller",
    unknown_one="{count} weiterer, Punkte unbekannt",
    unknown_many="{count} weitere, Punkte unbekannt",
    key="Streiche in jedes Feld von 10 m; 0 ist ein Nuller",
    average="{average} Punkte pro Streich", most="am häufigsten Feld {zone} ({count})",
    beyond="{zone}+", metres="{metres} m", zone="Feld {zone}",
)  # fmt: skip
SEASON_EN = SeasonCourseWords(
    thousands=",", list_end=" and ", round="Round", rank_points="Rank points",
    after="After round {round}", placed="{team}: rank {rank}, {points} rank points",
    placed_only="{team}: rank {rank}", course="{team}: ranks after each round {ranks}",
    unknown="–",
)  # fmt: skip
SEASON_DE = SeasonCourseWords(
    thousands="’", list_end=" und ", round="Runde", rank_points="Rangpunkte",
    after="Nach Runde {round}", placed="{team}: Rang {rank}, {points} Rangpunkte",
    placed_only="{team}: Rang {rank}", course="{team}: Ränge nach jeder Runde {ranks}",
    unknown="–",
)  # fmt: skip
CAREER_EN = CareerWords(
    thousands=",", list_end=" and ", figure="Points a strike", season="{year}: {figure}",
    span_one="one season, {first}", span="{count} seasons from {first} to {last}",
    best="best {figure} in {year}", latest="{figure} in {year}, the latest",
    gaps="no figures for {years}",
    matches_one="{count} match", matches_many="{count} matches",
)  # fmt: skip
CAREER_DE = CareerWords(
    thousands="’", list_end=" und ", figure="Punkte pro Streich", season="{year}: {figure}",
    span_one="eine Saison, {first}", span="{count} Saisons von {first} bis {last}",
    best="am besten {year} mit {figure}", latest="zuletzt {year} mit {figure}",
    gaps="keine Angaben für {years}",
    matches_one="{count} Spiel", matches_many="{count} Spiele",
)  # fmt: skip
MATCH_EN = MatchCourseWords(
    thousands=",", list_end=" and ", ries="Ries {number}",
    course="{name}: {totals} points from Ries to Ries", no_course="{name}: course unknown",
    points_one="{count} point", points_many="{count} points",
    nummern_one="{count} Nummer conceded", nummern_many="{count} Nummern conceded",
    lead="{name} leads by {points} after Ries {number}", level="Level after Ries {number}",
)  # fmt: skip
MATCH_DE = MatchCourseWords(
    thousands="’", list_end=" und ", ries="{number}. Ries",
    course="{name}: von Ries zu Ries {totals} Punkte", no_course="{name}: Verlauf unbekannt",
    points_one="{count} Punkt", points_many="{count} Punkte",
    nummern_one="{count} Nummer erhalten", nummern_many="{count} Nummern erhalten",
    lead="{name} führt nach dem {number}. Ries mit {points}",
    level="Nach dem {number}. Ries gleichauf",
)  # fmt: skip


class DrawingWords(NamedTuple):
    """The words of each kind of picture, and the titles they have, with gaps in braces."""

    strip: StripWords
    season: SeasonCourseWords
    career: CareerWords
    match: MatchCourseWords
    strip_title: str
    season_title: str
    career_title: str
    match_title: str


DRAWING_WORDS: Mapping[Language, DrawingWords] = MappingProxyType(
    {
        "en": DrawingWords(
            STRIP_EN, SEASON_EN, CAREER_EN, MATCH_EN,
            strip_title="{name}: where the strikes came down",
            season_title="{name}: place after each round",
            career_title="{name}: points a strike, season by season",
            match_title="{home} – {away}: Ries by Ries",
        ),
        "de": DrawingWords(
            STRIP_DE, SEASON_DE, CAREER_DE, MATCH_DE,
            strip_title="{name}: wo die Streiche hinkamen",
            season_title="{name}: Rang nach jeder Runde",
            career_title="{name}: Punkte pro Streich, Saison für Saison",
            match_title="{home} – {away}: Ries für Ries",
        ),
    }
)  # fmt: skip
