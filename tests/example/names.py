# ruff: noqa: E501 - word lists and whole files read better unbroken
"""Invented family names, first names by generation, and the referees."""

from __future__ import annotations

FAMILIES = {
    "aarwald": "Aebi Bigler Zaugg Rainacher Hubelmann Grabenmatter Oberstalder",
    "birkenfluh": "Fluhmatter Röthenacher Birchmatter Schürlimann Wydmatter Eggenschwand Kohliger",
    "nebelschwand": "Nydacher Schwandimann Hofstettler Gfellmatter Burrenegger Lochbühler Staldimann",
    "fuchsmattigen": "Fuchsacher Wälchlimann Mattenhöfler Baumstalder Hirsmatter Ischmann Jaunacher",
    "eschlisried": "Eschmatter Riedacher Liechtmann Sägimann Brunnstalder Tschanzer Bachmatter",
    "sommerhubel": "Hublacher Sunnacher Wegmüllner Bärtschimann Heimbächler Leuenmatter Ramsacher",
    "ginsterwil": "Ginstmann Dorfacher Pfistermatter Nussacher Kräyacher Widmerli Zürnegger",
    "tiefenschuer": "Schürmatter Tieffenacher Ochsenbühler Lanzacher Käslimann Vorderegger Unterholzer",
}

# (men, women) from this birth year on
FIRST_NAMES = [
    (
        1900,
        "Gottfried Ernst Fritz Walter Emil Alfred Jakob Otto Karl Werner Johann Rudolf Samuel Gottlieb",
        "Rosa Frieda Lina Martha",
    ),
    (
        1926,
        "Hans Paul Willi Robert Ulrich Max Christian Erwin Hansruedi Arnold Theo Alexander Oskar",
        "Klara Hanni Dora Lotti",
    ),
    (
        1946,
        "Hansueli Peter Kurt Heinz Bruno Erich Ueli Beat Martin Urs Toni Res Niklaus Jürg Bernhard",
        "Vreni Rosmarie Heidi Annemarie Margrit Elsbeth Käthi Therese",
    ),
    (
        1966,
        "Stefan Adrian Reto Marcel Roland Thomas Matthias Lukas Philipp Bänz Christof Michael Patrick",
        "Sandra Karin Barbara Manuela Franziska Corinne Regula Brigitte Daniela Monika",
    ),
    (
        1986,
        "Simon Fabian Dominik Pascal Raphael Jonas Sandro Remo Cyrill Marco Florian Tobias",
        "Anja Nadja Selina Michelle Rahel Corina Melanie Sabrina Eveline Tamara",
    ),
    (
        2000,
        "Nils Luca Jan Tim Levin Elias Joel Silvan Lars Noah Andrin Yanik Nevio Lionel",
        "Livia Nina Jana Ronja Alina Sarina Elin Lea Mia Noemi Jael Malin",
    ),
]

LONG_FORMS = {
    "Fritz": "Friedrich",
    "Ueli": "Ulrich",
    "Res": "Andreas",
    "Toni": "Anton",
    "Hansueli": "Hans-Ulrich",
    "Hansruedi": "Hans-Rudolf",
    "Bänz": "Benedikt",
    "Vreni": "Verena",
    "Käthi": "Katharina",
    "Heidi": "Adelheid",
    "Willi": "Wilhelm",
    "Theo": "Theodor",
    "Hanni": "Johanna",
    "Beat": "Beatus",
    "Hans": "Johannes",
}

REFEREES = [
    "Vreni Oesch",
    "Kobi Stegacher",
    "Fridolin Äschmatter",
    "Trudi Hangartler",
    "Sepp Wasemann",
    "Annarös Bodenacher",
    "Melch Obermättler",
    "Hämi Geissbrugger",
    "Rösli Untermatter",
    "Xaver Trachselmann",
    "Lisbeth Sandacher",
    "Godi Hasenmatter",
]

TRANSLITERATION = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "ae", "Ö": "oe", "Ü": "ue", "é": "e", " ": "-"}
)


def slug(text: str) -> str:
    return text.translate(TRANSLITERATION).lower()


def first_names(born: int, woman: bool) -> list[str]:
    men, women = next((men, women) for since, men, women in reversed(FIRST_NAMES) if born >= since)
    return (women if woman else men).split()
