"""Where the values of TOML files stand, of which the parser says nothing."""

from riesbuch.text.settings import toml_lines


def test_places_within_arrays_and_braces() -> None:
    text = (
        "[[table]]\n"
        "rows = [\n"
        '  {rank = 1, team = "a-a"},  # } ]\n'
        '  {rank = 2, names = ["x, y", "z"], note = """one\n'
        ' } two""", won = 3}, {rank = 3},\n'
        "]\n"
        "by = [1, # first\n"
        " 2]\n"
    )
    positions = toml_lines(text)
    lines = text.split("\n")
    places = {
        "table.1.rows.1": "{rank = 1",
        "table.1.rows.1.team": "team",
        "table.1.rows.2.names": "names",
        "table.1.rows.2.names.2": '"z"',
        "table.1.rows.2.won": "won",
        "table.1.rows.3.rank": "rank = 3",
        "table.1.by": "by",
        "table.1.by.2": "2]",
    }
    for place, begins in places.items():
        line, column = positions[place]
        assert lines[line - 1][column - 1 :].startswith(begins), place
