"""The JSON Schemas, held against a corpus of files as an editor reads them."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.editor_loader import core_scalar, load_as_editor, yaml_as_editor

SCHEMAS = Path(__file__).parents[2] / "schema"
CORPUS = Path(__file__).parents[1] / "schema_corpus"
KINDS = (
    "club", "fixtures", "handed-down", "league", "player", "rules", "rulings", "season", "sheet",
    "training",
)  # fmt: skip


def schema(kind: str) -> dict[str, Any]:
    text = (SCHEMAS / f"{kind}.schema.json").read_text(encoding="utf-8")
    document: dict[str, Any] = json.loads(text)
    return document


VALIDATORS = {kind: Draft202012Validator(schema(kind)) for kind in KINDS}


def corpus(verdict: str) -> list[Any]:
    return [
        pytest.param(kind, path, id=f"{kind}/{path.name}")
        for kind in KINDS
        for path in sorted((CORPUS / kind / verdict).iterdir())
    ]


def subschemas(node: object, pointer: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object of a schema document that describes a value, with where it stands."""
    if isinstance(node, list):
        for index, item in enumerate(node):
            yield from subschemas(item, f"{pointer}/{index}")
    elif isinstance(node, dict):
        yield pointer, node
        for keyword, item in node.items():
            if keyword in ("properties", "$defs"):
                for name, each in item.items():
                    yield from subschemas(each, f"{pointer}/{keyword}/{name}")
            elif keyword not in ("default", "examples", "enum", "const"):
                yield from subschemas(item, f"{pointer}/{keyword}")


def described(kind: str) -> list[tuple[str, dict[str, Any]]]:
    """The subschemas of a document that stand for a key or a shared piece."""
    return [
        (pointer, node)
        for pointer, node in subschemas(schema(kind))
        if pointer.split("/")[-2:-1] in (["properties"], ["$defs"])
        and not {"if", "then", "else"} & set(pointer.split("/"))
    ]


def test_every_schema_is_tried() -> None:
    assert sorted(path.name for path in SCHEMAS.glob("*.json")) == [
        f"{kind}.schema.json" for kind in KINDS
    ]
    assert sorted(path.name for path in CORPUS.iterdir()) == list(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_schema_is_a_schema(kind: str) -> None:
    document = schema(kind)
    Draft202012Validator.check_schema(document)
    assert document["$schema"] == Draft202012Validator.META_SCHEMA["$id"]
    assert document["$id"] == f"urn:riesbuch:schema:{kind}:1"


@pytest.mark.parametrize("kind", KINDS)
def test_schema_refers_to_itself_alone(kind: str) -> None:
    references = [node["$ref"] for _, node in subschemas(schema(kind)) if "$ref" in node]
    assert references
    assert [each for each in references if not each.startswith("#/$defs/")] == []


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_is_explained(kind: str) -> None:
    explained = {"title", "description", "examples"}
    silent = [pointer for pointer, node in described(kind) if not explained <= node.keys()]
    assert described(kind)
    assert silent == []


@pytest.mark.parametrize("kind", KINDS)
def test_unknown_keys_are_refused_at_every_level(kind: str) -> None:
    objects = [
        (pointer, node)
        for pointer, node in subschemas(schema(kind))
        if node.get("type") == "object"
    ]
    lax = [
        pointer
        for pointer, node in objects
        if node.get("additionalProperties") is not False and "propertyNames" not in node
    ]
    assert objects
    assert lax == []


@pytest.mark.parametrize("kind", KINDS)
def test_examples_and_defaults_fit_their_own_schema(kind: str) -> None:
    document = schema(kind)
    tried = 0
    for pointer, node in [("#", document), *described(kind)]:
        alone = Draft202012Validator({**node, "$defs": document["$defs"]})
        defaults = [node["default"]] if "default" in node else []
        for value in [*node.get("examples", []), *defaults]:
            assert list(alone.iter_errors(value)) == [], pointer
            tried += 1
    assert tried


@pytest.mark.parametrize(("kind", "path"), corpus("valid"))
def test_valid_file_is_accepted(kind: str, path: Path) -> None:
    errors = list(VALIDATORS[kind].iter_errors(load_as_editor(path)))
    assert [error.message for error in errors] == []


@pytest.mark.parametrize(("kind", "path"), corpus("spoilt"))
def test_spoilt_file_is_refused_for_one_fault(kind: str, path: Path) -> None:
    errors = list(VALIDATORS[kind].iter_errors(load_as_editor(path)))
    assert len(errors) == 1, [error.message for error in errors]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("17", 17),
        ("08", 8),
        ("-3", -3),
        ("0x10", 16),
        ("0o17", 15),
        ("1e3", 1000.0),
        (".5", 0.5),
        ("~", None),
        ("NULL", None),
        ("", None),
        ("true", True),
        ("False", False),
        ("no", "no"),
        ("16N", "16N"),
        ("12:30", "12:30"),
        ("2026-05-10", "2026-05-10"),
        ("1_000", "1_000"),
        ("_", "_"),
    ],
)
def test_editor_resolves_plain_scalars_by_the_core_schema(text: str, value: object) -> None:
    resolved = core_scalar(text)
    assert (type(resolved), resolved) == (type(value), value)


def test_editor_takes_quoted_scalars_and_keys_as_text() -> None:
    assert yaml_as_editor("08: ['17', \"~\", 17]\n") == {"08": ["17", "~", 17]}
