"""Whatever stands in a spreadsheet, an import says what it makes of it and never breaks down."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riesbuch.exchange.csv_text import read_csv, written_csv
from riesbuch.exchange.decisions import Decisions
from riesbuch.exchange.importing import ImportOrder, plan_import
from riesbuch.folder.archive import Archive, open_archive
from riesbuch.folder.club_folder import ClubFolder, open_folder
from riesbuch.index.index import Index
from riesbuch.trade.match import SourceKind
from riesbuch.trade.problems import RiesbuchError
from tests.clubfolder import lay_out

HEADS = (
    "Datum", "Heim", "Gast", "Gegner", "H/A", "wir", "sie", "Heim - Gast", "Resultat", "Runde",
    "Punkte Heim", "Nummern", "Saison", "Liga", "Name", "Vorname", "S1", "S2", "1", "Mannschaft",
    "Seite", "Total", "Rolle", "Ries 1 Heim", "Sieger", "Ausgang", "Streiche", "", "wir:sie",
)  # fmt: skip
CELLS = (
    "", "12.4.2026", "So 12. April", "12/04/2026", "Aarwald A", "Birkenfluh", "Neuwil", "H", "a",
    "95", "1’191", "95:90", "0 Nr. 881 – 1 Nr. 936", "Ruedi Aebi", "Gerber Hans", "16N", "x", "–",
    "Total", "Schnitt", "2. Runde", "2026", "Aarwald A - Birkenfluh A", "home", "verschoben",
    "spielfrei", "18 20 17 19", "[[18, 20], [17, 19]]", '"', "a\nb", "=1", "1,5", "∞", "oberhang-1",
)  # fmt: skip


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Archive:
    return open_archive(open_folder(lay_out(tmp_path_factory.mktemp("any") / "club").root))


def quiet(folder: ClubFolder) -> Index:
    return Index(folder, lambda _: None)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    st.lists(st.sampled_from(HEADS), min_size=1, max_size=9, unique=True),
    st.lists(st.lists(st.sampled_from(CELLS), max_size=9), max_size=7),
    st.sampled_from((";", ",", "\t")),
    st.sampled_from((None, "aarwald", "Aarwald A", "Neuwil")),
    st.booleans(),
)
def test_no_spreadsheet_breaks_an_import_and_faults_have_a_place_in_it(
    archive: Archive,
    head: list[str],
    rows: list[list[str]],
    delimiter: str,
    club: str | None,
    create: bool,
) -> None:
    content = written_csv([head, *rows], delimiter).encode()
    wanted = ImportOrder(
        name="any.csv",
        season=2026,
        competition="oberhang-1",
        club=club,
        maps={},
        source_kind=SourceKind.OTHER,
        create=create,
    )
    try:
        file = read_csv(content, "any.csv")
        plan = plan_import(archive, file, wanted, Decisions(), quiet)
    except RiesbuchError:
        return
    for fault in plan.faults:
        path, line, column = file.place("any.csv", fault.row, fault.cell)
        assert path == "any.csv"
        assert 1 <= column <= len(file.lines[line - 1]) + 1
