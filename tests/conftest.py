"""Options of the whole suite."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--refresh-documentation",
        action="store_true",
        help="rewrite what README and guide show of the tool's output from what it prints now",
    )
    parser.addoption(
        "--edit-sequences",
        type=int,
        default=25,
        help="how many random sequences of edits the index is tried with",
    )
