"""When a season's matches are played: its fixtures with what its sheets say."""

from riesbuch.care.calendar import Scheduled
from riesbuch.folder.archive import Archive
from riesbuch.index.index import Index, SeasonTallies
from riesbuch.trade.appointments import Recorded, fit
from riesbuch.trade.season import Meeting
from riesbuch.trade.tally import Tally


def scheduled_season(index: Index, archive: Archive, year: int) -> tuple[Scheduled, ...]:
    """All fixtures of the ``year``, in their order. Sheets with errors say when a match is, but
    not how it ended."""
    season = index.season(year)
    recorded = [
        Recorded(
            competition=tally.competition,
            meeting=Meeting(tally.round, tally.date, tally.home.team, tally.away.team),
            outcome=tally.outcome,
            moved_to=season.moved_to.get(path),
            source=path,
        )
        for path, (tally, _) in sorted(season.tallies.items())
        if tally is not None
    ]
    return tuple(
        Scheduled(
            appointment=each, tally=_reliable(season, each.final.source) if each.final else None
        )
        for each in fit(archive.fixtures.get(year, ()), recorded).appointments
    )


def _reliable(season: SeasonTallies, path: str) -> Tally | None:
    return None if path in season.with_errors else season.tallies[path][0]
