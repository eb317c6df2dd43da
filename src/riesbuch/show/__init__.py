"""Answers as tables, notes and data: for a terminal, as Markdown, CSV and JSON."""
