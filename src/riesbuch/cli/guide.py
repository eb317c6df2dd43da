"""``riesbuch guide``."""

from importlib import resources

import click

from riesbuch.cli.completion import topics
from riesbuch.show.output import users_words, write
from riesbuch.trade.messages import Message


@click.command("guide")
@click.argument("topic", required=False, shell_complete=topics)
def command(topic: str | None) -> None:
    """Read the longer documentation; without TOPIC, the list of topics."""
    from riesbuch.trade.problems import UsageError, did_you_mean

    pages = guide_topics()
    words = users_words()
    of_language = guide_topics(words.language) if words else pages
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
    text = of_language.get(topic, pages[topic])
    write(text, ends_line=False)


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
