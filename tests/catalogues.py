"""Brings the catalogues up to date with the messages in the code: `python -m tests.catalogues`.

A new message is added without a translation, one that the code no longer says is taken out, and
every translation stays as it is. With the name of a language its catalogues are begun:
`python -m tests.catalogues fr`. Where a message is said is told above it; comments of translators
are kept.
"""

import ast
import sys
from collections.abc import Iterator, Mapping
from functools import cache
from io import BytesIO
from pathlib import Path
from string import Formatter

import click
from babel.messages.catalog import Catalog
from babel.messages.extract import extract, extract_python
from babel.messages.pofile import read_po, write_po

from riesbuch.cli.main import COMMANDS
from riesbuch.cli.main import main as program
from riesbuch.cli.speech import in_words
from riesbuch.language.catalogue import DOMAINS, Domain

SOURCE = Path(__file__).parents[1] / "src" / "riesbuch"
LANGUAGES = SOURCE / "language"

# The functions that say a message, and which of their arguments are its context, the message,
# and the message of many.
Keywords = Mapping[str, tuple[int | tuple[int, str], ...]]
_EVERYWHERE: Keywords = {
    "gettext": (1,),
    "pgettext": ((1, "c"), 2),
    "ngettext": (1, 2),
    "Message": (1,),
    "plural": (2, 3),
    "Counted": (1, 2),
}
_IN_PAGES: Keywords = {
    "say": (1,), "titled": (1,), "counted": (2, 3), "column": (1,), "figure_column": (1,),
}  # fmt: skip
# What is called with a message, or with its template and what stands in its gaps.
_IN_COMMANDS: Keywords = {
    **dict.fromkeys(("say", "RiesbuchError", "UsageError", "GitError", "CellError", "fault"), (1,)),
    "CommandEntry": (3,),
}
# What is found wrong: which arguments are messages, each by itself, what is said and what advised.
_SAID_AND_ADVISED = {
    **dict.fromkeys(("finding", "report", "report_at", "wrong", "RefusedFileError"), (2, 3)),
    "problem_at": (3, 4),
}
# They say one thing in several ways, each a message; the first argument is the context of all.
IN_SEVERAL_WAYS = ("Phrase",)


CLICKS: Keywords = {"_": (1,), "ngettext": (1, 2)}


def keywords(domain: Domain) -> Keywords:
    return _EVERYWHERE if domain == "commands" else {**_EVERYWHERE, **_IN_PAGES}


def languages() -> list[str]:
    """Those that have catalogues: all but English, which stands in the code."""
    return sorted(path.parent.name for path in LANGUAGES.glob("*/LC_MESSAGES"))


def path_of(language: str, domain: Domain) -> Path:
    return LANGUAGES / language / "LC_MESSAGES" / f"{domain}.po"


def domain_of(path: Path) -> Domain:
    """The catalogue of a module's messages: that of the part it lies deepest in."""
    parts = [
        (len((SOURCE / part).parts), domain)
        for domain, listed in DOMAINS.items()
        for part in listed
        if path.is_relative_to(SOURCE / part)
    ]
    return max(parts)[1]


# What has the message of its title as second argument, or by name.
COLUMNS = ("Column", "figure_column")


class _Collecting:
    """Keeps what it is asked for; says it in English."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def gettext(self, message: str) -> str:
        self.asked.append(message)
        return message

    def pgettext(self, context: str, message: str) -> str:
        raise AssertionError(f"{context}: {message}")

    def ngettext(self, one: str, many: str, number: int) -> str:
        raise AssertionError(one)


def helps() -> Iterator[tuple[str, str]]:
    """The paragraphs of every command's help, and what is said of its options, with the file; and
    what pages of the guide are called that are in English only."""
    for name, entry in {"": None, **COMMANDS}.items():
        command = program if entry is None else program.get_command(click.Context(program), name)
        assert command is not None
        words = _Collecting()
        in_words(command, words)
        for paragraph in words.asked:
            yield f"cli/{entry.module if entry else 'main'}.py", paragraph
    for page in sorted((SOURCE / "guide").glob("*.md")):
        if not all((page.parent / language / page.name).exists() for language in languages()):
            title, _, _ = page.read_text(encoding="utf-8").partition("\n")
            yield f"guide/{page.name}", title.removeprefix("# ")


def of_click() -> Iterator[tuple[str | tuple[str, ...], str | None]]:
    """What the click that is installed says."""
    # It says that by a key of its own.
    yield "required", None
    assert click.__file__ is not None
    for path in sorted(Path(click.__file__).parent.glob("*.py")):
        with path.open("rb") as file:
            for _, said, _, context in extract("python", file, keywords=CLICKS):
                yield said, context


def said_in(path: Path, keywords: Keywords) -> Iterator[tuple[str | None, str | tuple[str, ...]]]:
    """The messages of a module, each with its context; those too that stand in gaps of others,
    which Babel passes over."""
    nodes = ast.walk(ast.parse(path.read_text(encoding="utf-8")))
    calls = [node for node in nodes if isinstance(node, ast.Call)]
    for node in sorted(calls, key=lambda call: (call.lineno, call.col_offset)):
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        # A place may be handed over as path and position at once.
        arguments = [*node.args[: isinstance(next(iter(node.args), None), ast.Starred)], *node.args]
        for index in _SAID_AND_ADVISED.get(name, ()):
            for sentence in written(arguments[index]) if index < len(arguments) else ():
                yield None, sentence
        positions = keywords.get(name, ())
        if not positions and name in COLUMNS:
            titles = [key.value for key in node.keywords if key.arg == "title"]
            yield from (
                (None, said) for title in (*node.args[1:2], *titles) for said in written(title)
            )
        if not positions or len(node.args) < len(positions):
            continue
        context, said = None, []
        for position in positions:
            if isinstance(position, tuple):
                context = next(iter(written(node.args[position[0] - 1])), None)
            else:
                said.append(written(node.args[position - 1]))
        for forms in zip(*said, strict=True):
            yield context, forms if len(forms) > 1 else forms[0]


def written(argument: ast.expr) -> list[str]:
    """The sentences of which a condition chooses one; none where it is not written there."""
    if isinstance(argument, ast.IfExp):
        return written(argument.body) + written(argument.orelse)
    is_text = isinstance(argument, ast.Constant) and isinstance(argument.value, str)
    return [argument.value] if is_text and argument.value else []  # type: ignore[attr-defined]


@cache
def extracted(domain: Domain) -> Catalog:
    """The messages of the code, each with the files that say it."""
    found = Catalog()
    if domain == "click":
        for said, context in of_click():
            found.add(said, context=context)
    if domain == "commands":
        for place, paragraph in helps():
            found.add(paragraph, locations=[(place, None)])  # type: ignore[list-item]
    for path in sorted(SOURCE.rglob("*.py")):
        if domain_of(path) != domain:
            continue
        place = path.relative_to(SOURCE).as_posix()
        for context, said in said_in(path, {**_IN_COMMANDS, **keywords(domain)}):
            found.add(said, context=context, locations=[(place, None)])  # type: ignore[list-item]
        with path.open("rb") as file:
            for _, _, arguments, _ in extract_python(file, IN_SEVERAL_WAYS, (), {}):
                context, *phrasings = filter(None, arguments)
                for said in phrasings:
                    phrasing = found.add(said, context=context, locations=[(place, None)])  # type: ignore[list-item]
                    # What a gap says of its form is for a language to choose.
                    phrasing.flags = {"no-python-brace-format"}
    return found


def gaps(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name is not None}


def read(path: Path, language: str) -> Catalog:
    with path.open("rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def updated(language: str, domain: Domain) -> bytes:
    """The catalogue's file as it should be."""
    path = path_of(language, domain)
    before = read(path, language) if path.exists() else Catalog(locale=language)
    after = Catalog(locale=language, fuzzy=False)
    # Another version of click says some of it otherwise, and may be the user's.
    messages = [*extracted(domain), *(before if domain == "click" else ())]
    if domain == "click":
        messages.sort(
            key=lambda message: message.id if isinstance(message.id, str) else message.id[0]
        )
    for message in messages:
        if not message.id or after.get(message.id, message.context):
            continue
        known = before.get(message.id, message.context)
        added = after.add(
            message.id,
            string=known.string if known else None,
            context=message.context,
            locations=[*dict.fromkeys(message.locations)],
            user_comments=known.user_comments if known else (),
        )
        added.flags = message.flags
    written = BytesIO()
    write_po(written, after, width=96, omit_header=True)
    return _header(after).encode() + written.getvalue().rstrip() + b"\n"


def _header(catalogue: Catalog) -> str:
    """What `gettext` must know, and no date, so that the same messages give the same file."""
    return (
        'msgid ""\nmsgstr ""\n'
        f'"Language: {catalogue.locale_identifier}\\n"\n'
        '"MIME-Version: 1.0\\n"\n'
        '"Content-Type: text/plain; charset=UTF-8\\n"\n'
        '"Content-Transfer-Encoding: 8bit\\n"\n'
        f'"Plural-Forms: {catalogue.plural_forms}\\n"\n\n'
    )


def main(begun: list[str]) -> None:
    for language in sorted({*languages(), *begun}):
        for domain in DOMAINS:
            path = path_of(language, domain)
            if path.exists() or language in begun:
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(updated(language, domain))


if __name__ == "__main__":
    main(sys.argv[1:])
