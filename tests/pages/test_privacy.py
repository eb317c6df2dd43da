"""Who is named on the pages, and how."""

import re
from pathlib import Path

import pytest

from tests.commandline import invoke
from tests.example_copy import copy_example
from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    MATCH,
    SEASON,
    STRIKERS,
    UNSEALED_SHEET,
    pages_of,
    small_folder,
    words_of,
    write,
)

LENA = "players/zaugg-lena.yaml"
FAMILY = "name: Lena Zaugg\nborn: {born}\nparents: [aebi-ruedi]\n"


def folder(tmp_path: Path, files: dict[str, str], publish: str = "") -> Path:
    root = small_folder(tmp_path, {FULL_STEM: FULL_SHEET})
    for path, content in files.items():
        write(root, path, content)
    if publish:
        write(root, "league.toml", f'name = "Oberhang League"\n[publish]\n{publish}\n')
    return root


def named(root: Path, *names: str) -> list[str]:
    """The pages, their paths too, in which one of ``names`` stands."""
    return [
        path
        for path, page in pages_of(root).items()
        if any(name in path or name in page for name in names)
    ]


def test_who_is_private_is_named_nowhere_and_counts_everywhere(tmp_path: Path) -> None:
    private = "name: Ruedi Aebi\nprivate: true\nalso_written: [R. Aebi]\n"
    files = {"players/aebi-ruedi.yaml": private, LENA: FAMILY.format(born=1961)}
    root = folder(tmp_path, files)
    sheet = root / f"seasons/2026/matches/{FULL_STEM}.yaml"
    text = sheet.read_text(encoding="utf-8")
    text = text.replace("Started an hour late", "r. aebi came late, as did Aebi, Ruedi")
    sheet.write_text(text.replace("Vreni Oesch", "Ruedi Aebi"), encoding="utf-8")
    assert named(root, "Ruedi", "R. Aebi", "r. aebi", "aebi-ruedi") == []
    written = words_of(root)
    assert "| a player | 18·20 | 17·19 | 74 |" in written[MATCH].replace("\u202f", "")
    assert "| **Points** | **116** | **60** |" in written[MATCH]
    assert "- Notes: a player came late, as did a player: fog." in written[MATCH]
    assert "- Referees: a player, Theo Lehmann" in written[MATCH]
    assert "by a player (Aarwald A) and Urs Kipfer" in written[MATCH]
    assert "| 1 | a player | 26 | 74 | 1 | 18.50 | 74 | Aarwald A |" in written[STRIKERS]
    assert "- wreath (from 74 points): a player" in written[STRIKERS]
    assert "a player (Aarwald A) against Birkenfluh A" in written["history/records.md"]
    assert "- a player (2026)\n  - Lena Zaugg (2026)\n" in written["history/families.md"]
    assert "- Child of a player" in written["players/zaugg-lena.md"]
    assert "4 people have a page." in written["players/README.md"]


def test_a_ground_does_not_name_who_is_private(tmp_path: Path) -> None:
    private = "name: Hans Aebi\nprivate: true\n"
    club = "name: Aarwald\nground: behind Hans Aebi's barn\nteams: {a: Aarwald A}\n"
    root = folder(tmp_path, {"players/aebi-hans.yaml": private, "clubs/aarwald.yaml": club})
    assert named(root, "Hans Aebi") == []
    assert "behind a player's barn" in words_of(root)["clubs/aarwald.md"]


def test_a_correction_that_changes_a_captain_names_as_all_else_does(tmp_path: Path) -> None:
    root = folder(tmp_path, {LENA: "name: Lena Zaugg\nprivate: true\n"})
    sheet = root / f"seasons/2026/matches/{FULL_STEM}.yaml"
    change = "home.captain: zaugg-lena -> aebi-ruedi"
    text = sheet.read_text(encoding="utf-8")
    text = text.replace("home.strikes.bigler-jonas.2.2: 14 -> 11", change)
    sheet.write_text(text, encoding="utf-8")
    assert "a player → Ruedi Aebi" in pages_of(root)[MATCH]
    assert named(root, "zaugg-lena", "Lena") == []


@pytest.mark.parametrize(
    ("born", "publish", "shown"),
    [
        (2011, "", "Lena"),
        (2010, "", "Lena Zaugg"),
        (2011, 'minors = "hidden"', "a player"),
        (2011, 'minors = "full-name"', "Lena Zaugg"),
    ],
)
def test_how_a_child_is_named(tmp_path: Path, born: int, publish: str, shown: str) -> None:
    root = folder(tmp_path, {LENA: FAMILY.format(born=born)}, publish)
    written = words_of(root)
    assert f"| {shown} | 11·12 | 9·14 | 46 |" in written[MATCH].replace("\u202f", "")
    assert f"| 2 | {shown} | 25 | 46 | 1 |" in written[STRIKERS]
    assert f"\n  - {shown} (2026)\n" in written["history/families.md"]
    assert f"- Children in the records: {shown}\n" in written["players/aebi-ruedi.md"]
    assert ("players/zaugg-lena.md" in written) == (shown == "Lena Zaugg")
    assert f"copied by {shown} on 11 May 2026" in written[MATCH]
    assert f"20 May 2026, by {shown}, agreed by" in written[MATCH]
    if shown != "Lena Zaugg":
        assert named(root, "Lena Zaugg", "zaugg-lena") == []


def test_an_older_text_names_a_child_of_now_no_more_than_a_page_of_now(tmp_path: Path) -> None:
    """Who copies an old sheet is not of its season; a child that is none any more is named."""
    root = folder(tmp_path, {LENA: FAMILY.format(born=2011)})
    assert "copied by Lena on 11 May 2026" in words_of(root)[MATCH]
    season = (root / "seasons/2026/season.toml").read_text(encoding="utf-8")
    write(root, "seasons/2028/season.toml", season.replace("2026", "2028"))
    club = "name: Aarwald\nground: behind Lena Zaugg's barn\nteams: {a: Aarwald A}\n"
    write(root, "clubs/aarwald.yaml", club)
    write(root, LENA, FAMILY.format(born=2012))
    assert "copied by Lena Zaugg on 11 May 2026" not in words_of(root)[MATCH]
    assert "behind Lena Zaugg's barn" in words_of(root)["clubs/aarwald.md"]
    write(root, LENA, FAMILY.format(born=2013))
    assert "behind Lena's barn" in words_of(root)["clubs/aarwald.md"]


def test_a_new_season_makes_the_texts_of_older_ones_due(tmp_path: Path) -> None:
    """Since some who were children in the newest are none any more."""
    root = folder(tmp_path, {LENA: FAMILY.format(born=2011)})
    write(root, "seasons/2008/season.toml", SEASON.replace("2026", "2008"))
    text = UNSEALED_SHEET.replace("2026", "2008").replace("zaugg-lena", "sahli-rosa")
    stem = FULL_STEM.replace("2026", "2008")
    write(root, f"seasons/2008/matches/{stem}.yaml", text)
    page = root / f"reports/2008/matches/{stem}.md"
    assert invoke("--folder", root, "publish").status == 0
    assert "copied by Lena on" in page.read_text(encoding="utf-8")
    write(root, "seasons/2027/season.toml", SEASON.replace("2026", "2027"))
    assert invoke("--folder", root, "publish").status == 0
    assert "copied by Lena Zaugg on" in page.read_text(encoding="utf-8")


TOLD = "told by Lena Zaugg, that is Zaugg, Lena (zaugg-lena), and by Jonas Bigler"
TEXTS = (
    re.compile(r"(?m)(^(?:ground|weather|notes): )(?!\|).+"),
    re.compile(r'(\btranscribed_by: )(?:"[^"\n]*"|[^,}\n]+)'),
    re.compile(r'(\b(?:reason|by|reference|\w+_note) = )"[^"]*"'),
)


@pytest.mark.parametrize("minors", ["first-name", "hidden", "full-name"])
def test_no_published_file_names_whom_the_pages_hide(minors: str, tmp_path: Path) -> None:
    """The pages, pictures and stories of a whole folder, where one who holds records and is told
    of in every text is private, the other a child."""
    root = copy_example(tmp_path / "league")
    for player, become in (("zaugg-lena", "born: 2012"), ("bigler-jonas", "private: true")):
        file = root / "players" / f"{player}.yaml"
        text = file.read_text(encoding="utf-8")
        file.write_text(re.sub(r"born: \d+", become, text), encoding="utf-8")
    texts = ("seasons/*/matches/*.yaml", "seasons/*/*.toml", "clubs/*.yaml")
    for file in (file for pattern in texts for file in root.glob(pattern)):
        text = file.read_text(encoding="utf-8")
        for written in TEXTS:
            text = written.sub(rf'\1"{TOLD}"', text)
        file.write_text(text, encoding="utf-8")
    with (root / "league.toml").open("a", encoding="utf-8") as league:
        league.write(f'[publish]\nminors = "{minors}"\n')
    assert invoke("--folder", root, "publish").status == 0
    lena, jonas = ("Lena Zaugg", "Zaugg, Lena", "zaugg-lena"), ("Jonas Bigler", "bigler-jonas")
    naming: dict[str, set[str]] = {name: set() for name in (*lena, *jonas)}
    told = 0
    for file in (root / "reports").rglob("*.*"):
        text = f"{file.name} {file.read_text(encoding='utf-8')}"
        told += "told by" in text
        for name, files in naming.items():
            if name in text:
                files.add(file.name)
    assert told > 200
    hidden = jonas if minors == "full-name" else (*lena, *jonas)
    assert {name: naming[name] for name in hidden} == {name: set() for name in hidden}
    assert minors != "full-name" or all(naming[name] for name in lena)


def test_who_has_grown_up_is_still_a_child_on_the_pages_of_then(tmp_path: Path) -> None:
    root = folder(tmp_path, {LENA: FAMILY.format(born=2011)})
    season = (root / "seasons/2026/season.toml").read_text(encoding="utf-8")
    write(root, "seasons/2027/season.toml", season.replace("2026", "2027"))
    written = pages_of(root)
    assert "| Lena | 11" in written[MATCH]
    assert written["players/zaugg-lena.md"].startswith("# Lena Zaugg\n")


def test_without_pages_of_players_no_page_leads_to_one(tmp_path: Path) -> None:
    written = pages_of(folder(tmp_path, {}, "players = false"))
    assert not [path for path in written if path.startswith("players/")]
    assert not [path for path, page in written.items() if "players/" in page]
    assert "| Ruedi Aebi | 18" in written[MATCH]


def test_ages_are_told_in_bands_and_only_where_the_league_says_so(tmp_path: Path) -> None:
    files = {LENA: FAMILY.format(born=2011)}
    assert "up to 19" not in pages_of(folder(tmp_path / "a", files))["history/people.md"]
    people = pages_of(folder(tmp_path / "b", files, "ages = true"))["history/people.md"]
    assert "| People | New | up to 19 | 20–39 | 40–59 | 60 and over | Age not known |" in people
    # One child alone is counted in the next band.
    assert "| 4 | 4 | → | 1 | 0 | 3 | 0 |" in people
