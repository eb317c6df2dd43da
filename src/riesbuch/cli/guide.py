"""``riesbuch guide``."""

import sys
from importlib import resources

import click


@click.command("guide")
@click.argument("topic", required=False)
def command(topic: str | None) -> None:
    """Read the longer documentation; without TOPIC, the list of topics."""
    from riesbuch.problems import UsageError, did_you_mean

    topics = guide_topics()
    if topic is None:
        width = max(len(name) for name in topics)
        click.echo("The topics, each read with `riesbuch guide TOPIC`:\n")
        for name, text in topics.items():
            title = text.partition("\n")[0].removeprefix("# ")
            click.echo(f"  {name:<{width}}  {title}")
        return
    if topic not in topics:
        advice = did_you_mean(topic, topics) or f"the topics are {', '.join(topics)}"
        raise UsageError(f"the guide has no topic `{topic}`; {advice}")
    if sys.stdout.isatty():
        click.echo_via_pager(topics[topic])
    else:
        click.echo(topics[topic], nl=False)


def guide_topics() -> dict[str, str]:
    """Texts of the guide by topic, in the order of the topics' names."""
    files = resources.files("riesbuch.guide").iterdir()
    pages = {each.name: each for each in files if each.name.endswith(".md")}
    return {
        name.removesuffix(".md"): pages[name].read_text(encoding="utf-8") for name in sorted(pages)
    }
