"""Problems in the user's files: where, what, how bad, and what to do about it.

A problem is a value, collected and reported with all the others; it is never raised.
`RiesbuchError` is for when the work itself cannot go on.
"""

from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import NamedTuple

from riesbuch.trade.ids import Position
from riesbuch.trade.messages import Message, joined, on_one_line


class Severity(StrEnum):
    ERROR = "error"
    WARNING = "warning"
    DRAFT = "draft"


SEVERITIES = {
    Severity.ERROR: Message("error"),
    Severity.WARNING: Message("warning"),
    Severity.DRAFT: Message("draft"),
}


class RiesbuchError(Exception):
    """The command cannot go on; the message is a whole sentence for the user, given as one or as
    a template and what stands in its gaps."""

    exit_status = 1

    def __init__(self, said: str, /, **values: object) -> None:
        self.message = Message.of(said, values)
        super().__init__(self.message)


class UsageError(RiesbuchError):
    """What was asked for does not exist or cannot be asked that way."""

    exit_status = 2


class Place(NamedTuple):
    """``path`` is relative to the club folder, with `/`; line and column count from 1."""

    path: str
    line: int = 1
    column: int = 1


class Problem(NamedTuple):
    """``hint`` is advice in a sentence or empty. ``related`` are the places in other files that
    the sentence names: who asks about one of these files is told too."""

    place: Place
    severity: Severity
    code: str
    message: str
    hint: str = ""
    related: tuple[Place, ...] = ()

    @property
    def is_error(self) -> bool:
        return self.severity is Severity.ERROR

    def is_of(self, path: str) -> bool:
        """Whether it stands in the file, or in another and names this one."""
        return path == self.place.path or any(path == place.path for place in self.related)

    def as_line(self) -> str:
        """``path:line:column: severity: message – hint (code)``, the form of the GNU coding
        standards (section "Formatting Error Messages")."""
        place = self.place
        return Message.layout(
            "{path}:{line}:{column}: {sentence}",
            path=on_one_line(place.path),
            line=place.line,
            column=place.column,
            sentence=self.as_sentence(),
        )

    def as_sentence(self) -> str:
        """``severity: message – hint (code)``."""
        return Message.layout(
            "{severity}: {message}"
            + (" – {hint}" if self.hint else "")
            + (" ({code})" if self.code else ""),
            severity=SEVERITIES[self.severity],
            message=self.message,
            hint=self.hint,
            code=self.code,
        ).on_one_line()

    @property
    def sort_key(self) -> tuple[Place, str, str]:
        return self.place, self.code, self.message


class UnreadableLeagueError(RiesbuchError):
    """Nothing can be judged without league.toml; ``problems`` say what is wrong with it."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        lines = joined("\n", (problem.as_line() for problem in self.problems))
        super().__init__(Message("without league.toml nothing can be read:\n{lines}", lines=lines))


class Finding(NamedTuple):
    """A problem of one file before the file is named. ``severity`` overrides the code's own."""

    position: Position
    code: str
    message: str
    hint: str = ""
    severity: Severity | None = None

    def in_file(self, path: str) -> Problem:
        return Problem(
            place=Place(path, *self.position),
            severity=self.severity or CODES[self.code],
            code=self.code,
            message=self.message,
            hint=self.hint,
        )


def finding(
    position: Position, code: str, said: str, hint: str = "", /, **values: object
) -> Finding:
    """What is said, and the hint, are messages, or templates with gaps for the ``values``."""
    return Finding(position, code, Message.of(said, values), filled(hint, values))


def filled(hint: str, values: Mapping[str, object]) -> str:
    """The message of a hint that has gaps for some of the ``values`` or for none."""
    return hint and Message.of(
        hint, {name: value for name, value in values.items() if f"{{{name}}}" in hint}
    )


_ERRORS = (
    # the file as a whole
    "file-unreadable", "not-a-file", "not-utf8", "too-large", "empty-file", "merge-conflict",
    "yaml-syntax", "toml-syntax", "too-deep", "several-documents", "anchor", "alias", "tag",
    "merge-key", "not-a-mapping", "bad-file-name", "unread-sheet",
    # keys and values
    "duplicate-key", "unknown-key", "missing-key", "wrong-shape", "bad-text", "bad-identifier",
    "bad-number", "bad-date", "bad-time", "bad-choice", "listed-twice", "bad-url",
    # a sheet's strikes
    "strike-unreadable", "strike-too-high", "nummer-on-nothing", "nummer-outside-zone",
    "innings-count", "strikes-count", "too-many-strikes", "repeated-player",
    "player-on-both-sides",
    # a sheet's totals and result
    "two-depths", "figures-misplaced", "ries-count", "ries-without-points", "ries-differ",
    "named-above-points", "unknown-without-paper", "paper-differs",
    "nummern-differ", "winner-contradicts", "award-missing", "award-without-forfeit",
    "moved-without-postponement", "same-team-twice",
    # a sheet's seal and corrections, and who may sign them
    "seal-broken", "correction-without-seal", "correction-differs", "correction-not-agreed",
    "agreed-too-early", "wrong-signature", "unsigned", "bad-signers",
    # a sheet, its season and the register
    "unknown-competition", "unknown-part", "unknown-team", "team-not-in-competition",
    "unknown-player", "date-outside-season", "same-match-twice",
    # clubs, players, seasons, rules
    "unknown-club", "unknown-parent", "parents-in-a-circle", "mergers-in-a-circle",
    "unknown-rules", "wrong-season", "decision-incomplete", "ruling-without-figure",
    "zone-upside-down", "ages-upside-down", "class-of-teams",
    # trainings
    "training-misnamed", "training-twice",
    # what is handed down
    "holder-unclear", "rank-impossible", "sum-impossible",
)  # fmt: skip
_WARNINGS = (
    "short-handed", "few-player-points", "supernumeraries-and-replacements", "player-returned",
    "figures-without-play", "result-unknown", "doubt-nowhere", "correction-unreadable",
    "sealed-too-early", "one-person-for-both", "two-teams-one-day", "fixture-without-sheet",
    "sheet-without-fixture", "fixture-differs", "fixture-twice", "team-twice-one-day",
    "stray-file", "not-born-yet", "unknown-class", "class-by-age", "rank-order", "honour-differs",
    "handed-down-differs", "other-club",
)  # fmt: skip

CODES: dict[str, Severity] = {
    **dict.fromkeys(_ERRORS, Severity.ERROR),
    **dict.fromkeys(_WARNINGS, Severity.WARNING),
    "draft": Severity.DRAFT,
}
"""Every stable code, with its usual severity."""


def did_you_mean(written: str, known: Iterable[str], most: int = 3) -> str:
    """Advice that names the nearest of ``known``, or an empty string where none is near."""
    from difflib import get_close_matches

    near = get_close_matches(written, sorted(known), n=most, cutoff=0.6)
    if not near:
        return ""
    return Message("did you mean {near}?", near=alternatives(near))


def alternatives(words: Iterable[str]) -> str:
    """The words joined as in "home, away or draw"."""
    *front, last = words
    return Message("{front} or {last}", front=in_a_row(front), last=last) if front else last


def all_of(words: Iterable[str]) -> str:
    """The words joined as in "home, away and draw"."""
    *front, last = words
    return Message("{front} and {last}", front=in_a_row(front), last=last) if front else last


def in_a_row(words: Iterable[str]) -> str:
    """The words joined as in "home, away, draw"."""
    first, *others = words
    for following in others:
        first = Message("{first}, {following}", first=first, following=following)
    return first


def nothing_to_look_for(text: str) -> UsageError:
    return UsageError("`{text}` has no word or number to look for", text=text)


def no_season(year: int, known: Iterable[int]) -> UsageError:
    return UsageError(
        "there is no season {year} that can be read; the seasons are {known}",
        year=year,
        known=listed_years(sorted(known)) or Message("none"),
    )


def listed_years(years: Iterable[int]) -> str:
    """Years in order as in "1958, 1965–1971"."""
    runs: list[list[int]] = []
    for year in years:
        if runs and runs[-1][1] == year - 1:
            runs[-1][1] = year
        else:
            runs.append([year, year])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)
