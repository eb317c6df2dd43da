"""Running ssh-keygen, with nothing around it but what is said here; see ssh-keygen(1).

It is run without a shell, in a folder of its own that nobody else can read, and never one that
lies in the club folder, which comes from others.
"""

import datetime
import os
import subprocess
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

from riesbuch.review.finding import OpenSsh, absolute_path
from riesbuch.review.git_process import printable
from riesbuch.trade.ids import ClubId
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import RiesbuchError
from riesbuch.trade.signing import (
    NAMESPACE,
    Question,
    armoured,
    noon_of,
    read_signature,
    unarmoured,
)

_TAKEN_OVER = (
    "HOME", "TMPDIR", "TMP", "TEMP", "SYSTEMROOT", "SYSTEMDRIVE", "WINDIR", "COMSPEC", "PATHEXT",
    "USERPROFILE", "APPDATA", "LOCALAPPDATA", "PROGRAMDATA",
)  # fmt: skip
# A bound without a time zone is of the machine's; so it is the same on each.
_FIXED = {"LC_ALL": "C", "TZ": "UTC", "SSH_ASKPASS_REQUIRE": "never"}
_SECONDS_TO_VERIFY = 30
_SECONDS_TO_SIGN = 300
_GOOD, _BAD = b'Good "riesbuch" signature for ', b"Could not verify signature"

_KEY = "AAAAC3NzaC1lZDI1NTE5AAAAIFWI+zgl+0Cs5wkPhKfH4FkWnkr6eOoDpSJEK4lmK2Li"
_TRIED = Question(
    club=ClubId("riesbuch"),
    text="riesbuch signature 1\n",
    signature=(
        "U1NIU0lHAAAAAQAAADMAAAALc3NoLWVkMjU1MTkAAAAgVYj7OCX7QKznCQ+Ep8fgWRaeSvp46gOlIkQriWYrYuIAAA"
        "AIcmllc2J1Y2gAAAAAAAAABnNoYTUxMgAAAFMAAAALc3NoLWVkMjU1MTkAAABAnf5yN5euhe+RTX+ApU14nPMvF9jF"
        "WUBM6eX1h1NJ6QffgyFUmlCAkxqhgGhAGrkU9lSc6/mpy68x+kfe+ikOCg=="
    ),
    on=datetime.date(2000, 1, 2),
    lines=(
        'riesbuch namespaces="riesbuch",valid-after="20000102000000",'
        f'valid-before="20000103000000" ssh-ed25519 {_KEY}',
    ),
)
"""A signature by a key that was thrown away, held to have been valid for a day long ago."""


def unable(openssh: OpenSsh | None) -> str:
    """Why it cannot tell whether a signature is right, in a clause; empty where it can. It is
    tried with a signature that is, and one that is not."""
    if openssh is None:
        return Message("OpenSSH is not installed (the package `openssh-client`)")
    told = verify(openssh, [_TRIED, _TRIED._replace(text=f"{_TRIED.text} ")])
    if [*told.values()] == [True, False]:
        return ""
    return Message(
        "{program} cannot say whether a signature held on a day; OpenSSH from 8.9 on can",
        program=openssh.program,
    )


def verify(openssh: OpenSsh, questions: Iterable[Question]) -> dict[Question, bool]:
    """The answers, several asked at once; none where there was none."""
    asked = list(dict.fromkeys(questions))
    if not asked:
        return {}
    with (
        TemporaryDirectory() as folder,
        ThreadPoolExecutor(min(len(asked), os.cpu_count() or 1)) as pool,
    ):
        told = pool.map(
            lambda numbered: _verified(openssh, Path(folder), *numbered), enumerate(asked)
        )
        answers = dict(zip(asked, told, strict=True))
    return {question: answer for question, answer in answers.items() if answer is not None}


def _verified(openssh: OpenSsh, folder: Path, number: int, question: Question) -> bool | None:
    signers, signature = folder / f"{number}.signers", folder / f"{number}.sig"
    signers.write_bytes("".join(f"{line}\n" for line in question.lines).encode("ascii"))
    signature.write_bytes(armoured(question.signature).encode("ascii"))
    try:
        done = _run(
            openssh,
            ["-Y", "verify", "-n", NAMESPACE, "-f", str(signers), "-I", question.club,
             "-s", str(signature), "-O", f"verify-time={noon_of(question.on):%Y%m%d%H%M%S}"],
            folder,
            question.text,
            _SECONDS_TO_VERIFY,
        )  # fmt: skip
    except RiesbuchError:
        return None
    if done.returncode == 0 and done.stdout.startswith(_GOOD + question.club.encode("ascii")):
        return True
    return False if done.returncode and _BAD in done.stdout + done.stderr else None


def fingerprint(openssh: OpenSsh, key: Path) -> str:
    """By which the key in a file, private or public, is known: ``SHA256:…``; raises RiesbuchError
    where it holds none."""
    with TemporaryDirectory() as folder:
        done = _run(openssh, ["-l", "-E", "sha256", "-f", str(key)], Path(folder), "", 30)
    words = done.stdout.decode("utf-8", "replace").split()
    if done.returncode or len(words) < 2:
        raise RiesbuchError(
            "{key} is no key that OpenSSH reads; `riesbuch guide sealing` shows how to make one"
            " ({said})",
            key=key,
            said=_said(done.stderr),
        )
    return words[1]


def sign(openssh: OpenSsh, key: Path, text: str) -> str:
    """The signature of the text, in base64. OpenSSH asks for the passphrase where the key has one,
    or the agent for the key; raises RiesbuchError with what it says where it does not sign."""
    agent = {name: os.environ[name] for name in ("SSH_AUTH_SOCK",) if name in os.environ}
    with TemporaryDirectory() as folder:
        done = _run(
            openssh,
            ["-Y", "sign", "-n", NAMESPACE, "-f", str(key)],
            Path(folder),
            text,
            _SECONDS_TO_SIGN,
            agent,
        )
    signature = unarmoured(done.stdout.decode("ascii", "replace"))
    if done.returncode or read_signature(signature) is None:
        raise RiesbuchError("OpenSSH did not sign: {said}", said=_said(done.stderr))
    return signature


def _run(
    openssh: OpenSsh,
    arguments: Sequence[str],
    folder: Path,
    text: str,
    seconds: float,
    agent: Mapping[str, str] | None = None,
) -> subprocess.CompletedProcess[bytes]:
    environment = {key: os.environ[key] for key in _TAKEN_OVER if key in os.environ}
    try:
        return subprocess.run(
            [openssh.program, *arguments],
            cwd=folder,
            env={**environment, "PATH": absolute_path(), **_FIXED, **(agent or {})},
            input=text.encode("ascii"),
            capture_output=True,
            check=False,
            timeout=seconds,
        )
    except subprocess.TimeoutExpired as error:
        raise RiesbuchError(
            "{program} did not answer within {seconds} seconds",
            program=openssh.program,
            seconds=seconds,
        ) from error
    except OSError as error:
        raise RiesbuchError(
            "{program} cannot be run: {error}", program=openssh.program, error=error
        ) from error


def _said(stderr: bytes) -> str:
    """What it says is wrong, on one line."""
    lines = [line.strip() for line in stderr.decode("utf-8", "replace").splitlines()]
    said = [line for line in lines if line.strip("@ ") and not line.startswith("Signing ")]
    return printable("; ".join(said)) or Message("it does not say why")
