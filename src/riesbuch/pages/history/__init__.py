"""The pages of the history: one file for each, and what leads to them."""
