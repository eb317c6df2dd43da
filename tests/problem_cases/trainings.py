"""Faults in training evenings."""

from tests.clubfolder import LEAGUE, Replace, Write
from tests.problem_cases.model import Case, NearMiss

_EVENING = "trainings/2026/2026-04-02.yaml"
_TEXT = """\
date: 2026-04-02
club: aarwald
strikes:
  bigler-jonas: 15 16 0 17
present: [aebi-ruedi]
"""
EVENING = Write(_EVENING, _TEXT)
_OTHER = "trainings/2026/2026-04-02-second.yaml"
_SAHLI = "players/sahli-rosa.yaml"


def _with(old: str, new: str) -> Write:
    assert old in _TEXT
    return Write(_EVENING, _TEXT.replace(old, new))


CASES: tuple[Case, ...] = (
    Case(
        code="training-misnamed",
        title="The evening of 9 April lies in the file of 2 April.",
        edits=[_with("date: 2026-04-02", "date: 2026-04-09")],
        path=_EVENING,
        excerpt="date: 2026-04-09",
        points_at="2026-04-09",
        says="dated 2026-04-09, and its file's name does not begin with that",
        advises="call the file 2026-04-09-aarwald",
        near_miss=NearMiss(
            title="Anything may follow the date.",
            edits=[Write("trainings/2026/2026-04-02-aarwald.yaml", _TEXT)],
        ),
    ),
    Case(
        code="training-twice",
        title="The same evening of a club in two files.",
        edits=[EVENING, Write(_OTHER, _TEXT)],
        path=_EVENING,
        excerpt="date: 2026-04-02",
        points_at="2026-04-02",
        says="this evening of `aarwald` already has a file: trainings/2026/2026-04-02-second.yaml",
        advises="put both into one",
        near_miss=NearMiss(
            title="Two clubs trained on one day.",
            edits=[
                EVENING,
                Write(_OTHER, "date: 2026-04-02\nclub: birkenfluh\npresent: [kipfer-urs]\n"),
            ],
        ),
    ),
    Case(
        code="other-club",
        title="A member of another club struck.",
        edits=[
            Write(_SAHLI, "name: Rosa Sahli\nclubs: [{club: birkenfluh}]\n"),
            _with("bigler-jonas", "sahli-rosa"),
        ],
        path=_EVENING,
        excerpt="  sahli-rosa: 15 16 0 17",
        points_at="sahli-rosa",
        severity="warning",
        says="`sahli-rosa` is a member of `birkenfluh`, not of `aarwald`",
        advises="a guest may train",
        near_miss=NearMiss(
            title="A member since this year struck.",
            edits=[
                Write(
                    _SAHLI,
                    "name: Rosa Sahli\nclubs: [{club: birkenfluh}, {club: aarwald, from: 2026}]\n",
                ),
                _with("bigler-jonas", "sahli-rosa"),
            ],
        ),
    ),
)

OF_TRAININGS: tuple[Case, ...] = (
    Case(
        code="unknown-player",
        title="A name mistyped in a training.",
        edits=[_with("bigler-jonas", "bigler-jona")],
        path=_EVENING,
        excerpt="  bigler-jona: 15",
        points_at="bigler-jona",
        says="the player `bigler-jona` has no file in players/",
        advises="did you mean bigler-jonas",
        near_miss=NearMiss(
            title="One who is in the register though of no club.",
            edits=[_with("bigler-jonas", "zaugg-lena")],
        ),
    ),
    Case(
        code="unknown-player",
        title="Somebody unknown in a training of an open register.",
        edits=[
            Replace(LEAGUE, "\n", '\nregister = "open"\n'),
            _with("[aebi-ruedi]", "[wyss-peter]"),
        ],
        path=_EVENING,
        excerpt="present: [wyss-peter]",
        points_at="wyss-peter",
        severity="warning",
        says="the player `wyss-peter` has no file in players/",
        advises="a new player needs a file players/wyss-peter.yaml",
        near_miss=NearMiss(title="One who is known.", edits=[EVENING]),
    ),
    Case(
        code="unknown-club",
        title="The club of a training mistyped.",
        edits=[_with("club: aarwald", "club: aarwalt")],
        path=_EVENING,
        excerpt="club: aarwalt",
        points_at="aarwalt",
        says="the club `aarwalt` has no file in clubs/",
        advises="did you mean aarwald",
        near_miss=NearMiss(title="A club that there is.", edits=[EVENING]),
    ),
    Case(
        code="strike-too-high",
        title="A strike of a training beyond the highest.",
        edits=[_with("15 16 0 17", "15 16 0 71")],
        path=_EVENING,
        excerpt="  bigler-jonas: 15 16 0 71",
        points_at="71",
        says="`strikes.bigler-jonas.4` is 71; the highest strike is 35",
        advises="did you mean 17",
        near_miss=NearMiss(
            title="The highest strike of all.", edits=[_with("15 16 0 17", "15 16 0 35")]
        ),
    ),
    Case(
        code="strike-unreadable",
        title="A Nummer in a training.",
        edits=[_with("15 16 0 17", "15 16N 0 17")],
        path=_EVENING,
        excerpt="  bigler-jonas: 15 16N 0 17",
        points_at="16N",
        says="`16N` in `strikes.bigler-jonas` is not a strike of a training",
        advises="nobody fields, so there are no Nummern: write 16",
        near_miss=NearMiss(
            title="A strike not written down.", edits=[_with("15 16 0 17", "15 ~ 0 17")]
        ),
    ),
    Case(
        code="strike-unreadable",
        title="A sign in a training that is none of its strikes.",
        edits=[_with("15 16 0 17", "15 – 0 17")],
        path=_EVENING,
        excerpt="  bigler-jonas: 15 – 0 17",
        points_at="–",
        says="`–` in `strikes.bigler-jonas` is not a strike of a training",
        advises="write its points, ~ where nobody wrote it down, _ where it is still to come",
        near_miss=NearMiss(
            title="A strike still to come.",
            edits=[_with("15 16 0 17", "15 _ 0 17")],
            also=("draft",),
        ),
    ),
    Case(
        code="wrong-shape",
        title="The strikes of a training in brackets.",
        edits=[_with("15 16 0 17", "[[15, 16], [0, 17]]")],
        path=_EVENING,
        excerpt="  bigler-jonas: [[15, 16], [0, 17]]",
        points_at="[[15",
        says="`strikes.bigler-jonas` must be the strikes in a row",
        advises="write 15 16 0 17",
        near_miss=NearMiss(title="A single strike.", edits=[_with("15 16 0 17", "15")]),
    ),
    Case(
        code="date-outside-season",
        title="A training in the folder of another year.",
        edits=[_with("date: 2026-04-02", "date: 2025-04-02")],
        path=_EVENING,
        excerpt="date: 2025-04-02",
        points_at="2025-04-02",
        says="2025-04-02 is not in the year 2026 of the folder",
        advises="belongs in trainings/2025/",
        near_miss=NearMiss(
            title="A year without a season.",
            edits=[
                Write("trainings/2025/2025-04-02.yaml", _TEXT.replace("2026-04-02", "2025-04-02"))
            ],
        ),
    ),
    Case(
        code="repeated-player",
        title="Strikes of one who is listed as present too.",
        edits=[_with("[aebi-ruedi]", "[bigler-jonas]")],
        path=_EVENING,
        excerpt="present: [bigler-jonas]",
        points_at="bigler-jonas",
        says="`bigler-jonas` has strikes here, and stands under `present` too",
        advises="delete it here",
        near_miss=NearMiss(
            title="Nobody but those who only watched.",
            edits=[_with("strikes:\n  bigler-jonas: 15 16 0 17\n", "")],
        ),
    ),
    Case(
        code="repeated-player",
        title="One listed as present twice.",
        edits=[_with("[aebi-ruedi]", "[aebi-ruedi, aebi-ruedi]")],
        path=_EVENING,
        excerpt="present: [aebi-ruedi, aebi-ruedi]",
        points_at="aebi-ruedi]",
        says="`aebi-ruedi` stands twice under `present`",
        advises="delete it here",
        near_miss=NearMiss(
            title="Two of one family.", edits=[_with("[aebi-ruedi]", "[aebi-ruedi, aebi-hans]")]
        ),
    ),
    Case(
        code="draft",
        title="A row of a training still to be entered.",
        edits=[_with("15 16 0 17", "15 16 _")],
        path=_EVENING,
        excerpt="  bigler-jonas: 15 16 _",
        points_at="bigler-jonas",
        severity="draft",
        says="1 row is still to be entered",
        advises="name who was only there under `present`",
        near_miss=NearMiss(title="All entered.", edits=[EVENING]),
    ),
    Case(
        code="stray-file",
        title="A training beside the folders of years.",
        edits=[Write("trainings/2026-04-02.yaml", _TEXT)],
        path="trainings/2026-04-02.yaml",
        excerpt="",
        severity="warning",
        says="trainings are read from trainings/YEAR/DATE.yaml",
        near_miss=NearMiss(
            title="A list of exercises.", edits=[Write("trainings/exercises.txt", "run\n")]
        ),
    ),
    Case(
        code="unknown-key",
        title="German words for the keys of a training.",
        edits=[_with("present:", "anwesend:")],
        path=_EVENING,
        excerpt="anwesend: [aebi-ruedi]",
        points_at="anwesend",
        says="`anwesend` is not a key that belongs in a training's file",
        advises="write present: in its place",
        near_miss=NearMiss(title="The key as it is called.", edits=[EVENING]),
    ),
)
"""Codes that other files have too."""
