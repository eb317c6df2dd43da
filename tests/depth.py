"""How long random runs are: a short form always, the deep one with ``HYPOTHESIS_PROFILE=deep``."""

import os

PROFILE = os.environ.get("HYPOTHESIS_PROFILE", "settled")


def runs(short: int, *, deep: int) -> int:
    return deep if PROFILE == "deep" else short
