"""Every question, asked of the index's tables in SQL and answered as records."""
