"""Where things are in a club folder, and what lies in it besides its sheets."""
