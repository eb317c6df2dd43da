"""Which row of a spreadsheet is the head, and which column means what."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from riesbuch.exchange.cells import AmbiguousDateError, CellError, read_date
from riesbuch.exchange.csv_text import CsvRow
from riesbuch.trade.handed_down import StrikerRow, TableRow
from riesbuch.trade.keys import keys_of
from riesbuch.trade.match import Match, Side, Source
from riesbuch.trade.messages import Message
from riesbuch.trade.names import folded
from riesbuch.trade.problems import UsageError, did_you_mean


def _heads(record: type) -> dict[str, tuple[str, ...]]:
    """What the columns may be called that a record's keys are imported from."""
    return {key.name: (key.name, *key.heads.split()) for key in keys_of(record) if key.heads}


_OF_A_SOURCE = _heads(Source)
_OF_A_MATCH = {
    "season": ("saison", "jahr", "year"),
    **_heads(Match),
    "home": ("home-team", "heim", "heimmannschaft", "heimteam", "heimklub", "platzklub"),
    "away": ("away-team", "gast", "gaeste", "gastmannschaft", "gastteam", "gastklub"),
    "pairing": ("paarung", "begegnung", "spiel", "partie", "match", "heim-gast", "mannschaften",
                "teams"),
    "opponent": ("gegner", "gegnermannschaft", "gegnerischer-klub"),
    "venue": ("wo", "where", "h-a", "heim-auswaerts", "heim-oder-auswaerts", "home-away",
              "home-or-away"),
    "source_kind": _OF_A_SOURCE.pop("kind")[1:],
    **_OF_A_SOURCE,
}  # fmt: skip
FAMILY_FIRST = ("name-vorname", "name-und-vorname", "nachname-vorname", "familienname-vorname")
"""What a column of players is called whose family names stand first."""
_FIGURES = {key: names for key, names in _heads(Side).items() if key != "team"}
_OF_A_PLAYER = {
    "player": ("spieler", "name", "striker", "schlaeger", "hornusser", "vorname-name",
               *FAMILY_FIRST),
    "first_name": ("vorname",),
    "last_name": ("nachname", "familienname", "surname"),
    "team": _heads(Side)["team"],
    "side": ("seite",),
    "role": ("rolle",),
    "player_points": ("spielerpunkte",),
    "strikes": ("streiche",),
}  # fmt: skip
_BESIDE_A_ROW = {key: _OF_A_MATCH[key] for key in ("source_kind", *_OF_A_SOURCE)}
_OF_A_TEAM_ROW = {**_heads(TableRow), **_BESIDE_A_ROW}
_OF_A_STRIKER = {
    **_heads(StrikerRow),
    **{key: _OF_A_PLAYER[key] for key in ("player", "first_name", "last_name")},
    **_BESIDE_A_ROW,
}
_OF_TEAMS_ALONE = _heads(TableRow).keys() - _heads(StrikerRow).keys()
TABLE_KEYS = tuple({**_OF_A_TEAM_ROW, **_OF_A_STRIKER})
"""What a column of a table may mean."""
Meaning: TypeAlias = Callable[[str], str | None]
_SIDE_WORDS = {
    **dict.fromkeys(("home", "heim", "heims"), "home"),
    **dict.fromkeys(("away", "gast", "gaeste", "auswaerts"), "away"),
    **dict.fromkeys(("we", "us", "wir", "unser", "unsere", "eigene", "eigenes", "own"), "we"),
    **dict.fromkeys(("they", "them", "sie", "ihre", "gegner", "opponent"), "they"),
}
_STRIKE = re.compile(r"(?:strikes?|streiche?|s)-?([0-9]{1,2})|([0-9]{1,2})-(?:strike|streich)")
_STRIKE_OF_INNING = re.compile(
    r"(?:([1-9])-(?:umgang|inning)|(?:umgang|inning)-([1-9]))-(?:streich-|strike-)?([1-9])"
    r"(?:-streich|-strike)?"
)
_PAIRS = ("points", "nummern")
TEXTS = tuple(key.name for record in (Match, Source) for key in keys_of(record)
              if key.heads and (key.form == "text" or key.name == "part"))  # fmt: skip
"""The columns that are taken as they are."""

KEYS = (
    *_OF_A_MATCH, *_PAIRS, *(f"we_they_{figure}" for figure in _PAIRS),
    *(f"{side}_{figure}" for side in ("home", "away", "we", "they") for figure in _FIGURES),
    "home_ries_1", "away_ries_1", "we_ries_1", "they_ries_1", *_OF_A_PLAYER, "strike_1",
)  # fmt: skip
"""What a column may mean; ``_1`` stands for any number."""

_NUMBERED = re.compile(r"((?:home|away|we|they)_ries|strike)_([1-9][0-9]?)")
_LAST_HEAD = 25
"""The head is looked for in so many rows."""


class Columns(NamedTuple):
    """``place`` gives the place of each meaning among the cells, ``title`` its head as written.
    ``unread`` are the heads of columns that mean nothing here. ``one_row_a_player`` tells the
    layout: else there is one row a match. Both teams that stand in one cell, or in a club's own
    view the club, are put behind the ``width`` of the head."""

    place: Mapping[str, int]
    title: Mapping[str, str]
    unread: tuple[str, ...]
    one_row_a_player: bool
    width: int

    def numbered(self, stem: str) -> list[str]:
        """The keys ``<stem>_1``, ``<stem>_2`` and so on that there are, by number."""
        found = [key for key in self.place if key.rpartition("_")[0] == stem
                 and _NUMBERED.fullmatch(key)]  # fmt: skip
        return sorted(found, key=lambda key: int(key.rpartition("_")[2]))

    def seen_from(self, side: str) -> "Columns":
        """With ``side`` for the club whose view it is, and the other for its opponent."""
        other = "away" if side == "home" else "home"
        named = {"we": side, "they": other}

        def turned(key: str) -> str:
            whose, _, figure = key.partition("_")
            return f"{named[whose]}_{figure}" if whose in named and figure[:5] != "they_" else key

        own = self.place.get("team", self.width) if not self.one_row_a_player else self.width
        place = {turned(key): place for key, place in self.place.items()}
        title = {turned(key): title for key, title in self.title.items()}
        return self._replace(
            place={**place, side: own, other: place["opponent"]},
            title={**title, other: title["opponent"]},
        )


def is_of_a_player(key: str) -> bool:
    """Whether a column says something of one player, not of the match."""
    return key in _OF_A_PLAYER or key.startswith("strike_")


def read_maps(given: Iterable[str], keys: Sequence[str] = KEYS) -> dict[str, str]:
    """``Datum=date`` and the like by the column's head, each one of ``keys``; an empty meaning
    leaves a column out. Raises UsageError."""
    maps = {}
    for option in given:
        head, equals, key = (part.strip() for part in option.rpartition("="))
        if not equals or not head:
            raise UsageError(
                "--map {option}: write it COLUMN=MEANING, as in --map Datum=date", option=option
            )
        if key and key not in keys and not _NUMBERED.fullmatch(key):
            raise UsageError(
                "--map {option}: `{key}` is no meaning of a column; {advice}",
                option=option,
                key=key,
                advice=did_you_mean(key, keys)
                or Message("the meanings are {keys}", keys=", ".join(keys)),
            )
        maps[head] = key
    return maps


def find_columns(
    records: Sequence[CsvRow], maps: Mapping[str, str], club: str | None
) -> tuple[Columns, int]:
    """What the columns mean under the head that is found, and how many rows there are down to its
    last: the row, or the two, in which most columns mean something. Raises UsageError."""
    titles, height = _likeliest_head(records, maps, _meaning)
    return map_columns(titles, maps, club), height


def find_table_columns(
    records: Sequence[CsvRow], maps: Mapping[str, str]
) -> tuple[type[TableRow] | type[StrikerRow], Columns, int]:
    """Whose rows a table has, teams' or individuals', what its columns mean, and how many rows
    there are down to the head's last. Raises UsageError."""
    of_teams, of_people = (
        _read_table_head(records, maps, heads) for heads in (_OF_A_TEAM_ROW, _OF_A_STRIKER)
    )
    keys = {key for key in of_people[1] if key}
    alone = keys & {"player", "last_name", "team"} == {"player"}
    named = of_people[0][of_people[1].index("player")] if alone else ""
    # "Name" beside matches won or Nummern conceded is a team's.
    is_team = folded(named) in _OF_A_TEAM_ROW["team"] and _OF_TEAMS_ALONE & set(of_teams[1])
    if keys & {"player", "last_name"} and not is_team:
        record: type[TableRow] | type[StrikerRow] = StrikerRow
        head, meant, height = of_people
    else:
        record, (head, meant, height) = TableRow, of_teams
        if "team" not in meant:
            raise UsageError(
                "no column names teams or players; the columns are {head}; say which one does by"
                " --map COLUMN=team or --map COLUMN=player",
                head=", ".join(filter(None, head)),
            )
    return record, _placed(head, meant, maps, of_players=record is StrikerRow), height


def _read_table_head(
    records: Sequence[CsvRow], maps: Mapping[str, str], heads: Mapping[str, Sequence[str]]
) -> tuple[list[str], list[str | None], int]:
    def meaning(head: str) -> str | None:
        return next((key for key, names in heads.items() if folded(head) in (key, *names)), None)

    titles, height = _likeliest_head(records, maps, meaning)
    _expect_there(maps, titles)
    meant = [maps[title] if title in maps else meaning(title) for title in titles]
    if "first_name" in meant:
        meant = ["last_name" if key == "player" else key for key in meant]
    return titles, meant, height


def _likeliest_head(
    records: Sequence[CsvRow], maps: Mapping[str, str], meaning: Meaning
) -> tuple[list[str], int]:
    """The titles of that row, or two, in which most columns mean something; and its number."""
    most, titles, height = -1, [""], 0
    for number, (head, row) in enumerate(_possible_heads(records, maps, meaning)):
        meant = {maps.get(title, meaning(title)) for title in head} - {None}
        if len(meant) > most or not number:
            most, titles, height = len(meant), head, row
    return titles, height


def _possible_heads(
    records: Sequence[CsvRow], maps: Mapping[str, str], meaning: Meaning
) -> Iterator[tuple[list[str], int]]:
    """The titles of the columns if a row is the head, or with the row below it; and how many rows
    there are down to there. One row comes before two, which may be a title and the head."""
    for number, record in enumerate(records[:_LAST_HEAD], start=1):
        yield list(record.cells), number
    for number, (above, below) in enumerate(pairwise(records[: _LAST_HEAD + 1]), start=2):
        if not any(map(_is_data, below.cells)):
            yield _joined_titles(above.cells, below.cells, maps, meaning), number


def _joined_titles(
    above: Sequence[str], below: Sequence[str], maps: Mapping[str, str], meaning: Meaning
) -> list[str]:
    titles = []
    group = ""
    for place in range(max(len(above), len(below))):
        own, upper = (row[place] if place < len(row) else "" for row in (below, above))
        # What stands over several columns stands over the first of them.
        group = upper or (group if own else "")
        joined = f"{group} {own}".strip()
        usable = (title for title in (joined, own, upper) if title in maps or meaning(title))
        titles.append(next(usable, joined))
    return titles


def _is_data(cell: str) -> bool:
    with suppress(CellError, AmbiguousDateError):
        return bool(read_date(cell, 2000, True))
    return bool(re.fullmatch(r"[\d.,:'’/ –-]*\d{2}[\d.,:'’/ –-]*", cell))


def map_columns(head: Sequence[str], maps: Mapping[str, str], club: str | None = None) -> Columns:
    """What the columns under these heads mean: as ``maps`` says, else by their names. Raises
    UsageError where two mean the same, or too little is there."""
    _expect_there(maps, head)
    meant = [maps[title] if title in maps else _meaning(title) for title in head]
    one_row_a_player = any(key in ("player", "last_name") for key in meant)
    if one_row_a_player:
        meant = ["player_points" if key == "points" else key for key in meant]
        if not any(key and key.startswith("strike_") for key in meant):
            meant = [
                f"strike_{int(title)}" if key is None and re.fullmatch("[1-9]", title) else key
                for key, title in zip(meant, head, strict=True)
            ]
    if "first_name" in meant and "last_name" not in meant:
        # "Name" beside "Vorname" is the family's.
        meant = ["last_name" if key == "player" else key for key in meant]
    if "opponent" in meant and "venue" not in meant:
        # "Heim/Gast" beside "Gegner" is where.
        meant = ["venue" if key == "pairing" else key for key in meant]
    columns = _placed(head, meant, maps, of_players=one_row_a_player)
    index, title = dict(columns.place), dict(columns.title)
    if "pairing" in index and not {"home", "away"} & index.keys():
        index |= {"home": len(head), "away": len(head) + 1}
        title |= dict.fromkeys(("home", "away"), title["pairing"])
    _expect_enough(index, head, one_row_a_player, club)
    return columns._replace(place=index, title=title)


def _expect_there(maps: Mapping[str, str], head: Sequence[str]) -> None:
    unknown = [title for title in maps if title not in head]
    if unknown:
        raise UsageError(
            "--map {unknown}=…: there is no column `{unknown}`; the columns are {head}",
            unknown=unknown[0],
            head=", ".join(filter(None, head)),
        )


def _placed(
    head: Sequence[str], meant: Sequence[str | None], maps: Mapping[str, str], *, of_players: bool
) -> Columns:
    """The columns of those meanings. Raises UsageError where two mean the same."""
    index: dict[str, int] = {}
    for place, key in enumerate(meant):
        if key in index:
            raise UsageError(
                "the columns `{head}` and `{head_2}` both mean `{key}`; say which is not read by"
                " --map '{head_2}='",
                head=head[index[key]],
                head_2=head[place],
                key=key,
            )
        if key:
            index[key] = place
    titles = {key: head[place] for key, place in index.items()}
    unread = [
        title
        for title, key in zip(head, meant, strict=True)
        if title and not key and title not in maps
    ]
    return Columns(index, titles, tuple(unread), one_row_a_player=of_players, width=len(head))


def _expect_enough(
    index: Mapping[str, int], head: Sequence[str], of_players: bool, club: str | None
) -> None:
    in_view = "opponent" in index and "home" not in index
    if in_view and club is None:
        raise UsageError(
            "the column `{opponent}` tells of matches as one club sees them; say which club that"
            " is by --club CLUB",
            opponent=head[index["opponent"]],
        )
    needed = ("date", "opponent", "venue") if in_view else ("date", "home", "away")
    missing = [key for key in needed if key not in index]
    if missing:
        raise UsageError(
            "no column is `{missing}`; the columns are {head}; say which one it is by --map"
            " COLUMN={missing}",
            missing=missing[0],
            head=", ".join(filter(None, head)),
        )
    if of_players and not in_view and not {"team", "side"} & index.keys():
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
    strike = _STRIKE_OF_INNING.fullmatch(name)
    if strike is not None:
        # They are told apart by their order alone.
        return f"strike_{strike[1] or strike[2]}{strike[3]}"
    parts = re.sub(r"^(heim|gast)(?=punkte|nummern|ries|mannschaft)", r"\1-", name).split("-")
    sides = [_SIDE_WORDS[word] for word in parts if word in _SIDE_WORDS]
    numbers = [word for word in parts if word.isdecimal() and word.isascii()]
    others = [word for word in parts if word not in _SIDE_WORDS and word not in numbers]
    if len(sides) == 1 and others in [[name] for name in ("team", *_OF_A_PLAYER["team"])]:
        return {"they": "opponent", "we": "team"}.get(sides[0], sides[0])
    figure = next((key for key, names in _FIGURES.items() if others in [[n] for n in names]), None)
    if not others and not numbers and sides in (["we"], ["they"]):
        figure = "points"
    if figure is None or len(numbers) > 1:
        return None
    if not sides or sides in (["home", "away"], ["we", "they"]):
        is_pair = figure in _PAIRS and not numbers and (sides or name != "nr")
        return f"{'we_they_' if 'we' in sides else ''}{figure}" if is_pair else None
    if len(sides) > 1:
        return None
    if not numbers:
        return f"{sides[0]}_{figure}"
    numbered = f"{sides[0]}_{figure}_{int(numbers[0])}"
    return numbered if _NUMBERED.fullmatch(numbered) else None
