"""``riesbuch guide``."""

from collections.abc import Mapping
from importlib import resources

import click

from riesbuch.cli.completion import topics
from riesbuch.show.output import (
    NEVER_FOLDED,
    Answer,
    Column,
    Table,
    print_answer,
    users_words,
    write,
)
from riesbuch.trade.messages import Message


@click.command("guide")
@click.argument("topic", required=False, shell_complete=topics)
@click.option("--find", "text", metavar="WORDS", help="Search all topics for these words.")
def command(topic: str | None, text: str | None) -> None:
    """Read the longer documentation; without TOPIC, the list of topics."""
    from riesbuch.trade.problems import UsageError, did_you_mean

    pages = guide_topics()
    words = users_words()
    of_language = guide_topics(words.language) if words else pages
    if text is not None:
        chosen = {**pages, **of_language}
        print_answer(_found(text, {topic: chosen[topic]} if topic in chosen else chosen), "table")
        return
    if topic is None:
        width = max(len(name) for name in pages)
        write(Message("The topics, each read with `riesbuch guide TOPIC`:\n"))
        for name, page in pages.items():
            title = _title(of_language.get(name, page))
            write(f"  {name:<{width}}  {words.gettext(title) if words else title}")
        return
    if topic not in pages:
        advice = did_you_mean(topic, pages) or Message(
            "the topics are {pages}", pages=", ".join(pages)
        )
        raise UsageError("the guide has no topic `{topic}`; {advice}", topic=topic, advice=advice)
    if topic not in of_language:
        write(Message("This page of the guide is in English only.\n"))
    write(of_language.get(topic, pages[topic]), ends_line=False)


def _found(text: str, pages: Mapping[str, str]) -> Answer:
    """The lines of the pages that have all the words, each below its topic and heading."""
    from riesbuch.trade.names import folded
    from riesbuch.trade.problems import nothing_to_look_for

    wanted = list(filter(None, folded(text).split("-")))
    if not wanted:
        raise nothing_to_look_for(text)
    found: list[dict[str, str]] = []
    for topic, page in pages.items():
        heading, is_code = "", False
        for line in page.splitlines():
            is_code ^= line.startswith("```")
            if line.startswith("#") and not is_code:
                heading = line.lstrip("# ")
            if all(word in folded(line) for word in wanted):
                found.append({"topic": topic, "heading": heading, "line": line.lstrip("# ")})
    columns: tuple[Column[dict[str, str]], ...] = (
        Column("topic", "Topic"),
        Column("heading", "Heading", width=NEVER_FOLDED),
        Column("line", "Text", width=NEVER_FOLDED),
    )
    nothing = Message("No page of the guide has the words `{text}`.", text=text)
    return Answer([Table(columns, found)], nothing=() if found else [nothing])


def guide_topics(language: str = "") -> dict[str, str]:
    """Texts of the guide by topic, in the order of the topics' names; in English, or as far as
    they are there in another ``language``."""
    folder = resources.files("riesbuch.guide") / language
    files = folder.iterdir() if folder.is_dir() else ()
    pages = {file.name: file for file in files if file.name.endswith(".md")}
    return {
        name.removesuffix(".md"): pages[name].read_text(encoding="utf-8") for name in sorted(pages)
    }


def _title(page: str) -> str:
    return page.partition("\n")[0].removeprefix("# ")
