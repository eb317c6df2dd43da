"""Who is named on the pages, and how."""

from pathlib import Path

import pytest

from tests.reports_folder import (
    FULL_SHEET,
    FULL_STEM,
    MATCH,
    STRIKERS,
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
    assert "| 1 | a player | 18 | 20 | 17 | 19 | 74 |" in written[MATCH]
    assert "**Ries** | **33** | **20** | **33** | **30** | **116** |" in written[MATCH]
    assert "- Notes: a player came late, as did a player: fog." in written[MATCH]
    assert "- Referees: a player, Theo Lehmann" in written[MATCH]
    assert "by a player (Aarwald A) and Urs Kipfer" in written[MATCH]
    assert "| 1 | a player | Aarwald A | 1 | 4 | 74 | 18.50 |" in written[STRIKERS]
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
    assert f"| 1 | {shown} | 11 | 12 | 9 | 14 | 46 |" in written[MATCH]
    assert f"| 2 | {shown} | Aarwald A | 1 | 4 | 46 |" in written[STRIKERS]
    assert f"\n  - {shown} (2026)\n" in written["history/families.md"]
    assert f"- Children in the records: {shown}\n" in written["players/aebi-ruedi.md"]
    assert ("players/zaugg-lena.md" in written) == (shown == "Lena Zaugg")
    if shown != "Lena Zaugg":
        in_free_text = [MATCH]  # who copied the sheet wrote the own name there
        assert set(named(root, "Lena Zaugg", "zaugg-lena")) <= set(in_free_text)
        assert "zaugg-lena.md" not in pages_of(root)[MATCH]


def test_who_has_grown_up_is_still_a_child_on_the_pages_of_then(tmp_path: Path) -> None:
    root = folder(tmp_path, {LENA: FAMILY.format(born=2011)})
    season = (root / "seasons/2026/season.toml").read_text(encoding="utf-8")
    write(root, "seasons/2027/season.toml", season.replace("2026", "2027"))
    written = pages_of(root)
    assert "| 1 | Lena | 11 |" in written[MATCH]
    assert written["players/zaugg-lena.md"].startswith("# Lena Zaugg\n")


def test_without_pages_of_players_no_page_leads_to_one(tmp_path: Path) -> None:
    written = pages_of(folder(tmp_path, {}, "players = false"))
    assert not [path for path in written if path.startswith("players/")]
    assert not [path for path, page in written.items() if "players/" in page]
    assert "| 1 | Ruedi Aebi | 18 |" in written[MATCH]


def test_ages_are_told_in_bands_and_only_where_the_league_says_so(tmp_path: Path) -> None:
    files = {LENA: FAMILY.format(born=2011)}
    assert "up to 19" not in pages_of(folder(tmp_path / "a", files))["history/people.md"]
    people = pages_of(folder(tmp_path / "b", files, "ages = true"))["history/people.md"]
    assert "| People | New | up to 19 | 20–39 | 40–59 | 60 and over | Age not known |" in people
    # One child alone is counted in the next band.
    assert "| 4 | 4 | → | 1 | 0 | 3 | 0 |" in people
