"""The keys of ``signers``, in the format of OpenSSH's allowed signers (ssh-keygen(1))."""

import base64
import datetime
import re
from collections.abc import Iterator

from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.nodes import FileReading, control_finding
from riesbuch.trade.ids import ClubId, Position, is_identifier
from riesbuch.trade.messages import Message, control_in
from riesbuch.trade.problems import Finding, finding
from riesbuch.trade.signing import NAMESPACE, Signer, kind_of_key

_KINDS = re.compile(
    r"ssh-(?:ed25519|rsa)|ecdsa-sha2-nistp(?:256|384|521)"
    r"|sk-(?:ssh-ed25519|ecdsa-sha2-nistp256)@openssh\.com"
)
_LINE = re.compile(r'\s*(\S+)\s+(?:((?:[^\s"]|"[^"]*")+)\s+)??(\S+)\s+([A-Za-z0-9+/]+=*)(?:\s.*)?')
_OPTION = re.compile(r'([A-Za-z-]+)(?:="([^"]*)")?(?:,|$)')
_TIME = re.compile(r"(\d{8})(\d{4})?(\d{2})?Z?")
_EXAMPLE = Message(
    "write a club, then what stands in the key's file .pub: aarwald ssh-ed25519 AAAA… its remark"
)

_PRIVATE = Message("this is a private key, which whoever has it can sign with")
_NEW_KEY = Message("take it out and make a new one; only the line of its file .pub belongs here")


class _LineError(Exception):
    """A line of which no key is taken; made of what is said and advised, and of the piece meant."""

    def __init__(self, said: str, hint: str = _EXAMPLE, piece: str = "") -> None:
        self.said, self.hint, self.piece = said, hint, piece


def read_signers(content: bytes) -> FileReading[tuple[Signer, ...]]:
    """Every key by its place; a line that is not understood to the end counts for nothing."""
    try:
        text = decode(content)
    except RefusedFileError as refused:
        return FileReading(record=(), findings=(refused.finding,))
    signers: list[Signer] = []
    findings: list[Finding] = []
    for number, line in enumerate(text.split("\n"), start=1):
        line = line.removesuffix("\r")
        control = control_in(line)
        if control is not None:
            findings.append(control_finding(control, (number, line.index(control) + 1)))
        elif "PRIVATE KEY" in line:
            # Whatever stands below is it, or its end.
            findings.append(finding((number, 1), "bad-signers", _PRIVATE, _NEW_KEY))
            break
        elif line.strip() and not line.lstrip().startswith("#"):
            try:
                signers += _signers(line, number)
            except _LineError as error:
                at = (number, max(line.find(error.piece), 0) + 1)
                findings.append(finding(at, "bad-signers", error.said, error.hint))
    return FileReading(record=tuple(signers), findings=tuple(findings))


def _signers(line: str, number: int) -> Iterator[Signer]:
    parts = _LINE.fullmatch(line)
    if parts is None:
        raise _LineError(Message("this is no line of a club and its key"))
    principals, options, kind, key = parts.groups()
    if not _KINDS.fullmatch(kind):
        raise _LineError(Message("`{kind}` is no kind of key that signs", kind=kind), piece=kind)
    if kind_of_key(key) != kind or base64.b64encode(base64.b64decode(key)).decode() != key:
        raise _LineError(Message("the key is not whole"), piece=key)
    after, before = _bounds(options or "")
    for club in principals.split(","):
        if not is_identifier(club):
            raise _LineError(
                Message("`{club}` is not the identifier of a club", club=club),
                Message("write each club as it stands in `clubs`; patterns such as * and ! do not"
                        " count"),
                club,
            )  # fmt: skip
        at: Position = number, line.index(club) + 1
        yield Signer(ClubId(club), kind, key, after, before, at)


def _bounds(options: str) -> tuple[datetime.datetime | None, datetime.datetime | None]:
    found: dict[str, str] = {}
    at = 0
    while at < len(options):
        option = _OPTION.match(options, at)
        name = option[1].lower() if option else ""
        if option is None or name in found:
            raise _LineError(
                Message("`{options}` is not understood", options=options), piece=options
            )
        if name == "cert-authority":
            raise _LineError(
                Message("keys that vouch for other keys (cert-authority) do not count here"),
                Message("give each key a line of its own"),
                options,
            )
        if name not in ("namespaces", "valid-after", "valid-before") or option[2] is None:
            raise _LineError(
                Message("`{name}` is not understood", name=option[0].rstrip(",")),
                Message(
                    "write namespaces, valid-after or valid-before, each with a value in quotes"
                ),
                option[0],
            )
        found[name], at = option[2], option.end()
    namespaces = found.get("namespaces")
    if namespaces is not None and NAMESPACE not in namespaces.split(","):
        raise _LineError(
            Message("the key is for `{namespaces}` alone", namespaces=namespaces),
            Message('write namespaces="riesbuch", or leave it out'),
            options,
        )
    after, before = (
        _time(found[name]) if name in found else None for name in ("valid-after", "valid-before")
    )
    if after is not None and before is not None and after >= before:
        raise _LineError(
            Message("the key is never valid: it ends before it begins"),
            Message("valid-after is the earlier day"),
            options,
        )
    return after, before


def _time(written: str) -> datetime.datetime:
    parts = _TIME.fullmatch(written)
    try:
        if parts is not None:
            digits = f"{parts[1]}{parts[2] or '0000'}{parts[3] or '00'}"
            return datetime.datetime.strptime(digits, "%Y%m%d%H%M%S")
    except ValueError:
        pass
    raise _LineError(
        Message("`{written}` is not a day", written=written),
        Message("write year, month and day without anything between: 20270131"),
        written,
    )
