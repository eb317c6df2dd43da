"""`riesbuch calendar`, read back by an independent reader of iCalendar."""

import datetime
import re
import shutil
import subprocess
import sys
from pathlib import Path

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from riesbuch.care.calendar import LONGEST_LINE, Event, calendar_text
from tests.clubfolder import (
    AARWALD,
    CLUB_FOLDER,
    FIRST,
    FIXTURES,
    LEAGUE,
    MATCHES,
    SEASON,
    SECOND,
    Delete,
    Edit,
    Replace,
    Write,
    lay_out,
)
from tests.commandline import EXAMPLE, Outcome, invoke
from tests.example_copy import copy_example

FIRST_UID = "2026-oberhang-1-aarwald-a-birkenfluh-a-1@riesbuch"
SECOND_UID = "2026-oberhang-1-birkenfluh-a-aarwald-a-1@riesbuch"


def calendar(root: Path, *words: str) -> Outcome:
    return invoke("--folder", root, "calendar", *words)


def events_of(text: str) -> dict[str, icalendar.Event]:
    read = icalendar.Calendar.from_ical(text)
    return {str(each["UID"]): each for each in read.walk("VEVENT")}


def events(root: Path, *edits: Edit) -> dict[str, icalendar.Event]:
    lay_out(root, edits)
    done = calendar(root)
    assert done.status == 0, done.err
    return events_of(done.out)


# The text


texts = st.text(st.characters(codec="utf-8"), max_size=120)
days = st.dates(datetime.date(1900, 1, 1), datetime.date(2999, 12, 30))


@given(
    st.text(max_size=40),
    st.builds(
        Event,
        uid=st.just("1@riesbuch"),
        day=days,
        time=st.none() | st.times().map(lambda time: time.isoformat("minutes")),
        revised=days,
        sequence=st.integers(0, 9),
        is_cancelled=st.booleans(),
        summary=texts,
        location=texts,
        description=texts,
    ),
)
def test_lines_are_short_and_texts_are_read_back(name: str, event: Event) -> None:
    text = calendar_text(name, [event])
    octets = text.encode()
    assert octets.endswith(b"\r\n")
    assert octets.count(b"\n") == octets.count(b"\r") == octets.count(b"\r\n")
    assert max(map(len, octets.split(b"\r\n"))) <= LONGEST_LINE
    (found,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    if event.time is None:
        assert found.decoded("DTSTART") == event.day
        assert found.decoded("DTEND") == event.day + datetime.timedelta(days=1)
    else:
        begin = datetime.time.fromisoformat(event.time)
        assert found.decoded("DTSTART") == datetime.datetime.combine(event.day, begin)
        assert found.decoded("DURATION") == datetime.timedelta(hours=4)
    assert found["TRANSP"] == ("TRANSPARENT" if event.time is None else "OPAQUE")
    assert found.decoded("DTSTAMP").date() == event.revised
    assert int(found["SEQUENCE"]) == event.sequence
    assert (found["STATUS"] == "CANCELLED") == event.is_cancelled
    for key in ("summary", "location", "description"):
        given_text = getattr(event, key)
        assert visible(str(found.get(key.upper(), ""))) == visible(given_text)


def visible(text: str) -> str:
    """The text without what no line of a calendar may hold."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    return re.sub("[\x00-\x09\x0b-\x1f\x7f]+", " ", lines)


# The matches


def test_a_fixture_with_a_time_begins_then_until_it_is_put_off(tmp_path: Path) -> None:
    timed = Write(
        FIXTURES,
        CLUB_FOLDER[FIXTURES].replace(
            "date = 2026-05-10\n", 'date = 2026-05-10\ntime = "9:30"\nmeet = "8:45 at the barn"\n'
        ),
    )
    (event,) = [
        event
        for event in events(tmp_path / "timed", timed).values()
        if event.decoded("DTSTART") == datetime.datetime(2026, 5, 10, 9, 30)
    ]
    assert "Meet: 8:45 at the barn" in str(event["DESCRIPTION"])


def test_every_fixture_is_a_day_with_teams_ground_and_result(tmp_path: Path) -> None:
    found = events(
        tmp_path,
        Replace(AARWALD, "founded: 1911", "ground: Common; by the Aare, north\\n"),
    )
    assert list(found) == [FIRST_UID, SECOND_UID]
    first, second = found.values()
    assert first.decoded("DTSTART") == datetime.date(2026, 4, 12)
    assert first.decoded("DTEND") == datetime.date(2026, 4, 13)
    assert str(first["SUMMARY"]) == "Aarwald A – Birkenfluh A"
    assert str(first["LOCATION"]) == "Common; by the Aare, north\\n"
    assert str(first["DESCRIPTION"]) == (
        "Oberhang League, first division, round 1\n"
        "Aarwald A won on Nummern.\nPoints 119 : 93, Nummern 0 : 1"
    )
    assert "LOCATION" not in second
    assert {str(each["SEQUENCE"]) for each in found.values()} == {"0"}
    assert {str(each["STATUS"]) for each in found.values()} == {"CONFIRMED"}


def test_what_is_to_come_has_no_result(tmp_path: Path) -> None:
    found = events(tmp_path, Delete(SECOND))
    assert str(found[SECOND_UID]["DESCRIPTION"]) == "Oberhang League, first division, round 2"
    assert found[SECOND_UID].decoded("DTSTAMP").date() == datetime.date(2026, 1, 1)


@pytest.mark.parametrize(
    "edit",
    [
        Replace(FIRST, "18, 20", "18, _"),
        Replace(FIRST, "18, 20", "18, 99"),
    ],
)
def test_a_draft_and_a_sheet_with_errors_tell_no_result(edit: Edit, tmp_path: Path) -> None:
    found = events(tmp_path, edit)
    assert str(found[FIRST_UID]["DESCRIPTION"]) == "Oberhang League, first division, round 1"


PUT_OFF = """\
competition: oberhang-1
round: 2
date: 2026-05-10
outcome: postponed
home: {team: birkenfluh-a}
away: {team: aarwald-a}
"""


def test_a_match_put_off_keeps_its_uid_and_moves_with_a_higher_sequence(tmp_path: Path) -> None:
    def second() -> tuple[str, datetime.date, int, str]:
        done = calendar(tmp_path)
        event = events_of(done.out)[SECOND_UID]
        assert len(events_of(done.out)) == 2
        description = str(event["DESCRIPTION"]).split("\n")
        return (
            str(event["STATUS"]),
            event.decoded("DTSTART"),
            int(event["SEQUENCE"]),
            description[1] if len(description) > 1 else "",
        )

    lay_out(tmp_path, [Delete(SECOND)])
    planned, new_day = datetime.date(2026, 5, 10), datetime.date(2026, 6, 21)
    assert second() == ("CONFIRMED", planned, 0, "")
    Write(SECOND, PUT_OFF).apply(tmp_path)
    assert second() == ("CANCELLED", planned, 1, "Postponed; no new date yet.")
    Write(SECOND, PUT_OFF.replace("home:", "moved_to: 2026-06-21\nhome:")).apply(tmp_path)
    assert second() == ("CONFIRMED", new_day, 2, "Postponed from 10 May 2026.")
    again = f"{MATCHES}/2026-06-21-birkenfluh-a-aarwald-a.yaml"
    played = CLUB_FOLDER[SECOND].replace("2026-05-10", "2026-06-21")
    Write(again, played).apply(tmp_path)
    assert second() == ("CONFIRMED", new_day, 2, "Postponed from 10 May 2026.")
    assert "won" in calendar(tmp_path).out
    put_off_again = PUT_OFF.replace("2026-05-10", "2026-06-21")
    Write(again, put_off_again.replace("home:", "moved_to: 2026-06-28\nhome:")).apply(tmp_path)
    assert second()[1:3] == (datetime.date(2026, 6, 28), 4)
    # A day written into fixtures.toml by hand, the sheets being gone, is the same entry.
    Delete(SECOND).apply(tmp_path)
    Delete(again).apply(tmp_path)
    Replace(FIXTURES, "2026-05-10", "2026-06-21").apply(tmp_path)
    assert second()[:2] == ("CONFIRMED", new_day)


def test_a_match_put_off_and_played_the_other_way_round_is_where_and_when_it_was(
    tmp_path: Path,
) -> None:
    """The ground of who had the right in the end, the time stamp of the last sheet of the match."""
    played = (
        CLUB_FOLDER[SECOND]
        .replace("2026-05-10", "2026-06-21")
        .replace("team: birkenfluh-a", "team: x")
        .replace("team: aarwald-a", "team: birkenfluh-a")
        .replace("team: x", "team: aarwald-a")
    )
    found = events(
        tmp_path,
        Replace(AARWALD, "founded: 1911", "ground: Aarwald common"),
        Write(SECOND, PUT_OFF.replace("home:", "moved_to: 2026-06-21\nhome:")),
        Write(f"{MATCHES}/2026-06-21-aarwald-a-birkenfluh-a.yaml", played),
    )[SECOND_UID]
    assert str(found["SUMMARY"]) == "Aarwald A – Birkenfluh A"
    assert str(found["LOCATION"]) == "Aarwald common"
    assert found.decoded("DTSTAMP") == datetime.datetime(2026, 6, 21, tzinfo=datetime.UTC)


def test_a_match_that_was_played_another_day_without_a_word_moves_too(tmp_path: Path) -> None:
    found = events(tmp_path, Replace(SECOND, "2026-05-10", "2026-05-09"))
    assert found[SECOND_UID].decoded("DTSTART") == datetime.date(2026, 5, 9)
    assert int(found[SECOND_UID]["SEQUENCE"]) == 1


def test_a_new_day_entered_as_one_more_fixture_is_one_entry(tmp_path: Path) -> None:
    more = CLUB_FOLDER[FIXTURES] + CLUB_FOLDER[FIXTURES][
        CLUB_FOLDER[FIXTURES].rindex("[[fixture]]") :
    ].replace("2026-05-10", "2026-06-21")
    moved = PUT_OFF.replace("home:", "moved_to: 2026-06-21\nhome:")
    found = events(tmp_path, Write(FIXTURES, more), Write(SECOND, moved))
    assert [each.decoded("DTSTART") for each in found.values()] == [
        datetime.date(2026, 4, 12),
        datetime.date(2026, 6, 21),
    ]


def test_four_meetings_of_two_teams_are_four_entries(tmp_path: Path) -> None:
    later = CLUB_FOLDER[FIXTURES]
    for old, new in (("04-12", "08-12"), ("05-10", "08-19"), ("= 1", "= 3"), ("= 2\n", "= 4\n")):
        later = later.replace(old, new)
    more = f"{CLUB_FOLDER[FIXTURES]}\n{later}"
    found = events(tmp_path, Write(FIXTURES, more))
    assert list(found) == [
        FIRST_UID,
        SECOND_UID,
        FIRST_UID.replace("-1@", "-2@"),
        SECOND_UID.replace("-1@", "-2@"),
    ]


def test_an_annulled_match_says_so(tmp_path: Path) -> None:
    found = events(tmp_path, Replace(SECOND, "round: 2", "round: 2\noutcome: annulled"))
    assert str(found[SECOND_UID]["DESCRIPTION"]).endswith("Annulled: the match counts nowhere.")


def test_a_forfeited_match_says_who_won(tmp_path: Path) -> None:
    forfeited = PUT_OFF.replace("postponed", "forfeited\nawarded: home")
    found = events(tmp_path, Write(SECOND, forfeited))
    assert "Birkenfluh A" in str(found[SECOND_UID]["DESCRIPTION"]).split("\n")[1]
    assert "Points" not in str(found[SECOND_UID]["DESCRIPTION"])


def test_the_league_s_language_is_spoken(tmp_path: Path) -> None:
    found = events(
        tmp_path, Write(LEAGUE, 'name = "Oberhang"\nlanguage = "de"\n'), Write(SECOND, PUT_OFF)
    )
    assert str(found[FIRST_UID]["DESCRIPTION"]) == (
        "Oberhang League, first division, 1. Runde\n"
        "Aarwald A gewinnt nach Nummern.\nPunkte 119 : 93, Nummern 0 : 1"
    )
    assert str(found[SECOND_UID]["DESCRIPTION"]).endswith("Verschoben, noch ohne neues Datum.")


# What is asked for


def test_a_team_a_season_and_a_competition_can_be_asked_for() -> None:
    def asked(*words: str) -> tuple[int, str]:
        done = calendar(EXAMPLE, *words)
        assert done.status == 0
        return len(events_of(done.out)), done.err

    assert asked() == (56, "Oberhang League 2026: 56 matches\n")
    assert asked("--team", "aarwald-a") == (14, "Aarwald A 2026: 14 matches\n")
    assert asked("--team", "Tiefenschür A") == (14, "Tiefenschür A 2026: 14 matches\n")
    festival = ("--competition", "oberhang-fest")
    assert asked(*festival) == (8, "Oberhang Festival 2025: 8 matches\n")
    assert asked("--season", "2025") == (64, "Oberhang League 2025: 64 matches\n")
    assert asked("--team", "aarwald-a", "--season", "2025", *festival)[0] == 2


def test_a_festival_names_no_ground() -> None:
    done = calendar(EXAMPLE, "--competition", "oberhang-fest")
    assert not any("LOCATION" in each for each in events_of(done.out).values())


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--team", "arwald-a"), "there is no team `arwald-a`; did you mean aarwald-a"),
        (("--season", "2025"), "there is no season 2025 that can be read; the seasons are 2026"),
        (("--competition", "oberhang"), "no competition `oberhang`; did you mean oberhang-1"),
        (("--team", "aarwald-b"), "there are no fixtures for `aarwald-b`"),
        (
            ("--season", "2026", "--competition", "oberhang-cup"),
            "season 2026 has no fixtures in `oberhang-cup`",
        ),
    ],
)
def test_what_is_not_there_is_told(words: tuple[str, ...], says: str, tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = calendar(tmp_path, *words)
    assert (done.status, done.out) == (2, "")
    assert says in done.err


def test_a_folder_without_seasons_or_with_an_unreadable_one_is_told(tmp_path: Path) -> None:
    lay_out(tmp_path, [Write(SEASON, "season = \n")])
    done = calendar(tmp_path)
    assert (done.status, done.out) == (2, "")
    assert "seasons/2026/season.toml cannot be read; `riesbuch check` says why" in done.err
    shutil.rmtree(tmp_path / "seasons")
    done = calendar(tmp_path)
    assert (done.status, done.out) == (2, "")
    assert "there are no fixtures; `riesbuch plan` writes them into fixtures.toml" in done.err


def test_errors_in_the_fixtures_are_told_beside_what_could_be_read(tmp_path: Path) -> None:
    lay_out(tmp_path, [Replace(FIXTURES, "date = 2026-05-10", "date = '10.5.'")])
    done = calendar(tmp_path)
    assert done.status == 1
    assert list(events_of(done.out)) == [FIRST_UID]
    assert f"{FIXTURES}:11:1: error: " in done.err
    assert "(bad-date)" in done.err


# The same everywhere


def test_the_file_is_the_same_wherever_the_folder_lies(tmp_path: Path) -> None:
    for name in ("here", "elsewhere/deep"):
        copy_example(tmp_path / name)
    here, elsewhere = (calendar(tmp_path / each).out for each in ("here", "elsewhere/deep"))
    assert here == elsewhere
    assert str(tmp_path) not in here


def test_a_pipe_gets_crlf_and_nothing_else(tmp_path: Path) -> None:
    lay_out(tmp_path)
    done = subprocess.run(
        [sys.executable, "-m", "riesbuch", "--folder", str(tmp_path), "calendar"],
        capture_output=True,
        check=True,
    )
    assert done.stdout == calendar(tmp_path).out.encode()
    assert done.stdout.startswith(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n")
    assert done.stdout.endswith(b"END:VCALENDAR\r\n")
    assert done.stdout.count(b"\n") == done.stdout.count(b"\r\n")


def test_the_guide_shows_a_true_entry() -> None:
    guide = EXAMPLE.parent / "src" / "riesbuch" / "guide" / "planning.md"
    text = guide.read_text(encoding="utf-8")
    shown = text.partition("BEGIN:VEVENT")[2].partition("END:VEVENT")[0]
    assert shown.count("\n") > 5
    assert shown.replace("\n", "\r\n") in calendar(EXAMPLE).out
