"""The pages over all seasons in German, as it is written in Switzerland."""

from types import MappingProxyType

from riesbuch.reports.phrases_past import PhrasesOfThePast

GERMAN_PAST = PhrasesOfThePast(
    clubs="Vereine",
    players="Spielerinnen und Spieler",
    history="Geschichte",
    sources="Quellen und Lücken",
    almanac="Kalenderblatt",
    latest="Letzte Resultate",
    coming="Nächste Spiele",
    on_this_day="An diesem Tag: {day}",
    nothing_on_this_day="Aus früheren Jahren ist an diesem Tag kein Spiel erfasst.",
    more_in="Mehr im {page}.",
    rest_in="Noch {count} im {page}.",
    to_the_table="Einzelschläger",
    best_striker="Bester Einzelschläger",
    club="Verein",
    teams="Teams",
    founded="Gegründet",
    ground="Spielplatz",
    remark="Bemerkung",
    carried_on="von einem anderen Verein weitergeführt",
    founded_in="Gegründet {year}",
    formerly="Bis {year} unter dem Namen {name}",
    merged_from="Führt die Geschichte von {clubs} weiter",
    carried_on_by="Seine Geschichte führt {club} weiter",
    teams_are="Teams: {teams}",
    seasons="Saisons",
    no_season_of_club="Von diesem Verein ist keine Meisterschaftssaison erfasst.",
    rank_of="{rank} von {all}",
    rank_so_far="{rank} bisher",
    rank_on_record="{rank}, soweit erfasst",
    honours="Titel und Ehren",
    no_honours="Keine erfasst.",
    won_competition="{year}: {team} gewinnt {competition}",
    was_promoted="{year}: {team} steigt auf aus {competition}",
    was_relegated="{year}: {team} steigt ab aus {competition}",
    opponent="Gegner",
    last_met="Letzte Begegnung",
    balance="Bilanz gegen alle Gegner",
    balance_legend=(
        "Alle Teams beider Vereine und der Vereine, deren Geschichte sie weiterführen;"
        " gewertete Spiele aller Wettbewerbe."
    ),
    most_matches="Am meisten Spiele für den Verein",
    years="Jahre",
    players_one="{count} Person hat eine Seite.",
    players_many="{count} Personen haben eine Seite.",
    people_note="Die Jahre sind jene des ersten und des letzten erfassten Spiels.",
    no_match="kein Spiel erfasst",
    no_match_of_player="Es ist kein Spiel mit bekannten Punkten erfasst.",
    since="{club} (ab {year})",
    clubs_are="Vereine: {clubs}",
    parents="Kind von {names}",
    children="Kinder in den Aufzeichnungen: {names}",
    sums_one="{count} Spiel mit {points} Punkten; Streich für Streich bekannt: {known}.",
    sums_many="{count} Spiele mit {points} Punkten; Streich für Streich bekannt: {known}.",
    sums_of_strikes="Darin {strikes}, {average} Punkte je Streich und {nummern}.",
    unknown_one="Von {count} weiteren Spiel sind die Punkte nicht bekannt.",
    unknown_many="Von {count} weiteren Spielen sind die Punkte nicht bekannt.",
    rank_once_complete=(
        "Der Rang steht bei den ersten {count}, sobald ein Wettbewerb zu Ende gespielt ist."
    ),
    best_days="Beste Tage",
    best_strike="Bester Streich",
    milestones="Meilensteine",
    first_match="Erstes erfasstes Spiel: {date}",
    last_match="Letztes erfasstes Spiel: {date}",
    match_number="{number}. Spiel: {date}",
    point_number="{number}. Punkt: {date}",
    longest_run=(
        "Am meisten Spiele eines Teams in Folge: {number} von {team}, vom {since} bis zum"
        " {until}"
    ),
    records="Rekordbuch",
    record="Rekord",
    figure="Zahl",
    holder="Gehalten von",
    no_records="Noch gibt es keine Rekorde.",
    rests_one=(
        "Diese Rekorde beruhen auf {count} Spiel; beidseits Streich für Streich bekannt:"
        " {known}."
    ),
    rests_many=(
        "Diese Rekorde beruhen auf {count} Spielen; beidseits Streich für Streich bekannt:"
        " {known}."
    ),
    least_strikes="Der Schnitt ist jener einer Saison mit mindestens {count} Streichen.",
    and_more="und noch {count}",
    player_of="{player} ({team})",
    against="{who} gegen {opponent}",
    from_until="{first} bis {last}",
    champion="Meister",
    promoted="Aufsteiger",
    relegated="Absteiger",
    not_complete="nicht zu Ende gespielt, oder Spiele fehlen",
    gaps="Lücken",
    gap="{years}: keine Saison erfasst",
    gap_of="{years}: keine Saison von {competition} erfasst",
    all_time="Ewige Tabelle",
    titles="Titel",
    all_time_legend=(
        "Alle erfassten Meisterschaftssaisons zusammengezählt, die meisten Siege zuoberst."
        " Rangpunkte sind nicht addiert, denn nicht jede Saison gab gleich viele. Lücken in"
        " den Aufzeichnungen sind auch Lücken dieser Tabelle."
    ),
    families="Familien",
    lines="Linien von Eltern und Kindern",
    lines_note="In Klammern die Saisons mit einem erfassten Spiel.",
    together="Seite an Seite im selben Spiel",
    side_by_side="Wer",
    first_time="Zum ersten Mal",
    no_families="Es sind keine Eltern und Kinder erfasst.",
    families_rest=(
        "Von {count} gewerteten Spielen sind die Schläger bei {known} bekannt, mindestens auf"
        " einer Seite."
    ),
    people="Wie viele Leute spielten",
    people_in_all="Personen",
    new_people="Neu",
    people_rest=(
        "Gezählt sind alle, die in einer Einzelschläger-Rangliste des Jahres stehen; neu sind"
        " jene, die vorher in keiner standen."
    ),
    up_to="bis {age}",
    over="{age} und älter",
    age_not_known="Alter nicht bekannt",
    bands_note=(
        "Das Alter ist jenes, das im Jahr erreicht wird, nur in Gruppen. Sind in der jüngsten"
        " Gruppe weniger als fünf, so sind sie in der nächsten gezählt (→)."
    ),
    almanac_seen_from="Gesehen vom letzten erfassten Spiel aus, {date}.",
    coming_anniversaries="Runde Jahrestage der {days} Tage danach",
    of_the_year="Runde Jahrestage des Jahres {year}",
    no_anniversary="Keine erfasst.",
    founded_ago="{years} Jahre: {club}, gegründet {year}",
    champion_ago="{years} Jahre: {team} gewinnt {competition}",
    first_match_ago="{years} Jahre: erstes erfasstes Spiel von {team}, {date}",
    highest_total_ago=(
        "{years} Jahre: höchstes erfasstes Total, {team} mit {points} Punkten, {date}"
    ),
    almanac_rests="Erste Spiele wurden in {count} gewerteten Spielen mit Datum gesucht.",
    missing="Fehlende Spiele",
    not_by_strikes="Weniger genau bekannt",
    without_winner="Sieger unbekannt",
    without_source="Davon ohne Quelle",
    drafts="Unvollständig",
    help_wanted=(
        "Was hier fehlt, liegt vielleicht auf einem Estrich: ein altes Spielblatt, ein"
        " Ausschnitt aus der Zeitung, eine Seite des Protokollbuchs, eine Fotografie der"
        " Resultattafel. Wer etwas hat, meldet sich beim Sekretariat, auch wenn es nur der"
        " Sieger ist."
    ),
    sources_legend=(
        "Die Seite jeder Saison nennt die weniger genau bekannten Spiele und alles Unsichere."
        " Ein Strich: Die Saison läuft noch, oder es ist nicht bekannt, wie viele Spiele es"
        " sein sollten."
    ),
    honours_page="Meister, Auf- und Absteiger und die besten Einzelschläger jeder Saison",
    all_time_page="alle Meisterschaftssaisons zusammengezählt",
    records_page="das Höchste, Längste und Knappste",
    families_page="Eltern und Kinder, und wer Seite an Seite schlug",
    people_page="wie viele Leute in jedem Jahr spielten",
    almanac_page="an diesem Tag, und runde Jahrestage",
    sources_page="was fehlt, und wie man helfen kann",
    record_kinds=MappingProxyType({
        "team_points": "Höchstes Total eines Teams",
        "ries": "Höchstes Ries-Total",
        "match_points": "Am meisten Punkte einer Person im Spiel",
        "season_average": "Höchster Saisonschnitt",
        "clean_run": "Spiele in Folge ohne Nummer",
        "winning_run": "Siege in Folge",
        "closest": "Knappstes Spiel: Punkte Abstand bei gleich vielen Nummern",
        "nummern": "Am meisten kassierte Nummern im Spiel",
    }),
)  # fmt: skip
