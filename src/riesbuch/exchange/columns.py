"""Which column of a spreadsheet means what."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from riesbuch.trade.names import folded
from riesbuch.trade.problems import UsageError, did_you_mean

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
    for each in given:
        head, equals, key = (part.strip() for part in each.rpartition("="))
        if not equals or not head:
            raise UsageError(f"--map {each}: write it COLUMN=MEANING, as in --map Datum=date")
        if key and key not in KEYS and not _NUMBERED.fullmatch(key):
            advice = did_you_mean(key, KEYS) or f"the meanings are {', '.join(KEYS)}"
            raise UsageError(f"--map {each}: `{key}` is no meaning of a column; {advice}")
        maps[head] = key
    return maps


def map_columns(head: Sequence[str], maps: Mapping[str, str]) -> Columns:
    """What the columns under these heads mean: as ``maps`` says, else by their names. Raises
    UsageError where two mean the same, or too little is there."""
    unknown = [each for each in maps if each not in head]
    if unknown:
        raise UsageError(
            f"--map {unknown[0]}=…: there is no column `{unknown[0]}`; the columns are"
            f" {', '.join(each for each in head if each)}"
        )
    meant = [maps[each] if each in maps else _meaning(each) for each in head]
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
                f"the columns `{head[index[key]]}` and `{head[place]}` both mean `{key}`; say which"
                f" is not read by --map '{head[place]}='"
            )
        if key:
            index[key] = place
    _expect_enough(index, head, one_row_a_player)
    return Columns(
        place=index,
        title={key: head[place] for key, place in index.items()},
        unread=tuple(
            each
            for each, key in zip(head, meant, strict=True)
            if each and not key and each not in maps
        ),
        one_row_a_player=one_row_a_player,
    )


def _expect_enough(index: Mapping[str, int], head: Sequence[str], of_players: bool) -> None:
    missing = [key for key in ("date", "home", "away") if key not in index]
    if missing:
        raise UsageError(
            f"no column is `{missing[0]}`; the columns are {', '.join(filter(None, head))};"
            f" say which one it is by --map COLUMN={missing[0]}"
        )
    if of_players and not {"team", "side"} & index.keys():
        raise UsageError(
            "with one row a player, a column must say which team each was in; say which one it is"
            " by --map COLUMN=team"
        )


def _meaning(head: str) -> str | None:
    name = folded(head)
    for key, names in (*_OF_A_MATCH.items(), *_OF_A_PLAYER.items()):
        if name == key.replace("_", "-") or name in names:
            return key
    strike = _STRIKE.fullmatch(name)
    if strike is not None:
        return f"strike_{int(strike[1] or strike[2])}"
    words = re.sub(r"^(heim|gast)(?=punkte|nummern|ries)", r"\1-", name).split("-")
    sides = [_SIDE_WORDS[word] for word in words if word in _SIDE_WORDS]
    numbers = [word for word in words if word.isdecimal() and word.isascii()]
    others = [word for word in words if word not in _SIDE_WORDS and word not in numbers]
    figure = next((key for key, names in _FIGURES.items() if others in [[n] for n in names]), None)
    if figure is None or len(sides) > 1 or len(numbers) > 1:
        return None
    if not sides:
        return figure if figure in ("points", "nummern") and not numbers else None
    if not numbers:
        return f"{sides[0]}_{figure}"
    numbered = f"{sides[0]}_{figure}_{int(numbers[0])}"
    return numbered if _NUMBERED.fullmatch(numbered) else None
