"""`python -m tests.example [DEST]` writes the example folder anew."""

from __future__ import annotations

import sys
from pathlib import Path

from .folder import write


def main() -> None:
    destination = Path(sys.argv[1] if len(sys.argv) > 1 else "example_league")
    print(f"{write(destination)} files in {destination}")


if __name__ == "__main__":
    main()
