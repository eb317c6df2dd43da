"""The invented Oberhang League: a seeded generator for the example folder.

`python -m tests.example DEST` writes the folder, `python -m tests.example.audit
DEST` checks it. Neither imports the tool, so the example is an independent witness.
"""
