"""Text to records with positions, and records to text. The only room that parses."""
