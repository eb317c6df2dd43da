"""What changed between two states of a club folder, and what that does."""
