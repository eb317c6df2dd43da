"""The reports are written, and nothing that somebody else wrote is touched."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from riesbuch.pages.writer import (
    KeptFile,
    KeptReason,
    Place,
    PublicationPlan,
    is_untouched,
    marked,
    plan_publication,
    publish,
)
from riesbuch.trade.problems import RiesbuchError

PAGES = {"README.md": "# Front\n", "2026/matches/a.md": "# A\n", "2026/cup/README.md": "# Cup\n"}


def replace(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def plan(reports: Path, pages: Mapping[str, str] = PAGES) -> PublicationPlan:
    return plan_publication(Place(reports), pages.items())


def files(root: Path) -> dict[str, bytes]:
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file()
    }


def to_write(planned: PublicationPlan) -> list[str]:
    return [*planned.write]


@pytest.fixture
def reports(tmp_path: Path) -> Path:
    """A folder in which the pages have been published."""
    place = tmp_path / "reports"
    publish(plan(place), replace)
    return place


def test_planning_writes_nothing(tmp_path: Path) -> None:
    planned = plan(tmp_path / "reports")
    assert to_write(planned) == sorted(PAGES)
    assert not planned.is_current
    assert list(tmp_path.iterdir()) == []


def test_a_page_is_written_with_its_mark(reports: Path) -> None:
    assert set(files(reports)) == set(PAGES)
    content = (reports / "2026/matches/a.md").read_bytes()
    assert content.startswith(b"# A\n\n<!-- riesbuch page ")
    assert content.endswith(b" -->\n")
    assert is_untouched(content) is True


@pytest.mark.parametrize(
    ("content", "untouched"),
    [
        (marked("# A\n"), True),
        (marked("# A\n").replace(b"\n", b"\r\n"), True),
        (marked("# A\n").rstrip(b"\n"), True),
        (marked("# A\n").replace(b"# A", b"# B"), False),
        (marked("# A\n") + b"more\n", None),
        (b"<<<<<<< ours\n" + marked("# A\n"), False),
        (b"# A\n", None),
        (b"", None),
    ],
)
def test_a_page_is_known_as_ours_and_untouched(content: bytes, untouched: bool | None) -> None:
    assert is_untouched(content) is untouched


def test_what_has_not_changed_is_not_written_again(reports: Path) -> None:
    again = plan(reports)
    assert (again.write, again.remove, again.kept) == ({}, (), ())
    assert again.unchanged == len(PAGES)
    assert again.is_current


def test_a_page_whose_line_endings_git_turned_is_not_written_again(reports: Path) -> None:
    page = reports / "README.md"
    turned = page.read_bytes().replace(b"\n", b"\r\n")
    page.write_bytes(turned)
    planned = plan(reports)
    assert planned.is_current
    publish(planned, replace)
    assert page.read_bytes() == turned


def test_only_what_changed_is_written(reports: Path) -> None:
    written: list[str] = []
    planned = plan(reports, {**PAGES, "README.md": "# New\n"})
    publish(planned, lambda path, _: written.append(path.relative_to(reports).as_posix()))
    assert written == ["README.md"]
    assert (planned.unchanged, planned.remove) == (2, ())


def test_a_changed_page_with_turned_line_endings_is_written(reports: Path) -> None:
    page = reports / "README.md"
    page.write_bytes(page.read_bytes().replace(b"\n", b"\r\n"))
    planned = plan(reports, {**PAGES, "README.md": "# New\n"})
    assert to_write(planned) == ["README.md"]
    assert planned.kept == ()


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"# Our club's own page\n", KeptReason.FOREIGN),
        (marked("# Front\n").replace(b"Front", b"Fronts"), KeptReason.EDITED),
        (b"", KeptReason.FOREIGN),
    ],
)
def test_a_file_that_is_not_an_untouched_page_is_never_written_over(
    reports: Path, content: bytes, reason: KeptReason
) -> None:
    page = reports / "README.md"
    page.write_bytes(content)
    planned = plan(reports, {**PAGES, "README.md": "# New\n"})
    assert planned.kept == (KeptFile(path="README.md", reason=reason, due=True),)
    assert planned.write == {}
    assert not planned.is_current
    publish(planned, replace)
    assert page.read_bytes() == content


def test_a_page_no_longer_due_goes_with_the_folders_it_leaves_empty(reports: Path) -> None:
    planned = plan(reports, {"README.md": PAGES["README.md"]})
    assert planned.remove == ("2026/cup/README.md", "2026/matches/a.md")
    assert not planned.is_current
    publish(planned, replace)
    assert list(reports.iterdir()) == [reports / "README.md"]


def test_folders_with_other_files_stay_and_so_do_the_files(reports: Path) -> None:
    others = {"2026/matches/notes.md": b"our own\n", "2026/photo.svg": b"<svg/>", "x.txt": b"x"}
    for path, content in others.items():
        (reports / path).write_bytes(content)
    planned = plan(reports, {"README.md": PAGES["README.md"]})
    assert planned.kept == ()
    publish(planned, replace)
    assert files(reports) == {"README.md": marked(PAGES["README.md"]), **others}


def test_an_edited_page_no_longer_due_is_told_and_left(reports: Path) -> None:
    page = reports / "2026/matches/a.md"
    edited = page.read_bytes().replace(b"# A", b"# A, with a remark")
    page.write_bytes(edited)
    planned = plan(reports, {"README.md": PAGES["README.md"]})
    assert planned.remove == ("2026/cup/README.md",)
    assert planned.kept == (
        KeptFile(path="2026/matches/a.md", reason=KeptReason.EDITED, due=False),
    )
    publish(planned, replace)
    assert page.read_bytes() == edited
    assert plan(reports, {"README.md": PAGES["README.md"]}).is_current


def test_the_last_page_goes_but_the_folder_of_the_reports_stays(reports: Path) -> None:
    publish(plan(reports, {}), replace)
    assert files(reports) == {}
    assert reports.is_dir()


def test_links_are_not_followed_out_of_the_reports(reports: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "old.md").write_bytes(marked("# Old\n"))
    (outside / "front.md").write_bytes(marked("# Front\n"))
    before = files(outside)
    (reports / "README.md").unlink()
    (reports / "README.md").symlink_to(outside / "front.md")
    (reports / "2027").symlink_to(outside, target_is_directory=True)
    (reports / "stray.md").symlink_to(outside / "old.md")
    planned = plan(reports, {**PAGES, "README.md": "# New\n", "2027/old.md": "# New\n"})
    assert planned.kept == (
        KeptFile(path="2027/old.md", reason=KeptReason.LINK, due=True),
        KeptFile(path="README.md", reason=KeptReason.LINK, due=True),
    )
    assert (planned.write, planned.remove) == ({}, ())
    publish(planned, replace)
    assert files(outside) == before
    assert plan(reports, {}).remove == ("2026/cup/README.md", "2026/matches/a.md")


def test_a_link_that_leads_nowhere_is_not_written_through(reports: Path, tmp_path: Path) -> None:
    (reports / "new.md").symlink_to(tmp_path / "elsewhere.md")
    planned = plan(reports, {**PAGES, "new.md": "# New\n"})
    assert [each.reason for each in planned.kept] == [KeptReason.LINK]


def test_what_is_no_file_is_told(reports: Path) -> None:
    (reports / "folder.md").mkdir()
    (reports / "2025").write_text("not a folder", encoding="utf-8")
    planned = plan(reports, {**PAGES, "folder.md": "# F\n", "2025/a.md": "# A\n"})
    assert [(each.path, each.reason) for each in planned.kept] == [
        ("2025/a.md", KeptReason.NOT_A_FILE),
        ("folder.md", KeptReason.NOT_A_FILE),
    ]
    assert planned.write == {}


def test_what_cannot_be_read_is_told(reports: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path, most: int) -> bytes:
        raise PermissionError(path)

    monkeypatch.setattr("riesbuch.pages.writer.read_plain", refuse)
    assert {each.reason for each in plan(reports).kept} == {KeptReason.UNREADABLE}


@pytest.mark.parametrize("is_link", [True, False])
def test_reports_that_are_no_folder_of_their_own_are_refused(tmp_path: Path, is_link: bool) -> None:
    reports = tmp_path / "reports"
    if is_link:
        (tmp_path / "elsewhere").mkdir()
        reports.symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    else:
        reports.write_text("a file", encoding="utf-8")
    with pytest.raises(RiesbuchError, match="not a folder of its own"):
        plan(reports)


def test_a_page_renamed_in_case_alone_is_not_removed(reports: Path) -> None:
    (reports / "README.md").rename(reports / "readme.md")
    assert plan(reports).remove == ()
