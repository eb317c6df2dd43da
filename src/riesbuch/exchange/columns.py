"""Which column of a spreadsheet means what, and what stands in its cells, in the many ways people
write it."""

import datetime
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple, TypeVar

from riesbuch.trade.keys import words
from riesbuch.trade.match import Outcome, SourceKind
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.problems import UsageError, did_you_mean
from riesbuch.trade.strikes import read_strike

_OF_A_MATCH = {
    "season": ("saison", "jahr", "year"),
    "competition": ("wettbewerb", "liga", "league", "meisterschaft", "klasse"),
    "round": ("runde", "spielrunde", "spieltag"),
    "date": ("datum", "tag", "day", "spieldatum"),
    "home": ("home-team", "heim", "heimmannschaft", "heimteam", "heimklub", "platzklub"),
    "away": ("away-team", "gast", "gaeste", "gastmannschaft", "gastteam", "gastklub"),
    "ground": ("platz", "ort", "spielort", "place"),
    "weather": ("wetter", "witterung"),
    "notes": ("note", "bemerkung", "bemerkungen", "notiz", "notizen", "remarks"),
    "outcome": ("ausgang",),
    "winner": ("sieger", "gewinner"),
    "awarded": ("zugesprochen",),
    "source_kind": ("art-der-quelle",),
    "reference": ("source", "quelle", "beleg", "fundstelle"),
    "transcribed_by": ("abgeschrieben-von", "erfasst-von"),
}
_OF_A_PLAYER = {
    "player": ("spieler", "name", "striker", "schlaeger", "hornusser"),
    "first_name": ("vorname",),
    "last_name": ("nachname", "familienname", "surname"),
    "team": ("mannschaft", "club", "klub", "verein", "gesellschaft"),
    "side": ("seite",),
    "role": ("rolle",),
    "player_points": ("spielerpunkte",),
    "strikes": ("streiche",),
}
_FIGURES = {
    "points": ("points", "punkte", "schlagpunkte", "total"),
    "nummern": ("nummern", "nummer"),
    "ries": ("ries",),
    "captain": ("captain", "kapitaen"),
}
_SIDE_WORDS = {
    **dict.fromkeys(("home", "heim", "heims"), "home"),
    **dict.fromkeys(("away", "gast", "gaeste", "auswaerts"), "away"),
}
_STRIKE = re.compile(r"(?:strike|streich|s)-?([0-9]{1,2})|([0-9]{1,2})-(?:strike|streich)")

KEYS = (
    *_OF_A_MATCH, "points", "nummern",
    *(f"{side}_{figure}" for side in ("home", "away") for figure in _FIGURES),
    "home_ries_1", "away_ries_1", *_OF_A_PLAYER, "strike_1",
)  # fmt: skip
"""What a column may mean; ``_1`` stands for any number."""

_NUMBERED = re.compile(r"(home_ries|away_ries|strike)_([1-9][0-9]?)")


class Columns(NamedTuple):
    """``place`` gives the place of each meaning among the cells, ``title`` its head as written.
    ``unread`` are the heads of columns that mean nothing here. ``one_row_a_player`` tells the
    layout: else there is one row a match."""

    place: Mapping[str, int]
    title: Mapping[str, str]
    unread: tuple[str, ...]
    one_row_a_player: bool

    def numbered(self, stem: str) -> list[str]:
        """The keys ``<stem>_1``, ``<stem>_2`` and so on that there are, by number."""
        found = [key for key in self.place if key.rpartition("_")[0] == stem
                 and _NUMBERED.fullmatch(key)]  # fmt: skip
        return sorted(found, key=lambda key: int(key.rpartition("_")[2]))


def is_of_a_player(key: str) -> bool:
    """Whether a column says something of one player, not of the match."""
    return key in _OF_A_PLAYER or key.startswith("strike_")


def read_maps(given: Iterable[str]) -> dict[str, str]:
    """``Datum=date`` and the like by the column's head; an empty meaning leaves a column out.
    Raises UsageError."""
    maps = {}
    for option in given:
        head, equals, key = (part.strip() for part in option.rpartition("="))
        if not equals or not head:
            raise UsageError(
                "--map {option}: write it COLUMN=MEANING, as in --map Datum=date", option=option
            )
        if key and key not in KEYS and not _NUMBERED.fullmatch(key):
            advice = did_you_mean(key, KEYS) or Message(
                "the meanings are {keys}", keys=", ".join(KEYS)
            )
            raise UsageError(
                "--map {option}: `{key}` is no meaning of a column; {advice}",
                option=option,
                key=key,
                advice=advice,
            )
        maps[head] = key
    return maps


def map_columns(head: Sequence[str], maps: Mapping[str, str]) -> Columns:
    """What the columns under these heads mean: as ``maps`` says, else by their names. Raises
    UsageError where two mean the same, or too little is there."""
    unknown = [title for title in maps if title not in head]
    if unknown:
        raise UsageError(
            "--map {unknown}=…: there is no column `{unknown}`; the columns are {head}",
            unknown=unknown[0],
            head=", ".join(filter(None, head)),
        )
    meant = [maps[title] if title in maps else _meaning(title) for title in head]
    one_row_a_player = any(key in ("player", "last_name") for key in meant)
    if one_row_a_player:
        meant = ["player_points" if key == "points" else key for key in meant]
    if "first_name" in meant and "last_name" not in meant:
        # "Name" beside "Vorname" is the family's.
        meant = ["last_name" if key == "player" else key for key in meant]
    index: dict[str, int] = {}
    for place, key in enumerate(meant):
        if key in index:
            raise UsageError(
                "the columns `{head}` and `{head_2}` both mean `{key}`; say which is"
                " not read by --map '{head_2}='",
                head=head[index[key]],
                head_2=head[place],
                key=key,
            )
        if key:
            index[key] = place
    _expect_enough(index, head, one_row_a_player)
    return Columns(
        place=index,
        title={key: head[place] for key, place in index.items()},
        unread=tuple(
            title
            for title, key in zip(head, meant, strict=True)
            if title and not key and title not in maps
        ),
        one_row_a_player=one_row_a_player,
    )


def _expect_enough(index: Mapping[str, int], head: Sequence[str], of_players: bool) -> None:
    missing = [key for key in ("date", "home", "away") if key not in index]
    if missing:
        raise UsageError(
            "no column is `{missing}`; the columns are {head}; say which one it"
            " is by --map COLUMN={missing}",
            missing=missing[0],
            head=", ".join(filter(None, head)),
        )
    if of_players and not {"team", "side"} & index.keys():
        raise UsageError(
            "with one row a player, a column must say which team each was in; say"
            " which one it is by --map COLUMN=team"
        )


def _meaning(head: str) -> str | None:
    name = folded(head)
    for key, names in (*_OF_A_MATCH.items(), *_OF_A_PLAYER.items()):
        if name == key.replace("_", "-") or name in names:
            return key
    strike = _STRIKE.fullmatch(name)
    if strike is not None:
        return f"strike_{int(strike[1] or strike[2])}"
    parts = re.sub(r"^(heim|gast)(?=punkte|nummern|ries)", r"\1-", name).split("-")
    sides = [_SIDE_WORDS[word] for word in parts if word in _SIDE_WORDS]
    numbers = [word for word in parts if word.isdecimal() and word.isascii()]
    others = [word for word in parts if word not in _SIDE_WORDS and word not in numbers]
    figure = next((key for key, names in _FIGURES.items() if others in [[n] for n in names]), None)
    if figure is None or len(sides) > 1 or len(numbers) > 1:
        return None
    if not sides:
        return figure if figure in ("points", "nummern") and not numbers else None
    if not numbers:
        return f"{sides[0]}_{figure}"
    numbered = f"{sides[0]}_{figure}_{int(numbers[0])}"
    return numbered if _NUMBERED.fullmatch(numbered) else None


UNKNOWN = frozenset({"", "-", "–", "—", "?", "n/a", "unbekannt", "unknown"})
"""Cells that say nothing."""

_THOUSANDS = re.compile(r"([0-9]{1,3})(?:['’ \xa0\u202f\u2009.,]([0-9]{3}))+")
_WHOLE = re.compile(r"([0-9]{1,9})(?:[.,]0{1,2})?")
_BETWEEN_THOUSANDS = re.compile(r"['’ \xa0\u202f\u2009.,]")
_FRACTION = re.compile(r"[0-9'’ ]+[.,][0-9]+")
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "januar jan january", "februar feb february", "märz mär maerz march mar",
            "april apr", "mai may", "juni jun june", "juli jul july", "august aug",
            "september sep sept", "oktober okt october oct", "november nov",
            "dezember dez december dec",
        ),
        start=1,
    )
    for name in names.split()
}  # fmt: skip
_ISO = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?)?")
_DOTS = re.compile(r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4}|[0-9]{2})")
_SLASHES = re.compile(r"([0-9]{1,2})[/-]([0-9]{1,2})[/-]([0-9]{4}|[0-9]{2})")
_IN_WORDS = re.compile(r"([0-9]{1,2})\.? ?([^\W\d]+)\.? ?([0-9]{4}|[0-9]{2})")

_WINNERS = {
    **dict.fromkeys(("home", "heim", "h"), "home"),
    **dict.fromkeys(("away", "gast", "a", "g"), "away"),
    **dict.fromkeys(("draw", "unentschieden", "remis", "x"), "draw"),
}
_OUTCOMES: dict[str, Outcome] = {
    **words(Outcome),
    "gespielt": Outcome.PLAYED,
    "forfait": Outcome.FORFEITED,
    "forfeit": Outcome.FORFEITED,
    "abgebrochen": Outcome.ABANDONED,
    "verschoben": Outcome.POSTPONED,
    "annulliert": Outcome.ANNULLED,
}
_ROLES = {
    **dict.fromkeys(("", "team", "mannschaft"), "team"),
    **dict.fromkeys(("supernumerary", "überzähliger", "überzählig", "überzählige"),
                    "supernumerary"),
    **dict.fromkeys(("replacement", "ersatz", "ersatzstreich"), "replacement"),
}  # fmt: skip
_Choice = TypeVar("_Choice")
_STRIKE_SPELLINGS = {"–": "x", "-": "x", "X": "x", "?": "~"}


class CellError(Exception):
    """A cell that cannot be read: what is wrong, and what to do."""

    def __init__(self, said: str, /, **values: object) -> None:
        self.message = Message.of(said, values)
        super().__init__(self.message)


class AmbiguousDateError(Exception):
    """A date like 10/05/1987, of which day and month cannot be told apart; the ``year`` can,
    where it is written in four digits."""

    def __init__(self, text: str, year: int | None) -> None:
        super().__init__(text)
        self.year = year


def read_number(text: str) -> int | None:
    """A whole number, also written 1'191, 1 191, 1.191, 1,191 or 17,0; None where unknown."""
    if text in UNKNOWN:
        return None
    whole = _WHOLE.fullmatch(text)
    if whole is not None:
        return int(whole[1])
    thousands = _THOUSANDS.fullmatch(text)
    if thousands is not None:
        if re.search(r"[.,]000$", text):
            raise CellError(
                "`{text}` could be {short} or thousands – write it without a separator",
                text=text,
                short=text[:-4],
            )
        return int(_BETWEEN_THOUSANDS.sub("", text))
    if _FRACTION.fullmatch(text):
        raise CellError("`{text}` is not whole – points and Nummern are whole numbers", text=text)
    raise CellError(
        "`{text}` is no number – write digits, or leave the cell empty if unknown", text=text
    )


def read_numbers(text: str) -> tuple[int, ...] | None:
    """Several numbers in a cell, in brackets or not, between blanks, commas, semicolons, slashes
    or plus signs; None where unknown."""
    if text in UNKNOWN:
        return None
    cells = [cell for cell in re.split(r"[\s,;/+]+", text.strip("[] ")) if cell]
    numbers = [read_number(cell) for cell in cells]
    if None in numbers or not numbers:
        raise CellError(
            "`{text}` lacks a number – give all Ries totals, or leave it empty", text=text
        )
    return tuple(number for number in numbers if number is not None)


def read_pair(text: str) -> tuple[int | None, int | None]:
    """Both sides' figures in one cell: 1191:1150."""
    if text in UNKNOWN:
        return None, None
    home, colon, away = text.partition(":")
    if not colon:
        raise CellError(
            "`{text}` is not of the form 1191:1150 – write both sides' figures with a colon"
            " between them, or use a column for each side",
            text=text,
        )
    return read_number(home.strip()), read_number(away.strip())


def read_date(text: str, season: int | None, day_first: bool | None) -> datetime.date:
    """A day, also written 10.05.1987, 1987-05-10, 10. Mai 1987, or 10/05/1987 where ``day_first``
    says how that is meant or the day is over 12. Raises AmbiguousDateError else."""
    if text in UNKNOWN:
        raise CellError("the date is missing – every match needs its day, as in 1987-05-10")
    iso = _ISO.fullmatch(text)
    if iso is not None:
        return _day(text, iso[1], iso[2], iso[3], season)
    dots = _DOTS.fullmatch(text)
    if dots is not None:
        return _day(text, dots[3], dots[2], dots[1], season)
    worded = _IN_WORDS.fullmatch(text)
    if worded is not None and worded[2].lower() in _MONTHS:
        return _day(text, worded[3], str(_MONTHS[worded[2].lower()]), worded[1], season)
    slashes = _SLASHES.fullmatch(text)
    if slashes is None:
        raise CellError("`{text}` is no date – write it as 1987-05-10 or 10.05.1987", text=text)
    first, second = int(slashes[1]), int(slashes[2])
    if day_first is None and first <= 12 and second <= 12 and first != second:
        raise AmbiguousDateError(text, int(slashes[3]) if len(slashes[3]) == 4 else season)
    if day_first if day_first is not None else second <= 12:
        return _day(text, slashes[3], slashes[2], slashes[1], season)
    return _day(text, slashes[3], slashes[1], slashes[2], season)


def slash_order(text: str) -> bool | None:
    """Whether a date with slashes can be meant with the day first only, or the month first only;
    None where both are possible or it has none."""
    slashes = _SLASHES.fullmatch(text)
    if slashes is None or (int(slashes[1]) > 12) == (int(slashes[2]) > 12):
        return None
    return int(slashes[1]) > 12


def _day(text: str, year: str, month: str, day: str, season: int | None) -> datetime.date:
    if len(year) == 2:
        if season is None or season % 100 != int(year):
            raise CellError(
                "`{text}` does not say the century – write the year in four digits", text=text
            )
        year = str(season)
    try:
        return datetime.date(int(year), int(month), int(day))
    except ValueError:
        raise CellError(
            "`{text}` is a day that no calendar has – look the day up", text=text
        ) from None


def read_winner(text: str, sides: Mapping[str, str]) -> str | None:
    """home, away or draw; ``sides`` gives the side that a team's name stands for, folded."""
    from riesbuch.trade.names import folded

    if text in UNKNOWN:
        return None
    found = sides.get(folded(text)) or _WINNERS.get(text.lower())
    if found is None:
        raise CellError(
            "`{text}` is neither of the two teams – write home, away, draw, or a team as in its"
            " own column",
            text=text,
        )
    return found


def read_outcome(text: str) -> Outcome:
    if text in UNKNOWN:
        return Outcome.PLAYED
    return _chosen(text, _OUTCOMES, list(words(Outcome)))


def read_role(text: str) -> str:
    return _chosen(text, _ROLES, ["team", "supernumerary", "replacement"])


def read_source_kind(text: str) -> SourceKind | None:
    if text in UNKNOWN:
        return None
    kinds: dict[str, SourceKind] = words(SourceKind)
    return _chosen(text, kinds, list(kinds))


def _chosen(text: str, choices: Mapping[str, _Choice], shown: list[str]) -> _Choice:
    chosen = choices.get(text.lower())
    if chosen is None:
        raise CellError(
            "`{text}` is not understood – write one of {shown}", text=text, shown=", ".join(shown)
        )
    return chosen


def read_strikes(text: str) -> tuple[tuple[str, ...], ...]:
    """The strikes of a row in one cell, as in a sheet or between blanks; innings are told apart
    only by brackets, else there is one."""
    innings = re.findall(r"\[([^\[\]]*)\]", text) if "[" in text else [text]
    if "[" in text and re.sub(r"\[[^\[\]]*\]|[\[\],\s]", "", text):
        raise CellError(
            "`{text}` is not of the form [[18, 20], [17, 19]] – mind the brackets", text=text
        )
    return tuple(
        tuple(read_cell_strike(cell) for cell in re.split(r"[\s,;/]+", inning.strip()) if cell)
        for inning in innings
    )


def read_cell_strike(text: str) -> str:
    """One strike in its one spelling."""
    spelt = _STRIKE_SPELLINGS.get(text, text)
    whole = _WHOLE.fullmatch(spelt)
    strike = read_strike(whole[1] if whole else spelt)
    if strike is None:
        raise CellError(
            "`{text}` is no strike – a strike is its points, with N behind them for a Nummer; x"
            " if not struck, ~ if illegible",
            text=text,
        )
    return strike.written
