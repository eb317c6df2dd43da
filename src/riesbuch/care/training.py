"""A training to come as a file with the club's members in it, every row still to be entered."""

import datetime
from collections.abc import Iterator, Sequence
from pathlib import Path

from riesbuch.care.draft import SEASONS_OF_LATE, active_members
from riesbuch.folder.club_folder import TRAININGS, ClubFolder
from riesbuch.questions.sheets import Precedents
from riesbuch.text.layout import TRAINING_SHAPE, canonical
from riesbuch.text.schemas import editor_line
from riesbuch.text.sheet import read_training
from riesbuch.trade.ids import ClubId, PlayerId
from riesbuch.trade.names import find_club
from riesbuch.trade.people import Register
from riesbuch.trade.problems import RiesbuchError, UsageError, all_of
from riesbuch.trade.strikes import BLANK, write_strike
from riesbuch.trade.training import Training

_FOLDERS_ABOVE = 2
_REMARK = "# wind, weather and notes may stand here too; nothing about anybody's health"


def club_meant(folder: ClubFolder, register: Register, written: str | None) -> ClubId:
    """The club that is named; without that the folder's only one, or that of its last training.
    Raises UsageError where it cannot be told."""
    if written is not None:
        return find_club(register, written)
    if len(register.clubs) == 1:
        return next(iter(register.clubs))
    last = next((one.club for _, one in _evenings(folder) if one.club in register.clubs), None)
    if last is None:
        example = next(iter(register.clubs), "aarwald")
        raise UsageError(
            "name the club that trains: `riesbuch training {example}`; the next time its name may"
            " be left out",
            example=example,
        )
    return last


def _evenings(folder: ClubFolder) -> Iterator[tuple[Path, Training]]:
    """Those that can be read, from the newest."""
    for year in reversed(folder.training_years()):
        for path in reversed(folder.training_files(year)):
            training = read_training(folder.content(path) or b"").record
            if training is not None:
                yield path, training


def new_file(folder: ClubFolder, club: ClubId, date: datetime.date) -> Path:
    """Where the evening's file goes; raises RiesbuchError where the club has one."""
    for path, training in _evenings(folder):
        if (training.date, training.club) == (date, club):
            raise RiesbuchError(
                "this evening is there already, in {path}, and is left as it is; type"
                " `riesbuch desk {path}`",
                path=folder.relative(path),
            )
    directory = folder.root / TRAININGS / str(date.year)
    names = (f"{date}.yaml", f"{date}-{club}.yaml")
    free = [directory / name for name in names if not folder.exists(directory / name)]
    if not free:
        raise RiesbuchError(
            "{names} are there already; `riesbuch check {place}` says what is wrong with them",
            names=all_of(names),
            place=TRAININGS,
        )
    return free[0]


def members_of(
    register: Register, past: Precedents, club: ClubId, year: int
) -> tuple[PlayerId, ...]:
    """Who is expected to come: those who struck for the club lately or joined it then."""
    known = register.clubs.get(club)
    since = year - SEASONS_OF_LATE
    recent = past.recent_players(known.team_ids() if known else (), since)
    return active_members(club, register, year, recent, since)


def training_text(club: ClubId, date: datetime.date, members: Sequence[PlayerId]) -> str:
    """The evening's file in the one layout."""
    rows = [f"  {player}: {write_strike(BLANK)}" for player in members]
    head = [editor_line("training", _FOLDERS_ABOVE), f"date: {date}", f"club: {club}", _REMARK]
    lines = [*head, "", *(["strikes:", *rows] if rows else [])]
    return canonical("".join(f"{line}\n" for line in lines), TRAINING_SHAPE)
