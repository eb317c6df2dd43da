"""The sport itself: strikes, matches, people, rules, tallies, tables. Pure: no files, no output."""
