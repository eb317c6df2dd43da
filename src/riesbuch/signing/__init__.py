"""Seals and corrections written into the text of a sheet; nothing else of it changes."""
