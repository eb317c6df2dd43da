"""Pictures read back: what is drawn is what the data say, legibly, whatever the data are."""

import os
import re
import subprocess
import sys
from difflib import SequenceMatcher
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from riesbuch.language.catalogue import catalogue
from riesbuch.pages.pictures.canvas import (
    COLOURS,
    Picture,
    clean,
    fitted,
    text_width,
)
from riesbuch.pages.pictures.over_years import Place, career_picture, places_picture
from riesbuch.pages.pictures.season_course import (
    TeamCourse,
    season_course_picture,
)
from riesbuch.pages.pictures.strip import StripStrikes, strip_picture
from tests.picture_cases import (
    DIVISIONS,
    LONG,
    STRIKES,
    TEAMS,
    all_cases,
    career,
    season,
)
from tests.picture_reading import (
    NAMESPACE,
    elements,
    extent,
    number,
    overlapping,
    parsed,
    points,
    texts,
    title_of,
)

ENGLISH, GERMAN = catalogue("en", "reports"), catalogue("de", "reports")
CASES = all_cases()
MIDDLE_TONES = {tone: known.middle for tone, known in COLOURS.items() if tone != "ground"}
LIGHT = {tone: known.light for tone, known in COLOURS.items() if known.light}
DARK = {tone: known.dark for tone, known in COLOURS.items() if known.dark}
HOSTILE = [
    "</svg><script>alert(1)</script>", "<![CDATA[", "]]>", "&amp;", "&", "'\"", "--><!--",
    "\x00\x07\x1b[31m", "{team}{0}{", "%s", "\n\r\t", "\u202edrawkcab\u202c", "\u2028",
    "\ud800", "\ufffe", "\U0001f3d4", "漢字", "e\u0301", "", " ",
]  # fmt: skip
names = st.one_of(
    st.text(), st.lists(st.sampled_from(HOSTILE), max_size=6).map("".join), st.just(LONG)
)
DRAWN = {"svg", "title", "desc", "style", "rect", "path", "text", "g"}

every_case = pytest.mark.parametrize("picture", CASES.values(), ids=CASES.keys())


def drawn(picture: Picture | None) -> Picture:
    assert picture is not None
    return picture


@every_case
def test_a_picture_is_xml_with_a_text_alternative(picture: Picture) -> None:
    root = parsed(picture)
    assert root.tag == NAMESPACE + "svg"
    assert picture.svg.endswith("</svg>\n")
    assert root.get("role") == "img"
    assert root.get("viewBox") == f"0 0 {picture.width} {picture.height}"
    called = {each.get("id"): each.text for each in root if each.get("id")}
    assert called == {"title": picture.title, "sentence": picture.sentence}
    assert root.get("aria-labelledby") == "title sentence"
    assert picture.sentence.endswith(".")


@every_case
def test_nothing_but_shapes_and_letters_and_nothing_from_elsewhere(picture: Picture) -> None:
    assert {each.tag.removeprefix(NAMESPACE) for each in parsed(picture).iter()} <= DRAWN
    for each in parsed(picture).iter():
        assert not {name for name in each.attrib if name.startswith("on") or "href" in name}
        assert not any("url(" in value for value in each.attrib.values())
    style = elements(picture, "style")[0].text or ""
    assert "@import" not in style
    assert "url(" not in style


@every_case
def test_no_label_covers_another(picture: Picture) -> None:
    assert overlapping(picture) == []


@every_case
def test_everything_is_inside(picture: Picture) -> None:
    left, top, right, bottom = extent(picture)
    assert left >= 0
    assert top >= 0
    assert right <= picture.width
    assert bottom <= picture.height


@pytest.mark.parametrize(
    ("name", "most"),
    [
        ("strip", 9_000),
        ("strip, fifty seasons", 16_000),
        ("season", 9_000),
        ("season, fourteen teams", 21_000),
        ("career", 13_000),
        ("career, five seasons", 6_000),
        ("places", 19_000),
    ],
)
def test_a_picture_is_small(name: str, most: int) -> None:
    assert len(CASES[name].svg.encode("utf-8")) <= most


def test_pictures_are_the_same_everywhere() -> None:
    root = Path(__file__).parents[2]
    digests = set()
    for seed, locale in (("0", "C"), ("1", "C.UTF-8"), ("4711", "de_CH.UTF-8")):
        surroundings = os.environ | {
            "PYTHONHASHSEED": seed, "LC_ALL": locale, "TZ": "Pacific/Auckland",
            "PYTHONPATH": os.pathsep.join([str(root / "src"), str(root)]),
        }  # fmt: skip
        ran = subprocess.run(
            [sys.executable, "-m", "tests.picture_cases"],
            env=surroundings, cwd=root, capture_output=True, text=True, check=True,
        )  # fmt: skip
        digests.add(ran.stdout)
    assert len(digests) == 1


def test_where_nothing_is_known_there_is_no_picture() -> None:
    assert strip_picture(StripStrikes(zones={}, nummern={}, unknown=4), "", ENGLISH) is None
    assert strip_picture(StripStrikes(zones={3: 0}, nummern={}), "", ENGLISH) is None
    assert season_course_picture([], [], "", ENGLISH) is None
    nobody = TeamCourse(team="", ranks=[None], rank_points=[None])
    assert season_course_picture(["1"], [nobody], "", ENGLISH) is None
    assert career_picture({}, {}, {}, "", ENGLISH) is None
    one = Fraction(14)
    assert career_picture({2026: one}, {2026: one}, {2026: 1}, "", ENGLISH) is None
    assert places_picture([], {"A": {}}, "", ENGLISH) is None
    assert places_picture(["First"], {"A": {2025: Place(0, 1, 8)}}, "", ENGLISH) is None


# --- the strip ---


@pytest.mark.parametrize("name", ["strip", "strip, fifty seasons", "strip, one strike"])
def test_bars_are_as_long_as_strikes_are_many(name: str) -> None:
    bars = {title_of(each).split(":")[0]: each for each in elements(CASES[name], "rect", "struck")}
    counts = {
        zone: int(re.sub(r"\D", "", title_of(each).split(":")[1].split(",")[0]))
        for zone, each in bars.items()
    }
    highest = max(counts.values())
    for zone, bar in bars.items():
        assert number(bar, "height") == pytest.approx(142 * counts[zone] / highest, abs=0.06)
        assert number(bar, "y") + number(bar, "height") == pytest.approx(264, abs=0.11)


def test_every_zone_has_its_bar_over_its_number() -> None:
    picture = CASES["strip"]
    bars = elements(picture, "rect", "struck")
    zone_names = {
        int(each.text or ""): number(each, "x")
        for each in elements(picture, "text", "soft")
        if (each.text or "").isdecimal()
    }
    assert list(zone_names) == list(range(0, 25, 2))
    slot = (zone_names[24] - zone_names[0]) / 24
    zone_names |= {zone: zone_names[0] + zone * slot for zone in range(25)}
    found = {}
    for bar in bars:
        middle = number(bar, "x") + number(bar, "width") / 2
        zone = min(zone_names, key=lambda each: abs(zone_names[each] - middle))
        assert abs(zone_names[zone] - middle) < 0.2
        found[zone] = title_of(bar)
    assert found == {
        zone: f"Zone {zone}: {count} {'strike' if count == 1 else 'strikes'}"
        + {3: ", 1 Nummer", 13: ", 12 Nummern"}.get(zone, "")
        for zone, count in STRIKES.zones.items()
    }


def test_the_strip_widens_from_8_to_14_and_is_marked_every_10_metres() -> None:
    picture = CASES["strip"]
    outline, *_ = points(elements(picture, "path", "lane")[0].attrib["d"])
    front, back, back_below, front_below = outline
    assert (front_below[1] - front[1]) / (back_below[1] - back[1]) == pytest.approx(8 / 14)
    zone = (back[0] - front[0]) / 18
    marks = points(elements(picture, "path", "grid-line")[0].attrib["d"])
    assert [round(mark[0][0] - front[0], 1) for mark in marks] == [
        pytest.approx(zone * each, abs=0.11) for each in range(1, 18)
    ]
    metres = [each for each in texts(picture) if each.endswith(" m")]
    assert metres == ["100 m", "150 m", "200 m", "250 m"]


def test_nummern_lie_in_their_zones() -> None:
    picture = CASES["strip"]
    marks = [each for each in elements(picture, "text") if each.get("fill") == "#ffffff"]
    outline, *_ = points(elements(picture, "path", "lane")[0].attrib["d"])
    zone = (outline[1][0] - outline[0][0]) / 18
    found = {
        int((number(each, "x") - outline[0][0]) // zone) + 1: int(each.text or "") for each in marks
    }
    assert found == STRIKES.nummern
    assert "13 Nummern" in texts(picture)


def test_the_strip_in_words() -> None:
    points_in_all = sum(zone * count for zone, count in STRIKES.zones.items())
    assert points_in_all / 199 == pytest.approx(13.45, abs=0.005)
    assert CASES["strip"].sentence == (
        "199 strikes; 13.45 points per strike; most often zone 14 (52); 13 Nummern;"
        " 4 worth nothing; 3 more of unknown points."
    )
    assert CASES["strip, nothing but noughts"].sentence == (
        "3 Streiche; 0.00 Punkte pro Streich; 0 Nummern; 3 Nuller."
    )


def test_far_zones_are_put_together() -> None:
    picture = CASES["strip, short"]
    far = {title_of(each) for each in elements(picture, "rect", "struck")}
    assert far == {"Zone 2: 1 strike, 1 Nummer", "Zone 31+: 4 strikes"}
    assert "31+" in texts(picture)


# --- a season ---


def marked(path: str) -> list[tuple[float, float]]:
    """The middles of marks, at which each of them is begun."""
    return [(float(x), float(y)) for x, y in re.findall(r"M([\d.]+) ([\d.]+)", path)]


def rows_of(picture: Picture) -> dict[str, list[tuple[float, float]]]:
    """Where each team's places are marked."""
    found = {}
    for group in elements(picture, "g"):
        *_, marks = group.iter(NAMESPACE + "path")
        name = title_of(group).split(": ranks after")[0].split(": Ränge nach")[0]
        found[name] = marked(marks.attrib["d"])
    return found


@pytest.mark.parametrize(
    ("teams", "rounds", "planned"), [(6, 10, 10), (5, 1, 9), (1, 3, 3), (14, 11, 11), (8, 7, 14)]
)
def test_a_team_stands_at_its_rank_after_every_round(teams: int, rounds: int, planned: int) -> None:
    named, courses = season(teams, rounds, planned)
    found = rows_of(drawn(season_course_picture(named, courses, "", ENGLISH)))
    columns = sorted({x for marks in found.values() for x, _ in marks})
    assert len(columns) == rounds
    for round_number in range(rounds):
        ranks = [course.ranks[round_number] for course in courses]
        taken = set()
        for team in courses:
            x, y = found[team.team][round_number]
            assert x == columns[round_number]
            row = (y - 113) / 34 + 1
            rank = team.ranks[round_number]
            assert rank is not None
            # Of teams that share a rank each has one of the rows from it on.
            assert rank <= row < rank + ranks.count(rank)
            taken.add(row)
        assert len(taken) == teams


def test_the_line_goes_through_the_places() -> None:
    picture = drawn(season_course_picture(*season(14, 26), "", ENGLISH))
    for group in elements(picture, "g"):
        line, marks = list(group.iter(NAMESPACE + "path"))
        (corners,) = points(line.attrib["d"])
        assert set(marked(marks.attrib["d"])) <= set(corners)
        assert [x for x, _ in corners] == sorted(x for x, _ in corners)


@pytest.mark.parametrize("played", [1, 6, 13])
def test_a_round_more_adds_lines_and_moves_few(played: int) -> None:
    before, after = (
        drawn(season_course_picture(*season(8, rounds, 14), "", ENGLISH)).svg.splitlines()
        for rounds in (played, played + 1)
    )
    matcher = SequenceMatcher(None, before, after, autojunk=False)
    kept = sum(block.size for block in matcher.get_matching_blocks())
    # Of each team what it is called with its ranks; the sentence, and the ways to the names, which
    # are gone after the last round with their style.
    assert len(before) - kept <= 8 + (3 if played == 13 else 2)
    # Of each team its line and its mark, and a bar for each rank that is shared.
    assert len(after) - len(before) <= 2 * 8 + 4


def test_rounds_to_come_have_their_room() -> None:
    whole, half = (
        drawn(season_course_picture(*season(8, rounds, 14), "", ENGLISH)) for rounds in (14, 7)
    )
    for name, marks in rows_of(half).items():
        assert marks == rows_of(whole)[name][:7]
    assert {"1", "2", "4", "14"} <= set(texts(half))
    (ways,) = elements(half, "path", "grid-line")
    assert {way[0] for way in points(ways.attrib["d"])} == {
        marks[-1] for marks in rows_of(half).values()
    }
    assert not elements(whole, "path", "grid-line")


def test_shared_ranks_are_joined_and_written_twice() -> None:
    level = [
        TeamCourse(team=name, ranks=[1, rank], rank_points=[2, points])
        for name, rank, points in (("A", 1, 6), ("B", 2, 4), ("C", 2, 4), ("D", 4, 2))
    ]
    picture = drawn(season_course_picture(["1", "2"], level, "", ENGLISH))
    bars = points(elements(picture, "path", "soft-line")[0].attrib["d"])
    first, second = 28, 108
    assert bars == [[(first, 113), (first, 215)], [(second, 147), (second, 181)]]
    ends = [each.text for each in elements(picture, "text", "ink") if each.get("x") == "158"]
    assert sorted(ends, key=str) == ["1", "2", "2", "4"]


def test_gaps_break_the_line() -> None:
    picture = CASES["season, unknown"]
    groups = {title_of(each).split(":")[0]: each for each in elements(picture, "g")}
    assert set(groups) == {"Late", "Gone", "Gap", "There"}
    assert title_of(groups["Gap"]) == "Gap: ranks after each round 2, –, 1"
    line = next(groups["Gap"].iter(NAMESPACE + "path"))
    assert len(points(line.attrib["d"])) == 2
    assert picture.sentence == (
        "After round 3: Gap: rank 1; Late: rank 2, 1 rank points; There: rank 3, 0 rank points."
    )


def test_fifteen_teams_can_be_told_apart_without_colours_and_with_them() -> None:
    picture = drawn(season_course_picture(*season(15, 4), "", ENGLISH))
    with_colour, without = set(), set()
    for group in elements(picture, "g"):
        line, marks = list(group.iter(NAMESPACE + "path"))
        form = re.sub(r"M[\d.]+ [\d.]+", "", marks.attrib["d"]).split("z")[0]
        dashes, cap = line.get("stroke-dasharray"), marks.get("stroke-linecap")
        without.add((dashes, form, cap))
        with_colour.add((line.get("stroke"), form, cap))
    assert len(without) == 15
    assert len(with_colour) == 15


def test_a_season_with_too_few_ranks_is_refused() -> None:
    short = TeamCourse(team="Short", ranks=[1], rank_points=[1, 2])
    with pytest.raises(ValueError, match="Short"):
        season_course_picture(["1", "2"], [short], "", ENGLISH)


# --- a career ---


def dots(picture: Picture) -> dict[str, tuple[float, float]]:
    """Where each dot stands, by its title."""
    return {
        title_of(each): points(each.attrib["d"])[0][0]
        for each in elements(picture, "path")
        if title_of(each)
    }


def test_dots_stand_at_their_figures() -> None:
    averages, means, matches = career(1958, 2026, 1966, 1967, 1980, 2001)
    picture = CASES["career"]
    found = dots(picture)
    assert len(found) == len(averages) == 65
    lowest, highest = min(averages.values()), max(averages.values())
    # From the even figure below the lowest one on, not from nought.
    assert (lowest // 2 * 2, -(-highest // 2) * 2) == (10, 18)
    assert {"10", "12", "14", "16", "18"} <= set(texts(picture))
    assert "0" not in texts(picture)
    xs = [found[each][0] for each in sorted(found)]
    apart = (xs[-1] - xs[0]) / 68
    for (year, average), mean in zip(averages.items(), means.values(), strict=True):
        count = f"{matches[year]} {'match' if matches[year] == 1 else 'matches'}"
        x, y = found[f"{year}: {float(average):.2f} (mean {float(mean):.2f}), {count}"]
        assert x == pytest.approx(xs[0] + apart * (year - 1958), abs=0.11)
        assert y == pytest.approx(350 - 224 * (float(average) - 10) / 8, abs=0.06)


def test_the_mean_is_a_line_of_its_own() -> None:
    _, means, _ = career(1958, 2026, 1966, 1967, 1980, 2001)
    sample, line = [each for each in elements(CASES["career"], "path", "soft-line")
                    if each.get("stroke-dasharray")]  # fmt: skip
    assert sample.get("stroke-dasharray") == line.get("stroke-dasharray")
    corners = [corner for part in points(line.attrib["d"]) for corner in part]
    assert [y for _, y in corners] == [
        pytest.approx(350 - 224 * (float(mean) - 10) / 8, abs=0.06) for mean in means.values()
    ]
    assert not [
        each
        for each in elements(CASES["career, noughts"], "path", "soft-line")
        if each.get("stroke-dasharray")
    ]


def test_the_career_line_is_broken_where_nothing_is_known() -> None:
    picture = CASES["career, five seasons"]
    _, line = [each for each in elements(picture, "path") if each.get("stroke-width") == "4"]
    assert [len(part) for part in points(line.attrib["d"])] == [2, 2, 1]
    assert [title_of(each) for each in elements(picture, "rect", "lane")] == [
        "keine Angaben für 2022",
        "keine Angaben für 2025",
    ]


def test_a_career_in_words() -> None:
    averages = {1999: Fraction(1403, 100), 2000: Fraction(1512, 100), 2004: Fraction(29, 2)}
    means = {1999: Fraction(1402, 100), 2000: Fraction(13), 2004: Fraction(15)}
    assert drawn(career_picture(averages, means, {}, "", ENGLISH)).sentence == (
        "3 seasons on record, from 1999 to 2004; best 15.12 (mean 13.00) in 2000; 14.50 (mean"
        " 15.00) in 2004, the latest; above the mean in 2 of 3 seasons; no figures for 2001–2003."
    )
    assert drawn(career_picture(averages, {}, {}, "", GERMAN)).sentence == (
        "3 erfasste Saisons, von 1999 bis 2004; am besten 2000 mit 15.12; zuletzt 2004 mit 14.50;"
        " keine Angaben für 2001–2003."
    )


# --- the places of a club ---


def test_teams_stand_at_their_ranks_in_their_divisions() -> None:
    picture = CASES["places"]
    groups = {title_of(each): each for each in elements(picture, "g") if title_of(each)}
    assert list(groups) == list(TEAMS)
    heights: dict[tuple[int, int], set[float]] = {}
    for name, group in groups.items():
        found = {
            title_of(each): points(each.attrib["d"])[0][0]
            for each in group.iter(NAMESPACE + "path")
            if title_of(each)
        }
        assert len(found) == len(TEAMS[name])
        for year, place in TEAMS[name].items():
            told = f"{name} {year}: Rang {place.rank} von 12, {DIVISIONS[place.division]}"
            x, y = found[told + (" (on record)" if year % 10 == 0 else "")]
            assert x == pytest.approx(66 + (year - 1970) * (found_at(picture, 2025) - 66) / 55,
                                      abs=0.11)  # fmt: skip
            heights.setdefault(place[:2], set()).add(y)
    # One height for each rank of each division, from the top down.
    assert all(len(each) == 1 for each in heights.values())
    ordered = [heights[key].pop() for key in sorted(heights)]
    assert ordered == sorted(ordered)
    assert len({*ordered}) == len(ordered) == 36


def found_at(picture: Picture, year: int) -> float:
    """Where the year is lettered."""
    (text,) = [each for each in elements(picture, "text") if each.text == str(year)]
    return number(text, "x")


def test_the_line_of_a_team_is_broken_where_it_has_no_place() -> None:
    of_b = next(each for each in elements(CASES["places"], "g") if title_of(each) == "Aarwald B")
    line = next(of_b.iter(NAMESPACE + "path"))
    assert [len(part) for part in points(line.attrib["d"])] == [12, 34]


def test_places_in_words() -> None:
    places = {
        "A": {2019: Place(1, 1, 8), 2020: Place(0, 2, 8, "on record"), 2023: Place(0, 7, 8)},
        "B": {2019: Place(1, 3, 8), 2020: Place(1, 1, 8), 2023: Place(1, 1, 8)},
    }
    picture = drawn(places_picture(["First", "Second"], places, "", ENGLISH))
    assert picture.sentence == (
        "3 seasons on record, from 2019 to 2023; A: best rank 2 of 8, First (on record) in 2020,"
        " rank 7 of 8, First in 2023, the latest; B: best rank 1 of 8, Second in 2020, 2 times"
        " first there, rank 1 of 8, Second in 2023, the latest; no figures for 2021–2022."
    )


def test_teams_of_a_club_can_be_told_apart_without_colours() -> None:
    lines = [
        next(each.iter(NAMESPACE + "path"))
        for each in elements(CASES["places"], "g")
        if title_of(each)
    ]
    assert len({line.get("stroke-dasharray") for line in lines}) == len(TEAMS)
    assert len({line.get("stroke") for line in lines}) == len(TEAMS)


@pytest.mark.parametrize(
    "name",
    [name for name in CASES if name.split(",")[0] in ("career", "places", "season", "strip")],
)
def test_letters_can_be_read_where_a_picture_is_as_wide_as_a_phone(name: str) -> None:
    shown = 358 / CASES[name].width
    sizes = {int(each.attrib["font-size"]) for each in elements(CASES[name], "text")}
    assert min(sizes) * shown >= 11


# --- names, letters, colours ---


@given(names)
@example("</svg><script>alert('\"&')</script>")
@example("\x00\ud800\ufffe\u202e")
@example("{team}")
def test_names_come_out_as_text(name: str) -> None:
    team = TeamCourse(team=name, ranks=[1, 1], rank_points=[4, None])
    pictures = (
        strip_picture(STRIKES, name, GERMAN),
        season_course_picture([name, "2"], [team, team], name, ENGLISH),
        career_picture(*career(2020, 2024), name, ENGLISH),
        places_picture([name], {name: {2020: Place(0, 1, 2), 2021: Place(0, 2, 2)}}, name, ENGLISH),
    )
    for each in pictures:
        picture = drawn(each)
        tags = {element.tag.removeprefix(NAMESPACE) for element in parsed(picture).iter()}
        assert tags <= DRAWN
        assert picture.title == clean(name)
        assert (elements(picture, "title")[0].text or "") == clean(name)
        assert overlapping(picture) == []
        left, _, right, _ = extent(picture)
        assert left >= 0
        assert right <= picture.width
        picture.svg.encode("utf-8")
    said = drawn(pictures[1])
    assert clean(f"{name}: rank 1") in said.sentence


def test_letters_are_not_wider_than_reckoned() -> None:
    # Advance widths of DejaVu Sans, one of the widest in use, in thousandths of the size.
    for text, thousandths in (
        ("Steinhubelmoos A", 9070), ("1,191 points", 6252), ("Tiefenschür A", 6856),
    ):  # fmt: skip
        assert 0.97 * thousandths <= text_width(text, size=1000) <= 1.15 * thousandths


def test_long_names_are_cut_and_keep_what_tells_teams_apart() -> None:
    cut = fitted(LONG, 120, size=12)
    assert cut.endswith("… B")
    assert cut.startswith("Hornusser")
    assert text_width(cut, size=12) <= 120
    assert fitted("Aarwald A", 120, size=12) == "Aarwald A"
    assert fitted("Bahnhofbuffetmannschaft", 60, size=12) == "Bahnho…"
    names_shown = texts(CASES["season, fourteen teams"])
    assert LONG not in names_shown
    assert any(LONG in title_of(each) for each in elements(CASES["season, fourteen teams"], "g"))


def luminance(colour: str) -> float:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [
        each / 12.92 if each <= 0.04045 else ((each + 0.055) / 1.055) ** 2.4 for each in channels
    ]
    return sum(share * each for share, each in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("tone", sorted(set(MIDDLE_TONES) - {"grid", "lane"}))
def test_tones_can_be_told_from_every_ground(tone: str) -> None:
    is_text = tone in ("ink", "soft")
    for ground in ("#ffffff", "#0d1117"):
        assert contrast(MIDDLE_TONES[tone], ground) >= (4 if is_text else 3)
    for tones in (LIGHT, DARK):
        shown = tones.get(tone, MIDDLE_TONES[tone])
        assert contrast(shown, tones["ground"]) >= (4.5 if is_text else 3)
        if is_text:
            assert contrast(shown, tones["lane"]) >= 4.5
    if tone in ("home", "away", "nummer"):
        for tones in ({}, LIGHT, DARK):
            assert contrast(tones.get(tone, MIDDLE_TONES[tone]), "#ffffff") >= 4.5


@every_case
def test_light_and_dark_style_all_that_is_drawn(picture: Picture) -> None:
    style = elements(picture, "style")[0].text or ""
    light, dark = style.split("@media (prefers-color-scheme:dark)")
    used = {name for each in parsed(picture).iter() for name in each.get("class", "").split()}
    assert used >= {"ground", "ink"}
    for name in used:
        tone = name.removesuffix("-line")
        if tone in LIGHT:
            assert f".{name}{{" in light
            assert f".{name}{{" in dark
        elif tone in DARK:
            assert f".{name}{{" in dark
    for each in parsed(picture).iter():
        if "class" in each.attrib:
            assert "fill" in each.attrib or "stroke" in each.attrib
