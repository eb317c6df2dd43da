"""A command over an index that has seen the folder change says what one without an index says.

``pytest tests/index/test_freshness.py --edit-sequences 2000`` tries as many random sequences of
edits; without the option, a few.
"""

import os
import random
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from riesbuch.folder.club_folder import ClubFolder
from riesbuch.index.index import Index, Tables
from riesbuch.index.tables import competition_rows
from riesbuch.questions.ask import TABLES
from riesbuch.questions.ranked import Scope, packed_book, unpacked_book
from riesbuch.questions.records import holders_names, record_book
from riesbuch.trade.problems import RiesbuchError
from tests.clubfolder import CLUB_FOLDER, FIRST, FIXTURES, LEAGUE, RUEDI, RULES, SEASON, lay_out

SEQUENCE_LENGTH = 6
SHEETS = "seasons/2026/matches"


class FolderWithIndexElsewhere(ClubFolder):
    """The same folder, its index in a place that no command has used before."""

    def __init__(self, root: Path, derived: Path) -> None:
        super().__init__(root)
        self._elsewhere = derived

    @property
    def derived(self) -> Path:
        return self._elsewhere


def answers(folder: ClubFolder) -> object:
    """All that a command could say of the folder: problems, and every row of every table."""
    notes: list[str] = []
    index = Index(folder, notes.append)
    try:
        problems = index.problems()
        connection = index.connection(with_trainings=True)
        tables = {
            table: sorted(map(repr, connection.execute(f"SELECT * FROM {table}")))
            for table in (*TABLES, "named_players", "trainings", "training_strikes")
        }
        tables["records"] = [index.answer("records", whole_book)]
    except RiesbuchError as error:
        return str(error), notes
    finally:
        index.close()
    return problems, tables, notes


def whole_book(tables: Tables) -> str:
    book = record_book(tables, Scope(), 1, ages=True, top=10)
    return packed_book(book, holders_names(tables, book))


def without_index(root: Path, scratch: Path) -> object:
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir()
    return answers(FolderWithIndexElsewhere(root, scratch / "derived"))


def write(path: Path, text: str) -> None:
    path.write_bytes(text.encode("utf-8", "surrogateescape"))


class Editor:
    """Random edits to a club folder, many of them mistakes."""

    def __init__(self, root: Path, chance: random.Random) -> None:
        self.root = root
        self.chance = chance
        self.edits: list[Callable[[], None]] = [
            self.change_a_digit, self.change_a_digit, self.swap_digits_in_silence,
            self.touch, self.add_a_copy, self.remove, self.rename, self.move_to_another_season,
            self.move_to_another_competition, self.swap_two, self.break_syntax,
            self.restore, self.add_a_player, self.remove_a_player, self.change_a_name,
            self.change_the_rules, self.change_the_season, self.open_or_close_the_register,
            self.drop_fixtures, self.rewrite_equal, self.make_a_folder, self.break_the_league,
            self.hand_down, self.hand_down, self.name_one, self.rule, self.rule, self.decide,
            self.strike_in_parts, self.name_a_part, self.list_in_a_class, self.put_off,
            self.train, self.train, self.train_no_more, self.change_a_birth_year,
        ]  # fmt: skip

    def run(self) -> str:
        edit = self.chance.choice(self.edits)
        edit()
        return edit.__name__

    def files(self, pattern: str) -> list[Path]:
        return sorted(path for path in self.root.glob(pattern) if path.is_file())

    def any_sheet(self) -> Path:
        sheets = self.files("seasons/*/matches/*.yaml")
        return self.chance.choice(sheets) if sheets else self.put(FIRST)

    def put(self, path: str) -> Path:
        target = self.root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        if not target.is_dir():
            target.write_text(CLUB_FOLDER[path], encoding="utf-8")
        return target

    def change_a_digit(self) -> None:
        sheet = self.any_sheet()
        text = sheet.read_text(encoding="utf-8", errors="surrogateescape")
        places = [index for index, each in enumerate(text) if each.isdigit()]
        if places:
            place = self.chance.choice(places)
            digit = str(self.chance.randint(0, 9))
            write(sheet, text[:place] + digit + text[place + 1 :])

    def name_one(self) -> None:
        """A side by its points, with one player's; or by Ries totals as before."""
        sheet = self.any_sheet()
        text = sheet.read_text(encoding="utf-8", errors="surrogateescape")
        ries, points = "ries: [24, 21, 22, 20]", "points: 87\n  named: {sahli-rosa: 31}"
        write(sheet, text.replace(ries, points) if ries in text else text.replace(points, ries))

    def train(self) -> None:
        """An evening of a year that has a season or none; now and then it is wrong."""
        day = f"{self.chance.choice((2025, 2026, 2027))}-04-0{self.chance.randint(1, 3)}"
        folder = self.root / "trainings" / day[:4]
        folder.mkdir(parents=True, exist_ok=True)
        player = self.chance.choice(("bigler-jonas", "bigler-jonas", "nobody"))
        (folder / f"{day}{self.chance.choice(('', '-aarwald'))}.yaml").write_text(
            f"date: {day}\nclub: {self.chance.choice(('aarwald', 'birkenfluh'))}\n"
            f"strikes:\n  {player}: {self.chance.randint(0, 40)} 12 ~ 3\n"
            "present: [aebi-ruedi]\n",
            encoding="utf-8",
        )

    def train_no_more(self) -> None:
        evenings = self.files("trainings/*/*.yaml")
        if evenings and self.chance.random() < 0.5:
            self.chance.choice(evenings).unlink()
        else:
            shutil.rmtree(self.root / "trainings", ignore_errors=True)

    def rule(self) -> None:
        """In force on a day before, between or after the matches; now and then it is unreadable."""
        season = self.root / "seasons" / str(self.chance.choice((2025, 2026)))
        season.mkdir(parents=True, exist_ok=True)
        day = self.chance.choice(("2026-03-01", "2026-04-20", "2026-12-31"))
        figure = self.chance.choice(("rank_points", "nummern", "points", "shoes"))
        (season / "rulings.toml").write_text(
            f'[[ruling]]\ncompetition = "{self.chance.choice(("oberhang-1", "oberhang-cup"))}"\n'
            f'on = {day}\nby = "match commission"\nteam = "aarwald-a"\n'
            f'{figure} = {self.chance.randint(-3, 3)}\nreason = "no licence"\n',
            encoding="utf-8",
        )

    def strike_in_parts(self) -> None:
        """The league becomes a festival in two parts, of which one has rules of its own."""
        parts = "".join(
            f'{{id = "{part}", name = "The {part}", rules = "{rules}"}}, '
            for part, rules in (("morning", "one"), ("afternoon", "2026"))
        )
        text = CLUB_FOLDER[SEASON].replace('"league"', '"festival"').replace("cycles = 2\n", "")
        text = text.replace('rules = "2026"', f'rules = "2026"\nparts = [{parts}]', 1)
        (self.root / SEASON).write_text(text, encoding="utf-8")
        order = self.chance.choice(("points", "nummern"))
        (self.root / "rules/one.toml").write_text(
            f'team_size = 2\nresult_order = ["{order}"]\nstandings_order = ["{order}"]\n',
            encoding="utf-8",
        )

    def name_a_part(self) -> None:
        sheet = self.any_sheet()
        text = sheet.read_text(encoding="utf-8", errors="surrogateescape")
        lines = [line for line in text.splitlines(keepends=True) if not line.startswith("part:")]
        part = self.chance.choice(("morning", "afternoon", "evening", None))
        write(sheet, f"part: {part}\n" * bool(part) + "".join(lines))

    def list_in_a_class(self) -> None:
        """Classes of the rules by age and by listing, and who is listed."""
        first, last = sorted(self.chance.sample(range(40, 80), 2))
        (self.root / RULES).write_text(
            "team_size = 2\nnummer_zone = {from = 1, to = 18}\n"
            f'[[classes]]\nid = "old"\nname = "Old"\nages = {{from = {first}, to = {last}}}\n'
            '[[classes]]\nid = "women"\nname = "Women"\n'
            f'[[awards]]\nname = "wreath"\npoints = {self.chance.randint(1, 90)}\n',
            encoding="utf-8",
        )
        player = self.root / "players/sahli-rosa.yaml"
        if not player.is_dir():
            listed = self.chance.choice(("", "classes: [women]\n", "classes: [men]\n"))
            player.write_text(f"name: Rosa Sahli\nborn: 1960\n{listed}", encoding="utf-8")

    def put_off(self) -> None:
        """Whether it was ever made up is told by a later season."""
        sheet = self.any_sheet()
        text = sheet.read_text(encoding="utf-8", errors="surrogateescape")
        top = text.partition("\nhome:")[0].replace("outcome: postponed\n", "")
        new_day = self.chance.choice(("", "moved_to: 2026-09-06\n"))
        write(
            sheet,
            f"{top}\noutcome: postponed\n{new_day}home: {{team: birkenfluh-a}}\n"
            "away: {team: aarwald-a}\n",
        )

    def swap_digits_in_silence(self) -> None:
        """Another text of the same length under the same time of change."""
        sheet = self.any_sheet()
        stat = sheet.stat()
        text = sheet.read_text(encoding="utf-8", errors="surrogateescape")
        write(sheet, text.replace("18", "81").replace("14", "41"))
        os.utime(sheet, ns=(stat.st_atime_ns, stat.st_mtime_ns))

    def touch(self) -> None:
        os.utime(self.any_sheet(), (1, self.chance.randint(1, 10**9)))

    def rewrite_equal(self) -> None:
        sheet = self.any_sheet()
        content = sheet.read_bytes()
        sheet.unlink()
        sheet.write_bytes(content)

    def add_a_copy(self) -> None:
        sheet = self.any_sheet()
        name = f"2026-0{self.chance.randint(1, 9)}-01-copy-{self.chance.randint(1, 3)}.yaml"
        if not (sheet.parent / name).is_dir():
            shutil.copy(sheet, sheet.parent / name)

    def remove(self) -> None:
        self.any_sheet().unlink()

    def rename(self) -> None:
        sheet = self.any_sheet()
        sheet.rename(sheet.with_name(f"renamed-{self.chance.randint(1, 99)}.yaml"))

    def move_to_another_season(self) -> None:
        season = self.root / "seasons" / str(self.chance.choice((2025, 2027)))
        (season / "matches").mkdir(parents=True, exist_ok=True)
        if self.chance.random() < 0.5:
            text = CLUB_FOLDER[SEASON].replace("season = 2026", f"season = {season.name}")
            (season / "season.toml").write_text(text, encoding="utf-8")
        sheet = self.any_sheet()
        if not (season / "matches" / sheet.name).is_dir():
            sheet.rename(season / "matches" / sheet.name)

    def move_to_another_competition(self) -> None:
        sheet = self.any_sheet()
        text = sheet.read_text(encoding="utf-8", errors="surrogateescape")
        known = ["oberhang-1", "oberhang-cup", "oberhang-9"]
        old, new = self.chance.sample(known, 2)
        write(sheet, text.replace(f"competition: {old}", f"competition: {new}"))

    def swap_two(self) -> None:
        one, other = self.any_sheet(), self.any_sheet()
        first, second = one.read_bytes(), other.read_bytes()
        one.write_bytes(second)
        other.write_bytes(first)

    def break_syntax(self) -> None:
        files = self.files("**/*.yaml") + self.files("seasons/**/*.toml") + self.files("rules/*")
        path = self.chance.choice(files)
        path.write_bytes(path.read_bytes() + self.chance.choice((b"[\n", b"\xff\n", b"zz: 1\n")))

    def restore(self) -> None:
        for path in CLUB_FOLDER:
            if self.chance.random() < 0.7:
                self.put(path)

    def add_a_player(self) -> None:
        name = self.chance.choice(("aebi-rudi", "kipfer-urs", "neu-nina"))
        path = self.root / "players" / f"{name}.yaml"
        if not path.is_dir():
            path.write_text(f"name: {name.title()}\nborn: 1980\n", encoding="utf-8")

    def remove_a_player(self) -> None:
        players = self.files("players/*.yaml")
        if players:
            self.chance.choice(players).unlink()

    def change_a_name(self) -> None:
        path = self.chance.choice((RUEDI, "clubs/aarwald.yaml"))
        if (self.root / path).is_file():
            text = (self.root / path).read_text(encoding="utf-8", errors="surrogateescape")
            text = text.replace("a", self.chance.choice("ae"), 3)
            write(self.root / path, text)

    def change_a_birth_year(self) -> None:
        players = self.files("players/*.yaml")
        if players:
            path = self.chance.choice(players)
            text = path.read_text(encoding="utf-8", errors="surrogateescape")
            kept = [line for line in text.splitlines(keepends=True) if not line.startswith("born:")]
            write(path, "".join(kept) + f"born: {self.chance.randint(1940, 2010)}\n")

    def change_the_rules(self) -> None:
        size, last = self.chance.randint(1, 3), self.chance.choice((15, 18))
        order = self.chance.choice(('"points"', '"points", "highest_strikes"', '"older"'))
        (self.root / RULES).write_text(
            f"team_size = {size}\nnummer_zone = {{from = 1, to = {last}}}\n"
            f"[strikers]\norder = [{order}]\n",
            encoding="utf-8",
        )

    def change_the_season(self) -> None:
        text = CLUB_FOLDER[SEASON]
        old, new = self.chance.choice(
            [('"aarwald-a", ', ""), ("oberhang-1", "oberhang-2"), ('"league"', '"friendly"')]
        )
        (self.root / SEASON).write_text(text.replace(old, new), encoding="utf-8")

    def open_or_close_the_register(self) -> None:
        kind = self.chance.choice(("open", "strict"))
        (self.root / LEAGUE).write_text(f'name = "L"\nregister = "{kind}"\n', encoding="utf-8")

    def drop_fixtures(self) -> None:
        (self.root / FIXTURES).unlink(missing_ok=True)

    def make_a_folder(self) -> None:
        (self.root / SHEETS / f"folder-{self.chance.randint(1, 2)}.yaml").mkdir(exist_ok=True)

    def hand_down(self) -> None:
        season = self.root / "seasons" / str(self.chance.choice((2024, 2025, 2026)))
        season.mkdir(parents=True, exist_ok=True)
        name = self.chance.choice(("", 'name = "A League"\n', 'name = "Another"\n'))
        source = 'source = {kind = "letter"}\n'
        best = self.chance.choice(('player = "aebi-ruedi"', 'name = "Nobody Knows"'))
        (season / "handed-down.toml").write_text(
            f'[[table]]\ncompetition = "oberhang-1"\n{name}{source}'
            f'rows = [{{rank = {self.chance.randint(1, 2)}, team = "aarwald-a"}}]\n'
            f'[[striker_table]]\ncompetition = "oberhang-1"\n{name}{source}'
            f"rows = [{{rank = 1, {best}, points = {self.chance.randint(60, 80)}}}]\n"
            f'[[honour]]\nwhat = "{self.chance.choice(("champion", "runner-up"))}"\n'
            f'competition = "oberhang-1"\nteam = "birkenfluh-a"\n{name}{source}',
            encoding="utf-8",
        )

    def decide(self) -> None:
        """Who goes up is named, or how many."""
        up = self.chance.choice(('["birkenfluh-a"]\npromotion_note = "why"', '["aarwald-a"]', "1"))
        text = CLUB_FOLDER[SEASON].replace("cycles = 2", f"cycles = 2\npromoted = {up}")
        (self.root / SEASON).write_text(text, encoding="utf-8")

    def break_the_league(self) -> None:
        if self.chance.random() < 0.2:
            (self.root / LEAGUE).write_text("name = \n", encoding="utf-8")


@pytest.mark.parametrize("trusting", [False, True], ids=["young files", "old files"])
def test_what_a_used_index_says_is_what_none_says(
    trusting: bool,
    tmp_path: Path,
    pytestconfig: pytest.Config,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    if trusting:
        # As if every file had been left alone for long, so that its state is believed.
        monkeypatch.setattr("riesbuch.index.scan._YOUNG", -(10**18))
    seen = set()
    for seed in range(pytestconfig.getoption("--edit-sequences")):
        root = tmp_path / "club"
        shutil.rmtree(root, ignore_errors=True)
        lay_out(root, [])
        editor = Editor(root, random.Random(seed))
        done = []
        for _ in range(SEQUENCE_LENGTH):
            if trusting:
                # Beyond the tick of the file system's clock.
                time.sleep(0.012)
            done.append(editor.run())
            warm = answers(ClubFolder(root))
            assert warm == without_index(root, tmp_path / "scratch"), (seed, done)
        seen.update(done)
    assert len(seen) > 10


RESTING_ON_PEOPLE = {
    "order": '[strikers]\norder = ["older"]\n',
    "classes": '[[classes]]\nid = "old"\nname = "Old"\nages = {from = 50, to = 99}\n',
}


@pytest.mark.parametrize("part", [*RESTING_ON_PEOPLE, "nothing"])
def test_tables_are_made_anew_by_a_birth_year_where_they_rest_on_it(
    part: str, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (root / RULES).write_text(
        "team_size = 2\nnummer_zone = {from = 1, to = 18}\n" + RESTING_ON_PEOPLE.get(part, ""),
        encoding="utf-8",
    )
    player = root / RUEDI
    player.write_text("name: Ruedi Aebi\n", encoding="utf-8")
    before = tables_of(root)
    made: list[object] = []

    def counted(*given: Any, **more: Any) -> None:
        made.append(given)
        competition_rows(*given, **more)

    monkeypatch.setattr("riesbuch.index.tables.competition_rows", counted)
    player.write_text("name: Ruedi Aebi\nborn: 1951\n", encoding="utf-8")
    after = tables_of(root)
    assert (after != before, bool(made)) == (part in RESTING_ON_PEOPLE,) * 2
    assert after == tables_of(root, root.parent / "derived")


def tables_of(root: Path, derived: Path | None = None) -> list[list[str]]:
    """The rows of striker tables, of all and of classes."""
    folder = ClubFolder(root) if derived is None else FolderWithIndexElsewhere(root, derived)
    index = Index(folder, print)
    try:
        return [
            sorted(map(repr, index.connection().execute(f"SELECT * FROM {table}")))
            for table in ("strikers", "class_strikers")
        ]
    finally:
        index.close()


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr("riesbuch.index.scan._YOUNG", -(10**18))
    lay_out(tmp_path / "club", [])
    return tmp_path / "club"


def asked_anew(root: Path) -> bool:
    """Whether the question was asked, and not remembered; what it tells is right either way."""
    asked = []

    def ask(tables: Tables) -> str:
        asked.append(tables)
        return whole_book(tables)

    index = Index(ClubFolder(root), print)
    try:
        told = unpacked_book(index.answer("records", ask)) if index.connection() else None
        assert told == unpacked_book(whole_book(index.connection()))
    finally:
        index.close()
    return bool(asked)


def test_an_answer_is_remembered(root: Path) -> None:
    assert asked_anew(root)
    assert not asked_anew(root)


@pytest.mark.parametrize("path", [FIRST, RUEDI, RULES, SEASON, FIXTURES, LEAGUE])
def test_an_answer_is_given_up_with_any_file_it_may_rest_on(path: str, root: Path) -> None:
    assert asked_anew(root)
    file = root / path
    file.write_bytes(file.read_bytes() + b"# another\n")
    assert asked_anew(root)
    assert not asked_anew(root)
    if path != LEAGUE:
        file.unlink()
        assert asked_anew(root)


def test_an_answer_is_given_up_with_the_code_of_questions(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert asked_anew(root)
    monkeypatch.setattr("riesbuch.index.index.signature_of", lambda *rooms: repr(rooms).encode())
    asked_anew(root)
    assert not asked_anew(root)
    monkeypatch.setattr(
        "riesbuch.index.index.signature_of",
        lambda *rooms: repr((rooms, rooms == ("questions",))).encode(),
    )
    assert asked_anew(root)


def test_an_answer_is_not_remembered_where_somebody_else_wrote_meanwhile(root: Path) -> None:
    sheet = root / FIRST
    before = sheet.read_bytes()

    def ask(tables: Tables) -> str:
        # Another command sees the sheet changed, and the tables are of the change.
        sheet.write_bytes(before.replace(b"11", b"12"))
        answers(ClubFolder(root))
        return whole_book(tables)

    index = Index(ClubFolder(root), print)
    index.connection()
    told = index.answer("records", ask)
    index.close()
    sheet.write_bytes(before)
    assert asked_anew(root)
    assert told
