"""Helpers that read the README and the guide, and do what they show."""
