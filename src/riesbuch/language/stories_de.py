"""Stories in German, as it is written in Switzerland."""

from collections.abc import Mapping
from types import MappingProxyType

from riesbuch.language.stories import Words

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


WORDS = Words(
    months=(
        "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September",
        "Oktober", "November", "Dezember",
    ),
    date_form="{day}. {month} {year}",
    thousands="’",
    list_end=" und ",
    nouns=MappingProxyType({
        "points": ("{n} Punkt", "{n} Punkte"),
        "with_points": ("{n} Punkt", "{n} Punkten"),
        "rank_points": ("{n} Rangpunkt", "{n} Rangpunkte"),
        "nummern": ("{n} Nummer", "{n} Nummern"),
        "the_nummern": ("Die {n} Nummer", "Die {n} Nummern"),
        "matches": ("{n} Spiel", "{n} Spiele"),
        "with_matches": ("{n} Spiel", "{n} Spielen"),
        "with_wins": ("{n} Sieg", "{n} Siegen"),
        "with_defeats": ("{n} Niederlage", "{n} Niederlagen"),
        "strikes": ("{n} Streich ist", "{n} Streiche sind"),
        "places": ("einer Stelle", "{n} Stellen"),
        "with_people": ("{n} Person", "{n} Personen"),
    }),
    nth=("ersten", "zweiten", "dritten", "vierten", "fünften", "sechsten"),
    ordinal=lambda number: f"{number:,}.".replace(",", "’"),
    generations=MappingProxyType({2: "zwei", 3: "drei", 4: "vier"}),
    of_team="{player} ({team})",
    nummer_at="{player} (im {inning:nth} Umgang, {points:points})",
    replacement_nummer_at="{player} (Ersatzstreich im {inning:nth} Umgang, {points:points})",
    best_of="{player} mit {points} (bisher {before})",
    with_replacement=" mit einem Ersatzstreich",
    sources=MappingProxyType({
        "paper-sheet": "dem Spielblatt auf Papier",
        "newspaper": "einer Zeitung",
        "minute-book": "dem Protokollbuch",
        "letter": "einem Brief",
        "memory": "einer Erinnerung",
        "other": "einer alten Aufzeichnung",
    }),
    phrases=MappingProxyType({
        # what came of it
        "errors": (
            "Das Spielblatt {home} gegen {away} vom {date} ist noch fehlerhaft; zu erzählen gibt"
            " es darum noch nichts.",
        ),
        "errors_unknown": (
            "Das Spielblatt ist noch fehlerhaft; zu erzählen gibt es darum noch nichts.",
        ),
        "draft": (
            "Das Spielblatt {home} gegen {away} vom {date} ist noch nicht fertig:"
            " {blanks:strikes} noch einzutragen.",
        ),
        "annulled": (
            "Das Spiel {home} gegen {away} vom {date} wurde annulliert und zählt nirgends.",
            "{home} gegen {away} vom {date} zählt nicht: Das Spiel wurde annulliert.",
        ),
        "postponed": (
            "Das Spiel {home} gegen {away} vom {date} wurde verschoben; ein neues Datum fehlt"
            " noch.",
            "{home} und {away} spielten am {date} nicht; ein neues Datum muss noch gefunden"
            " werden.",
        ),
        "postponed_to": (
            "Das Spiel {home} gegen {away} vom {date} wurde auf den {moved_to} verschoben.",
            "{home} und {away} spielten am {date} nicht; neues Datum ist der {moved_to}.",
        ),
        "forfeited": (
            "Das Spiel {home} gegen {away} vom {date} endete forfait.",
        ),
        "forfeited_to": (
            "Das Spiel gegen {loser} vom {date} ging forfait an {winner}.",
            "{winner} erhielt das Spiel gegen {loser} vom {date} forfait zugesprochen.",
        ),
        "result_open": (
            "{home} und {away} trafen am {date} aufeinander; wer gewann, ist nicht überliefert.",
            "Am {date} spielte {home} gegen {away}, doch niemand hat festgehalten, wer gewann.",
        ),
        "drawn": (
            "{home} und {away} trennten sich am {date} unentschieden.",
            "Das Spiel {home} gegen {away} vom {date} endete unentschieden.",
        ),
        "drawn_points": (
            "{home} und {away} trennten sich am {date} unentschieden, mit je {points:with_points}.",
            "Das Spiel {home} gegen {away} vom {date} endete unentschieden: Beide kamen auf"
            " {points:points}.",
        ),
        "drawn_recorded": (
            "{home} und {away} trennten sich am {date} unentschieden, so ist es überliefert.",
            "Überliefert ist für das Spiel {home} gegen {away} vom {date} ein Unentschieden.",
        ),
        "won_clean": (
            "{winner} schlug {loser} am {date} und liess keine Nummer zu, {loser} hingegen"
            " {loser_nummern}.",
            "Am {date} gewann {winner} sauber gegen {loser}, bei {loser_nummern:nummern} auf der"
            " anderen Seite.",
            "{winner} gewann am {date}: {loser} liess {loser_nummern:nummern} zu, {winner} keine.",
            "Sauber gewonnen hat am {date} {winner}; {loser} musste sich {loser_nummern:nummern}"
            " schreiben lassen.",
        ),
        "won_nummern": (
            "{winner} schlug {loser} am {date} nach Nummern, {winner_nummern} zu {loser_nummern}.",
            "Am {date} gewann {winner} gegen {loser}: {winner_nummern:nummern} gegen"
            " {loser_nummern} des Gegners.",
            "Die Nummern entschieden am {date}: {winner} liess {winner_nummern} zu, {loser}"
            " {loser_nummern}.",
        ),
        "won_points": (
            "{winner} schlug {loser} am {date} mit {winner_points} zu"
            " {loser_points:with_points}.",
            "Am {date} gewann {winner} gegen {loser} mit {winner_points} zu"
            " {loser_points:with_points}.",
            "{winner} lag am {date} um {margin:points} vor {loser} und gewann mit {winner_points}"
            " zu {loser_points}.",
            "Das Spiel vom {date} ging an {winner}: {winner_points:points} gegen {loser_points}"
            " von {loser}.",
        ),
        "won_longest_ries": (
            "{winner} schlug {loser} am {date} einzig dank dem höheren Ries.",
            "Nur das höchste Ries trennte am {date} {winner} und {loser}; es gab {winner} den"
            " Sieg.",
        ),
        "won_recorded": (
            "{winner} schlug {loser} am {date}; überliefert ist der Sieger, nicht der Grund.",
            "Als Sieger gegen {loser} ist für den {date} {winner} überliefert; was entschied,"
            " steht nirgends.",
        ),
        # what the other criterion said
        "points_too": (
            "Auch nach Punkten lag {winner} vorn, {winner_points} zu {loser_points}.",
            "Die Punkte, {winner_points} zu {loser_points}, sprachen ebenfalls für {winner}.",
            "{winner} schlug auch mehr Punkte: {winner_points} zu {loser_points}.",
        ),
        "points_fewer": (
            "Nach Punkten lag {loser} vorn, {loser_points} zu {winner_points}, doch die Nummern"
            " gehen vor.",
            "{loser} schlug mehr Punkte, {loser_points} zu {winner_points}, und verlor dennoch.",
            "Die {loser_points:points} von {loser} gegen {winner_points} halfen nichts.",
        ),
        "points_level": (
            "Nach Punkten trennte sie nichts: je {winner_points}.",
            "Beide schlugen {winner_points:points}.",
        ),
        "nummern_level": (
            "Bei den Nummern stand es gleich: je {nummern}.",
            "Beide hatten sich {nummern:nummern} schreiben lassen.",
            "Mit je {nummern:nummern} entschieden die Nummern nichts.",
        ),
        "both_clean": (
            "Beide Teams blieben sauber.",
            "Keine Seite liess eine Nummer zu.",
            "Kein Nouss fiel unberührt ins Ries, hüben wie drüben.",
        ),
        # how it went
        "abandoned": (
            "Das Spiel wurde vor dem Ende abgebrochen.",
            "Zu Ende gespielt wurde es nicht.",
        ),
        "kept_out": (
            "Das Spiel zählt für keine Tabelle.",
            "Für die Tabellen zählt das Spiel nicht.",
        ),
        "setting": (
            "Es war ein Spiel dieses Wettbewerbs: {competition}.",
            "Gespielt wurde im Wettbewerb «{competition}».",
        ),
        "setting_round": (
            "Es war ein Spiel der {round:ordinal} Runde ({competition}).",
            "Das Spiel gehörte zur {round:ordinal} Runde ({competition}).",
        ),
        "setting_ground": (
            "Gespielt wurde auf dem Platz «{ground}» ({competition}).",
            "Der Platz dieses Spiels ({competition}) war «{ground}».",
        ),
        "setting_round_ground": (
            "Das Spiel gehörte zur {round:ordinal} Runde ({competition}); der Platz war"
            " «{ground}».",
            "Es war ein Spiel der {round:ordinal} Runde ({competition}), auf dem Platz «{ground}».",
        ),
        "nummer_decided": (
            "Die entscheidende Nummer schlug {player} im {inning:nth} Umgang{how}, bei"
            " {points:with_points}.",
            "{player} schlug{how} die Nummer, die entschied: im {inning:nth} Umgang, mit dem"
            " {strike:nth} Streich, bei {points:with_points}.",
            "Die eine Nummer, mit der {team} gewann, schlug {player}{how}: im {inning:nth}"
            " Umgang, bei {points:with_points}.",
        ),
        "nummer_one": (
            "Für {team} schlug {player} im {inning:nth} Umgang{how} eine Nummer, bei"
            " {points:with_points}.",
            "Die eine Nummer von {team} schlug {player}{how}: im {inning:nth} Umgang, mit dem"
            " {strike:nth} Streich, bei {points:with_points}.",
        ),
        "nummern_decided": (
            "{count:the_nummern}, die entschieden, schlugen {strikes}.",
            "Zu den Nummern kam {team} durch {strikes}.",
            "So kamen für {team} die {count:nummern} zusammen: {strikes}.",
        ),
        "nummern_few": (
            "Für {team} gab es {count:nummern} von {strikes}.",
            "Auch {team} schlug {count:nummern}: {strikes}.",
        ),
        "nummern_many": (
            "{team} schlug {count:nummern}.",
            "Auf dem Spielblatt stehen für {team} {count:nummern}.",
        ),
        "course_grew": (
            "{ahead} führte nach dem ersten Umgang mit {lead:with_points} Vorsprung und am Ende"
            " mit {final_lead}.",
            "Nach dem ersten Umgang lag {ahead} {lead:points} voraus; im zweiten kamen {change}"
            " dazu.",
            "Der Vorsprung von {ahead} betrug nach halbem Spiel {lead:points} und wuchs danach um"
            " {change}.",
        ),
        "course_shrank": (
            "{ahead} führte nach dem ersten Umgang mit {lead:with_points} Vorsprung; im zweiten"
            " gingen davon {change} verloren.",
            "Nach dem ersten Umgang lag {ahead} {lead:points} voraus, am Ende {final_lead}.",
            "Der Vorsprung von {ahead} betrug nach halbem Spiel {lead:points} und schmolz auf"
            " {final_lead}.",
        ),
        "course_same": (
            "{ahead} führte nach dem ersten Umgang mit {lead:with_points} Vorsprung, und am Ende"
            " waren es gleich viele.",
            "Der Vorsprung von {ahead}, {lead:points}, bestand schon nach dem ersten Umgang.",
        ),
        "course_turned": (
            "Nach dem ersten Umgang hatte {ahead} um {lead:points} geführt; am Ende lag"
            " {final_ahead} {final_lead} voraus.",
            "{final_ahead} lag nach halbem Spiel {lead:points} hinter {ahead} und am Ende"
            " {final_lead} davor.",
            "Der zweite Umgang kehrte die Punkte um: Zuerst führte {ahead} mit {lead:with_points}"
            " Vorsprung, dann {final_ahead} mit {final_lead}.",
        ),
        "course_from_level": (
            "Nach dem ersten Umgang stand es nach Punkten gleich; {final_ahead} schlug im zweiten"
            " {final_lead:points} mehr.",
            "Nach dem ersten Umgang noch gleichauf, lag {final_ahead} am Ende {final_lead:points}"
            " voraus.",
        ),
        "course_caught": (
            "{ahead} hatte nach dem ersten Umgang um {lead:points} geführt; am Ende stand es nach"
            " Punkten gleich.",
            "Der Vorsprung von {ahead} nach halbem Spiel, {lead:points}, ging im zweiten Umgang"
            " ganz verloren.",
        ),
        "course_level": (
            "Nach Punkten stand es nach dem ersten Umgang gleich, und am Ende auch.",
            "Kein Umgang brachte eine Seite nach Punkten nach vorn.",
        ),
        "best_ries": (
            "Das höchste Ries schlug {team} mit den {strike:nth} Streichen des {inning:nth}"
            " Umgangs: {points}.",
            "{team} hatte das beste Ries, {points:points} mit den {strike:nth} Streichen des"
            " {inning:nth} Umgangs.",
            "Kein Ries war höher als jenes von {team} im {inning:nth} Umgang, mit den"
            " {strike:nth} Streichen: {points}.",
        ),
        **AFTER_THE_RESULT,
    }),
)  # fmt: skip
