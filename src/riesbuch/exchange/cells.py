"""What stands in the cells of a spreadsheet, in the many ways people write it."""

import datetime
import re
from collections.abc import Mapping, Sequence
from typing import TypeVar

from riesbuch.language.catalogue import MONTHS
from riesbuch.trade.keys import words
from riesbuch.trade.match import Outcome, SourceKind
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.strikes import read_strike

UNKNOWN = frozenset({"", "-", "–", "—", "?", "n/a", "unbekannt", "unknown"})
"""Cells that say nothing."""

_THOUSANDS = re.compile(r"([0-9]{1,3})(?:['’´` \xa0\u202f\u2009.,]([0-9]{3}))+")
_WHOLE = re.compile(r"([0-9]{1,9})(?:[.,]0{1,2})?")
_FRACTION = re.compile(r"[0-9'’´` ]+[.,][0-9]+")
_NUMMERN_FIRST = re.compile(r"([0-9]{1,3}) ?(?:nr|nrn|n|nummern?)\b[.,:;/ ]*(.*)", re.IGNORECASE)
_NUMMERN_LAST = re.compile(r"(.*?)[,;/( ]+([0-9]{1,3}) ?(?:nr|nrn|n|nummern?)\.?\)?", re.IGNORECASE)
_POINTS = re.compile(r"(.*[0-9]) ?(?:punkte?|points?|pkt|pte|pts?|p)\.?", re.IGNORECASE)
_BETWEEN_FIGURES = re.compile(r"\s*[:–—]\s*|\s+-\s+|(?<=[0-9])-(?=[0-9])")
# Between two teams in one cell; the first of these that stands there once parts them.
_BETWEEN_TEAMS = (
    r"\s+[-–—]\s+", r"\s+(?:gegen|vs\.?|v\.?|c\.)\s+", r"\s*:\s*", r"\s*[–—/]\s*", r"-",
)  # fmt: skip
_WEEKDAYS = {
    name: number
    for number, names in enumerate(
        (
            "montag mo mon monday", "dienstag di die tue tues tuesday", "mittwoch mi mit wed"
            " wednesday", "donnerstag do don thu thur thurs thursday", "freitag fr fre fri friday",
            "samstag sa sam sonnabend sat saturday", "sonntag so son sun sunday",
        )
    )
    for name in names.split()
}  # fmt: skip
_WEEKDAY = re.compile(r"([^\W\d]+)[.,]*\s+(?:den |the )?(?=\S)")
_TIME = re.compile(r"(?:[ T]|, ?)[0-9]{1,2}(?::[0-9]{2}){1,2}(?:\.0+)?(?: uhr)?$|"
                   r",? [0-9]{1,2}(?:\.[0-9]{2})? uhr$", re.IGNORECASE)  # fmt: skip
_YEAR = r"(?:[ ,.]+([0-9]{4}|[0-9]{2}))?"
_ISO = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_DOTS = re.compile(r"([0-9]{1,2})\. ?([0-9]{1,2})(?:\. ?([0-9]{4}|[0-9]{2})|\.)?")
_SLASHES = re.compile(r"([0-9]{1,2})[/-]([0-9]{1,2})(?:[/-]([0-9]{4}|[0-9]{2}))?")
_IN_WORDS = re.compile(rf"([0-9]{{1,2}})(?:\.|st|nd|rd|th)? ?(?:of )?([^\W\d]+)\.?{_YEAR}")
_MONTH_FIRST = re.compile(rf"([^\W\d]+)\.? ([0-9]{{1,2}})(?:st|nd|rd|th)?{_YEAR}")

_SIDES = {
    **dict.fromkeys(("home", "heim", "heimspiel", "h", "daheim", "zu hause", "zuhause"), "home"),
    **dict.fromkeys(("away", "gast", "auswärts", "auswaerts", "auswärtsspiel", "a", "g"), "away"),
}
_WINNERS = {**_SIDES, **dict.fromkeys(("draw", "unentschieden", "remis", "x", "u"), "draw")}
_WON = {
    **dict.fromkeys(("we", "us", "wir", "s", "sieg", "gewonnen", "won", "win", "w"), True),
    **dict.fromkeys(
        ("they", "them", "sie", "gegner", "n", "niederlage", "verloren", "lost", "loss", "l"), False
    ),
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
    **dict.fromkeys(("named", "genannt"), "named"),
}  # fmt: skip
_TOTALS = re.compile(
    r"(?:sub|zwischen)?totale?s?|summen?|schnitt|durchschnitt\w*|mittel(?:wert)?|average|avg|mean"
    r"|sum|gesamt\w*|uebertrag"
)
_Choice = TypeVar("_Choice")
_STRIKE_SPELLINGS = {"–": "x", "-": "x", "X": "x", "?": "~"}

Figures = tuple[int | None, int | None]
"""Points and Nummern."""


class CellError(Exception):
    """A cell that cannot be read: what is wrong, and what to do."""

    def __init__(self, said: str, /, **values: object) -> None:
        self.message = Message.of(said, values)
        super().__init__(self.message)


class AmbiguousDateError(Exception):
    """A date like 10/05/1987, of which day and month cannot be told apart; the ``year`` can."""

    def __init__(self, text: str, year: int) -> None:
        super().__init__(text)
        self.year = year


def with_comma(name: str) -> str:
    """``Gerber Hans``, family name first, as ``Gerber, Hans``; ``von Gunten Urs`` likewise."""
    words = name.split()
    family = next((place for place, word in enumerate(words, start=1) if not word.islower()), 0)
    is_told = "," in name or family == len(words) or len(words[0].rstrip(".")) == 1
    return name if is_told else f"{' '.join(words[:family])}, {' '.join(words[family:])}"


def is_total(text: str) -> bool:
    """Whether it heads a sum or an average: Total, Durchschnitt, Ø."""
    return text[:1] in ("Ø", "ø", "∑") or bool(
        _TOTALS.fullmatch(folded(text).partition("-")[0]) if text else None
    )


def read_number(text: str) -> int | None:
    """A whole number, also written 1'191, 1 191, 1.191, 1,191 or 17,0; None where unknown."""
    if text in UNKNOWN:
        return None
    whole = _WHOLE.fullmatch(text)
    if whole is not None:
        return int(whole[1])
    if with_decimals := re.fullmatch(r"(.*['’´` \xa0].*)[.,]0{1,2}", text):
        text = with_decimals[1]
    if _THOUSANDS.fullmatch(text):
        if re.search(r"[.,]000$", text):
            raise CellError(
                "`{text}` could be {short} or thousands – write it without a separator",
                text=text,
                short=text[:-4],
            )
        return int(re.sub(r"[^0-9]", "", text))
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


def read_figures(text: str) -> Figures:
    """Points, and the Nummern where they stand there too: ``0 Nr. 881``, ``881 Punkte (0 Nr.)``."""
    nummern: str | None = None
    if first := _NUMMERN_FIRST.fullmatch(text):
        nummern, text = first.groups()
    elif last := _NUMMERN_LAST.fullmatch(text):
        text, nummern = last.groups()
    if named := _POINTS.fullmatch(text):
        text = named[1]
    return read_number(text), int(nummern) if nummern else None


def read_pair(text: str) -> tuple[Figures, Figures]:
    """Both sides' figures in one cell: 1191:1150, or ``0 Nr. 1191 – 1 Nr. 1150``."""
    if text in UNKNOWN:
        return (None, None), (None, None)
    parts = _BETWEEN_FIGURES.split(text)
    if len(parts) != 2:
        raise CellError(
            "`{text}` is not of the form 1191:1150 – write both sides' figures with a colon"
            " between them, or use a column for each side",
            text=text,
        )
    return read_figures(parts[0].strip()), read_figures(parts[1].strip())


def read_teams(text: str) -> tuple[str, str]:
    """Both teams in one cell: ``Aarwald A - Birkenfluh``, also with ``:`` or ``gegen``."""
    for between in _BETWEEN_TEAMS:
        parts = re.split(between, text, flags=re.IGNORECASE)
        if len(parts) == 2 and all(folded(part) for part in parts):
            return parts[0].strip(), parts[1].strip()
    raise CellError(
        "`{text}` does not name two teams – write them as in `Aarwald A - Birkenfluh A`", text=text
    )


def read_date(text: str, season: int | None, day_first: bool | None) -> datetime.date:
    """A day, also written 10.05.1987, 10. Mai, Sunday 10 May 1987, or 10/05/1987 where
    ``day_first`` says how that is meant or the day is over 12. Raises AmbiguousDateError else."""
    if text in UNKNOWN:
        raise CellError("the date is missing – every match needs its day, as in 1987-05-10")
    weekday, bare = _parted(text)
    date = _read_day(text, bare, season, day_first)
    if weekday not in (None, date.weekday()):
        raise CellError(
            "`{text}`: {date} is another day of the week – mend the one that is wrong",
            text=text,
            date=date,
        )
    return date


def _parted(text: str) -> tuple[int | None, str]:
    """The day of the week, and the date without it and without a time."""
    bare = _TIME.sub("", text)
    named = _WEEKDAY.match(bare)
    weekday = _WEEKDAYS.get(named[1].lower()) if named else None
    return weekday, bare[named.end() :] if named and weekday is not None else bare


def _read_day(text: str, bare: str, season: int | None, day_first: bool | None) -> datetime.date:
    if iso := _ISO.fullmatch(bare):
        return _day(text, int(iso[1]), int(iso[2]), int(iso[3]))
    if dots := _DOTS.fullmatch(bare):
        return _day(text, _year(text, dots[3], season), int(dots[2]), int(dots[1]))
    worded, month_first = _IN_WORDS.fullmatch(bare), _MONTH_FIRST.fullmatch(bare)
    if worded and worded[2].lower() in MONTHS:
        year = _year(text, worded[3], season)
        return _day(text, year, MONTHS[worded[2].lower()], int(worded[1]))
    if month_first and month_first[1].lower() in MONTHS:
        year = _year(text, month_first[3], season)
        return _day(text, year, MONTHS[month_first[1].lower()], int(month_first[2]))
    slashes = _SLASHES.fullmatch(bare)
    if slashes is None:
        raise CellError("`{text}` is no date – write it as 1987-05-10 or 10.05.1987", text=text)
    first, second, year = int(slashes[1]), int(slashes[2]), _year(text, slashes[3], season)
    if day_first is None and first <= 12 and second <= 12 and first != second:
        raise AmbiguousDateError(text, year)
    if day_first if day_first is not None else second <= 12:
        return _day(text, year, second, first)
    return _day(text, year, first, second)


def slash_order(text: str) -> bool | None:
    """Whether a date with slashes can be meant with the day first only, or the month first only;
    None where both are possible or it has none."""
    slashes = _SLASHES.fullmatch(_parted(text)[1])
    if slashes is None or (int(slashes[1]) > 12) == (int(slashes[2]) > 12):
        return None
    return int(slashes[1]) > 12


def _year(text: str, written: str | None, season: int | None) -> int:
    if written is None:
        if season is None:
            raise CellError("`{text}` does not say the year – give it by --season", text=text)
        return season
    if len(written) == 4:
        return int(written)
    if season is None or season % 100 != int(written):
        raise CellError(
            "`{text}` does not say the century – write the year in four digits", text=text
        )
    return season


def _day(text: str, year: int, month: int, day: int) -> datetime.date:
    try:
        return datetime.date(year, month, day)
    except ValueError:
        raise CellError(
            "`{text}` is a day that no calendar has – look the day up", text=text
        ) from None


def read_winner(text: str, sides: Mapping[str, str], own: str = "") -> str | None:
    """home, away or draw; ``sides`` gives the side that a team's name stands for, folded. In a
    club's own view ``own`` is its side: won and lost are told from there."""
    if text in UNKNOWN:
        return None
    won = _WON.get(text.lower()) if own else None
    if won is not None:
        return own if won else "away" if own == "home" else "home"
    found = sides.get(folded(text)) or _WINNERS.get(text.lower())
    if found is None:
        raise CellError(
            "`{text}` is neither of the two teams – write home, away, draw, or a team as in its"
            " own column",
            text=text,
        )
    return found


def read_venue(text: str) -> str:
    """home or away."""
    return _chosen(text, _SIDES, ("home", "away"))


def read_outcome(text: str) -> Outcome:
    return Outcome.PLAYED if text in UNKNOWN else _chosen(text, _OUTCOMES, list(words(Outcome)))


def is_outcome(text: str) -> bool:
    """Whether it is a word for how a match came out."""
    return text.lower() in _OUTCOMES


def read_role(text: str) -> str:
    return _chosen(text, _ROLES, ("team", "supernumerary", "replacement", "named"))


def read_source_kind(text: str) -> SourceKind | None:
    kinds: dict[str, SourceKind] = words(SourceKind)
    return None if text in UNKNOWN else _chosen(text, kinds, list(kinds))


def _chosen(text: str, choices: Mapping[str, _Choice], shown: Sequence[str]) -> _Choice:
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
            "`{text}` is no strike – a strike is its points, with N behind them for a Nummer; x if"
            " not struck, ~ if illegible",
            text=text,
        )
    return strike.written
