"""Every rule the files are held against, each a function whose docstring is the rule."""
