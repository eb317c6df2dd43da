"""Two states of a club folder: what changed, what that does, how they become one."""
