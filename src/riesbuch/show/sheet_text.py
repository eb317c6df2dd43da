"""A sheet as text for a diff: added up as on paper, and below it whatever else it says."""

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from pathlib import Path

from riesbuch.folder.archive import Archive, RegisterReading, open_archive
from riesbuch.folder.club_folder import ClubFolder
from riesbuch.show.paper import paper_lines
from riesbuch.text.document import Document
from riesbuch.text.league import League
from riesbuch.text.sheet import read_sheet
from riesbuch.text.yaml_tree import conflict_sides, decode
from riesbuch.trade.cells import deciding_cells, remark_cells
from riesbuch.trade.ids import SheetId
from riesbuch.trade.match import Match
from riesbuch.trade.people import Register
from riesbuch.trade.problems import RiesbuchError
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.tally import tally

# Players and teams are called as in the file: reading everybody's name takes longer than a diff.
_NOBODY = RegisterReading(register=Register(clubs={}, players={}), problems=())
_ON_PAPER = (".strikes.", ".supernumeraries.", ".player_points.")


def sheet_text(content: bytes, path: Path, roots: Sequence[Path]) -> str | None:
    """The text, or None where the sheet does not read without a finding. ``roots`` are club
    folders that it may belong to: its rule set is that of the first that has its competition, by
    default the default one. Of a sheet with conflicts both sides are added up, and what differs
    is marked as in the sheet."""
    sides = conflict_sides(content.decode("utf-8", "replace"))
    if sides is None:
        return _text_of(content, path, roots)
    ours, theirs = (_text_of(side.encode("utf-8"), path, roots) for side in sides)
    return None if ours is None or theirs is None else _beside(ours, theirs)


def _beside(ours: str, theirs: str) -> str:
    of_ours, of_theirs = ours.splitlines(keepends=True), theirs.splitlines(keepends=True)
    text = []
    matcher = SequenceMatcher(None, of_ours, of_theirs, autojunk=False)
    for kind, first, last, their_first, their_last in matcher.get_opcodes():
        own = of_ours[first:last]
        if kind == "equal":
            text += own
        else:
            text += ["<<<<<<< ours\n", *own, "=======\n", *of_theirs[their_first:their_last],
                     ">>>>>>> theirs\n"]  # fmt: skip
    return "".join(text)


def _text_of(content: bytes, path: Path, roots: Sequence[Path]) -> str | None:
    match = read_sheet(content, SheetId(path.stem), 0).match
    year = match.date.year if match is not None and match.date is not None else 0
    reading = read_sheet(content, SheetId(f"{year}/{path.stem}"), year)
    if reading.match is None or reading.findings:
        return None
    match = reading.match
    archive = _archive_of(match, roots)
    competition = archive.competition(match.season, match.competition)
    rules = archive.rules_of(competition) or RuleSet()
    added_up = tally(match, rules, competition.kind if competition else CompetitionKind.LEAGUE)
    lines = [*paper_lines(match, added_up, rules, archive), "", *_other_lines(match)]
    text = decode(content).replace("\r\n", "\n")
    lines += Document(text).comments()
    return "".join(f"{line}\n" for line in lines)


def _archive_of(match: Match, roots: Sequence[Path]) -> Archive:
    for root in roots:
        try:
            archive = open_archive(ClubFolder(root), [match.season], _NOBODY)
        except RiesbuchError:
            continue
        if archive.competition(match.season, match.competition) is not None:
            return archive
    return Archive(
        folder=ClubFolder(Path()),
        league=League(name=""),
        rules={},
        seasons={},
        fixtures={},
        register=_NOBODY.register,
    )


def _other_lines(match: Match) -> Iterator[str]:
    cells = {**deciding_cells(match), **remark_cells(match)}
    for place, written in cells.items():
        if not any(part in f"{place}." for part in _ON_PAPER):
            yield f"{place}: {' '.join(written.split())}"
    for each in match.corrections:
        agreed = ", ".join(each.agreed)
        yield f"correction of {each.on} by {each.by}, agreed by {agreed}: {each.reason}"
        yield from (f"  {change}" for change in each.changed)
    if match.seal is not None:
        seal = match.seal
        yield f"sealed on {seal.on} by {seal.home} and {seal.away}: {seal.digest}"
