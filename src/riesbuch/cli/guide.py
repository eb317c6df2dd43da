"""``riesbuch guide``."""

import sys
from importlib import resources

import click

from riesbuch.cli.completion import topics
from riesbuch.show.output import write
from riesbuch.trade.messages import Message


@click.command("guide")
@click.argument("topic", required=False, shell_complete=topics)
def command(topic: str | None) -> None:
    """Read the longer documentation; without TOPIC, the list of topics."""
    from riesbuch.trade.problems import UsageError, did_you_mean

    pages = guide_topics()
    if topic is None:
        width = max(len(name) for name in pages)
        write(Message("The topics, each read with `riesbuch guide TOPIC`:\n"))
        for name, text in pages.items():
            title = text.partition("\n")[0].removeprefix("# ")
            write(f"  {name:<{width}}  {title}")
        return
    if topic not in pages:
        advice = did_you_mean(topic, pages) or Message(
            "the topics are {pages}", pages=", ".join(pages)
        )
        raise UsageError("the guide has no topic `{topic}`; {advice}", topic=topic, advice=advice)
    if sys.stdout.isatty():
        click.echo_via_pager(pages[topic])
    else:
        write(pages[topic], ends_line=False)


def guide_topics() -> dict[str, str]:
    """Texts of the guide by topic, in the order of the topics' names."""
    files = resources.files("riesbuch.guide").iterdir()
    pages = {file.name: file for file in files if file.name.endswith(".md")}
    return {
        name.removesuffix(".md"): pages[name].read_text(encoding="utf-8") for name in sorted(pages)
    }
