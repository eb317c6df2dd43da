"""``python -m riesbuch``."""

from riesbuch.cli.main import run

if __name__ == "__main__":
    run()
