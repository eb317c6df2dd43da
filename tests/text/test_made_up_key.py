"""A key that nobody has thought of, added to the source as DEVELOPERS.md says: one line each."""

import csv
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import riesbuch
from tests.clubfolder import FIRST, FIRST_SHEET, LENA, RUEDI, lay_out

NEW_KEYS = {
    "trade/match.py": (
        "    weather: Annotated",
        '    spectators: Annotated[int | None, Key("number", decides=True,'
        ' column="how many watched")] = None\n',
    ),
    "trade/people.py": (
        "    clubs: Annotated[\n        tuple[Membership",
        '    nickname: Annotated[str | None, Key("text", column="as friends say", tells="text")]'
        " = None\n",
    ),
}
SHEET = FIRST_SHEET.replace("round: 1\n", "spectators: 120\nround: 1\n", 1)


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The source with a line more for each of two keys."""
    copy = tmp_path_factory.mktemp("source")
    shutil.copytree(Path(riesbuch.__file__).parent, copy / "riesbuch")
    shutil.copytree(Path(__file__).parents[2] / "schema", copy / "riesbuch" / "schema")
    for path, (above, line) in NEW_KEYS.items():
        file = copy / "riesbuch" / path
        text = file.read_text(encoding="utf-8")
        assert text.count(above) == 1
        file.write_text(text.replace(above, line + above), encoding="utf-8")
    return copy


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    root = tmp_path / "league"
    lay_out(root)
    (root / FIRST).write_text(SHEET, encoding="utf-8")
    with (root / RUEDI).open("a", encoding="utf-8") as file:
        file.write("nickname: Ruedeli\n")
    return root


def run(source: Path, *arguments: str | Path) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", "riesbuch", *map(str, arguments)],
        env={**os.environ, "PYTHONPATH": str(source), "PYTHONDONTWRITEBYTECODE": "1"},
        cwd=source,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def test_it_is_no_key_without_the_line(folder: Path) -> None:
    status, output = run(Path(riesbuch.__file__).parents[1], "--folder", folder, "check")
    assert status == 1
    assert output.count("(unknown-key)") == 2


def test_it_is_read(source: Path, folder: Path) -> None:
    status, output = run(source, "--folder", folder, "check")
    assert (status, "unknown-key" in output) == (0, False), output


def test_a_slip_in_it_is_advised_on(source: Path, folder: Path) -> None:
    (folder / FIRST).write_text(SHEET.replace("spectators", "spectator"), encoding="utf-8")
    status, output = run(source, "--folder", folder, "check")
    assert status == 1
    assert "did you mean spectators" in output
    (folder / FIRST).write_text(SHEET.replace("120", "many"), encoding="utf-8")
    assert "a whole number" in run(source, "--folder", folder, "check")[1]


def test_the_schema_is_held_against_it(source: Path) -> None:
    asked = (
        "from riesbuch.trade import keys, match, people; import json;"
        "print(json.dumps([keys.names_of(match.Match), keys.names_of(people.Player)]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked],
        env={**os.environ, "PYTHONPATH": str(source)},
        capture_output=True,
        check=True,
    )
    lacking = []
    for kind, names in zip(("sheet", "player"), json.loads(done.stdout), strict=True):
        file = source / "riesbuch" / "schema" / f"{kind}.schema.json"
        schema = json.loads(file.read_text(encoding="utf-8"))
        lacking += [name for name in names if name not in schema["properties"]]
    assert lacking == ["spectators", "nickname"]


def test_tidy_puts_it_in_its_place(source: Path, folder: Path) -> None:
    assert run(source, "--folder", folder, "tidy")[0] == 0
    lines = (folder / FIRST).read_text(encoding="utf-8").split("\n")
    assert (
        lines.index("round: 1")
        < lines.index("date: 2026-04-12")
        < lines.index("spectators: 120")
        < lines.index("home:")
    )


def test_the_seal_covers_it_and_a_correction_names_it(source: Path, folder: Path) -> None:
    names = ("--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-13")
    status, output = run(source, "--folder", folder, "seal", FIRST, *names)
    assert status == 0, output
    sealed = (folder / FIRST).read_text(encoding="utf-8")
    (folder / FIRST).write_text(sealed.replace("120", "121"), encoding="utf-8")
    assert "seal" in run(source, "--folder", folder, "check")[1]
    (folder / FIRST).write_text(sealed, encoding="utf-8")
    status, output = run(
        source, "--folder", folder, "correct", FIRST, "spectators=121", "--reason", "counted",
        "--agreed", "aarwald", "--agreed", "birkenfluh", "--by", "Vreni", "--home", "Ruedi Aebi",
        "--away", "Urs Kipfer", "--on", "2026-04-20",
    )  # fmt: skip
    assert status == 0, output
    assert "spectators: 120 -> 121" in (folder / FIRST).read_text(encoding="utf-8")
    assert run(source, "--folder", folder, "check")[0] == 0


def test_the_export_has_its_column(source: Path, folder: Path, tmp_path: Path) -> None:
    status, output = run(source, "--folder", folder, "export", tmp_path / "out")
    assert status == 0, output
    for table, column, value in (
        ("matches", "spectators", "120"),
        ("players", "nickname", "Ruedeli"),
    ):
        with (tmp_path / "out" / f"{table}.csv").open(encoding="utf-8", newline="") as file:
            assert value in [row[column] for row in csv.DictReader(file)]


def test_two_entries_made_one_keep_it(source: Path, folder: Path) -> None:
    (folder / "players" / "aebi-r.yaml").write_text(
        "name: R. Aebi\nnickname: Ruedeli\n", encoding="utf-8"
    )
    kept = (folder / RUEDI).read_text(encoding="utf-8").replace("nickname: Ruedeli\n", "")
    (folder / RUEDI).write_text(kept, encoding="utf-8")
    status, output = run(source, "--folder", folder, "roster", "merge", "aebi-ruedi", "aebi-r")
    assert status == 0, output
    assert "nickname: Ruedeli" in (folder / RUEDI).read_text(encoding="utf-8")
    lena = (folder / LENA).read_text(encoding="utf-8")
    assert "nickname" not in lena


def test_the_merge_takes_it_from_either_side(source: Path, folder: Path) -> None:
    base = SHEET.replace("spectators: 120\n", "")
    versions = {"base": base, "ours": SHEET, "theirs": f"{base}weather: dry\n"}
    for name, text in versions.items():
        (folder / name).write_text(text, encoding="utf-8")
    files = [folder / name for name in versions]
    status, output = run(source, "for-git", "merge", *files, "7", "base", "ours", "theirs")
    assert status == 0, output
    merged = (folder / "ours").read_text(encoding="utf-8")
    assert "spectators: 120\n" in merged
    assert "weather: dry\n" in merged
    # The same number spelt otherwise is no change.
    for name, number in (("base", "120"), ("ours", "0120"), ("theirs", "121")):
        (folder / name).write_text(SHEET.replace("120", number), encoding="utf-8")
    assert run(source, "for-git", "merge", *files, "7", "base", "ours", "theirs")[0] == 0
    assert "spectators: 121\n" in (folder / "ours").read_text(encoding="utf-8")
