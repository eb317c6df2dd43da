"""The care of a folder's files: plan, draft, roster, seal, correct, tidy."""
