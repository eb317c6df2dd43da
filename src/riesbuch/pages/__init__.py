"""Pages, pictures and stories made from answers, and the one writer of `reports/`."""
