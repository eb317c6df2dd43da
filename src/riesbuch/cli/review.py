"""``riesbuch review``."""

from __future__ import annotations

import click

from riesbuch.cli.context import Session, format_option, pass_session


@click.command("review")
@click.argument("base", required=False)
@click.argument("head", required=False)
@click.option(
    "--strict",
    is_flag=True,
    help="Exit status 1 also where sealed results come out otherwise, for whatever reason.",
)
@format_option
@pass_session
def command(
    session: Session, base: str | None, head: str | None, strict: bool, output_format: str
) -> int:
    """What changed between two git revisions, cell by cell, and what that does.

    Without HEAD the files as they lie there are compared with BASE, without BASE with the last
    commit. Both revisions are read with their own rules, register and seasons, and nothing in
    the folder is touched. The first lines say what became of sealed sheets and results, and why.
    Scores are told apart from remarks and from mere layout; then come the rows of tables, the
    records and the honours that are others now.

    The exit status is 1 if a sealed sheet was changed without a correction that both clubs agreed
    to or counts nowhere any more, if HEAD has links or submodules where files are read, or if it
    cannot be read.
    """
    from riesbuch.cli.streams import Progress
    from riesbuch.review.effects import review
    from riesbuch.review.git import Repository
    from riesbuch.review.revisions import compare_revisions
    from riesbuch.show.output import print_csv, print_json, say
    from riesbuch.show.review import cells_table, print_review, review_data

    folder = session.folder
    repository = Repository.containing(folder.root, say)
    comparison = compare_revisions(repository, folder, base, head)
    reviewed = review(comparison, say, Progress())
    if output_format == "json":
        print_json(review_data(reviewed))
    elif output_format == "csv":
        print_csv(cells_table(reviewed))
    else:
        print_review(reviewed, markdown=output_format == "markdown")
    is_refused = reviewed.unsanctioned or reviewed.after.trouble or comparison.head.links
    return 1 if is_refused or (strict and reviewed.other_results) else 0
