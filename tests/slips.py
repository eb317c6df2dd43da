"""What a secretary mistypes: one slip in a sheet, and what the check should make of it."""

import re
from collections.abc import Callable

from tests.slip_model import ROW, Sheet, Slip

_STRIKE = re.compile(r"\d+N?|x|~|_")
_FREE_TEXT = re.compile(r"^(ground|weather|notes): ([^\"'].*)$")


def _strikes_of(line: str) -> list[re.Match[str]]:
    row = ROW.match(line)
    assert row is not None
    return list(_STRIKE.finditer(line, row.start(2), row.end(2)))


def _replaced(line: str, strike: re.Match[str], new: str) -> str:
    return line[: strike.start()] + new + line[strike.end() :]


def letter_for_zero(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^    [a-z0-9-]+: \[\[.*?0[^1-9N]")
    if index is None or index not in sheet.rows:
        return None
    with_zero = [each for each in _strikes_of(sheet.lines[index]) if each[0].endswith("0")]
    if not with_zero:
        return None
    strike = sheet.chance.choice(with_zero)
    letter = sheet.chance.choice("oO")
    line = _replaced(sheet.lines[index], strike, strike[0][:-1] + letter)
    return sheet.slip(index, line, "strike-unreadable")


def swapped_digits(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = sheet.lines[index]
    swappable = [each for each in _strikes_of(line) if each[0].isdigit() and len(each[0]) == 2
                 and int(each[0][::-1]) > sheet.highest]  # fmt: skip
    if not swappable:
        return None
    strike = sheet.chance.choice(swappable)
    # The wrong strike makes the column differ from the paper, which is true.
    return sheet.slip(
        index, _replaced(line, strike, strike[0][::-1]), "strike-too-high", also=("paper-differs",)
    )


def missing_comma_between_strikes(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = re.sub(r"(\d|x), (\d|x)", r"\1 \2", sheet.lines[index], count=1)
    if line == sheet.lines[index]:
        return None
    return sheet.slip(index, line, "strike-unreadable", also=("strikes-count",))


def missing_comma_between_innings(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = sheet.lines[index].replace("], [", "] [", 1)
    return sheet.slip(index, line, "yaml-syntax")


def bracket_not_closed(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = sheet.lines[index].replace("]]", "]", 1)
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def bracket_not_opened(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = sheet.lines[index].replace("[[", "[", 1)
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def missing_colon(sheet: Sheet) -> Slip | None:
    index = sheet.some_row() or sheet.index_of(r"^(round|date|  points|  ries): ")
    if index is None:
        return None
    line = sheet.lines[index].replace(":", "", 1)
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def missing_space_behind_colon(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^(round|date|competition): ")
    if index is None:
        return None
    line = sheet.lines[index].replace(": ", ":", 1)
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def tab_for_indentation(sheet: Sheet) -> Slip | None:
    index = sheet.some_row() or sheet.index_of(r"^  (points|ries|nummern): ")
    if index is None:
        return None
    line = "\t" + sheet.lines[index].lstrip()
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def wrong_indentation(sheet: Sheet) -> Slip | None:
    index = sheet.some_row() or sheet.index_of(r"^  (points|ries|nummern): ")
    if index is None:
        return None
    line = " " * sheet.chance.choice((1, 3, 5)) + sheet.lines[index].lstrip()
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def misspelt_player(sheet: Sheet) -> Slip | None:
    index = sheet.some_row() or sheet.index_of(r"^    [a-z0-9-]+: \d+")
    if index is None:
        return None
    line = sheet.lines[index]
    written = line.split(":")[0].strip()
    doubled = sheet.chance.randrange(1, written.index("-"))
    typo = written[:doubled] + written[doubled - 1] + written[doubled:]
    return sheet.slip(index, line.replace(written, typo, 1), "unknown-player")


def misspelt_team(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^  team: ")
    assert index is not None
    key, _, team = sheet.lines[index].partition(": ")
    typo = team[0] + team[2] + team[1] + team[3:]
    return sheet.slip(index, f"{key}: {typo}", "unknown-team")


def misspelt_competition(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^competition: ")
    assert index is not None
    line = sheet.lines[index].replace("hang", "hnag").replace("hubel", "hbuel")
    return sheet.slip(index, line, "unknown-competition")


def strike_too_few(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None or "outcome: abandoned" in sheet.text:
        return None
    line = re.sub(r", [^,\[\]N]+\]\]", "]]", sheet.lines[index], count=1)
    return None if line == sheet.lines[index] else sheet.slip(index, line, "strikes-count")


def strike_too_many(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = sheet.lines[index].replace("]]", ", 12]]", 1)
    # Behind an x, the strike too many is one of somebody who left.
    return sheet.slip(index, line, "strikes-count", also=("player-returned",))


def inning_too_few(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None or "outcome: abandoned" in sheet.text:
        return None
    line = re.sub(r"\], \[[^\[N]*\]\]", "]]", sheet.lines[index], count=1)
    return None if line == sheet.lines[index] else sheet.slip(index, line, "innings-count")


def inning_with_a_nummer_too_few(sheet: Sheet) -> Slip | None:
    with_nummer = [index for index in sheet.rows if re.search(r"N[^\[]*\]\]", sheet.lines[index])]
    if not with_nummer or "outcome: abandoned" in sheet.text:
        return None
    index = sheet.chance.choice(with_nummer)
    line = re.sub(r"\], \[[^\[]*\]\]", "]]", sheet.lines[index], count=1)
    return sheet.slip(index, line, "innings-count")


def row_twice(sheet: Sheet) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    return Slip(
        content=sheet.with_line(index, sheet.lines[index], sheet.lines[index]).encode("utf-8"),
        lines=(index + 2,),
        expected=frozenset({"duplicate-key"}),
    )


def player_on_both_sides(sheet: Sheet) -> Slip | None:
    away = next(index for index, line in enumerate(sheet.lines) if line.startswith("away:"))
    of_home = [index for index in sheet.rows if index < away]
    of_away = [index for index in sheet.rows if index > away]
    if not of_home or not of_away:
        return None
    index = sheet.chance.choice(of_away)
    player = sheet.player(sheet.chance.choice(of_home))
    line = sheet.lines[index].replace(sheet.player(index), player, 1)
    # At a festival the player may have struck for the own team on the same day.
    return sheet.slip(index, line, "player-on-both-sides", also=("two-teams-one-day",))


def _wrong_date(sheet: Sheet, pattern: str, new: str, code: str = "bad-date") -> Slip:
    index = sheet.index_of(r"^date: ")
    assert index is not None
    return sheet.slip(index, re.sub(pattern, new, sheet.lines[index]), code)


def day_no_month_has(sheet: Sheet) -> Slip | None:
    return _wrong_date(sheet, r"-\d\d$", sheet.chance.choice(("-32", "-00", "-41")))


def month_thirteen(sheet: Sheet) -> Slip | None:
    return _wrong_date(sheet, r"-\d\d-", "-13-")


def last_years_date(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^date: ")
    assert index is not None
    year = int(sheet.lines[index][6:10])
    return _wrong_date(sheet, r"\d{4}", str(year - 1), "date-outside-season")


def date_of_the_country(sheet: Sheet) -> Slip | None:
    return _wrong_date(sheet, r"(\d{4})-(\d\d)-(\d\d)", r"\3.\2.\1")


def wrong_paper_total(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^  paper: .*ries.*points")
    if index is None or "_" in re.findall(r"[\[ ](_)[\],]", sheet.text):
        return None
    line = sheet.lines[index]
    totals = list(re.finditer(r"\d{3,}", line))
    total = sheet.chance.choice(totals)
    new = str(int(total[0]) + sheet.chance.choice((-10, -1, 1, 9, 100)))
    return sheet.slip(index, line[: total.start()] + new + line[total.end() :], "paper-differs")


def wrong_key(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^ *(round|ground|weather|notes|referees|captain|source|doubts):")
    if index is None:
        return None
    key = sheet.lines[index].split(":")[0]
    typo = key[:-2] + key[-1] + key[-2]
    return sheet.slip(index, sheet.lines[index].replace(key, typo, 1), "unknown-key")


def wrong_key_of_the_figures(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(r"^  (strikes|player_points|ries|points):")
    if index is None:
        return None
    key = sheet.lines[index].split(":")[0]
    typo = key[:-2] + key[-1] + key[-2]
    return sheet.slip(index, sheet.lines[index].replace(key, typo, 1), "unknown-key")


def quote_not_closed(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(_FREE_TEXT.pattern)
    if index is None or '"' in "".join(sheet.lines[index + 1 :]):
        return None
    line = re.sub(_FREE_TEXT, r'\1: "\2', sheet.lines[index]).partition("  #")[0]
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def quote_not_closed_above_others(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(_FREE_TEXT.pattern)
    if index is None or '"' not in "".join(sheet.lines[index + 1 :]):
        return None
    line = re.sub(_FREE_TEXT, r'\1: "\2', sheet.lines[index]).partition("  #")[0]
    return sheet.slip(index, line, "yaml-syntax", or_below=True)


def text_with_a_colon(sheet: Sheet) -> Slip | None:
    index = sheet.index_of(_FREE_TEXT.pattern)
    if index is None:
        return None
    line = re.sub(_FREE_TEXT, r"\1: noted: \2", sheet.lines[index])
    return sheet.slip(index, line, "yaml-syntax")


def latin_1(sheet: Sheet) -> Slip | None:
    index = next((each for each, line in enumerate(sheet.lines) if not line.isascii()), None)
    if index is None:
        return None
    return Slip(
        content=sheet.text.encode("latin-1", "replace"),
        lines=(index + 1,),
        expected=frozenset({"not-utf8"}),
    )


def conflict_markers(sheet: Sheet) -> Slip | None:
    index = sheet.some_row() or sheet.index_of(r"^  (points|ries|nummern): ")
    if index is None:
        return None
    line = sheet.lines[index]
    both = ("<<<<<<< HEAD", line, "=======", line.replace("1", "2"), ">>>>>>> other copy")
    return Slip(
        content=sheet.with_line(index, *both).encode("utf-8"),
        lines=(index + 1,),
        expected=frozenset({"merge-conflict"}),
    )


def _with_strike(sheet: Sheet, new: str, code: str) -> Slip | None:
    index = sheet.some_row()
    if index is None:
        return None
    line = sheet.lines[index]
    known = [each for each in _strikes_of(line) if each[0].isdigit()]
    if not known:
        return None
    changed = _replaced(line, sheet.chance.choice(known), new)
    return sheet.slip(index, changed, code, also=("paper-differs",))


def nummer_on_nothing(sheet: Sheet) -> Slip | None:
    return _with_strike(sheet, "0N", "nummer-on-nothing")


def nummer_beyond_the_zone(sheet: Sheet) -> Slip | None:
    return _with_strike(sheet, f"{max(25, sheet.zone_end + 1)}N", "nummer-outside-zone")


def strike_left_empty(sheet: Sheet) -> Slip | None:
    return _with_strike(sheet, sheet.chance.choice(('""', "-", ".")), "strike-unreadable")


SLIPS: tuple[Callable[[Sheet], Slip | None], ...] = (
    letter_for_zero, swapped_digits, missing_comma_between_strikes, missing_comma_between_innings,
    bracket_not_closed, bracket_not_opened, missing_colon, missing_space_behind_colon,
    tab_for_indentation, wrong_indentation, misspelt_player, misspelt_team, misspelt_competition,
    strike_too_few, strike_too_many, inning_too_few, inning_with_a_nummer_too_few, row_twice,
    player_on_both_sides,
    day_no_month_has, month_thirteen, last_years_date, date_of_the_country, wrong_paper_total,
    wrong_key, wrong_key_of_the_figures, quote_not_closed, quote_not_closed_above_others,
    text_with_a_colon, latin_1, conflict_markers, nummer_on_nothing, nummer_beyond_the_zone,
    strike_left_empty,
)  # fmt: skip
