"""``riesbuch tally`` and ``compare``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from riesbuch.cli.context import Session, format_option, pass_session, sheet_argument
from riesbuch.show.output import in_width, print_answer, say, write
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.folder.archive import Archive
    from riesbuch.index.index import Index
    from riesbuch.trade.match import Match
    from riesbuch.trade.people import Register
    from riesbuch.trade.signing import SealVerdict


@click.command("tally")
@sheet_argument("sheet")
@format_option
@pass_session
def tally_command(session: Session, sheet: Path, output_format: str) -> int:
    """Add one sheet up as on paper: Ries totals, points, Nummern, winner and rank points.

    SHEET is a file, an identifier such as 2026/2026-05-10-aarwald-a-birkenfluh-a, or any part of
    one that fits a single sheet. Whatever is wrong with the sheet is said beside the result, and
    the exit status is then 1.
    """
    from riesbuch.cli.sheets import examine_one, locate_sheet
    from riesbuch.folder.archive import read_signers
    from riesbuch.show.problems import has_errors, say_problems
    from riesbuch.show.sheets import paper_lines, tally_answer
    from riesbuch.trade.tally import tally

    path = locate_sheet(session.folder, sheet)
    archive, examined, problems = examine_one(session.folder, session.index(), path)
    say_problems(problems)
    if examined.match is None:
        return 1
    if examined.rules is None:
        say("its rule set is not known; it is added up under the default rules")
    rules, kind = archive.scoring_of(examined.match)
    added_up = tally(examined.match, rules, kind)
    verdict = _verdict(archive, path, examined.match)
    if output_format == "table":
        for line in paper_lines(examined.match, added_up, rules, archive):
            write(in_width(line))
        if verdict is not None and (verdict.signatures or read_signers(session.folder).signers):
            names: dict[str, str] = {club.id: club.name for club in archive.register.clubs.values()}
            write(Message("Seal: {clause}.", clause=verdict.clause(names)))
        if has_errors(problems, examined.path):
            write(Message("It has errors and counts nowhere until they are mended."))
    else:
        print_answer(tally_answer(added_up, verdict and verdict.proof), output_format)
    return 1 if has_errors(problems) else 0


def _verdict(archive: Archive, path: Path, match: Match) -> SealVerdict | None:
    """Who signed the seal of a sheet in its place that it fits."""
    from riesbuch.folder.archive import read_signers
    from riesbuch.review.signatures import Sealed, verdict_of
    from riesbuch.trade.sealing import fits_seal

    if not match.whole or not fits_seal(match) or archive.folder.sheet_id(path) is None:
        return None
    clubs = tuple(archive.register.clubs.values())
    sealed = Sealed(match, clubs, read_signers(archive.folder).signers)
    return verdict_of(sealed, archive.folder.root).by_path[""]


@click.command("compare")
@sheet_argument("first")
@sheet_argument("second")
@format_option
@pass_session
def compare_command(session: Session, first: Path, second: Path, output_format: str) -> int:
    """Hold two scribes' sheets of one match against each other, cell by cell.

    The order of players, layout and spelling make no difference. Where one sheet tells less than
    the other, its totals are compared with those that the other's figures add up to. What only
    one tells is shown apart and is no contradiction. Each SHEET is a file, also one outside the
    folder, an identifier, or any part of one that fits a single sheet. The exit status is 1 if
    they differ in anything that decides a result.
    """
    from riesbuch.show.sheets import comparison_answer
    from riesbuch.trade.cells import place_words
    from riesbuch.trade.comparing import compare

    index = session.index()
    matches = []
    for argument in (first, second):
        register, match = _read(session, index, argument)
        if match is None:
            return 1
        matches.append(match)
    comparison = compare(*matches)
    if comparison.turned:
        say("the second sheet has home and away the other way round; compared team by team")
    elif {matches[0].home.team, matches[0].away.team} != {
        matches[1].home.team,
        matches[1].away.team,
    }:
        say("these sheets are of different teams")
    names = register.names

    def words(at: str) -> str:
        return place_words(at, matches[0], names)

    print_answer(comparison_answer(comparison, words), output_format)
    return 1 if comparison.differences else 0


def _read(session: Session, index: Index, argument: Path) -> tuple[Register, Match | None]:
    """The register, and the sheet where it could be read whole; else its problems are told."""
    from riesbuch.cli.sheets import examine_one, locate_sheet
    from riesbuch.show.problems import say_problems

    path = locate_sheet(session.folder, argument)
    archive, examined, problems = examine_one(session.folder, index, path)
    match = examined.match
    if match is not None and match.whole:
        return archive.register, match
    say_problems(problems)
    say("{argument} cannot be read whole; mend that first, then compare", argument=argument)
    return archive.register, None
