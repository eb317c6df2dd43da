"""Which language says what."""

from collections.abc import Mapping
from types import MappingProxyType

from riesbuch.language.page_phrases import Phrases, PhrasesOfThePast
from riesbuch.language.pages_de import GERMAN, GERMAN_PAST
from riesbuch.language.pages_en import ENGLISH, ENGLISH_PAST
from riesbuch.trade.ids import Language

CATALOGUES: Mapping[Language, Phrases] = MappingProxyType({"en": ENGLISH, "de": GERMAN})
CATALOGUES_OF_THE_PAST: Mapping[Language, PhrasesOfThePast] = MappingProxyType(
    {"en": ENGLISH_PAST, "de": GERMAN_PAST}
)
