"""The historian's questions, asked of the index's tables in SQL and answered as records."""
