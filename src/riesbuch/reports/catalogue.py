"""Which language says what."""

from collections.abc import Mapping
from types import MappingProxyType

from riesbuch.files.league import Language
from riesbuch.reports.catalogue_de import GERMAN
from riesbuch.reports.catalogue_en import ENGLISH
from riesbuch.reports.catalogue_past_de import GERMAN_PAST
from riesbuch.reports.catalogue_past_en import ENGLISH_PAST
from riesbuch.reports.phrases import Phrases
from riesbuch.reports.phrases_past import PhrasesOfThePast

CATALOGUES: Mapping[Language, Phrases] = MappingProxyType({"en": ENGLISH, "de": GERMAN})
CATALOGUES_OF_THE_PAST: Mapping[Language, PhrasesOfThePast] = MappingProxyType(
    {"en": ENGLISH_PAST, "de": GERMAN_PAST}
)
