"""The reports: pages of Markdown built from the results, and the one writer of `reports/`."""
