"""Match sheets and league archive for Hornussen, in plain text files."""

__version__ = "0.1.0"
