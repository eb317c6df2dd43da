"""What was read and judged before, kept in `.riesbuch/`: derived from the files alone, found by
the digest of all that it depends on, and so never stale. The only room that uses sqlite3."""
