"""Files written out from records, key by key, in the canonical layout."""

import json
from collections.abc import Collection, Iterator, Sequence
from typing import Any

from riesbuch.text.layout import Written, entry_lines, shape_below
from riesbuch.text.plain import bare, mark_of
from riesbuch.trade.handed_down import HandedDownStrikers, HandedDownTable
from riesbuch.trade.keys import Key, keys_of
from riesbuch.trade.match import Match, Row, ShortRow
from riesbuch.trade.people import Club, Player
from riesbuch.trade.season import Competition, CompetitionKind, Fixture
from riesbuch.trade.strikes import StrikeKind, write_innings


def file_text(record: Match | Player | Club) -> str:
    """The text of a file that reads back as an equal ``record``."""
    return "".join(f"{line}\n" for line in _lines(record))


def with_long_rows(text: str, match: Match, within: Sequence[str] = ("",)) -> str:
    """``text``, which reads as ``match``, with rows typed short written out: those at the places
    that have one of ``within`` in them. What cannot be read in one stays as it is."""
    lines = bare(text).split("\n")
    short = [
        (row.cells.position, row.cells.text, row)
        for place, row in match.placed_rows
        if isinstance(row.cells, ShortRow)
        and StrikeKind.UNREADABLE not in row.kinds
        and any(f"{at}.".startswith(f"{place}.") or not at for at in within)
    ]
    for (number, column), typed, row in sorted(short, reverse=True):
        line, begin = lines[number - 1], column - 1
        lines[number - 1] = line[:begin] + write_innings(row.innings) + line[begin + len(typed) :]
    return mark_of(text) + "\n".join(lines)


def _lines(record: Any) -> Iterator[str]:
    """A line for each key that says something, and more where it is laid out in a block."""
    for key, said in _said(record):
        if key.form == "side":
            yield ""
        yield from entry_lines(key.name, said, shape_below(key))


def _said(record: Any) -> Iterator[tuple[Key, Written]]:
    """The keys that say something else than is so without them."""
    for key in keys_of(record.__class__):
        value = getattr(record, key.field)
        if value is not None and (value != key.default or key.required):
            said = written_value(key, value)
            if said or not key.block:
                yield key, said


def written_value(key: Key, value: Any) -> Any:
    """What stands behind a key as texts, lists of texts and mappings, without what is not said."""
    if key.form == "teams":
        return dict(value)
    if key.form == "side":
        return {inner.name: said for inner, said in _said(value)}
    if key.form == "player-points":
        return {known.player: str(known.points) for known in value}
    if key.form == "rows":
        return {row.player: _innings(row) for row in value}
    if key.form == "replacements":
        return [{"by": row.player, "strikes": _innings(row)} for row in value]
    if key.form == "ries":
        return ["~" if total is None else str(total) for total in value]
    if key.form == "list":
        assert key.of is not None
        return [written_value(key.of, item) for item in value]
    if key.record is not None:
        return written_keys(value)
    return key.word_for(value)


def _innings(row: Row) -> list[list[str]]:
    return [[strike.written for strike in inning] for inning in row.innings]


def written_keys(record: Any) -> dict[str, Written]:
    """The keys of a record that say something, each as `written_value` has it."""
    return {
        key.name: written_value(key, value)
        for key in keys_of(record.__class__)
        if (value := getattr(record, key.field)) is not None
    }


def season_head(year: int) -> str:
    return f"season = {year}\n"


def competition_text(competition: Competition) -> str:
    """A ``[[competition]]`` table that reads back as a record equal to ``competition``."""
    # Whoever reads a league's season looks for its cycles.
    told = ("cycles",) if competition.kind is CompetitionKind.LEAGUE else ()
    return f"\n[[competition]]\n{_toml_lines(competition, told)}"


def fixture_text(fixture: Fixture) -> str:
    """A ``[[fixture]]`` table that reads back as a record equal to ``fixture``."""
    return f"[[fixture]]\n{_toml_lines(fixture)}"


def handed_down_text(table: HandedDownTable | HandedDownStrikers) -> str:
    """A ``[[table]]`` or ``[[striker_table]]`` that reads back as a record equal to ``table``."""
    head = "table" if isinstance(table, HandedDownTable) else "striker_table"
    return f"[[{head}]]\n{_toml_lines(table)}"


def _toml_lines(record: Any, told: Collection[str] = ()) -> str:
    """A line for each key that says something, or is to be ``told`` all the same."""
    return "".join(
        f"{key.name} = {_toml_value(key, value)}\n"
        for key in keys_of(record.__class__)
        if (value := getattr(record, key.field)) != key.default or key.name in told
    )


def _toml_value(key: Key, value: Any) -> str:
    if key.form == "record":
        told = ((inner, getattr(value, inner.field)) for inner in keys_of(value.__class__))
        keys = (f"{inner.name} = {_toml_value(inner, what)}" for inner, what in told
                if what != inner.default)  # fmt: skip
        return f"{{{', '.join(keys)}}}"
    if key.of is not None and key.of.form == "record":
        return "[\n" + "".join(f"  {_toml_value(key.of, row)},\n" for row in value) + "]"
    if isinstance(value, tuple):
        return f"[{', '.join(_toml_text(item) for item in value)}]"
    word = key.word_for(value)
    return word if key.form in ("number", "places", "date", "yes-no") else _toml_text(word)


def _toml_text(text: str) -> str:
    """``text`` as a basic string of TOML."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
