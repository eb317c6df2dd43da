"""Training evenings: read, and judged beside one another and the register."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from riesbuch.folder.archive import Archive, bad_file_name, read_bytes
from riesbuch.judge.holdings import Holdings, problem_at
from riesbuch.judge.register import unknown_club
from riesbuch.judge.sheets import player_at
from riesbuch.judge.strikes import swapped_digits
from riesbuch.trade.ids import ClubId, PlayerId, is_identifier
from riesbuch.trade.messages import Message
from riesbuch.trade.names import Directory, player_directory
from riesbuch.trade.people import belongs, membership
from riesbuch.trade.problems import Place, Problem
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.training import Training

_DATE_LENGTH = len("2026-04-02")


class ExaminedTrainings(NamedTuple):
    """``sound`` are the evenings of a year that have no errors, by path."""

    sound: Mapping[str, Training]
    problems: tuple[Problem, ...]


def examine_trainings(archive: Archive, year: int) -> ExaminedTrainings:
    """Read and judge the evenings of ``year``, whose season is in the archive if there is one."""
    from riesbuch.text.sheet import read_training

    folder = archive.folder
    problems: list[Problem] = []
    evenings: dict[str, Training] = {}
    for path in folder.training_files(year):
        relative = folder.relative(path)
        content, unreadable = read_bytes(folder, path)
        problems += [unreadable] if unreadable else []
        if content is None:
            continue
        reading = read_training(content)
        problems += [finding.in_file(relative) for finding in reading.findings]
        if not is_identifier(path.stem):
            problems.append(bad_file_name(folder, path))
        if reading.record is not None:
            evenings[relative] = reading.record
    problems += check_trainings(archive, year, evenings)
    wrong = {found.place.path for found in problems if found.is_error}
    return ExaminedTrainings(
        {path: training for path, training in evenings.items() if path not in wrong},
        tuple(problems),
    )


def check_trainings(
    archive: Archive, year: int, evenings: Mapping[str, Training]
) -> Iterator[Problem]:
    """What is wrong with the evenings of a year, by path, beyond what cannot be read."""
    highest = highest_points(archive, year)
    players = player_directory(archive.register)
    first: dict[object, tuple[str, Training]] = {}
    for path, training in evenings.items():
        yield from _day(path, year, training)
        yield from _once(first, path, training)
        yield from _people(archive, players, path, year, training)
        yield from _strikes(path, training, highest)


def highest_points(archive: Archive, year: int) -> int:
    """Of the rule sets of the year's competitions; the default where none can be read."""
    season = archive.seasons.get(year)
    rules = [rules for one in (season.competitions if season else ()) for rules in one.rule_sets]
    known = [archive.rules[one].highest_points for one in rules if one in archive.rules]
    return max(known, default=RuleSet().highest_points)


def _day(path: str, year: int, training: Training) -> Iterator[Problem]:
    """The date is in the year of the folder, and the file's name begins with it."""
    day = training.date
    if day is None:
        return
    position, name = training.positions["date"], path.rpartition("/")[2]
    if day.year != year:
        yield problem_at(
            path,
            position,
            "date-outside-season",
            "{date} is not in the year {season} of the folder",
            "a training of that year belongs in trainings/{year}/",
            date=day,
            season=year,
            year=day.year,
        )
    elif name[:_DATE_LENGTH] != str(day):
        yield problem_at(
            path,
            position,
            "training-misnamed",
            "the training is dated {date}, and its file's name does not begin with that",
            "set the right date, or call the file {date}-{rest}",
            date=day,
            rest=training.club or "aarwald",
        )


def _once(
    first: dict[object, tuple[str, Training]], path: str, training: Training
) -> Iterator[Problem]:
    """A club's evening has one file."""
    if training.date is None or training.club is None:
        return
    earlier, other = first.setdefault((training.date, training.club), (path, training))
    if earlier != path:
        yield problem_at(
            path,
            training.positions["date"],
            "training-twice",
            "this evening of `{club}` already has a file: {path}",
            "put both into one and delete the other, or set the right date",
            related=(Place(earlier, *other.positions["date"]),),
            club=training.club,
            path=earlier,
        )


def _people(
    archive: Archive, players: Directory[PlayerId], path: str, year: int, training: Training
) -> Iterator[Problem]:
    """Club and players are in the register, nobody is named twice, and guests are told of."""
    register, club = archive.register, training.club
    if club is not None and not register.knows_club(club):
        yield unknown_club((path, training.positions["club"]), club, register)
    rows = {row.player for row in training.strikes}
    met: set[PlayerId] = set()
    for player, position in training.named:
        if player in met:
            yield problem_at(
                path,
                position,
                "repeated-player",
                "`{player}` has strikes here, and stands under `present` too"
                if player in rows
                else "`{player}` stands twice under `present`",
                "delete it here",
                player=player,
            )
            continue
        met.add(player)
        if not register.knows_player(player):
            holdings = Holdings(archive=archive, entries=())
            yield player_at((path, position), player, holdings, players)
            continue
        now = membership(register, player, year)
        if club in register.clubs and now and not belongs(register, now.club, ClubId(club or "")):
            yield problem_at(
                path,
                position,
                "other-club",
                "`{player}` is a member of `{other}`, not of `{club}`",
                "a guest may train; else set the right player, or mend players/{player}.yaml",
                player=player,
                other=now.club,
                club=club,
            )


def _strikes(path: str, training: Training, highest: int) -> Iterator[Problem]:
    """No strike is beyond the highest of the season's rules; blanks are still to be entered."""
    for row in training.strikes:
        for number, strike in enumerate(row.strikes, start=1):
            if strike.points > highest:
                yield problem_at(
                    path,
                    row.cells[number - 1],
                    "strike-too-high",
                    "`{at}` is {written}; the highest strike is {highest}",
                    swapped_digits(strike.points, highest),
                    at=f"strikes.{row.player}.{number}",
                    written=strike.written,
                    highest=highest,
                )
    blank = [row for row in training.strikes if row.is_blank]
    if blank:
        yield problem_at(
            path,
            blank[0].position,
            "draft",
            Message.plural(
                len(blank),
                "{count} row is still to be entered",
                "{count} rows are still to be entered",
            ),
            "type the strikes, name who was only there under `present`, and delete who was not",
        )
