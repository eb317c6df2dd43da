"""Keys, signatures and the text that is signed: made by OpenSSH itself and by what the guide says
of it, so that nothing here rests on the program."""

import json
import os
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

KEYS = Path(__file__).parent / "keys"


def ssh_keygen(*arguments: str | Path, stdin: bytes = b"") -> bytes:
    """What it writes; where it is missing, or fails, the test does."""
    program = shutil.which("ssh-keygen")
    assert program, "ssh-keygen is missing: install OpenSSH (the package openssh-client)"
    done = subprocess.run(
        [program, *map(str, arguments)],
        input=stdin,
        capture_output=True,
        check=False,
        env={**os.environ, "TZ": "UTC"},
    )
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


def key(folder: Path, name: str) -> Path:
    """A copy of a key of the tests that ssh-keygen takes, its public half beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    for file in (name, f"{name}.pub"):
        shutil.copyfile(KEYS / file, folder / file)
        (folder / file).chmod(0o600)
    return folder / name


def public(name: str) -> str:
    """As it stands in `signers`, without its remark."""
    return " ".join((KEYS / f"{name}.pub").read_text("utf-8").split()[:2])


def signature(key: Path, text: str, namespace: str = "riesbuch") -> str:
    armoured = ssh_keygen("-Y", "sign", "-n", namespace, "-f", key, stdin=text.encode())
    return "".join(armoured.decode().splitlines()[1:-1])


class Correction(NamedTuple):
    on: str
    by: str
    agreed: Sequence[str]
    reason: str
    changed: Sequence[str]


class Agreed(NamedTuple):
    """What a seal and the corrections above it say; ``previous`` is the digest before the last."""

    sheet: str
    digest: str
    on: str
    home: str
    away: str
    previous: str = "-"
    corrections: Sequence[Correction] = ()

    def text(self, club: str, by: str) -> str:
        lines = [
            "riesbuch signature 1",
            f"club: {club}",
            f"by: {json.dumps(by)}",
            f"sheet: {json.dumps(self.sheet)}",
            f"digest: {self.digest}",
            f"previous: {self.previous}",
            f"on: {self.on}",
            f"home: {json.dumps(self.home)}",
            f"away: {json.dumps(self.away)}",
        ]
        for number, entry in enumerate(self.corrections, start=1):
            lines += [
                f"corrections.{number}.on: {entry.on}",
                f"corrections.{number}.by: {json.dumps(entry.by)}",
                *(f"corrections.{number}.agreed: {json.dumps(club)}" for club in entry.agreed),
                f"corrections.{number}.reason: {json.dumps(entry.reason)}",
                *(f"corrections.{number}.changed: {json.dumps(each)}" for each in entry.changed),
            ]
        return "\n".join([*lines, ""])
