"""Which language says what."""

from collections.abc import Mapping
from types import MappingProxyType

from riesbuch.files.league import Language
from riesbuch.reports.catalogue_de import GERMAN
from riesbuch.reports.catalogue_en import ENGLISH
from riesbuch.reports.phrases import Phrases

CATALOGUES: Mapping[Language, Phrases] = MappingProxyType({"en": ENGLISH, "de": GERMAN})
