"""What a language has to say in the reports. The gaps in braces are filled by the pages."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from riesbuch.trade.match import Depth, SourceKind
from riesbuch.trade.tally import DecidedBy


# Nothing compares them or shows them whole, and of so many fields that takes its time.
@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Phrases:
    """Every word of the reports in one language. What ends in ``_one`` is said of a single
    thing, what ends in ``_many`` of any other number."""

    months: tuple[str, ...]
    date_form: str
    day_form: str
    thousands: str
    list_end: str
    unknown: str

    # the front page and the headings of competitions
    own_record: str
    older_seasons: str
    no_seasons: str
    season: str
    competition: str
    in_season: str
    matches: str
    of_matches: str
    first_place: str
    champion: str

    # a competition
    matches_one: str
    matches_many: str
    matches_of_planned: str
    left_out_one: str
    left_out_many: str
    standings: str
    rank: str
    team: str
    played: str
    won: str
    drawn: str
    lost: str
    nummern: str
    points: str
    rank_points: str
    promoted: str
    relegated: str
    nummern_conceded: str
    no_teams: str
    results: str
    round: str
    without_round: str
    no_matches: str
    date: str
    match: str
    outcome: str
    in_round: str
    to_come: str
    fixture: str
    fixture_in_round: str

    # how a match went, in the list of results
    draw: str
    forfeited_to: str
    forfeited: str
    abandoned: str
    abandoned_to: str
    postponed: str
    postponed_to: str
    annulled: str
    draft: str
    winner_unknown: str
    not_counted: str

    # the striker table
    strikers: str
    rests_on_one: str
    rests_on_many: str
    strike_by_strike: str
    no_strikers: str
    name: str
    strikes: str
    average: str
    best: str
    strikers_legend: str
    awards: str
    award: str
    award_between: str
    nobody: str

    # the calendar of fixtures
    competition_round: str
    moved_from: str

    # a match
    won_by: Mapping[DecidedBy, str]
    drawn_level: str
    drawn_as_recorded: str
    match_forfeited: str
    match_abandoned: str
    match_postponed: str
    match_postponed_to: str
    match_annulled: str
    match_winner_unknown: str
    match_not_counted: str
    result: str
    played_on: str
    ground: str
    weather: str
    notes: str
    referees_one: str
    referees_many: str
    struck_first: str
    captain: str
    order: str
    player: str
    strike_heading: str
    player_points: str
    replacement: str
    ries_totals: str
    total: str
    supernumeraries: str
    supernumeraries_note: str
    depths: Mapping[Depth, str]
    unknown_strike: str
    legend: str
    legend_unknown: str

    # where a sheet comes from and what became of it
    record: str
    source: str
    source_kinds: Mapping[SourceKind, str]
    transcribed_by: str
    transcribed_on: str
    transcribed_by_on: str
    doubts: str
    corrections: str
    correction: str
    correction_undated: str
    sealed: str
    sealed_undated: str
    sheet_file: str
    fields: Mapping[str, str]
    strike_at: str

    # how competitions and matches went, and what is missing of a season
    somebody: str
    form: str
    form_legend: str
    movement_legend: str
    cross_table: str
    at_home: str
    cross_table_legend: str
    season_totals: str
    average_total: str
    highest_total: str
    lowest_total: str
    best_ries: str
    nummern_caused: str
    conceded: str
    clean_matches: str
    totals_legend: str
    totals_incomplete: str
    by_nummern: str
    by_points_one: str
    by_points_many: str
    course: str
    after_ries: str
    in_front: str
    leads: str
    level: str
    nummer_of: str
    nummern_off: str
    best_of_match: str
    season_gaps: str
    nothing_missing: str
    missing_matches: str
    open_fixtures: str
    doubt_in: str
    no_source: str
    less_known: str
    less_known_note: str
    open_matches: str
    sources_used: str
    source_none: str
    sheets: str
    kind_of_source: str
    result_letters: Mapping[str, str]

    def on_date(self, date: datetime.date) -> str:
        return self.date_form.format(
            day=date.day, month=self.months[date.month - 1], year=date.year
        )

    def on_day(self, date: datetime.date) -> str:
        """The day of the year."""
        return self.day_form.format(day=date.day, month=self.months[date.month - 1])

    def number(self, number: int) -> str:
        return f"{number:,}".replace(",", self.thousands)

    def ratio(self, ratio: Fraction) -> str:
        """Two decimals, a half rounded up."""
        hundredths = (ratio * 100 + Fraction(1, 2)).__floor__()
        return f"{self.number(hundredths // 100)}.{hundredths % 100:02d}"


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
