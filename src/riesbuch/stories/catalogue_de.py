"""Stories in German, as it is written in Switzerland."""

from types import MappingProxyType

from riesbuch.stories.catalogue_de_after import AFTER_THE_RESULT
from riesbuch.stories.words import Words

GERMAN = Words(
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
