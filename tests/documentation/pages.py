"""A page of the documentation cut into sections and blocks, with the lines where they stand.

What is shown is what is done. In a section, which ends at the next heading of whatever level,
the blocks act in turn on one fresh copy of the example folder:

* a ``yaml`` or ``toml`` block whose first line is ``# PATH`` is a complete file, written there;
* a ``csv`` block whose first line is ``# NAME.csv`` is a spreadsheet's file without that line;
* a ``diff`` block whose first line is ``# PATH`` changes the file there: its ``-`` and blank
  lines must stand in the file exactly once, and become its ``+`` and blank lines;
* a ``console`` block has commands behind ``$ ``, and below each what it prints on the terminal,
  where a line ``…`` stands for any number of lines.

Other blocks are pieces, read but not done.
"""

import re
from dataclasses import dataclass, field
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
README = CHECKOUT / "README.md"
GUIDE = CHECKOUT / "src" / "riesbuch" / "guide"
PROBLEMS_PAGE = GUIDE / "problems.md"

ANY_LINES = "…"

_FENCE = re.compile(r"```([a-z]*)")
_HEADING = re.compile(r"#{1,6} (.+)")
LINK = re.compile(r"(?<!!)\[[^\]]+\]\(([^)\s]+)\)")
_FILE_LINE = re.compile(r"# ((?:\.\./)?[a-z]+/[\w./-]+\.(?:yaml|toml|md)|league\.toml|[\w-]+\.csv)")


def guide_pages() -> list[Path]:
    return sorted(GUIDE.glob("*.md"))


def translated_pages() -> list[Path]:
    """Each called as the English one, in a folder of its language."""
    return sorted(GUIDE.glob("*/*.md"))


def all_pages() -> list[Path]:
    return [README, *guide_pages(), *translated_pages()]


def name_of(path: Path) -> str:
    return path.relative_to(CHECKOUT).as_posix().removeprefix("src/riesbuch/guide/")


def language_of(path: Path) -> str:
    return path.parent.name if path.parent.parent == GUIDE else "en"


@dataclass(frozen=True, kw_only=True)
class Block:
    """``start`` is the index of the line below the opening fence."""

    language: str
    start: int
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        return "".join(f"{line}\n" for line in self.lines)

    @property
    def path(self) -> str | None:
        """The file that a block of these languages names in its first line."""
        if self.language not in ("yaml", "toml", "diff", "csv") or not self.lines:
            return None
        named = _FILE_LINE.fullmatch(self.lines[0])
        return named[1] if named else None

    @property
    def is_complete_file(self) -> bool:
        return self.language != "diff" and self.path is not None


@dataclass(kw_only=True)
class Section:
    heading: str
    blocks: list[Block] = field(default_factory=list)
    prose: list[str] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True)
class Page:
    path: Path
    lines: tuple[str, ...]
    sections: tuple[Section, ...]

    @property
    def name(self) -> str:
        return self.path.name

    @property
    def blocks(self) -> list[Block]:
        return [block for section in self.sections for block in section.blocks]

    @property
    def prose(self) -> str:
        """Everything outside of blocks."""
        return "\n".join(line for section in self.sections for line in section.prose)

    @property
    def links(self) -> list[str]:
        return LINK.findall(self.prose)

    @property
    def anchors(self) -> set[str]:
        return {_anchor(section.heading) for section in self.sections if section.heading}


def _anchor(heading: str) -> str:
    kept = "".join(each for each in heading.lower() if each.isalnum() or each in " -_")
    return kept.replace(" ", "-")


def read_page(path: Path) -> Page:
    lines = path.read_text(encoding="utf-8").split("\n")
    sections = [Section(heading="")]
    index = 0
    while index < len(lines):
        line = lines[index]
        fence = _FENCE.fullmatch(line)
        heading = _HEADING.fullmatch(line)
        if fence:
            start = index + 1
            end = lines.index("```", start)
            sections[-1].blocks.append(
                Block(language=fence[1], start=start, lines=tuple(lines[start:end]))
            )
            index = end
        else:
            if heading:
                sections.append(Section(heading=heading[1]))
            sections[-1].prose.append(line)
        index += 1
    return Page(path=path, lines=tuple(lines), sections=tuple(sections))


def rewrite(page: Page, replacements: list[tuple[Block, list[str]]]) -> None:
    """Write the page with other lines in some of its blocks, if that changes anything."""
    lines = list(page.lines)
    for block, new_lines in sorted(replacements, key=lambda each: -each[0].start):
        lines[block.start : block.start + len(block.lines)] = new_lines
    if lines != list(page.lines):
        page.path.write_text("\n".join(lines), encoding="utf-8", newline="\n")
