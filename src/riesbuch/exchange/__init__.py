"""Tables in and out: spreadsheets' CSV into sheets, and the whole folder into CSV."""
