"""Files beside the sheets that results rest on: which changed, and which of their values."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any, Literal, NamedTuple, get_args

from riesbuch.folder.club_folder import ClubFolder, Kind, kind_of_path
from riesbuch.review.git import FileChange
from riesbuch.text.league import read_season
from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.text.settings import parse_toml
from riesbuch.text.yaml_tree import read_content
from riesbuch.trade.cells import CellChange, changed_cells
from riesbuch.trade.rules import RuleSet

CauseKind = Literal["league", "rules", "season", "rulings", "register", "handed-down"]
_KINDS: Mapping[Kind, CauseKind] = {
    Kind.LEAGUE: "league",
    Kind.RULES: "rules",
    Kind.SEASON: "season",
    Kind.RULINGS: "rulings",
    Kind.CLUB: "register",
    Kind.PLAYER: "register",
    Kind.HANDED_DOWN: "handed-down",
}
_ORDER: tuple[CauseKind, ...] = get_args(CauseKind)
# Of the register's values these alone can make a sheet count or not.
_OF_TEAMS = ("teams", "merged_from")


class Cause(NamedTuple):
    """A changed file that results rest on; ``before`` and ``after`` are its paths, None where it
    is not there. ``values`` are those that changed, a rule that is left out with its default, and
    all rulings of a file that is new or gone; ``unreadable`` is whether one of the two could not
    be read."""

    kind: CauseKind
    before: str | None
    after: str | None
    values: tuple[CellChange, ...] = ()
    unreadable: bool = False

    @property
    def path(self) -> str:
        return self.after or self.before or ""

    @property
    def rulings(self) -> Mapping[str, Sequence[CellChange]]:
        """What changed of each ruling, by what it is on."""
        found: dict[str, list[CellChange]] = {}
        for cell in self.values:
            on, _, key = cell.at.removeprefix("ruling.").rpartition(".")
            found.setdefault(on, []).append(cell._replace(at=key))
        return found


def causes(before: ClubFolder, after: ClubFolder, files: Iterable[FileChange]) -> tuple[Cause, ...]:
    """By kind and path."""
    changes = [
        _cause(before, after, change, kind)
        for change in files
        if (kind := _KINDS.get(kind_of_path(change.path).kind)) is not None
    ]
    return tuple(sorted(changes, key=lambda cause: (_ORDER.index(cause.kind), cause.path)))


def bearing_on(
    found: Iterable[Cause], of: Collection[tuple[int, str]], folders: Iterable[ClubFolder]
) -> tuple[Cause, ...]:
    """Those that can bear on results ``of`` these competitions, each with its season."""
    rules = {name for folder in folders for name in _rules_of(folder, of)}
    years = {year for year, _ in of}

    def bears(cause: Cause) -> bool:
        if cause.kind == "rules":
            return any(_stem(path) in rules for path in (cause.before, cause.after) if path)
        if cause.kind == "season":
            return any(
                int(path.split("/")[1]) in years for path in (cause.before, cause.after) if path
            )
        if cause.kind == "rulings":
            # They are about tables; what a match earns is as its sheet says.
            return False
        if cause.kind == "register":
            is_same_file = cause.before == cause.after and not cause.unreadable
            return not is_same_file or any(
                cell.at.partition(".")[0] in _OF_TEAMS for cell in cause.values
            )
        # What is handed down gives way to what sheets say.
        return cause.kind != "handed-down"

    return tuple(cause for cause in found if bears(cause))


def _rules_of(folder: ClubFolder, of: Collection[tuple[int, str]]) -> Iterator[str]:
    for year in sorted({year for year, _ in of}):
        content = folder.content(folder.season_file(year))
        season = read_season(content, year).record if content is not None else None
        for competition in season.competitions if season is not None else ():
            if (year, competition.id) in of:
                yield from competition.rule_sets


def _stem(path: str) -> str:
    return path.rpartition("/")[2].rpartition(".")[0]


def _cause(before: ClubFolder, after: ClubFolder, change: FileChange, kind: CauseKind) -> Cause:
    # Who gets a title by a new file, or loses points, is to be told as by a changed one.
    nothing: dict[str, str] | None = {} if kind in ("handed-down", "rulings") else None
    values = [
        nothing if path is None else _values(folder.content(folder.root / path), path)
        for folder, path in ((before, change.before), (after, change.after))
    ]
    old, new = values
    told: tuple[CellChange, ...] = ()
    if old is not None and new is not None:
        told = changed_cells(old, new)
        if kind == "rules":
            told = tuple(_with_defaults(told))
    is_unreadable = any(
        path is not None and found is None
        for path, found in zip((change.before, change.after), values, strict=True)
    )
    return Cause(kind, change.before, change.after, told, is_unreadable)


def _values(content: bytes | None, path: str) -> dict[str, str] | None:
    """Every value of the file by its place; None where it cannot be read."""
    if content is None:
        return None
    if path.endswith(".toml"):
        tables, _, _ = parse_toml(content)
        return None if tables is None else dict(_of_toml("", tables))
    tree, findings = read_content(content)
    return None if tree is None or findings else dict(_of_yaml("", tree))


def _of_toml(at: str, value: Any) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, below in value.items():
            yield from _of_toml(_below(at, key), below)
    elif isinstance(value, list) and any(isinstance(item, Mapping) for item in value):
        met = Counter[str]()
        for number, item in enumerate(value, start=1):
            key, told = _known_by(at, number, item)
            met[key] += 1
            yield from _of_toml(_below(at, f"{key} {met[key]}" if met[key] > 1 else key), told)
    else:
        yield at, _written(value)


def _known_by(at: str, number: int, item: Any) -> tuple[str, Any]:
    """By what an entry of a list is known, wherever it stands; and what is told below that."""
    if not isinstance(item, Mapping):
        return str(number), item
    told = item
    keys: tuple[str, ...] = ("id",)
    if at in ("table", "striker_table", "honour", "ruling"):
        keys = ("competition", "team", "on") if at == "ruling" else ("competition", "what")
        told = {key: item[key] for key in item if key not in keys}
    elif at.endswith(".rows"):
        keys = ("player", "name") if at.startswith("striker") else ("team", "name")
    words = [str(item[key]).replace(".", "") for key in keys if key in item]
    return " ".join(words) or str(number), told


def _of_yaml(at: str, node: Node) -> Iterator[tuple[str, str]]:
    if isinstance(node, Entries):
        for key, below in node.entries:
            yield from _of_yaml(_below(at, key.text), below)
    elif isinstance(node, Items) and not all(isinstance(item, Scalar) for item in node.items):
        for number, item in enumerate(node.items, start=1):
            yield from _of_yaml(_below(at, number), item)
    elif isinstance(node, Items):
        words = [item.text for item in node.items if isinstance(item, Scalar)]
        yield at, _written(words)
    else:
        yield at, node.text


def _below(at: str, key: object) -> str:
    return f"{at}.{key}" if at else str(key)


def _written(value: object) -> str:
    if isinstance(value, list | tuple):
        return f"[{', '.join(_written(item) for item in value)}]"
    return str(value).lower() if isinstance(value, bool) else str(value)


def _with_defaults(values: Iterable[CellChange]) -> Iterator[CellChange]:
    """What a rule set leaves out has its default; what says just that has not changed."""
    for cell in values:
        default = _DEFAULTS.get(cell.at)
        before = default if cell.before is None else cell.before
        after = default if cell.after is None else cell.after
        if before != after:
            yield CellChange(cell.at, before, after)


def _of_record(at: str, record: Any) -> Iterator[tuple[str, str]]:
    if hasattr(record, "_asdict"):
        for key, below in record._asdict().items():
            yield from _of_record(_below(at, key), below)
    else:
        yield at, _written(record)


_DEFAULTS = {
    at.replace("nummer_zone.first", "nummer_zone.from").replace(
        "nummer_zone.last", "nummer_zone.to"
    ): value
    for at, value in _of_record("", RuleSet())
}
