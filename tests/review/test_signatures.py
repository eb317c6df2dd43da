"""Signing with real keys: files and an agent, the text of the guide, what is remembered, merges."""

import datetime
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from riesbuch.text.sheet import read_sheet
from riesbuch.trade.ids import SheetId
from riesbuch.trade.signing import signed_text, statement
from tests.clubfolder import FIRST, FIRST_SHEET, Write, lay_out
from tests.commandline import invoke
from tests.gitfolder import begin, commit, git
from tests.problem_cases.seals import SIGNATURE
from tests.review.attacks import AGREED, CORRECTED, SHEET, SIGNERS, League
from tests.signing import key, public, signature


@pytest.fixture
def league(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> League:
    monkeypatch.delenv("SSH_AUTH_SOCK", raising=False)
    return League(tmp_path)


def run(league: League, *words: str | Path) -> str:
    outcome = invoke("--folder", league.root, *words)
    assert outcome.status == 0, outcome.err
    return outcome.out + outcome.err


def test_the_signature_of_the_cases_is_that_of_the_key(tmp_path: Path) -> None:
    text = AGREED.text("aarwald", "Ruedi Aebi")
    assert signature(key(tmp_path, "aarwald"), text) == SIGNATURE


@pytest.mark.parametrize("agreed", [AGREED, CORRECTED], ids=["sealed", "corrected"])
def test_the_text_is_what_the_guide_says(league: League, agreed: object) -> None:
    assert isinstance(agreed, type(AGREED))
    league.seal([league.sign("aarwald", agreed)], agreed)
    match = read_sheet((league.root / FIRST).read_bytes(), SheetId(SHEET), 2026).match
    assert match is not None
    text = signed_text(statement(match), "aarwald", "Ruedi Aebi")
    assert text == agreed.text("aarwald", "Ruedi Aebi")


def test_two_clubs_seal_and_sign_and_correct(league: League) -> None:
    league.write(FIRST, FIRST_SHEET)
    aarwald, birkenfluh = league.keys["aarwald"], league.keys["birkenfluh"]
    seal = ("seal", SHEET, "--home", "Ruedi Aebi", "--away", "Urs Kipfer", "--on", "2026-04-13")
    said = run(league, *seal, "--sign", birkenfluh)
    assert "signed by Birkenfluh, not by Aarwald" in said
    assert f"still to sign: `riesbuch sign {SHEET} --key KEY`" in said
    assert "signed by Aarwald and Birkenfluh" in run(league, "sign", SHEET, "--key", aarwald)
    # Whoever signed first, the home club stands first.
    text = (league.root / FIRST).read_text("utf-8")
    assert text.index("club: aarwald") < text.index("club: birkenfluh")
    assert f"signature: {SIGNATURE}}}" in text
    assert run(league, "check") == "2 sheets: nothing to mend\n"
    assert run(league, "tidy", "--check", FIRST).startswith("0 files")
    said = run(league, "correct", SHEET, "home.strikes.aebi-ruedi.1.1=17", "--reason", "misread",
               "--agreed", "aarwald", "--agreed", "birkenfluh", "--on", "2026-04-20",
               "--sign", aarwald)  # fmt: skip
    assert "both clubs sign it anew" in said
    assert "signed by Aarwald, not by Birkenfluh" in said
    assert "signed by Aarwald and Birkenfluh" in run(league, "sign", SHEET, "--key", birkenfluh)
    assert run(league, "check") == "2 sheets: nothing to mend\n"


def test_a_key_of_rsa_signs(league: League) -> None:
    league.write("signers", f"aarwald {public('aarwald-rsa')}\nbirkenfluh {public('birkenfluh')}\n")
    league.seal([league.sign("birkenfluh")])
    said = run(league, "sign", SHEET, "--key", league.keys["aarwald-rsa"])
    assert "signed by Aarwald and Birkenfluh" in said
    assert run(league, "check") == "2 sheets: nothing to mend\n"


def test_a_renewed_key_leaves_what_the_old_one_signed(league: League) -> None:
    old, new = public("aarwald"), public("aarwald-rsa")
    league.write(
        "signers",
        f'aarwald valid-before="20260501" {old}\naarwald valid-after="20260501" {new}\n'
        f"birkenfluh {public('birkenfluh')}\n",
    )
    assert run(league, "check") == "2 sheets: nothing to mend\n"


def test_a_club_that_carries_on_another_signs_for_it(league: League) -> None:
    league.write("clubs/unterwald.yaml", "name: Unterwald\nmerged_from: [aarwald]\n")
    league.write("signers", f"unterwald {public('nobody')}\nbirkenfluh {public('birkenfluh')}\n")
    league.seal([league.sign("birkenfluh")])
    said = run(league, "sign", SHEET, "--key", league.keys["nobody"])
    assert "signed by Unterwald and Birkenfluh" in said or "signed by Birkenfluh" in said
    assert run(league, "check") == "2 sheets: nothing to mend\n"
    assert "Seal: signed by" in run(league, "tally", SHEET)


def test_one_signature_is_enough_where_a_club_meets_itself(league: League) -> None:
    for file in (league.root / "seasons/2026/matches").iterdir():
        file.unlink()
    league.write("seasons/2026/fixtures.toml", "")
    path = "seasons/2026/matches/2026-04-12-aarwald-a-aarwald-b.yaml"
    league.write(path, FIRST_SHEET.replace("birkenfluh-a", "aarwald-b"))
    said = run(league, "seal", "aarwald-b", "--home", "Ruedi Aebi", "--away", "Hans Aebi",
               "--on", "2026-04-13", "--sign", league.keys["aarwald"])  # fmt: skip
    assert "signed by Aarwald" in said
    assert "still to sign" not in said
    league.write("league.toml", 'name = "L"\nsignatures = "required"\n')
    assert run(league, "check") == "1 sheet: nothing to mend\n"


@pytest.fixture
def agent(league: League, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    program = shutil.which("ssh-agent")
    assert program, "ssh-agent is missing: install OpenSSH (the package openssh-client)"
    socket = league.root.parent / "agent"
    with subprocess.Popen([program, "-D", "-a", socket], stdout=subprocess.DEVNULL) as process:
        try:
            monkeypatch.setenv("SSH_AUTH_SOCK", os.fspath(socket))
            for _ in range(200):
                done = subprocess.run(
                    ["ssh-add", "-q", league.keys["aarwald"]], check=False, capture_output=True
                )
                if done.returncode == 0:
                    break
            assert done.returncode == 0, done.stderr
            yield
        finally:
            process.terminate()


@pytest.mark.usefixtures("agent")
def test_an_agent_signs_with_the_public_half_alone(league: League) -> None:
    league.seal([league.sign("birkenfluh")])
    league.keys["aarwald"].unlink()
    said = run(league, "sign", SHEET, "--key", f"{league.keys['aarwald']}.pub")
    assert "signed by Aarwald and Birkenfluh" in said


def _counting(league: League, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file that gets a line whenever ssh-keygen is run."""
    real, log = shutil.which("ssh-keygen"), league.root.parent / "log"
    league.program(league.root.parent / "bin", f'echo run >> "{log}"\nexec {real} "$@"')
    monkeypatch.setenv("PATH", f"{league.path}{os.pathsep}{os.environ['PATH']}")
    log.touch()
    return log


def test_each_signature_is_asked_about_once(
    league: League, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = _counting(league, monkeypatch)

    def runs() -> int:
        before = log.read_text("utf-8").count("run")
        assert run(league, "check") == "2 sheets: nothing to mend\n"
        return log.read_text("utf-8").count("run") - before

    tried = 2
    assert runs() == tried + 2
    assert runs() == 0
    league.replace(FIRST, "round: 1", "round: 1\nweather: windy")
    assert runs() == 0
    # Another club's key changes nothing of these.
    league.write("signers", f"{SIGNERS}# new\naarwald {public('nobody')}\n")
    assert runs() == 0
    league.write("signers", SIGNERS.replace("aarwald ", 'aarwald valid-after="20260101" '))
    assert runs() == tried + 1
    shutil.rmtree(league.root / ".riesbuch")
    assert runs() == tried + 2


def test_a_warm_check_does_not_even_import_what_asks(league: League) -> None:
    run(league, "check")
    script = (
        "import sys; from riesbuch.cli.main import run\n"
        "try: run(sys.argv[1:])\n"
        "finally: print('riesbuch.review.openssh' in sys.modules, 'subprocess' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, "--folder", league.root, "check"],
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    assert done.stdout == "False False\n"


def test_a_rename_that_would_spoil_a_signature_is_refused(league: League) -> None:
    """By way of a correction, since what a sealed sheet says itself is never renamed."""
    moved = "home.strikes.zaugg-lena.2.2: 14 -> nothing"
    entry = CORRECTED.corrections[0]._replace(changed=(moved,))
    for signatures, status in (([], 0), (None, 1)):
        agreed = CORRECTED._replace(corrections=(entry,))
        if signatures is None:
            signatures = [league.sign("aarwald", agreed)]
        league.seal(signatures, agreed)
        before = (league.root / FIRST).read_bytes()
        outcome = invoke("--folder", league.root, "roster", "rename", "zaugg-lena", "zaugg-magda")
        assert outcome.status == status, outcome.err
        assert ((league.root / FIRST).read_bytes() == before) == bool(status)
        if not status:
            invoke("--folder", league.root, "roster", "rename", "zaugg-magda", "zaugg-lena")


def test_a_note_goes_once_openssh_is_there(league: League, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as without:
        without.setenv("PATH", os.fspath(league.root))
        for _ in range(2):
            assert "could not be checked" in run(league, "check")
    assert run(league, "check") == "2 sheets: nothing to mend\n"


def test_signatures_of_two_branches_come_together(league: League) -> None:
    league.seal([])
    begin(league.root)
    league.write(".gitignore", ".riesbuch/\n")
    run(league, "git-setup")
    commit(league.root, "sealed")
    for club in ("aarwald", "birkenfluh"):
        git(league.root, "switch", "--quiet", "--create", club, "main")
        run(league, "sign", SHEET, "--key", league.keys[club])
        commit(league.root, club)
    git(league.root, "merge", "--quiet", "--no-edit", "aarwald")
    assert "Seal: signed by Birkenfluh and Aarwald." in run(league, "tally", SHEET)
    assert run(league, "check") == "2 sheets: nothing to mend\n"


def test_pages_and_export_say_who_signed(league: League) -> None:
    page = league.root / f"reports/2026/matches/{SHEET.partition('/')[2]}.md"
    for signatures, said, proof in (
        (league.both(), "- Signed by Aarwald, Birkenfluh\n", "signed"),
        (league.both()[:1], "- Signed by Aarwald, not by Birkenfluh\n", "partly signed"),
        ([league.sign("aarwald", key="nobody")], "- The signature of Aarwald is wrong\n", "wrong"),
    ):
        league.seal(signatures)
        run(league, "publish")
        assert said in page.read_text("utf-8")
        run(league, "export", league.root.parent / "out")
        matches = (league.root.parent / "out/matches.csv").read_text("utf-8")
        assert f",{proof}," in matches or f",{proof}\n" in matches
        tally = invoke("--folder", league.root, "tally", SHEET, "--format", "json")
        assert tally.data["seal_proof"] == proof
    league.write(FIRST, FIRST_SHEET)
    assert '"seal_proof": null' in run(league, "tally", SHEET, "--format", "json")


def test_what_is_due_and_the_end_of_a_day_tell_who_has_not_signed(league: League) -> None:
    league.write("league.toml", 'name = "Oberhang League"\nsignatures = "required"\n')
    (league.root / FIRST).unlink()
    run(league, "publish")
    begin(league.root)
    commit(league.root)
    league.seal(league.both())
    due, data = ("due", "--on", "2026-05-17"), ("--on", "2026-05-17", "--format", "json")
    assert invoke("--folder", league.root, "due", *data).data["unsigned"] == []
    league.seal([league.sign("aarwald")])
    wanted = (
        "1 sealed sheet is not signed by both clubs:\n"
        "  riesbuch sign 2026-04-12-aarwald-a-birkenfluh-a --key KEY\n"
    )
    told = invoke("--folder", league.root, *due)
    assert wanted in told.out
    # Who asks `check` is told of it as an error.
    assert "1 error:\n  riesbuch check\n" in told.out
    assert told.status == 1
    found = invoke("--folder", league.root, "due", *data).data
    assert (found["unsigned"], found["errors"]) == ([SHEET], 1)
    done = invoke("--folder", league.root, "finish", "--on", "2026-04-12", "--yes")
    assert f"`riesbuch sign {SHEET} --key KEY` (unsigned)" in done.err
    assert done.status == 1
    league.seal(league.both())
    assert invoke("--folder", league.root, "finish", "--on", "2026-04-12", "--yes").status == 0


def test_seals_of_years_ago_wait_for_no_signature(league: League) -> None:
    league.write("league.toml", 'name = "Oberhang League"\nsignatures = "required"\n')
    league.seal([])
    on = ("--on", "2029-05-17", "--format", "json")
    data = invoke("--folder", league.root, "due", *on).data
    assert (data["unsigned"], data["errors"]) == ([], 1)


def test_a_passphrase_that_nobody_types_is_refused(league: League) -> None:
    league.seal([league.sign("birkenfluh")])
    locked = league.keys["aarwald"]
    subprocess.run(["ssh-keygen", "-q", "-p", "-P", "", "-N", "secret", "-f", locked], check=True)
    program = [shutil.which("setsid") or "setsid", "--wait", sys.executable, "-m", "riesbuch"]
    done = subprocess.run(
        [*program, "--folder", league.root, "sign", SHEET, "--key", locked],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=False,
        encoding="utf-8",
    )
    assert done.returncode == 1
    assert "OpenSSH did not sign" in done.stderr


def test_days_are_days_everywhere() -> None:
    from riesbuch.trade.signing import noon_of

    assert noon_of(datetime.date(2026, 4, 13)) == datetime.datetime(2026, 4, 13, 12)


def test_a_folder_without_keys_is_told_nothing_of_them(tmp_path: Path) -> None:
    lay_out(tmp_path, [Write(FIRST, FIRST_SHEET)])
    outcome = invoke("--folder", tmp_path, "seal", SHEET, "--home", "Ruedi Aebi", "--away",
                     "Urs Kipfer", "--on", "2026-04-13")  # fmt: skip
    assert (outcome.status, outcome.out, outcome.err) == (0, f"sealed: {FIRST}\n", "")
