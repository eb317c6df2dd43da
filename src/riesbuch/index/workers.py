"""Many seasons worked out at once, by as many processes as there are cores."""

import os
from collections.abc import Iterator, Sequence

from riesbuch.folder.archive import Archive
from riesbuch.index.season import (
    SeasonOutcome,
    SeasonTask,
    adopt,
    work_out,
    work_out_adopted,
)

_FEW = 200
"""So many sheets are read sooner than other processes are started."""

_MOST_WORKERS = 8


def work_out_all(archive: Archive, tasks: Sequence[SeasonTask]) -> Iterator[SeasonOutcome]:
    """The outcomes in the order of the tasks."""
    to_read = sum(
        len(task.digests) - len(task.kept_figures if task.added_up else task.kept) for task in tasks
    )
    workers = min(os.cpu_count() or 1, _MOST_WORKERS, len(tasks))
    if to_read <= _FEW or workers < 2:
        for task in tasks:
            yield work_out(archive, task)
        return
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
    with ProcessPoolExecutor(
        max_workers=workers, mp_context=context, initializer=adopt, initargs=(archive,)
    ) as pool:
        yield from pool.map(work_out_adopted, tasks)
