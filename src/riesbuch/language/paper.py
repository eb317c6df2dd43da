"""What stands on a blank paper sheet, in the languages of the reports."""

from typing import NamedTuple

from riesbuch.trade.ids import Language


class PaperWords(NamedTuple):
    """``row_help`` explains the heads of the columns and the marks of the rows, ``replacement``
    and ``supernumerary``. ``totals`` stands before Ries totals and the side's points."""

    home: str
    away: str
    competition: str
    round: str
    date: str
    ground: str
    weather: str
    strikes_first: str
    referees: str
    sum: str
    replacement: str
    supernumerary: str
    totals: str
    nummern: str
    row_help: str
    captain: str


PAPER_WORDS: dict[Language, PaperWords] = {
    "en": PaperWords(
        home="Home",
        away="Away",
        competition="Competition",
        round="Round",
        date="Date",
        ground="Ground",
        weather="Weather",
        strikes_first="Strikes first",
        referees="Referees",
        sum="Sum",
        replacement="R",
        supernumerary="S",
        totals="Ries totals, points",
        nummern="Nummern conceded",
        row_help="1.2: first inning, second strike. Underline a Nummer; x: not struck."
        " R: replacement strikes. S: supernumeraries.",
        captain="Captain's signature",
    ),
    "de": PaperWords(
        home="Heim",
        away="Gast",
        competition="Wettbewerb",
        round="Runde",
        date="Datum",
        ground="Platz",
        weather="Wetter",
        strikes_first="Schlägt zuerst",
        referees="Kampfrichter",
        sum="Total",
        replacement="E",
        supernumerary="Ü",
        totals="Ries-Totale, Punkte",
        nummern="Nummern im eigenen Ries",
        row_help="1.2: erster Umgang, zweiter Streich. Nummern unterstreichen; x: nicht geschlagen."
        " E: Ersatzstreiche. Ü: Überzählige.",
        captain="Unterschrift Captain",
    ),
}
