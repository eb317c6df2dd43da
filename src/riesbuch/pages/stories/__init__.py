"""The story of a match in words, true to its sheet and to what was on record before it."""
