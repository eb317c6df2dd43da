"""Faults of a file as a whole."""

from riesbuch.text.plain import LARGEST_FILE
from tests.clubfolder import (
    FIRST,
    FIRST_SHEET,
    LENA,
    MATCHES,
    SEASON,
    Link,
    MakeFolder,
    Replace,
    Write,
)
from tests.problem_cases.model import Case, NearMiss

_RUEDI_ROW = "    aebi-ruedi: [[18, 20], [17, 19]]\n"
_FOLDER_SHEET = f"{MATCHES}/2026-06-07-aarwald-b-birkenfluh-a.yaml"
_SECOND_DOCUMENT = "---\ncompetition: oberhang-1\n"


def _padded_to(size: int) -> str:
    line = "# one more line of remarks\n"
    padding = size - len(FIRST_SHEET)
    return FIRST_SHEET + line * (padding // len(line)) + "#" * (padding % len(line))


CASES = (
    Case(
        code="file-unreadable",
        title="A folder has the name of a sheet.",
        edits=[MakeFolder(_FOLDER_SHEET)],
        path=_FOLDER_SHEET,
        excerpt="",
        says="the file cannot be read: ",
        advises="rename the folder",
        near_miss=NearMiss(
            title="A folder for something else stands beside the sheets.",
            edits=[MakeFolder(f"{MATCHES}/scans")],
        ),
    ),
    Case(
        code="not-a-file",
        title="A link stands in place of a player's file.",
        edits=[Link(LENA, "../lena.yaml"), Write("lena.yaml", "name: Lena Zaugg\n")],
        path=LENA,
        excerpt="",
        says="this is a symbolic link; only plain files and folders are read",
        advises="put the files themselves here",
        near_miss=NearMiss(
            title="An editor has the file open, and marks it with a link.",
            edits=[Link("players/.#zaugg-lena.yaml", "lena@laptop.4711:1795000000")],
        ),
    ),
    Case(
        code="not-utf8",
        title="A file was saved in an old Windows encoding.",
        edits=[Write(LENA, "name: Lena Zürcher\n".encode("cp1252"))],
        path=LENA,
        excerpt="name: Lena Z\ufffdrcher",
        points_at="\ufffd",
        says="the byte 0xfc is not UTF-8 text",
        advises="save the file with the encoding UTF-8",
        near_miss=NearMiss(
            title="The same letters in UTF-8.", edits=[Write(LENA, "name: Lena Zürcher\n")]
        ),
    ),
    Case(
        code="too-large",
        title="A file is far larger than any sheet.",
        edits=[Write(FIRST, _padded_to(LARGEST_FILE + 1))],
        path=FIRST,
        excerpt="competition: oberhang-1",
        says="the file has more than 1048576 bytes, the most that are read",
        near_miss=NearMiss(
            title="A file is just as large as it may be.",
            edits=[Write(FIRST, _padded_to(LARGEST_FILE))],
        ),
    ),
    Case(
        code="empty-file",
        title="A file holds nothing but a remark.",
        edits=[Write(LENA, "# to be filled in\n")],
        path=LENA,
        excerpt="# to be filled in",
        says="there is nothing in this file",
        near_miss=NearMiss(
            title="A remark with something below it.",
            edits=[Write(LENA, "# to be filled in\nname: Lena Zaugg\n")],
        ),
    ),
    Case(
        code="merge-conflict",
        title="Git could not merge two versions of a line and left both.",
        edits=[
            Replace(
                FIRST,
                _RUEDI_ROW,
                f"<<<<<<< HEAD\n{_RUEDI_ROW}=======\n"
                "    aebi-ruedi: [[18, 21], [17, 19]]\n>>>>>>> from-the-tablet\n",
            )
        ],
        path=FIRST,
        excerpt="<<<<<<< HEAD\n    aebi-ruedi: [[18, 20], [17, 19]]\n=======\n"
        "    aebi-ruedi: [[18, 21], [17, 19]]\n>>>>>>> from-the-tablet",
        points_at="<<<<<<< HEAD",
        says="git left a merge conflict here",
        advises="keep the right lines and delete the marker lines",
        near_miss=NearMiss(
            title="The same signs inside a text.",
            edits=[Replace(FIRST, "round: 1", 'round: 1\nnotes: "<<<<<<< wind >>>>>>>"')],
        ),
    ),
    Case(
        code="yaml-syntax",
        title="A quote is opened and never closed.",
        edits=[Write(LENA, 'born: 1990\nname: "Lena Zaugg\n')],
        path=LENA,
        excerpt='name: "Lena Zaugg',
        points_at='"Lena Zaugg',
        says="not closed in its line",
        near_miss=NearMiss(
            title="A quoted text that runs on in the next line.",
            edits=[Write(LENA, 'born: 1990\nname: "Lena\n  Zaugg"\n')],
        ),
    ),
    Case(
        code="toml-syntax",
        title="A text in a TOML file stands without quotes.",
        edits=[Replace(SEASON, 'kind = "league"', "kind = league")],
        path=SEASON,
        excerpt="kind = league",
        points_at="league",
        says="behind `=` stands no value",
        advises='write kind = "league"',
        near_miss=NearMiss(
            title="A text in single quotes.",
            edits=[Replace(SEASON, 'kind = "league"', "kind = 'league'")],
        ),
    ),
    Case(
        code="too-deep",
        title="Lists are nested without end.",
        edits=[Replace(FIRST, "round: 1", f"round: 1\nnotes: {'[' * 14}windy{']' * 14}")],
        path=FIRST,
        excerpt=f"notes: {'[' * 14}windy{']' * 14}",
        points_at="[[[windy",
        says="lists and mappings are nested deeper here than any file needs",
        near_miss=NearMiss(
            title="Lists as deep as they may be, which have no place in the notes either.",
            edits=[Replace(FIRST, "round: 1", f"round: 1\nnotes: {'[' * 11}windy{']' * 11}")],
            also=("wrong-shape",),
        ),
    ),
    Case(
        code="several-documents",
        title="Two sheets stand in one file.",
        edits=[Write(FIRST, FIRST_SHEET + _SECOND_DOCUMENT)],
        path=FIRST,
        excerpt="---\ncompetition: oberhang-1",
        says="a second document begins here; a file holds one",
        advises="move what follows to a file of its own",
        near_miss=NearMiss(
            title="A single document with the line that may open it.",
            edits=[Write(FIRST, f"---\n{FIRST_SHEET}")],
        ),
    ),
    Case(
        code="anchor",
        title="A value is named with `&`.",
        edits=[Replace(FIRST, "captain: aebi-ruedi", "captain: &chief aebi-ruedi")],
        path=FIRST,
        excerpt="  captain: &chief aebi-ruedi",
        points_at="&chief",
        says="`&chief` names a place to refer to",
        advises="a text that begins with & needs quotes",
        near_miss=NearMiss(
            title="An `&` in quotes, and one inside a text.",
            edits=[Replace(FIRST, "round: 1", 'round: 1\nweather: "&c."\nnotes: sun & wind')],
        ),
    ),
    Case(
        code="alias",
        title="A value refers to another with `*`.",
        edits=[Replace(FIRST, "captain: aebi-ruedi", "captain: *chief")],
        path=FIRST,
        excerpt="  captain: *chief",
        points_at="*chief",
        says="`*chief` refers to another place; write the value itself",
        advises="a text that begins with * needs quotes",
        near_miss=NearMiss(
            title="A `*` in quotes, and one inside a text.",
            edits=[Replace(FIRST, "round: 1", 'round: 1\nweather: "*fine*"\nnotes: very *fine*')],
        ),
    ),
    Case(
        code="tag",
        title="A value carries a type.",
        edits=[Replace(FIRST, "round: 1", "round: !!int 1")],
        path=FIRST,
        excerpt="round: !!int 1",
        points_at="!!int",
        says="is a type tag; leave it out",
        advises="a text that begins with ! needs quotes",
        near_miss=NearMiss(
            title="A `!` in quotes, and one at the end of a text.",
            edits=[Replace(FIRST, "round: 1", 'round: 1\nweather: "!! hail"\nnotes: hail!!')],
        ),
    ),
    Case(
        code="merge-key",
        title="A mapping is merged in with `<<`.",
        edits=[Replace(FIRST, "  team: aarwald-a", "  <<: {team: aarwald-a}\n  team: aarwald-a")],
        path=FIRST,
        excerpt="  <<: {team: aarwald-a}",
        points_at="<<",
        says="`<<` merges another mapping in; write the lines themselves",
        near_miss=NearMiss(
            title="The two signs as a text.",
            edits=[Replace(FIRST, "round: 1", "round: 1\nnotes: <<")],
        ),
    ),
    Case(
        code="not-a-mapping",
        title="A file is a list.",
        edits=[Write(LENA, "- Lena Zaugg\n- 1990\n")],
        path=LENA,
        excerpt="- Lena Zaugg",
        says="the file must be made of lines like `key: value`",
        near_miss=NearMiss(
            title="A file in braces, which is a mapping too.",
            edits=[Write(LENA, "{name: Lena Zaugg, born: 1990}\n")],
        ),
    ),
    Case(
        code="bad-file-name",
        title="A file's name has capitals and an underscore.",
        edits=[Write("players/Zaugg_Eva.yaml", "name: Eva Zaugg\n")],
        path="players/Zaugg_Eva.yaml",
        excerpt="name: Eva Zaugg",
        says="the file's name `Zaugg_Eva` is not an identifier",
        advises="names are made of a-z, 0-9 and single hyphens",
        near_miss=NearMiss(
            title="Small letters, digits and single hyphens.",
            edits=[Write("players/zaugg-eva-2.yaml", "name: Eva Zaugg\n")],
        ),
    ),
)
