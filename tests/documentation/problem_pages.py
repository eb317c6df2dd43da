"""What the guide's page of problems shows of each code, held against the tested cases."""

from pathlib import Path

from tests.clubfolder import lay_out
from tests.documentation.doing import run_riesbuch
from tests.documentation.pages import Block, Page, Section
from tests.problem_cases import CASES, Case

CUT = "…"
"""At the end of a sentence whose rest is the operating system's own."""


def sections_by_code(page: Page) -> dict[str, list[Section]]:
    """Those sections whose heading is nothing but a code."""
    found: dict[str, list[Section]] = {}
    for section in page.sections:
        heading = section.heading
        if heading.startswith("`") and heading.endswith("`"):
            found.setdefault(heading.strip("`"), []).append(section)
    return found


def case_of(code: str) -> Case:
    return next(case for case in CASES if case.code == code)


def told(case: Case, folder: Path, language: str) -> str:
    """The line that the tool prints about the case, laid out in ``folder``."""
    lay_out(folder, case.edits)
    words = ["--folder", str(folder), "check"]
    _, output = run_riesbuch(words, folder.parent)
    mark, code = f": {case.severity}: ", f" ({case.code})"
    lines = [
        line
        for line in output.splitlines()
        if mark in line and line.endswith(code) and case.says in line
    ]
    assert lines, output
    line = lines[0]
    if language != "en":
        _, in_language = run_riesbuch(words, folder.parent, language)
        # The same problem is told in the same line.
        line = in_language.splitlines()[output.splitlines().index(line)]
    if case.code == "file-unreadable":
        # The rest is the operating system's.
        return "".join(line.rpartition(": ")[:2]) + CUT
    return line


def expected_blocks(case: Case, folder: Path, language: str) -> list[list[str]]:
    """The blocks of the case's section: the file's offending lines, and what the tool says."""
    excerpt = [case.excerpt.split("\n")] if case.excerpt else []
    return [*excerpt, [told(case, folder, language)]]


def shown_blocks(section: Section) -> list[Block]:
    return [block for block in section.blocks if block.language in ("yaml", "toml", "text")]
