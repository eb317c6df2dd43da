"""Stories in German: what is told once the result and the course of the match are."""

from collections.abc import Mapping
from types import MappingProxyType

AFTER_THE_RESULT: Mapping[str, tuple[str, ...]] = MappingProxyType({
    # who struck
    "best_match_one": (
        "Die meisten Punkte schlug {player} ({team}), es waren {points}.",
        "Die beste Leistung zeigte {player} ({team}) mit {points:with_points}.",
        "Niemand schlug mehr als {player} ({team}): {points:points}.",
        "Mit {points:with_points} stand {player} ({team}) an der Spitze der Einzelschläger.",
    ),
    "best_match_many": (
        "Die meisten Punkte schlugen {players}, je {points}.",
        "Mit je {points:with_points} standen {players} an der Spitze der Einzelschläger.",
    ),
    "best_side_one": (
        "Für {team} schlug {player} am meisten, {points:points}.",
        "Bei {team} lag {player} mit {points:with_points} vorn.",
        "Die meisten Punkte von {team} kamen von {player}: {points}.",
    ),
    "best_side_many": (
        "Für {team} schlugen {players} am meisten, je {points:points}.",
        "Bei {team} lagen {players} mit je {points:with_points} vorn.",
    ),
    "highest_strike": (
        "Der höchste Streich zählte {points}; er kam im {inning:nth} Umgang von {player}"
        " ({team}).",
        "Kein einzelner Streich war höher als jener von {player} ({team}) im {inning:nth}"
        " Umgang: {points}.",
        "Den höchsten Streich hatte {player} ({team}): {points}, im {inning:nth} Umgang.",
    ),
    "best_one": (
        "Für {player} sind die {points:points} das Beste, was verzeichnet ist; bisher waren es"
        " {before}.",
        "Mehr ist von {player} nie verzeichnet: {points:points}, bisher {before}.",
        "{player} ({team}) übertraf die eigene Bestleistung von {before} und steht neu bei"
        " {points}.",
    ),
    "bests": (
        "So viele Punkte wie noch nie verzeichnet schlugen {bests}.",
        "Eigene Bestleistungen in den Aufzeichnungen: {bests}.",
        "Mehr als je zuvor in den Aufzeichnungen schlugen {bests}.",
    ),
    "bests_some": (
        "Die eigene verzeichnete Bestleistung wurde von {count:with_people} übertroffen,"
        " darunter {bests}.",
        "Bestleistungen gab es nach den Aufzeichnungen von {count:with_people}; voraus gehen"
        " {bests}.",
    ),
    "match_number": (
        "Für {player} ({team}) war es das {number:ordinal} verzeichnete Spiel.",
        "{player} ({team}) bestritt das {number:ordinal} verzeichnete Spiel.",
    ),
    "points_reached": (
        "{player} ({team}) hat die Schwelle von {number:with_points} überschritten;"
        " verzeichnet sind nun {total}.",
        "Mit diesem Spiel sind von {player} ({team}) {total:points} verzeichnet, die Schwelle"
        " von {number} ist überschritten.",
    ),
    "first_one": (
        "{player} schlug für {team} im ersten Spiel, das verzeichnet ist.",
        "Neu in den Aufzeichnungen ist {player}, im Einsatz für {team}.",
        "Für {player} ({team}) war es das erste verzeichnete Spiel.",
    ),
    "first_many": (
        "Neu in den Aufzeichnungen, im Einsatz für {team}: {players}.",
        "{players} schlugen für {team} im ersten Spiel, das von ihnen verzeichnet ist.",
    ),
    "family_first": (
        "{players} schlugen zum ersten verzeichneten Mal auf einer Seite: {generations}"
        " Generationen einer Familie, für {team}.",
        "{team} hatte {generations} Generationen einer Familie auf seiner Seite, zum ersten"
        " verzeichneten Mal: {players}.",
    ),
    "family_again": (
        "{players}, {generations} Generationen einer Familie, schlugen für {team}; verzeichnet"
        " ist es gemeinsam zum {times:ordinal} Mal.",
        "{team} hatte {generations} Generationen einer Familie auf seiner Seite: {players},"
        " verzeichnet zum {times:ordinal} Mal gemeinsam.",
    ),
    # what it meant for the teams
    "team_best": (
        "Die {points:points} sind das Höchste, was von {team} verzeichnet ist; bisher waren es"
        " {before}, in {matches:with_matches}.",
        "Mehr ist von {team} nie verzeichnet: {points:points}, nach {before} als dem Besten aus"
        " {matches:with_matches}.",
    ),
    "ended_won": (
        "Damit endete eine Reihe von {length:with_wins}, die {team} am {since} begonnen hatte.",
        "{team} hatte seit dem {since} {length:matches} nacheinander gewonnen; das ist vorbei.",
    ),
    "ended_lost": (
        "{team} hatte seit dem {since} {length:matches} nacheinander verloren; das ist vorbei.",
        "Nach {length:with_defeats} in Folge seit dem {since} wurde {team} diesmal nicht"
        " geschlagen.",
    ),
    "ended_unbeaten": (
        "{team} war seit dem {since} in {length:with_matches} ungeschlagen geblieben, bis zu"
        " diesem Tag.",
        "Damit endete für {team} eine Reihe von {length:with_matches} ohne Niederlage,"
        " begonnen am {since}.",
    ),
    "ended_clean": (
        "{team} war seit dem {since} in {length:with_matches} sauber geblieben, bis zu diesem"
        " Tag.",
        "Damit endete für {team} eine Reihe von {length:with_matches} ohne Nummer, begonnen am"
        " {since}.",
    ),
    "goes_on_won": (
        "{team} hat nun seit dem {since} {length:matches} nacheinander gewonnen.",
        "Für {team} ist es der {length:ordinal} Sieg in Folge seit dem {since}.",
    ),
    "goes_on_unbeaten": (
        "{team} ist nun seit dem {since} in {length:with_matches} ungeschlagen.",
        "Es ist das {length:ordinal} Spiel in Folge seit dem {since}, das {team} nicht"
        " verliert.",
    ),
    "goes_on_clean": (
        "{team} ist nun seit dem {since} in {length:with_matches} sauber geblieben.",
        "Es ist das {length:ordinal} Spiel in Folge seit dem {since}, in dem {team} keine"
        " Nummer zulässt.",
    ),
    "meeting_won": (
        "Beim letzten verzeichneten Treffen, am {date}, gewann {winner}.",
        "Das letzte verzeichnete Spiel der beiden, am {date}, ging an {winner}.",
    ),
    "meeting_drawn": (
        "Beim letzten verzeichneten Treffen, am {date}, gab es ein Unentschieden.",
        "Das letzte verzeichnete Spiel der beiden, am {date}, endete unentschieden.",
    ),
    "rank_points": (
        "Das Spiel brachte {home} {home_points:rank_points} und {away} {away_points}.",
        "An Rangpunkten gab das Spiel {home_points} für {home} und {away_points} für {away}.",
        "Aus diesem Spiel nahm {home} {home_points:rank_points} mit, {away} {away_points}.",
    ),
    # what is known, and from where
    "weather": (
        "Zum Wetter steht im Spielblatt: «{text}».",
        "Das Wetter laut Spielblatt: «{text}».",
    ),
    "note": (
        "Im Spielblatt steht zudem: «{text}».",
        "Eine Bemerkung im Spielblatt lautet: «{text}».",
    ),
    "only_players": (
        "Nicht jeder Streich ist bekannt; von einer Seite sind es nur die Punkte der Spieler.",
        "Von einer Seite gibt es nur die Punkte der Spieler, nicht ihre Streiche.",
    ),
    "only_players_of_both": (
        "Die einzelnen Streiche sind nicht bekannt, nur die Punkte der Spieler.",
        "Von beiden Seiten gibt es nur die Punkte der Spieler, nicht ihre Streiche.",
    ),
    "only_ries": (
        "Von einer Seite ist nicht mehr bekannt als ihre Ries.",
        "Wer was schlug, ist nicht von beiden Seiten bekannt; von einer gibt es nur die Ries.",
    ),
    "only_ries_of_both": (
        "Mehr als die Ries ist von beiden Seiten nicht bekannt.",
        "Wer was schlug, weiss niemand mehr; es gibt nur die Ries.",
    ),
    "only_points": (
        "Von einer Seite ist nicht mehr bekannt als ihre Punkte.",
        "Wer was schlug, ist nicht von beiden Seiten bekannt; von einer gibt es nur die Punkte.",
    ),
    "only_points_of_both": (
        "Mehr als die Punkte ist von beiden Seiten nicht bekannt.",
        "Wer was schlug, weiss niemand mehr; es gibt nur die Punkte.",
    ),
    "only_none": (
        "Von einer Seite sind keine Zahlen überliefert.",
        "Von einer Seite haben sich keine Zahlen erhalten.",
    ),
    "only_none_of_both": (
        "Zahlen sind von diesem Spiel nicht überliefert.",
        "Von diesem Spiel haben sich keine Zahlen erhalten.",
    ),
    "source": (
        "Erzählt ist es nach {source}.",
        "Was davon bekannt ist, stammt aus {source}.",
    ),
    "source_reference": (
        "Erzählt ist es nach {source} («{reference}»).",
        "Was davon bekannt ist, stammt aus {source} («{reference}»).",
    ),
    "doubts": (
        "Das Spielblatt ist an {count:places} zweifelhaft.",
        "An {count:places} vermerkt das Spielblatt selbst einen Zweifel.",
    ),
})  # fmt: skip
