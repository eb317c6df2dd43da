"""What a language has to say on the pages over all seasons: clubs, players, the history."""

from collections.abc import Mapping
from dataclasses import dataclass


# Nothing compares them or shows them whole, and of so many fields that takes its time.
@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class PhrasesOfThePast:
    """The gaps in braces are filled by the pages. What ends in ``_one`` is said of a single
    thing, what ends in ``_many`` of any other number."""

    # the front page and what leads on
    clubs: str
    players: str
    history: str
    sources: str
    almanac: str
    latest: str
    coming: str
    on_this_day: str
    nothing_on_this_day: str
    more_in: str
    rest_in: str
    to_the_table: str
    best_striker: str

    # a club
    club: str
    teams: str
    founded: str
    ground: str
    remark: str
    carried_on: str
    founded_in: str
    formerly: str
    merged_from: str
    carried_on_by: str
    teams_are: str
    seasons: str
    no_season_of_club: str
    rank_of: str
    rank_so_far: str
    rank_on_record: str
    honours: str
    no_honours: str
    won_competition: str
    was_promoted: str
    was_relegated: str
    opponent: str
    last_met: str
    balance: str
    balance_legend: str
    most_matches: str
    years: str

    # a player
    players_one: str
    players_many: str
    people_note: str
    no_match: str
    no_match_of_player: str
    since: str
    clubs_are: str
    parents: str
    children: str
    sums_one: str
    sums_many: str
    sums_of_strikes: str
    unknown_one: str
    unknown_many: str
    rank_once_complete: str
    best_days: str
    best_strike: str
    milestones: str
    first_match: str
    last_match: str
    match_number: str
    point_number: str
    longest_run: str

    # records
    records: str
    record: str
    figure: str
    holder: str
    no_records: str
    rests_one: str
    rests_many: str
    least_strikes: str
    and_more: str
    player_of: str
    against: str
    from_until: str

    # honours, all-time table, families, people
    champion: str
    promoted: str
    relegated: str
    not_complete: str
    gaps: str
    gap: str
    gap_of: str
    all_time: str
    titles: str
    all_time_legend: str
    families: str
    lines: str
    lines_note: str
    together: str
    side_by_side: str
    first_time: str
    no_families: str
    families_rest: str
    people: str
    people_in_all: str
    new_people: str
    people_rest: str
    up_to: str
    over: str
    age_not_known: str
    bands_note: str

    # the almanac
    almanac_seen_from: str
    coming_anniversaries: str
    of_the_year: str
    no_anniversary: str
    founded_ago: str
    champion_ago: str
    first_match_ago: str
    highest_total_ago: str
    almanac_rests: str

    # sources and gaps
    missing: str
    not_by_strikes: str
    without_winner: str
    without_source: str
    drafts: str
    help_wanted: str
    sources_legend: str

    # what the page of the history says of the others
    honours_page: str
    all_time_page: str
    records_page: str
    families_page: str
    people_page: str
    almanac_page: str
    sources_page: str
    record_kinds: Mapping[str, str]
