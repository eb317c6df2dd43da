"""Dates are those of ISO 8601, held against a reader that is none of ours."""

import datetime

from dateutil.parser import isoparser
from hypothesis import example, given
from hypothesis import strategies as st

from riesbuch.text.fields import Fields
from riesbuch.text.nodes import Scalar
from riesbuch.trade.keys import Key

READER = isoparser()


def ours(text: str) -> datetime.date | None:
    """A day, or None where there is exactly one problem that says it is none."""
    fields = Fields()
    found = fields.date(Scalar(text, (1, 1)), "date", Key("date"))
    assert [finding.code for finding in fields.findings] == ([] if found else ["bad-date"])
    return found


def theirs(text: str) -> datetime.date | None:
    try:
        return READER.parse_isodate(text)
    except ValueError:
        return None


def test_every_day_is_theirs_and_no_other() -> None:
    """Every year that a rule of leap years tells apart, and a century of ours, with days and months
    that there are not."""
    years = [1582, 1600, 1700, 1800, *range(1896, 2105), 2200, 2400, 9999]
    tried = [
        f"{year:04}-{month:02}-{day:02}"
        for year in years
        for month in range(14)
        for day in range(33)
    ]
    differ = [text for text in tried if ours(text) != theirs(text)]
    assert differ == []
    known = [text for text in tried if ours(text)]
    assert len(known) == sum(365 + _is_leap(year) for year in years)
    assert len(tried) == 216 * 14 * 33


def _is_leap(year: int) -> bool:
    """As the calendar of 1582 has it."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


@given(
    st.text("0123456789-W/T.: ", max_size=12)
    | st.dates().map(lambda day: day.strftime("%Y%m%d"))
    | st.dates().map(lambda day: "{}-W{:02}-{}".format(*day.isocalendar()))
    | st.dates().map(lambda day: day.strftime("%d-%m-%Y"))
)
@example("2026-05-1")
@example("2026-5-10")
@example("20260510")
@example("2026-W19-7")
@example("2026-05")
@example("2026-05-10T10:00")
@example("٢٠٢٦-٠٥-١٠")
def test_of_iso_only_the_calendar_date_with_hyphens_is_taken(text: str) -> None:
    """Of the other ways of the standard none is taken, and nothing that the standard has not."""
    found = ours(text)
    if found is not None:
        assert text == found.isoformat()
        assert theirs(text) == found
