"""What results depend on, in a digest each."""

from collections.abc import Mapping, Sequence

from riesbuch.index.scan import Listing
from riesbuch.index.store import digest_of


def bases_of(listings: Mapping[str, Listing], years: Sequence[int]) -> dict[str, bytes]:
    """Digests of what results depend on: ``register`` the clubs and players, ``folder`` these
    with the league and the rules, and each year all that with the files of its season."""

    def basis(*parts: str) -> bytes:
        return digest_of(*(listings[directory].digest for directory in parts))

    register = basis("clubs", "players")
    folder = digest_of(register, basis("", "rules"))
    bases = {"register": register, "folder": folder}
    for year in years:
        of_season = basis(f"seasons/{year}", f"seasons/{year}/matches")
        bases[str(year)] = digest_of(folder, of_season)
    return bases
