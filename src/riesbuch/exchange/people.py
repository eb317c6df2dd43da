"""A list of people as a spreadsheet has it, made into players' files: all of it, or nothing."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from riesbuch.care.players import (
    expect_identifier,
    identifier_for,
    may_be_minor,
    plan_addition,
    titled,
    very_like,
)
from riesbuch.exchange.cells import UNKNOWN
from riesbuch.exchange.csv_text import CsvFile, CsvRow, unguarded
from riesbuch.exchange.sheets import Fault
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.atomic import Write
from riesbuch.trade.ids import ClassId, PlayerId
from riesbuch.trade.messages import Message
from riesbuch.trade.names import find_club, find_player, folded, in_reading_order, name_key
from riesbuch.trade.people import Membership, Player, Register
from riesbuch.trade.problems import RiesbuchError, UsageError, alternatives
from riesbuch.trade.rules import StrikerClass

_HEADS: Mapping[str, Sequence[str]] = {
    "name": ("name", "spieler", "player", "mitglied", "member", "hornusser"),
    "first_name": ("vorname", "first-name"),
    "last_name": ("nachname", "familienname", "last-name", "surname"),
    "identifier": ("identifier", "kennung", "id"),
    "born": ("born", "birth-year", "year-of-birth", "geboren", "geburtsjahr", "jahrgang", "jg"),
    "club": ("club", "klub", "verein", "gesellschaft"),
    "from": ("from", "since", "joined", "seit", "ab", "von", "eintritt"),
    "parents": ("parents", "parent", "eltern", "elternteil", "father", "mother", "vater", "mutter"),
    "classes": ("classes", "class", "kategorien", "kategorie", "klassen", "klasse"),
}
_SEEN = 10
"""The heads are looked for in so many rows."""

_YEAR = re.compile(r"(?:[0-9]{1,2}\. ?[0-9]{1,2}\. ?)?([12][0-9]{3})(?:-[0-9]{2}-[0-9]{2})?")
_BETWEEN_PARENTS = re.compile(r" *[;/&+] *| und | and ")


@dataclass(slots=True)
class ListedPeople:
    """``writes`` are the files of those who are new; ``there`` are those of the list who are on
    the register already, and ``unread`` the heads of columns that mean nothing here. ``minors``
    is how many birth years may be those of minors."""

    writes: list[Write] = field(default_factory=list)
    there: list[PlayerId] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unread: tuple[str, ...] = ()
    minors: int = 0


def read_people(
    folder: ClubFolder,
    register: Register,
    csv_file: CsvFile,
    classes: Iterable[StrikerClass] = (),
) -> ListedPeople:
    """What it takes to have everybody of the list on the register; ``classes`` are those that one
    can be listed in. Raises UsageError where no column has names."""
    by_name = {folded(word): ranked.id for ranked in classes for word in (ranked.id, ranked.name)}
    places, unread, rows = _columns(csv_file.records)
    found = ListedPeople(unread=unread)
    listed: list[tuple[_Cells, Player | None]] = []
    first_rows: dict[PlayerId, int] = {}
    players = dict(register.players)
    for row in rows:
        cells = _Cells(places, row, found.faults)
        player = _person(cells, replace(register, players=players), register, by_name)
        if player is not None and player.id in first_rows:
            cells.fault(
                "`{player}` stands in row {row} already – a row too many, or another person, who"
                " needs an identifier of their own in a column `identifier`",
                "name",
                player=player.id,
                row=first_rows[player.id],
            )
        elif player is not None and player.id in register.players:
            found.there.append(player.id)
        else:
            listed.append((cells, player))
            if player is not None:
                first_rows[player.id] = row.row
                players[player.id] = player
    # Parents may stand further down than their children.
    everybody = replace(register, players=players)
    for cells, player in listed:
        parents: list[Player] = []
        with cells.reporting("parents"):
            parents += [find_player(everybody, name) for name in cells.parents()]
        if player is None:
            continue
        with cells.reporting("born"):
            club = player.clubs[0] if player.clubs else None
            addition = plan_addition(
                folder, register, player=player.id, name=player.name, born=player.born, club=club,
                parents=parents, classes=player.classes, is_another=True,
            )  # fmt: skip
            found.writes.append(addition)
        found.minors += player.born is not None and may_be_minor(folder, player.born)
    found.faults.sort()
    return found


def _columns(
    records: Sequence[CsvRow],
) -> tuple[Mapping[str, Sequence[int]], tuple[str, ...], Sequence[CsvRow]]:
    """Which columns have what, by place; the heads of those that are not read; and the rows."""
    for number, record in enumerate(records[:_SEEN]):
        places: dict[str, list[int]] = {}
        for place, head in enumerate(record.cells):
            places.setdefault(_meaning(head), []).append(place)
        if places.keys() & {"name", "last_name"}:
            unread = (record.cells[place] for place in places.pop("", ()))
            return places, tuple(filter(None, unread)), records[number + 1 :]
    raise UsageError(
        "no column has the names: call one `name`, or two `first name` and `last name`; others"
        " that are read are {heads}",
        heads=", ".join(f"`{head}`" for head in _HEADS if "name" not in head),
    )


def _meaning(head: str) -> str:
    word = folded(head)
    return next((key for key, heads in _HEADS.items() if word in heads), "")


@dataclass(frozen=True, slots=True)
class _Cells:
    """The cells of a row by their meaning, and what is wrong with them."""

    places: Mapping[str, Sequence[int]]
    row: CsvRow
    faults: list[Fault]

    def texts(self, key: str) -> list[str]:
        cells = [self.row.cells[at] for at in self.places.get(key, ()) if at < len(self.row.cells)]
        return [unguarded(cell) for cell in cells if cell.lower() not in UNKNOWN]

    def text(self, key: str) -> str:
        return next(iter(self.texts(key)), "")

    def name(self) -> str:
        last = self.text("last_name") or (self.text("name") if "first_name" in self.places else "")
        first = self.text("first_name")
        return f"{first} {last}".strip() if last else in_reading_order(self.text("name") or first)

    def year(self, key: str) -> int | None:
        """Also of a whole date: no more than the year is written down."""
        text = self.text(key)
        written = _YEAR.fullmatch(text)
        if text and written is None:
            self.fault("`{text}` is no year – write four digits, as in 1988", key, text=text)
        return int(written[1]) if written else None

    def parents(self) -> list[str]:
        cells = self.texts("parents")
        return [name for cell in cells for name in _BETWEEN_PARENTS.split(cell) if name]

    def classes(self, by_name: Mapping[str, ClassId]) -> Iterator[ClassId]:
        for name in filter(None, re.split(r" *[,;/&+] *", ";".join(self.texts("classes")))):
            if folded(name) in by_name:
                yield by_name[folded(name)]
            else:
                self.fault(
                    "`{name}` is no class that somebody is listed in – the rules have {known}",
                    "classes",
                    name=name,
                    known=", ".join(dict.fromkeys(by_name.values())) or Message("none"),
                )

    def fault(self, said: str, key: str, /, **values: object) -> None:
        place = next(iter(self.places.get(key, ())), 0)
        self.faults.append(Fault(self.row.row, place, Message.of(said, values)))

    @contextmanager
    def reporting(self, key: str) -> Iterator[None]:
        """What cannot be done is a fault of that cell."""
        try:
            yield
        except RiesbuchError as error:
            self.fault(error.message, key)


def _person(
    cells: _Cells, register: Register, before_list: Register, by_name: Mapping[str, ClassId]
) -> Player | None:
    """The one on the register, or whom it is to have; None where that cannot be told. Names that
    are nearly those of others in the list are other people's: brothers stand in it side by side."""
    name, own, before = cells.name(), cells.text("identifier"), len(cells.faults)
    if not name:
        cells.fault("the name is missing – write it, or delete the row", "name")
        return None
    player = PlayerId("")
    with cells.reporting("identifier" if own else "name"):
        player = expect_identifier(own) if own else identifier_for(name)
    alike = [] if own else very_like(before_list, name)
    known = [register.players[player]] if player in register.players else alike
    same = [person for person in known if name_key(person.name) == name_key(name)]
    if same:
        return same[0]
    if register.knows_player(player) or alike:
        cells.fault(
            "{name} may be on the register already, as {alike} – if so, write the name so; another"
            " person needs an identifier of their own in a column `identifier`",
            "identifier" if own else "name",
            name=name,
            alike=alternatives([titled(person) for person in known] or [player]),
        )
    born, since = cells.year("born"), cells.year("from")
    clubs: tuple[Membership, ...] = ()
    if cells.text("club"):
        with cells.reporting("club"):
            clubs = (Membership(find_club(register, cells.text("club")), since),)
    elif since is not None:
        cells.fault("a year `from` goes with a club – fill in the column `club`", "from")
    classes = tuple(cells.classes(by_name))
    if len(cells.faults) > before:
        return None
    return Player(id=player, name=name, born=born, clubs=clubs, classes=classes, positions={})
