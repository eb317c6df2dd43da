"""The care of the register: people added, moved to another club, renamed and merged."""
