"""Read a file as an editor with a schema does, not as the tool does.

An editor resolves plain YAML scalars by the core schema of YAML 1.2 (17 is a number, ~ is
nothing) before it holds them against a JSON Schema; the tool reads every scalar as text.
"""

import datetime
import re
import tomllib
from pathlib import Path

import yaml

_NULL = re.compile(r"~|null|Null|NULL|")
_BOOLEAN = re.compile(r"(true|True|TRUE)|false|False|FALSE")
_DECIMAL = re.compile(r"[-+]?[0-9]+")
_OCTAL = re.compile(r"0o([0-7]+)")
_HEXADECIMAL = re.compile(r"0x([0-9a-fA-F]+)")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_INFINITY = re.compile(r"([-+]?)\.(inf|Inf|INF)")
_NOT_A_NUMBER = re.compile(r"\.(nan|NaN|NAN)")


def load_as_editor(path: Path) -> object:
    """The value of a ``.yaml`` or ``.toml`` file, made of what JSON knows."""
    if path.suffix == ".toml":
        return _json_value(tomllib.loads(path.read_text(encoding="utf-8")))
    return yaml_as_editor(path.read_text(encoding="utf-8"))


def yaml_as_editor(text: str) -> object:
    node = yaml.compose(text, Loader=yaml.BaseLoader)
    return None if node is None else _yaml_value(node)


def core_scalar(text: str) -> object:
    """The value of a plain scalar by the core schema."""
    if _NULL.fullmatch(text):
        return None
    if boolean := _BOOLEAN.fullmatch(text):
        return boolean[1] is not None
    if _DECIMAL.fullmatch(text):
        return int(text)
    if octal := _OCTAL.fullmatch(text):
        return int(octal[1], 8)
    if hexadecimal := _HEXADECIMAL.fullmatch(text):
        return int(hexadecimal[1], 16)
    if _FLOAT.fullmatch(text):
        return float(text)
    if infinity := _INFINITY.fullmatch(text):
        return float(f"{infinity[1]}inf")
    if _NOT_A_NUMBER.fullmatch(text):
        return float("nan")
    return text


def _yaml_value(node: yaml.Node) -> object:
    if isinstance(node, yaml.SequenceNode):
        return [_yaml_value(item) for item in node.value]
    if isinstance(node, yaml.MappingNode):
        value: dict[str, object] = {}
        for key, item in node.value:
            # A key of a JSON object is text, whatever it looks like.
            if not isinstance(key, yaml.ScalarNode) or key.value in value:
                raise ValueError(f"a key that JSON cannot hold:{key.start_mark}")
            value[key.value] = _yaml_value(item)
        return value
    return node.value if node.style else core_scalar(node.value)


def _json_value(value: object) -> object:
    if isinstance(value, dict):
        return {key: _json_value(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_json_value(item) for item in value]
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    return value
