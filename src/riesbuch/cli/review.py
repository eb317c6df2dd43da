"""``riesbuch review``."""

from __future__ import annotations

import click

from riesbuch.cli.context import Session, pass_session
from riesbuch.cli.output import format_option


@click.command("review")
@click.argument("base", required=False)
@click.argument("head", required=False)
@format_option
@pass_session
def command(session: Session, base: str | None, head: str | None, output_format: str) -> int:
    """What changed between two git revisions, cell by cell, and what that does.

    Without HEAD the files as they lie there are compared with BASE, without BASE with the last
    commit. Both revisions are read with their own rules, register and seasons, and nothing in
    the folder is touched. Scores are told apart from remarks and from mere layout; then come the
    rows of tables, the records and the honours that are others now.

    The exit status is 1 if a sealed sheet was changed without a correction that both clubs agreed
    to, or if HEAD cannot be read.
    """
    from riesbuch.cli.output import print_csv, print_json, say
    from riesbuch.cli.progress import Progress
    from riesbuch.cli.review_data import cells_view, review_data
    from riesbuch.cli.review_output import print_review
    from riesbuch.review.effects import review
    from riesbuch.review.git import Repository
    from riesbuch.review.revisions import compare_revisions

    folder = session.folder
    repository = Repository.containing(folder.root, say)
    comparison = compare_revisions(repository, folder, base, head)
    found = review(comparison, say, Progress())
    if output_format == "json":
        print_json(review_data(found))
    elif output_format == "csv":
        print_csv(cells_view(found))
    else:
        print_review(found, markdown=output_format == "markdown")
    return 1 if found.unsanctioned or found.after.trouble else 0
