"""From the bytes of a YAML file to a tree with positions, or to what is wrong with them.

Rows of strikes, and whole texts of nothing but simple lines, are spared the parser
(`riesbuch.text.simple_lines`); whatever has anything else in it is read by the parser alone.
"""

import re

from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.nodes import Entries, Node, Scalar, controls
from riesbuch.text.simple_lines import lift_rows, read_simple_lines
from riesbuch.trade.messages import control_in
from riesbuch.trade.problems import Finding, finding

_LONE_CARRIAGE_RETURN = re.compile(r"\r(?!\n)")
_BLANKS_INSIDE_LINE = re.compile(r"(?<=\S)[ \t]*\t[ \t]*")


def read_content(content: bytes) -> tuple[Entries | None, list[Finding]]:
    """As `read_tree`, the bytes of a file."""
    try:
        return read_tree(decode(content))
    except RefusedFileError as refused:
        return None, [refused.finding]


def read_tree(text: str) -> tuple[Entries | None, list[Finding]]:
    """Parse one document whose top is a mapping.

    The tree is None where the findings leave nothing that could be judged further; a repeated
    key is a finding, and its first value stays in the tree.
    """
    try:
        _refuse_lone_carriage_returns(text)
        root, findings = _root_of(text)
    except RefusedFileError as refused:
        return None, [refused.finding]
    if any(finding.code != "duplicate-key" for finding in findings):
        return None, findings
    if root is None or (isinstance(root, Scalar) and root.plain and not root.text):
        return None, [finding((1, 1), "empty-file", "there is nothing in this file")]
    if not isinstance(root, Entries):
        return None, [
            finding(
                root.position, "not-a-mapping", "the file must be made of lines like `key: value`"
            )
        ]
    if "\\" in text or control_in(text) is not None:
        findings.extend(controls(root))
    return root, findings


def _refuse_lone_carriage_returns(text: str) -> None:
    """They end a line for YAML, but neither for us nor for most editors."""
    found = _LONE_CARRIAGE_RETURN.search(text) if "\r" in text else None
    if found is None:
        return
    line_start = text.rfind("\n", 0, found.start()) + 1
    raise RefusedFileError(
        (text.count("\n", 0, line_start) + 1, found.start() - line_start + 1),
        "yaml-syntax",
        "a line ends here as on old Macs, with a carriage return alone",
        "save the file with the line ends of Unix (LF) or Windows (CRLF)",
    )


def without_inner_tabs(text: str) -> str:
    """The text with a blank for each tab that indents nothing, which the parsers take unlike."""
    return (
        _BLANKS_INSIDE_LINE.sub(lambda blanks: " " * len(blanks[0]), text) if "\t" in text else text
    )


def _root_of(text: str) -> tuple[Node | None, list[Finding]]:
    """Without the parser where it can be done without."""
    spaced = without_inner_tabs(text)
    reduced, rows = lift_rows(spaced)
    simple = read_simple_lines(reduced, rows)
    if simple is not None:
        return simple, []
    from ruamel.yaml.error import YAMLError

    from riesbuch.text.yaml_events import build_tree

    try:
        return build_tree(spaced, reduced, rows)
    except YAMLError as error:
        from riesbuch.text.syntax import yaml_finding

        return None, [yaml_finding(error, text)]
