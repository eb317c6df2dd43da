"""Finding people, clubs, days and whatever sheets say in words, however it was written."""

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cache, cached_property, partial
from sqlite3 import Connection

from riesbuch.folder.club_folder import Kind, season_path
from riesbuch.language.catalogue import MONTHS, catalogue
from riesbuch.language.naming import SOURCES
from riesbuch.questions.match_lines import number_of
from riesbuch.questions.who import player_marks
from riesbuch.trade.messages import translated
from riesbuch.trade.problems import nothing_to_look_for

_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d"})
_WORD = re.compile(r"[^\W_]+")
_LEAST_LETTERS = 4


class Likeness(IntEnum):
    """How a text has the words that were asked for, the best first."""

    EXACT = 0
    """They are the whole text, in whatever order."""
    WORDS = 1
    """Each is a word of the text."""
    BEGINNING = 2
    """Each begins a word of the text."""
    WITHIN = 3
    """Each stands somewhere in the text."""
    SLIP = 4
    """Some differ by one letter from a word of the text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hit:
    """``text`` has the words; ``name`` is what the thing is called now. ``path`` is a file of the
    register; ``sheets`` are all that say the text, by date, ``paths`` the files of what is handed
    down that do. Of the kind ``date`` the text is a
    year, a month or a day."""

    kind: str
    likeness: Likeness
    text: str
    name: str
    identifier: str | None = None
    path: str | None = None
    sheets: tuple[str, ...] = ()
    paths: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchResult:
    """``players``, ``clubs`` and ``matches`` say among how many was looked."""

    hits: tuple[Hit, ...]
    players: int
    clubs: int
    matches: int
    strike_by_strike: int


_COLUMNS: Mapping[str, str] = {
    "weather": "weather", "referee": "referees", "note": "notes", "doubt": "doubts",
    "source": "source", "reference": "reference", "transcriber": "transcribed_by",
}  # fmt: skip
"""What sheets say in words, by its kind; the grounds, which clubs say too, aside."""
_LISTS = ("referees", "doubts")
KINDS = (
    "player", "club", "team", "competition", "handed-down", "date", "ground", *_COLUMNS, "ruling",
)  # fmt: skip


def plain(text: str) -> str:
    """The text's words in small letters without accents: ``Rüedi Äbi`` is ``ruedi abi``."""
    lower = text.lower()
    if not lower.isascii():
        # A letter such as a mathematical A becomes a capital only by taking it apart.
        lower = unicodedata.normalize("NFKD", lower.translate(_LETTERS)).lower()
        lower = "".join(letter for letter in lower if not unicodedata.combining(letter))
        lower = lower.translate(_LETTERS)
    lower = lower.replace("'", "").replace("’", "")
    return " ".join(_WORD.findall(lower))


def merged(words: str) -> str:
    """ä, ae and a are one, as are ö and ü: ``ruedi abi`` and ``rudi aebi`` are ``rudi abi``."""
    return words.replace("ae", "a").replace("oe", "o").replace("ue", "u")


def one_edit_apart(one: str, other: str) -> bool:
    """Whether one letter is wrong, missing or too many, or two neighbours have changed places."""
    if abs(len(one) - len(other)) > 1 or one == other:
        return False
    start = 0
    least = min(len(one), len(other))
    while start < least and one[start] == other[start]:
        start += 1
    if len(one) < len(other):
        return one[start:] == other[start + 1 :]
    if len(one) > len(other):
        return one[start + 1 :] == other[start:]
    swapped = one[start : start + 2] == other[start : start + 2][::-1]
    return one[start + 1 :] == other[start + 1 :] or (
        swapped and one[start + 2 :] == other[start + 2 :]
    )


class SearchTerm:
    """The words that are looked for."""

    def __init__(self, text: str) -> None:
        self._plain = plain(text).split()
        self._merged = [merged(word) for word in self._plain]
        self._near = cache(self._words_near)

    def __bool__(self) -> bool:
        return bool(self._plain)

    @cached_property
    def _sorted(self) -> list[str]:
        return sorted(self._merged)

    def likeness(self, text: str) -> Likeness | None:
        """How ``text`` has the words, or None."""
        as_is = plain(text)
        folded = merged(as_is)
        missing = [
            index
            for index, word in enumerate(self._merged)
            if word not in folded and self._plain[index] not in as_is
        ]
        if missing:
            return self._slip(missing, as_is.split())
        words = folded.split()
        if sorted(words) == self._sorted:
            return Likeness.EXACT
        both = (*words, *as_is.split())
        if all(word in both or self._plain[index] in both
               for index, word in enumerate(self._merged)):  # fmt: skip
            return Likeness.WORDS
        begin = all(
            any(own.startswith((word, self._plain[index])) for own in both)
            for index, word in enumerate(self._merged)
        )
        return Likeness.BEGINNING if begin else Likeness.WITHIN

    def _slip(self, missing: Sequence[int], words: Sequence[str]) -> Likeness | None:
        near: set[int] = set().union(*map(self._near, words))
        return Likeness.SLIP if near.issuperset(missing) else None

    def _words_near(self, word: str) -> frozenset[int]:
        folded = merged(word)
        return frozenset(
            index
            for index, mine in enumerate(self._plain)
            if len(mine) >= _LEAST_LETTERS
            and mine.isalpha()
            and (one_edit_apart(mine, word) or one_edit_apart(self._merged[index], folded))
        )


def find(connection: Connection, text: str) -> SearchResult:
    """Everything that has the words of ``text``, the likest first. Raises UsageError where it has
    none."""
    wanted = SearchTerm(text)
    if not wanted:
        raise nothing_to_look_for(text)
    hits = [
        *_registered(connection, wanted),
        *_without_file(connection, wanted),
        *_grounds(connection, wanted),
        *_handed_down(connection, wanted),
        *_days(connection, plain(text).split()),
    ]
    for kind, column in _COLUMNS.items():
        hits += _said(connection, wanted, kind, column)
    hits += _ruled(connection, wanted)
    hits.sort(
        key=lambda hit: (
            hit.likeness, KINDS.index(hit.kind), plain(hit.name), hit.text, hit.identifier or "",
        )
    )  # fmt: skip
    return SearchResult(
        hits=tuple(hits),
        players=number_of(connection, "players"),
        clubs=number_of(connection, "clubs"),
        matches=number_of(connection, "matches"),
        strike_by_strike=number_of(
            connection,
            "(SELECT 1 FROM sides GROUP BY season, sheet"
            " HAVING min(depth) = 'strikes' AND max(depth) = 'strikes')",
        ),
    )


def _registered(connection: Connection, wanted: SearchTerm) -> Iterable[Hit]:
    """People, clubs and teams that a file declares, by all their names."""
    spellings = _listed(connection, "SELECT player, name FROM spellings ORDER BY player, name")
    former = _listed(connection, "SELECT club, name FROM former_names ORDER BY club, name")
    marks = player_marks(connection)
    for kind, others, query in (
        ("player", spellings, "SELECT player, name, 'players/' || player FROM players"),
        ("club", former, "SELECT club, name, 'clubs/' || club FROM clubs"),
        ("team", {}, "SELECT team, name, 'clubs/' || club FROM teams"),
    ):
        for identifier, name, stem in connection.execute(query):
            best = _best(wanted, name, identifier, others.get(identifier, ()))
            if best is not None:
                text, mark = best[1], marks.get(identifier) if kind == "player" else None
                if mark:
                    marked = f"{name} ({mark})"
                    name, text = marked, marked if text == name else text
                yield Hit(
                    kind=kind, likeness=best[0], text=text, name=name, identifier=identifier,
                    path=f"{stem}.yaml",
                )  # fmt: skip


def _without_file(connection: Connection, wanted: SearchTerm) -> Iterable[Hit]:
    for (player,) in connection.execute(_WITHOUT_FILE).fetchall():
        likeness = wanted.likeness(player)
        if likeness is not None:
            query = ("SELECT DISTINCT sheet FROM player_matches WHERE player = ?"
                     " ORDER BY season, sheet")  # fmt: skip
            sheets = tuple(sheet for (sheet,) in connection.execute(query, (player,)))
            yield Hit(
                kind="player", likeness=likeness, text=player, name=player, identifier=player,
                sheets=sheets,
            )  # fmt: skip


_WITHOUT_FILE = """
WITH RECURSIVE each(player) AS (
    SELECT min(player) FROM player_matches
    UNION ALL
    SELECT (SELECT min(p.player) FROM player_matches AS p WHERE p.player > each.player)
    FROM each WHERE each.player IS NOT NULL
)
SELECT player FROM each
WHERE player IS NOT NULL AND player NOT IN (SELECT player FROM players) ORDER BY player
"""
"""People in sheets whom no file declares; the index is jumped through from one to the next."""


def _best(
    wanted: SearchTerm, name: str, identifier: str, others: Iterable[str]
) -> tuple[Likeness, str] | None:
    """The likest of the spellings; of equals the name, then the other names."""
    found = [
        (likeness, number, text)
        for number, text in enumerate((name, *others, identifier))
        if (likeness := wanted.likeness(text)) is not None
    ]
    if not found:
        return None
    likeness, _, text = min(found)
    return likeness, text


_REASONS = """
SELECT season, 'rulings', reason FROM rulings
UNION SELECT season, 'season', promotion_note FROM competitions WHERE promotion_note IS NOT NULL
UNION SELECT season, 'season', relegation_note FROM competitions WHERE relegation_note IS NOT NULL
"""


def _ruled(connection: Connection, wanted: SearchTerm) -> Iterable[Hit]:
    """What is given as the reason of rulings, and of who goes up or down by a decision."""
    for season, file, reason in connection.execute(_REASONS):
        likeness = wanted.likeness(reason)
        if likeness is not None:
            path = f"seasons/{season}/{file}.toml"
            yield Hit(kind="ruling", likeness=likeness, text=reason, name=reason, path=path)


def _grounds(connection: Connection, wanted: SearchTerm) -> Iterable[Hit]:
    clubs = _listed(connection, "SELECT ground, club FROM clubs WHERE ground IS NOT NULL"
                                " ORDER BY club")  # fmt: skip
    said = {hit.text: hit for hit in _said(connection, wanted, "ground", "ground")}
    for ground in sorted({*clubs, *said}):
        likeness = wanted.likeness(ground)
        if likeness is None:
            continue
        sheets = said[ground].sheets if ground in said else ()
        for club in clubs.get(ground, [None]):
            yield Hit(
                kind="ground", likeness=likeness, text=ground, name=ground, identifier=club,
                path=f"clubs/{club}.yaml" if club else None, sheets=sheets,
            )  # fmt: skip


_SAID_IN_HANDED_DOWN = """
SELECT 'competition' AS kind, given_name AS said, season FROM handed_down_competitions
UNION SELECT 'handed-down', team_name, season FROM handed_down_team_rows
UNION SELECT 'handed-down', player_name, season FROM handed_down_striker_rows
UNION SELECT 'handed-down', team_name, season FROM handed_down_striker_rows
UNION SELECT 'handed-down', award, season FROM handed_down_honour_rows
UNION SELECT 'handed-down', holder, season FROM handed_down_honour_rows
UNION SELECT 'reference', reference, season FROM handed_down_team_rows
UNION SELECT 'reference', reference, season FROM handed_down_striker_rows
UNION SELECT 'reference', reference, season FROM handed_down_honour_rows
ORDER BY kind, said, season
"""


def _handed_down(connection: Connection, wanted: SearchTerm) -> Iterable[Hit]:
    """Who and what stands in handed-down.toml by name alone."""
    seasons: dict[tuple[str, str], list[int]] = {}
    for kind, text, season in connection.execute(_SAID_IN_HANDED_DOWN):
        if text is not None:
            seasons.setdefault((kind, text), []).append(season)
    for (kind, text), years in seasons.items():
        likeness = wanted.likeness(text)
        if likeness is not None:
            yield Hit(
                kind=kind, likeness=likeness, text=text, name=text,
                paths=tuple(season_path(year, Kind.HANDED_DOWN) for year in years),
            )  # fmt: skip


def _days(connection: Connection, words: Sequence[str]) -> Iterable[Hit]:
    """The matches of the year, the month or the day that the words name, and the clubs that were
    founded in that year."""
    period = named_period(words)
    if period is None:
        return
    dated = partial(Hit, kind="date", likeness=Likeness.EXACT, text=period)
    for club, name in connection.execute(
        "SELECT club, name FROM clubs WHERE founded = ? ORDER BY club", (period,)
    ):
        yield dated(name=name, identifier=club, path=f"clubs/{club}.yaml")
    sheets = connection.execute(
        "SELECT sheet FROM matches WHERE season = ? AND coalesce(date, season) LIKE ? || '%'"
        " ORDER BY date, sheet",
        (int(period[:4]), period),
    )
    found = tuple(sheet for (sheet,) in sheets)
    if found:
        yield dated(name=period, sheets=found)


def named_period(words: Sequence[str]) -> str | None:
    """``1987``, ``1987-05`` or ``1987-05-10``, where ``words`` as `plain` has them say no more,
    with figures or the month's name: ``10 5 1987``, ``mai 1987``, ``1987 05``."""
    months = {plain(name): number for name, number in MONTHS.items()}
    named = [f"{months[word]:02}" for word in words if word in months]
    figures = [word for word in words if word not in months]
    years = [word for word in figures if len(word) == 4]
    others = [word.zfill(2) for word in figures if len(word) < 3]
    if not "".join(figures).isdecimal() or len(years) + len(others) < len(figures):
        return None
    if len(years) != 1 or len(named) > 1 or len(named) + len(others) > 2:
        return None
    if not named and figures[0] != years[0]:
        others.reverse()
    # What no calendar has is in no sheet either.
    return "-".join((*years, *named, *others))


def _said(connection: Connection, wanted: SearchTerm, kind: str, column: str) -> Iterable[Hit]:
    """What sheets say, each text once with all sheets that say so."""
    where, in_german = "matches", dict[str, str]()
    if kind == "source":
        words = catalogue("de", "common")
        in_german = {key: f"{key} {translated(said, words)}" for key, said in SOURCES.items()}
    if column in _LISTS:
        where, column = f"matches, json_each({column}) AS said", "said.value"
    texts = connection.execute(f"SELECT DISTINCT {column} FROM {where} WHERE {column} IS NOT NULL")
    alike = {
        text: likeness
        for (text,) in texts.fetchall()
        if (likeness := wanted.likeness(in_german.get(text, text))) is not None
    }
    if not alike:
        return
    sheets = _listed(
        connection,
        f"SELECT {column}, sheet FROM {where} WHERE {column} IN (SELECT value FROM json_each(?))"
        " ORDER BY season, coalesce(date, ''), sheet",
        json.dumps(list(alike), ensure_ascii=False),
    )
    for text, likeness in alike.items():
        yield Hit(kind=kind, likeness=likeness, text=text, name=text, sheets=tuple(sheets[text]))


def _listed(connection: Connection, query: str, *values: str) -> dict[str, list[str]]:
    listed: dict[str, list[str]] = {}
    for key, value in connection.execute(query, values):
        listed.setdefault(key, []).append(value)
    return listed
