"""The reports in German, as it is written in Switzerland."""

from types import MappingProxyType

from riesbuch.language.page_phrases import Phrases, PhrasesOfThePast
from riesbuch.trade.match import Depth, SourceKind

GERMAN = Phrases(
    months=(
        "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September",
        "Oktober", "November", "Dezember",
    ),
    date_form="{day}. {month} {year}",
    day_form="{day}. {month}",
    thousands="’",
    list_end=" und ",
    unknown="–",
    own_record=(
        "Die Tabellen auf diesen Seiten sind die eigenen Aufzeichnungen des Vereins, aus seinen"
        " Spielblättern zusammengezählt; sie sind kein Entscheid eines Verbandes."
    ),
    older_seasons="Frühere Saisons",
    no_seasons="Noch gibt es keine Saison.",
    season="Saison",
    competition="Wettbewerb",
    in_season="{competition} {year}",
    matches="Spiele",
    of_matches="{played} von {all}",
    first_place="Erster Rang",
    champion="{teams} (Meister)",
    matches_one="In den Tabellen: {count} Spiel.",
    matches_many="In den Tabellen: {count} Spiele.",
    matches_of_planned="In den Tabellen: {count} von {all} Spielen.",
    left_out_one=(
        "{count} Spielblatt ist fehlerhaft und hier überall weggelassen;"
        " `riesbuch check` nennt es."
    ),
    left_out_many=(
        "{count} Spielblätter sind fehlerhaft und hier überall weggelassen;"
        " `riesbuch check` nennt sie."
    ),
    standings="Rangliste",
    rank="Rang",
    team="Team",
    played="Spiele",
    won="Gew.",
    drawn="Unent.",
    lost="Verl.",
    nummern="Nummern",
    points="Punkte",
    rank_points="Rangpunkte",
    promoted="{team} (Aufsteiger)",
    relegated="{team} (Absteiger)",
    nummern_conceded="Nummern sind jene, die ein Team im Ries zuliess: je weniger, desto besser.",
    no_teams="Noch hat kein Team gespielt.",
    results="Resultate",
    round="{number}. Runde",
    without_round="Ohne Runde",
    no_matches="Noch ist kein Spiel eingetragen.",
    date="Datum",
    match="Spiel",
    outcome="Sieger",
    in_round="{date}, {number}. Runde",
    to_come="Noch ausstehend",
    fixture="{date}: {home} – {away}",
    fixture_in_round="{date}, {number}. Runde: {home} – {away}",
    draw="unentschieden",
    forfeited_to="forfait, Sieg für {team}",
    forfeited="forfait",
    abandoned="abgebrochen",
    abandoned_to="{team} (abgebrochen)",
    postponed="verschoben, noch ohne neues Datum",
    postponed_to="verschoben auf den {date}",
    annulled="annulliert",
    draft="Spielblatt noch unvollständig",
    winner_unknown="nicht bekannt",
    not_counted="{outcome}; ohne Wertung in den Tabellen",
    strikers="Einzelschläger-Rangliste",
    rests_on_one="Diese Rangliste beruht auf {used} von {count} Spiel",
    rests_on_many="Diese Rangliste beruht auf {used} von {count} Spielen",
    strike_by_strike="; Streich für Streich bekannt: {known}.",
    no_strikers="Noch sind von niemandem Punkte bekannt.",
    name="Name",
    strikes="Streiche",
    average="Schnitt",
    best="Bestes Spiel",
    strikers_legend=(
        "Der Schnitt sind Schlagpunkte je Streich, über die Streich für Streich bekannten Spiele;"
        " das beste Spiel ist das mit den meisten Punkten. Rangpunkte gibt es in jedem Spiel."
    ),
    awards="Auszeichnungen",
    award="{name} (ab {points} Punkten): {players}",
    award_between="{name} ({points} bis {most} Punkte): {players}",
    nobody="niemand",
    competition_round="{competition}, {number}. Runde",
    moved_from="Verschoben vom {date}.",
    won_by=MappingProxyType({
        "nummern": "{team} gewinnt nach Nummern.",
        "points": "{team} gewinnt nach Punkten.",
        "longest_ries": "{team} gewinnt dank dem höchsten Ries.",
        "award": "Forfait: Der Sieg geht an {team}.",
        "recorded": "{team} gewinnt. So steht es im Blatt; die Zahlen allein entscheiden es nicht.",
    }),
    drawn_level="Unentschieden: Die Teams liegen in allem gleichauf, was entscheidet.",
    drawn_as_recorded=(
        "Unentschieden. So steht es im Blatt; die Zahlen allein entscheiden es nicht."
    ),
    match_forfeited="Forfait.",
    match_abandoned="Das Spiel wurde abgebrochen.",
    match_postponed="Verschoben, noch ohne neues Datum.",
    match_postponed_to="Verschoben auf den {date}.",
    match_annulled="Annulliert: Das Spiel zählt nirgends.",
    match_winner_unknown="Wer gewonnen hat, ist nicht bekannt.",
    match_not_counted="Das Spiel zählt nicht für die Tabellen.",
    result="Resultat:",
    played_on="Datum: {date}",
    ground="Platz: {text}",
    weather="Wetter: {text}",
    notes="Bemerkungen: {text}",
    referees_one="Schiedsrichter: {names}",
    referees_many="Schiedsrichter: {names}",
    struck_first="Schlägt zuerst: {team}",
    captain="Captain: {name}",
    order="Nr.",
    player="Name",
    strike_heading="{inning}.{strike}",
    player_points="Punkte",
    replacement="{name}, Ersatzstreiche",
    ries_totals="Ries",
    total="Total",
    supernumeraries="Überzählige",
    supernumeraries_note="Sie schlagen für sich, nicht für das Team.",
    depths=MappingProxyType({
        Depth.STRIKES: "Streich für Streich bekannt.",
        Depth.PLAYERS: "Von dieser Seite sind nur die Punkte der einzelnen Spieler bekannt.",
        Depth.RIES: "Von dieser Seite sind nur die Ries-Totale bekannt: {ries}.",
        Depth.POINTS: "Von dieser Seite sind nur die gesamten Punkte bekannt: {points}.",
        Depth.NONE: "Von dieser Seite sind keine Zahlen bekannt.",
    }),
    unknown_strike="?",
    legend=(
        "2.1 ist der erste Streich des zweiten Umgangs. **16N** ist ein Streich von 16 Punkten,"
        " der im Ries zu Boden ging, eine Nummer gegen die Abtuer; 0 ist ein Nuller; x wurde nicht"
        " geschlagen."
    ),
    legend_unknown="Ein ? wurde geschlagen, doch sind die Punkte nicht bekannt.",
    record="Zum Spielblatt",
    source="Quelle: {source}",
    source_kinds=MappingProxyType({
        SourceKind.PAPER_SHEET: "Spielblatt auf Papier",
        SourceKind.NEWSPAPER: "Zeitung",
        SourceKind.MINUTE_BOOK: "Protokollbuch",
        SourceKind.LETTER: "Brief",
        SourceKind.MEMORY: "aus der Erinnerung",
        SourceKind.OTHER: "andere Quelle",
    }),
    transcribed_by="übertragen von {name}",
    transcribed_on="übertragen am {date}",
    transcribed_by_on="übertragen von {name} am {date}",
    doubts="Unsicher",
    corrections="Berichtigungen",
    correction="{date}, durch {name}, im Einverständnis von {clubs}: {reason} ({changed})",
    correction_undated="Durch {name}, im Einverständnis von {clubs}: {reason} ({changed})",
    sealed="Besiegelt am {date} durch {home} ({home_team}) und {away} ({away_team})",
    sealed_undated="Besiegelt durch {home} ({home_team}) und {away} ({away_team})",
    sheet_file="Spielblatt",
    fields=MappingProxyType({
        "nummern": "Nummern", "points": "Punkte", "ries": "Ries", "team": "Team",
        "captain": "Captain",
    }),
    strike_at="Streich {inning}.{strike}",
    somebody="eine Person",
    form="Form",
    form_legend=(
        "Form: die letzten fünf Spiele, das neueste rechts (S Sieg, U unentschieden, N"
        " Niederlage)."
    ),
    movement_legend="▲ und ▼: in der letzten Runde gewonnene und verlorene Ränge.",
    cross_table="Kreuztabelle",
    at_home="Heim",
    cross_table_legend=(
        "Links steht das Heimteam, oben stehen die Gäste mit ihrer Nummer in der Tabelle. S,"
        " U und N gelten für das Heimteam, dann folgen die Punkte beider Teams; Nummern"
        " können anders entschieden haben als die Punkte."
    ),
    season_totals="Totale und Nummern der Saison",
    average_total="Schnitt",
    highest_total="Höchstes",
    lowest_total="Tiefstes",
    best_ries="Bestes Ries",
    nummern_caused="Nummern geschlagen",
    conceded="Nummern kassiert",
    clean_matches="Ohne Nummer",
    totals_legend=(
        "Schnitt, höchstes und tiefstes Total sind die Punkte eines Teams im Spiel; ohne"
        " Nummer sind die Spiele, in denen es keine zuliess."
    ),
    totals_incomplete="Jede Zahl beruht auf den Spielen, von denen sie bekannt ist.",
    by_nummern="Es liess {winner} zu, der Gegner {loser}.",
    by_points_one="Der Vorsprung betrug {count} Punkt.",
    by_points_many="Der Vorsprung betrug {count} Punkte.",
    course="Spielverlauf",
    after_ries="Nach Ries",
    in_front="In Führung",
    leads="{team} mit {points}",
    level="gleichauf",
    nummer_of="{name} ({strikes})",
    nummern_off="Nummern durch Streiche von {team}: {strikes}",
    best_of_match="Am meisten Punkte: {names}, {points}",
    season_gaps="Was fehlt oder unsicher ist",
    nothing_missing="Es ist nicht bekannt, dass etwas fehlt.",
    missing_matches="{competition}: {count} von {all} Spielen nicht erfasst",
    open_fixtures=(
        "{competition}: {count} von {all} Spielen noch zu spielen oder zu erfassen"
    ),
    doubt_in="{match}, {at}: {note}",
    no_source="{count} von {all} weniger genau bekannten Spielen ohne Quelle",
    less_known="Weniger genau bekannt",
    less_known_note=(
        "Von diesen Spielen sind keine Streiche erfasst, mindestens von einer Seite. Ein"
        " Spielblatt, ein Zeitungsausschnitt, eine Fotografie helfen weiter; nachgetragen"
        " wird es vom Sekretariat."
    ),
    open_matches="Ohne bekannten Sieger",
    sources_used="Woher die Blätter stammen",
    source_none="keine Quelle genannt",
    sheets="Blätter",
    kind_of_source="Quelle",
    result_letters=MappingProxyType({"won": "S", "drawn": "U", "lost": "N"}),
)  # fmt: skip


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
