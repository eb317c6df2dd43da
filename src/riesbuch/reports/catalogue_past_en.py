"""The pages over all seasons in English."""

from types import MappingProxyType

from riesbuch.reports.phrases_past import PhrasesOfThePast

ENGLISH_PAST = PhrasesOfThePast(
    clubs="Clubs",
    players="Players",
    history="History",
    sources="Sources and gaps",
    almanac="Almanac",
    latest="Latest results",
    coming="Coming fixtures",
    on_this_day="On this day: {day}",
    nothing_on_this_day="No match of an earlier year is on record for this day.",
    more_in="More in the {page}.",
    rest_in="{count} more in the {page}.",
    to_the_table="strikers",
    best_striker="Best striker",
    club="Club",
    teams="Teams",
    founded="Founded",
    ground="Ground",
    remark="Remark",
    carried_on="carried on by another club",
    founded_in="Founded in {year}",
    formerly="Called {name} until {year}",
    merged_from="Carries on the history of {clubs}",
    carried_on_by="Its history is carried on by {club}",
    teams_are="Teams: {teams}",
    seasons="Seasons",
    no_season_of_club="No league season of this club is on record.",
    rank_of="{rank} of {all}",
    rank_so_far="{rank} so far",
    rank_on_record="{rank} on record",
    honours="Honours",
    no_honours="None on record.",
    won_competition="{year}: {team} won {competition}",
    was_promoted="{year}: {team} promoted from {competition}",
    was_relegated="{year}: {team} relegated from {competition}",
    opponent="Opponent",
    last_met="Last met",
    balance="Balance against every opponent",
    balance_legend=(
        "All teams of both clubs, and of the clubs whose history they carry on; matches that"
        " count, in all competitions."
    ),
    most_matches="Most matches for the club",
    years="Years",
    players_one="{count} person has a page.",
    players_many="{count} people have a page.",
    people_note="The years are those of the first and the last match on record.",
    no_match="no match on record",
    no_match_of_player="No match with known points is on record.",
    since="{club} (from {year})",
    clubs_are="Clubs: {clubs}",
    parents="Child of {names}",
    children="Children in the records: {names}",
    sums_one="{count} match with {points} points; {known} known strike by strike.",
    sums_many="{count} matches with {points} points; {known} known strike by strike.",
    sums_of_strikes="That is {strikes}, {average} points a strike and {nummern}.",
    unknown_one="Of {count} more match the points are not known.",
    unknown_many="Of {count} more matches the points are not known.",
    rank_once_complete="The rank is told of the first {count} once a competition is played out.",
    best_days="Best days",
    best_strike="Best strike",
    milestones="Milestones",
    first_match="First match on record: {date}",
    last_match="Last match on record: {date}",
    match_number="Match number {number}: {date}",
    point_number="Point number {number}: {date}",
    longest_run="Most matches of a team in a row: {number} of {team}, from {since} to {until}",
    records="Record book",
    record="Record",
    figure="Figure",
    holder="Held by",
    no_records="There are no records yet.",
    rests_one="These records rest on {count} match; {known} known strike by strike on both sides.",
    rests_many=(
        "These records rest on {count} matches; {known} known strike by strike on both sides."
    ),
    least_strikes="The average is that of a season with at least {count} strikes.",
    and_more="and {count} more",
    player_of="{player} ({team})",
    against="{who} against {opponent}",
    from_until="{first} to {last}",
    champion="Champion",
    promoted="Promoted",
    relegated="Relegated",
    not_complete="not played out, or matches missing",
    gaps="Gaps",
    gap="{years}: no season is on record",
    gap_of="{years}: no season of {competition} is on record",
    all_time="All-time table",
    titles="Titles",
    all_time_legend=(
        "All league seasons on record added up, most matches won first. Rank points are not"
        " added, since not every season gave as many. Gaps in the record are gaps in this"
        " table."
    ),
    families="Families",
    lines="Lines of parents and children",
    lines_note="In brackets the seasons with a match on record.",
    together="Side by side in one match",
    side_by_side="Who",
    first_time="First",
    no_families="No parents and children are on record.",
    families_rest=(
        "Of {count} matches that count, who struck is known of {known}, at least on one side."
    ),
    people="How many people played",
    people_in_all="People",
    new_people="New",
    people_rest=(
        "Counted are all who stand in a striker table of the year; new are those in none"
        " before."
    ),
    up_to="up to {age}",
    over="{age} and over",
    age_not_known="Age not known",
    bands_note=(
        "Ages are those reached in the year, told in bands only. Where fewer than five are in"
        " the youngest band they are counted in the next (→)."
    ),
    almanac_seen_from="Seen from the last match on record, {date}.",
    coming_anniversaries="Round anniversaries of the {days} days after it",
    of_the_year="Round anniversaries of {year}",
    no_anniversary="None on record.",
    founded_ago="{years} years: {club}, founded in {year}",
    champion_ago="{years} years: {team} won {competition}",
    first_match_ago="{years} years: first match on record of {team}, {date}",
    highest_total_ago=(
        "{years} years: highest team total on record, {team} with {points} points, {date}"
    ),
    almanac_rests="First matches were looked for in {count} matches that count and have a date.",
    missing="Matches missing",
    not_by_strikes="Known in less detail",
    without_winner="Winner unknown",
    without_source="Of these, no source",
    drafts="Drafts",
    help_wanted=(
        "What is missing here may lie in somebody’s attic: an old match sheet, a cutting from"
        " the newspaper, a page of the minute book, a photograph of a result board. Whoever"
        " has something tells the secretary, even if it is the winner alone."
    ),
    sources_legend=(
        "The page of each season names the matches that are known in less detail and"
        " everything doubtful. A dash: the season is under way, or nobody said how many"
        " matches there were to be."
    ),
    honours_page="champions, promoted and relegated teams and the best strikers of every season",
    all_time_page="all league seasons added up",
    records_page="highest, longest and closest",
    families_page="parents and children, and who struck side by side",
    people_page="how many people played each year",
    almanac_page="on this day, and round anniversaries",
    sources_page="what is missing, and how to help",
    record_kinds=MappingProxyType({
        "team_points": "Highest team total",
        "ries": "Highest Ries total",
        "match_points": "Most points of a player in a match",
        "season_average": "Highest average of a season",
        "clean_run": "Matches in a row without conceding a Nummer",
        "winning_run": "Matches won in a row",
        "closest": "Closest match: points apart, level on Nummern",
        "nummern": "Most Nummern conceded in a match",
    }),
)  # fmt: skip
