"""Options of the whole suite."""

import os

import pytest
from hypothesis import settings

from tests.depth import PROFILE, runs

# The same examples on every machine, and no deadline for a slow one; `HYPOTHESIS_PROFILE=deep`
# looks for new ones, and for many.
settings.register_profile("settled", derandomize=True, deadline=None)
settings.register_profile("deep", max_examples=2500, deadline=None)
settings.load_profile(PROFILE)


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Notes of the indexes of folders that are soon gone are kept beside them."""
    os.environ["XDG_CACHE_HOME"] = str(tmp_path_factory.mktemp("cache"))


@pytest.fixture(scope="session", autouse=True)
def english() -> None:
    """What tests run in a process of its own speaks English, whatever the machine's locale."""
    os.environ["RIESBUCH_LANGUAGE"] = "en"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--refresh-documentation",
        action="store_true",
        help="rewrite what README and guide show of the tool's output from what it prints now",
    )
    parser.addoption(
        "--edit-sequences",
        type=int,
        default=runs(8, deep=2000),
        help="how many random sequences of edits the index is tried with",
    )
