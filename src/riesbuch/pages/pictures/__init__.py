"""Pictures as SVG texts: plain records and words in, a text out, no files, no clock."""
