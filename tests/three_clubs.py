"""Three clubs of the example and their league, each with a folder of its own under git.

On the first Sunday in June Ginsterwil and Aarwald both entered their match, and Ginsterwil read one
strike otherwise; Birkenfluh's match with Sommerhubel is still a draft. A match of Birkenfluh with
Eschlisried, which has no folder, and one that two entered alike, are not in the league's either.
"""

import shutil
from pathlib import Path

from tests.commandline import EXAMPLE
from tests.example_copy import copy_unread_example
from tests.gitfolder import begin, commit

CLUBS = ("aarwald", "birkenfluh", "ginsterwil")
MATCHES = "seasons/2026/matches"
ALIKE = f"{MATCHES}/2026-04-19-aarwald-a-birkenfluh-a.yaml"
DIFFERENT = f"{MATCHES}/2026-06-07-ginsterwil-a-aarwald-a.yaml"
OF_ONE = f"{MATCHES}/2026-05-31-birkenfluh-a-eschlisried-a.yaml"
AS_READ = ("bigler-jonas: [[19, 15]", "bigler-jonas: [[19, 16]")
FROM = "".join(f'\n[[from]]\nclub = "{club}"\nurl = "../{club}"\n' for club in CLUBS)


def lay_out_clubs(root: Path) -> None:
    """The clubs' folders below ``root``, each with the season's matches of its own."""
    for club in CLUBS:
        folder = copy_unread_example(root / club)
        for year in (folder / "seasons").iterdir():
            if year.name != "2026":
                shutil.rmtree(year)
        for sheet in (folder / MATCHES).glob("*.yaml"):
            if f"-{club}-" not in sheet.name:
                sheet.unlink()
    mistyped = root / "ginsterwil" / DIFFERENT
    text = mistyped.read_text(encoding="utf-8")
    assert text.count(AS_READ[0]) == 1
    mistyped.write_text(text.replace(*AS_READ), encoding="utf-8")
    for club in CLUBS:
        begin(root / club)
        commit(root / club)


def without_the_day(league: Path) -> Path:
    """The league's folder, a copy of the example, as it was before these matches came."""
    for sheet in (ALIKE, DIFFERENT, OF_ONE):
        (league / sheet).unlink()
    return league


def lay_out_league(root: Path) -> Path:
    """The league's folder beside those of the clubs, which its league.toml names."""
    league = without_the_day(copy_unread_example(root / "league"))
    settings = (EXAMPLE / "league.toml").read_text(encoding="utf-8")
    (league / "league.toml").write_text(settings + FROM, encoding="utf-8")
    begin(league)
    commit(league)
    return league
