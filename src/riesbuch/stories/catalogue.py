"""The languages of stories, each the language of a folder's reports."""

from __future__ import annotations

from riesbuch.files.league import Language
from riesbuch.stories.words import Words


def words_of(language: Language) -> Words:
    """Only the catalogue that is asked for is imported."""
    if language == "de":
        from riesbuch.stories.catalogue_de import GERMAN

        return GERMAN
    from riesbuch.stories.catalogue_en import ENGLISH

    return ENGLISH
