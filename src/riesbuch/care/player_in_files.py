"""The files that name a player and where, and what they become when the player gets another
identifier."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Generic, NamedTuple, TypeVar

from riesbuch.care.players import Renaming
from riesbuch.folder.archive import read_bytes, rules_by_key
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.text.atomic import Write
from riesbuch.text.editing import Written, edited, respelt
from riesbuch.text.league import read_handed_down
from riesbuch.text.nodes import FileReading
from riesbuch.text.record_text import with_long_rows
from riesbuch.text.register import read_player
from riesbuch.text.sheet import read_sheet, read_training
from riesbuch.text.toml_text import players_named, with_renamed
from riesbuch.trade.cells import deciding_cells
from riesbuch.trade.handed_down import HandedDown
from riesbuch.trade.ids import PlayerId, SheetId, SideName
from riesbuch.trade.match import PLAYER_KEYS, Match, PlayerPoints, Row, Side
from riesbuch.trade.messages import Message, joined
from riesbuch.trade.people import Player
from riesbuch.trade.problems import Problem, RiesbuchError, all_of
from riesbuch.trade.sealing import read_change
from riesbuch.trade.strikes import Inning, StrikeKind
from riesbuch.trade.training import Training

_NOBODY = PlayerId("")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mentions:
    """``keys`` are places whose last step is the player, ``values`` maps other places to what
    is to stand there instead."""

    keys: tuple[str, ...]
    values: dict[str, str]

    def __bool__(self) -> bool:
        return bool(self.keys or self.values)


def mentions(match: Match, player: PlayerId, becomes: PlayerId) -> Mentions:
    """All places of ``match``, which reads whole, that name ``player``: rows and points, captain,
    who struck replacements, and the places that doubts and corrections are about."""
    keys: list[str] = []
    values: dict[str, str] = {}
    for name, side in match.sides:
        listed = {
            "strikes": [row.player for row in side.rows or ()],
            "supernumeraries": [row.player for row in side.supernumeraries],
            "player_points": [known.player for known in side.player_points or ()],
            "named": [known.player for known in side.named],
        }
        keys += [f"{name}.{field}.{player}" for field, named in listed.items() if player in named]
        if side.captain == player:
            values[f"{name}.captain"] = becomes
        for number, row in enumerate(side.replacements, start=1):
            if row.player == player:
                values[f"{name}.replacements.{number}.by"] = becomes
    texts = {f"doubts.{number}.at": (doubt.at, renamed_place(doubt.at, player, becomes))
             for number, doubt in enumerate(match.doubts, start=1)}  # fmt: skip
    for number, (correction, changed) in enumerate(
        zip(match.corrections, _renamed_changes(match, player, becomes), strict=True), start=1
    ):
        for index, both in enumerate(zip(correction.changed, changed, strict=True), start=1):
            texts[f"corrections.{number}.changed.{index}"] = both
    values.update({at: after for at, (before, after) in texts.items() if before != after})
    return Mentions(keys=tuple(keys), values=values)


def renamed_place(place: str, player: PlayerId, becomes: PlayerId) -> str:
    """``home.strikes.<player>.2.1`` with the other identifier; any other place as it is."""
    steps = place.split(".")
    if len(steps) > 2 and steps[1] in PLAYER_KEYS and steps[2] == player:
        steps[2] = becomes
    return ".".join(steps)


def renamed_change(written: str, player: PlayerId, becomes: PlayerId) -> str:
    """A change as corrections write it, with the other identifier; its spacing stays."""
    change = read_change(written)
    if change is None:
        return written
    at, colon, values = written.partition(":")
    indent = at[: len(at) - len(at.lstrip())]
    if change.at.endswith((".captain", ".by")):
        values = re.sub(rf"(?<!\S){re.escape(player)}(?!\S)", becomes, values)
    return f"{indent}{renamed_place(at.lstrip(), player, becomes)}{colon}{values}"


def _renamed_changes(
    match: Match, player: PlayerId, becomes: PlayerId
) -> tuple[tuple[str, ...], ...]:
    """What is written under ``changed`` of each correction with the other identifier, or as it is
    in a sheet that names both: there it says which of the two was meant."""
    written = tuple(correction.changed for correction in match.corrections)
    tells_apart = sides_naming(match, becomes) or _corrected(match, becomes)
    if tells_apart:
        return written
    return tuple(
        tuple(renamed_change(text, player, becomes) for text in texts) for texts in written
    )


def _corrected(match: Match, player: PlayerId) -> bool:
    """Whether a correction is about a place of ``player``."""
    texts = (text for correction in match.corrections for text in correction.changed)
    return any(renamed_change(text, player, _NOBODY) != text for text in texts)


def is_named(match: Match, player: PlayerId) -> bool:
    """Whether the sheet names ``player`` in any place that `mentions` knows."""
    doubted = any(renamed_place(doubt.at, player, _NOBODY) != doubt.at for doubt in match.doubts)
    return bool(sides_naming(match, player)) or doubted or _corrected(match, player)


def sides_naming(match: Match, player: PlayerId) -> tuple[SideName, ...]:
    """The sides that name ``player``, whatever as."""
    return tuple(name for name, side in match.sides if player in _named(side))


def _named(side: Side) -> set[PlayerId | None]:
    rows = (*side.individual_rows, *side.replacements)
    return {side.captain, *(row.player for row in rows)} | {
        known.player for known in side.by_points
    }


def renamed(match: Match, player: PlayerId, becomes: PlayerId) -> Match:
    """``match`` as it is after the places of `mentions` were written anew."""

    def rows(given: tuple[Row, ...]) -> tuple[Row, ...]:
        return tuple(row._replace(player=becomes) if row.player == player else row for row in given)

    def points(given: tuple[PlayerPoints, ...]) -> tuple[PlayerPoints, ...]:
        return tuple(
            replace(known, player=becomes) if known.player == player else known for known in given
        )

    def side(given: Side) -> Side:
        return replace(
            given,
            captain=becomes if given.captain == player else given.captain,
            rows=None if given.rows is None else rows(given.rows),
            supernumeraries=rows(given.supernumeraries),
            replacements=rows(given.replacements),
            player_points=None if given.player_points is None else points(given.player_points),
            named=points(given.named),
        )

    return replace(
        match,
        home=side(match.home),
        away=side(match.away),
        doubts=tuple(
            replace(doubt, at=renamed_place(doubt.at, player, becomes)) for doubt in match.doubts
        ),
        corrections=tuple(
            replace(correction, changed=changed)
            for correction, changed in zip(
                match.corrections, _renamed_changes(match, player, becomes), strict=True
            )
        ),
    )


_Record = TypeVar("_Record")

_MOST_NAMED = 12


class NamingFile(NamedTuple, Generic[_Record]):
    """A file that reads whole and holds an identifier looked for, perhaps in a comment only."""

    file: Path
    path: str
    content: bytes
    record: _Record

    @property
    def text(self) -> str:
        return self.content.decode("utf-8")

    def names(self, player: PlayerId) -> bool:
        record = self.record
        if isinstance(record, Match):
            return is_named(record, player)
        if isinstance(record, Player):
            return player in record.parents
        assert isinstance(record, Training | HandedDown)
        named = record.named if isinstance(record, Training) else players_named(record)
        return any(other == player for other, _ in named)

    def becoming(self, after: str | bytes) -> Write:
        after = after.encode("utf-8") if isinstance(after, str) else after
        return Write(path=self.file, before=self.content, after=after)


class Naming(NamedTuple):
    """``players`` are the files of those of whom one looked for may be a parent."""

    sheets: tuple[NamingFile[Match], ...]
    handed_down: tuple[NamingFile[HandedDown], ...]
    trainings: tuple[NamingFile[Training], ...]
    players: tuple[NamingFile[Player], ...]


def files_naming(folder: ClubFolder, looked_for: Iterable[PlayerId]) -> Naming:
    """Every sheet, training, handed-down.toml and player's file that may name one of those
    ``looked_for``.

    Raises RiesbuchError, naming them, where such files do not read whole, or cannot be read.
    """
    is_in = _holding(looked_for)
    problems: list[Problem] = []

    def read(
        files: Iterable[Path], reader: Callable[[bytes, Path], FileReading[_Record]]
    ) -> tuple[NamingFile[_Record], ...]:
        found = []
        for file, path, content in _contents(folder, files, is_in, problems):
            record, findings = reader(content, file)
            problems.extend(finding.in_file(path) for finding in findings)
            if record is not None:
                found.append(NamingFile(file, path, content, record))
        return tuple(found)

    def sheet(content: bytes, file: Path, year: int) -> FileReading[Match]:
        by_rules = rules_by_key(folder, year)
        reading = read_sheet(content, SheetId(f"{year}/{file.stem}"), year, by_rules)
        return FileReading(reading.match, reading.findings)

    handed_down: list[NamingFile[HandedDown]] = []
    sheets: list[NamingFile[Match]] = []
    for year in folder.years():
        tables = [path for path in (folder.handed_down_file(year),) if folder.exists(path)]
        handed_down += read(tables, lambda content, _: read_handed_down(content))
        sheets += read(folder.sheet_files(year), partial(sheet, year=year))
    evenings = [path for year in folder.training_years() for path in folder.training_files(year)]
    trainings = read(evenings, lambda content, _: read_training(content))
    players = read(
        [path for _, path in folder.player_files()],
        lambda content, file: read_player(content, PlayerId(file.stem)),
    )
    if problems:
        raise RiesbuchError(
            "these files may name the player and cannot be read whole; nothing was"
            " changed, mend them first:\n{lines}",
            lines=few([problem.as_line() for problem in problems]),
        )
    parents = tuple(entry for entry in players if entry.record.parents)
    return Naming(tuple(sheets), tuple(handed_down), trainings, parents)


def few(lines: list[str]) -> str:
    """The lines, those beyond a dozen counted."""
    more = len(lines) - _MOST_NAMED
    shown = [f"  {line}" for line in lines[:_MOST_NAMED]]
    return joined("\n", [*shown, *([Message("  and {more} more", more=more)] if more > 0 else [])])


def _holding(looked_for: Iterable[PlayerId]) -> Callable[[bytes], bool]:
    """Whether a file's bytes may name one of the players.

    A backslash may write a letter otherwise, and a zero byte stands in text that is not UTF-8:
    such files are read to find out.
    """
    words = [word.encode("ascii") for word in sorted(looked_for)]
    pattern = re.compile(
        rb"\\|\x00|(?<![a-z0-9-])(?:" + b"|".join(map(re.escape, words)) + rb")(?![a-z0-9-])"
    )

    def is_in(content: bytes) -> bool:
        # Looking for the words alone is much quicker than looking for them within their bounds.
        likely = any(word in content for word in words) or b"\\" in content or b"\0" in content
        return likely and pattern.search(content) is not None

    return is_in


def _contents(
    folder: ClubFolder,
    files: Iterable[Path],
    is_in: Callable[[bytes], bool],
    problems: list[Problem],
) -> Iterator[tuple[Path, str, bytes]]:
    for file in files:
        content, problem = read_bytes(folder, file)
        if problem is not None:
            problems.append(problem)
        elif content is not None and is_in(content):
            yield file, folder.relative(file), content


def changed_files(naming: Naming, renaming: Renaming, if_sealed: str) -> list[Write]:
    """The writes of all files that name the player, those of children last.

    Raises RiesbuchError, with the advice ``if_sealed``, where sealed sheets would no longer say
    what was sealed, and where a text cannot be changed by place.
    """
    writes = _changed_sheets(naming.sheets, renaming, if_sealed)
    for tables in naming.handed_down:
        if tables.names(renaming.player):
            with _told_of(tables.path):
                writes.append(tables.becoming(with_renamed(tables.content, *renaming)))
    for evening in naming.trainings:
        if evening.names(renaming.player):
            text = with_other_player(evening.text, evening.record, renaming)
            writes.append(evening.becoming(text))
    for child in naming.players:
        if child.names(renaming.player):
            parents = enumerate(child.record.parents, start=1)
            places = [f"parents.{n}" for n, parent in parents if parent == renaming.player]
            values = dict.fromkeys(places, str(renaming.becomes))
            writes.append(child.becoming(respelt(child.text, {}, values)))
    return writes


@contextmanager
def _told_of(path: str) -> Iterator[None]:
    try:
        yield
    except RiesbuchError as error:
        raise RiesbuchError(
            "{path}: {fault}; nothing was changed", path=path, fault=error.message
        ) from error


def _changed_sheets(
    sheets: Sequence[NamingFile[Match]], renaming: Renaming, if_sealed: str
) -> list[Write]:
    writes: list[Write] = []
    sealed: list[str] = []
    for sheet in sheets:
        if not mentions(sheet.record, *renaming):
            continue
        text, after = _changed(sheet, renaming)
        before = deciding_cells(sheet.record)
        seal = sheet.record.seal
        is_signed = seal is not None and bool(seal.signatures)
        if seal is not None and (
            deciding_cells(after) != before
            # Signatures cover what corrections say too.
            or (is_signed and after.corrections != sheet.record.corrections)
        ):
            sealed.append(sheet.path)
        writes.append(sheet.becoming(text))
    if sealed:
        # Both captains agreed on whose strikes these are.
        say = (
            Message("a sealed sheet says")
            if len(sealed) == 1
            else Message("{sealed} sealed sheets say", sealed=len(sealed))
        )
        raise RiesbuchError(
            "{say} what `{player}` struck, and a seal covers whose strikes they"
            " are; nothing was changed:\n{lines}\n{if_sealed}",
            say=say,
            player=renaming.player,
            lines=few(sealed),
            if_sealed=if_sealed,
        )
    return writes


def with_other_player(text: str, training: Training, renaming: Renaming) -> str:
    """The text of an evening with the other identifier. Where it names both, one of them under
    ``present``, that entry goes."""
    if set(renaming) <= {player for player, _ in training.named}:
        listed = [player for player in renaming if player in training.present]
        text = edited(text, {f"present.{training.present.index(listed[0]) + 1}": None})
        record = read_training(text.encode("utf-8")).record
        assert record is not None
        training = record
    keys = [row.player for row in training.strikes if row.player == renaming.player]
    return respelt(
        text,
        {f"strikes.{player}": renaming.becomes for player in keys},
        {
            f"present.{number}": renaming.becomes
            for number, player in enumerate(training.present, start=1)
            if player == renaming.player
        },
    )


def conflicts_beside_sheets(naming: Naming, renaming: Renaming) -> Iterator[str]:
    """Why the two cannot be one person: both have a row in a table, or strikes of one evening."""
    for file in naming.handed_down:
        for table in file.record.striker_tables:
            if set(renaming) <= {row.player for row in table.rows}:
                yield Message(
                    "{path}:{line}: both have a row in this table",
                    path=file.path,
                    line=table.positions["rows"][0],
                )
    for evening in naming.trainings:
        if set(renaming) <= {row.player for row in evening.record.strikes}:
            yield Message("{path}: both have strikes of this evening", path=evening.path)


def _changed(sheet: NamingFile[Match], renaming: Renaming) -> tuple[str, Match]:
    match, text = sheet.record, sheet.text
    with _told_of(sheet.path):
        if _in_one_sheet(match, renaming):
            text = edited(with_long_rows(text, match), _joining(match, renaming))
            home, away = _joined(match.home, renaming), _joined(match.away, renaming)
            match = replace(match, home=home, away=away)
        places = mentions(match, *renaming)
        keys = dict.fromkeys(places.keys, str(renaming.becomes))
        text = respelt(text, keys, places.values)
    expected = renamed(match, *renaming)
    reading = read_sheet(text.encode("utf-8"), match.sheet, match.season, lambda *_: match.read_by)
    if reading.findings or reading.match != expected:
        raise AssertionError(f"{sheet.path} would say something else")
    return text, expected


# Two entries of one person in one sheet


def conflict(match: Match, renaming: Renaming) -> str:
    """Why the two cannot be one person in this sheet; empty where they can."""
    one, other = renaming
    sides = {*sides_naming(match, one), *sides_naming(match, other)}
    if not sides_naming(match, one) or not sides_naming(match, other):
        return ""
    if len(sides) > 1:
        return Message("they are named on both sides")
    if not _in_one_sheet(match, renaming):
        return ""
    rows = [_row(side, player) for _, side in match.sides for player in renaming]
    found = [row for row in rows if row is not None]
    if len(found) < len(renaming):
        return Message("both have points in it, and not both as strikes of the team's own rows")
    if len({tuple(map(len, row.innings)) for row in found}) > 1:
        return Message("their rows are not of the same length")
    columns = [
        number
        for number, strikes in enumerate(zip(*(row.strikes for row in found), strict=True), 1)
        if all(strike.kind is not StrikeKind.NOT_STRUCK for strike in strikes)
    ]
    if columns:
        return Message.plural(
            len(columns),
            "both strike in column {numbers}",
            "both strike in columns {numbers}",
            numbers=all_of(map(str, columns)),
        )
    return ""


def _in_one_sheet(match: Match, renaming: Renaming) -> bool:
    """Whether both have strikes or points of their own here."""
    named = [
        {*(row.player for row in side.individual_rows),
         *(known.player for known in side.by_points)}
        for _, side in match.sides
    ]  # fmt: skip
    return all(any(player in names for names in named) for player in renaming)


def _row(side: Side, player: PlayerId) -> Row | None:
    return next((row for row in side.rows or () if row.player == player), None)


def _joining(match: Match, renaming: Renaming) -> dict[str, Written | None]:
    """The edits by which the strikes of the row that goes stand in the other's."""
    edits: dict[str, Written | None] = {}
    for name, side in match.sides:
        row = _row(side, renaming.player)
        if row is None:
            continue
        for inning, strikes in enumerate(row.innings, start=1):
            for number, strike in enumerate(strikes, start=1):
                if strike.kind is not StrikeKind.NOT_STRUCK:
                    edits[f"{name}.strikes.{renaming.becomes}.{inning}.{number}"] = strike.written
        edits[f"{name}.strikes.{renaming.player}"] = None
    return edits


def _joined(side: Side, renaming: Renaming) -> Side:
    goes, stays = _row(side, renaming.player), _row(side, renaming.becomes)
    if goes is None or stays is None:
        return side
    innings = tuple(
        Inning(
            one if other.kind is StrikeKind.NOT_STRUCK else other
            for one, other in zip(*pair, strict=True)
        )
        for pair in zip(stays.innings, goes.innings, strict=True)
    )
    rows = tuple(
        row._replace(innings=innings) if row is stays else row
        for row in side.rows or ()
        if row is not goes
    )
    return replace(side, rows=rows)
