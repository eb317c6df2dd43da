"""Stories in English."""

from collections.abc import Mapping
from types import MappingProxyType

from riesbuch.language.stories import Words

AFTER_THE_RESULT: Mapping[str, tuple[str, ...]] = MappingProxyType({
    # who struck
    "best_match_one": (
        "{player} of {team} struck most, {points:points}.",
        "Best striker was {player} ({team}) with {points:points}.",
        "Nobody struck more than {player} of {team}, who came to {points:points}.",
        "With {points:points} {player} ({team}) was the best striker of the match.",
    ),
    "best_match_many": (
        "{players} struck most, {points:points} each.",
        "With {points:points} each, {players} were the best strikers of the match.",
    ),
    "best_side_one": (
        "For {team} {player} struck most, {points:points}.",
        "Best of {team} was {player} with {points:points}.",
        "{team} had the most points from {player}, {points}.",
    ),
    "best_side_many": (
        "For {team} {players} struck most, {points:points} each.",
        "Best of {team} were {players} with {points:points} each.",
    ),
    "highest_strike": (
        "The highest strike was one of {points} in the {inning:nth} inning, by {player}"
        " ({team}).",
        "No single strike was higher than the {points} of {player} ({team}) in the"
        " {inning:nth} inning.",
        "{player} of {team} had the highest single strike: {points}, in the {inning:nth}"
        " inning.",
    ),
    "best_one": (
        "For {player} the {points:points} are the best on record; until then it was {before}.",
        "{player} has never struck more on record: {points:points}, until then {before}.",
        "{player} ({team}) went past a personal best of {before} and now has {points}.",
    ),
    "bests": (
        "On record, more than ever before was struck by {bests}.",
        "Personal bests on record: {bests}.",
        "New personal bests on record stand beside the names of {bests}.",
    ),
    "bests_some": (
        "On record, {count:people} struck more than ever before, among them {bests}.",
        "Personal bests on record for {count:people}: {bests} lead the way.",
    ),
    "match_number": (
        "For {player} of {team} it was the {number:ordinal} match on record.",
        "{player} ({team}) played the {number:ordinal} match on record.",
    ),
    "points_reached": (
        "{player} ({team}) went past {number:points} on record and stands at {total}.",
        "With this match {player} of {team} has {total:points} on record, and so passed"
        " {number}.",
    ),
    "first_one": (
        "{player} struck for {team} in a first match on record.",
        "New on record is {player}, who struck for {team}.",
        "For {player} ({team}) it was the first match on record.",
    ),
    "first_many": (
        "New on record, for {team}: {players}.",
        "{players} struck for {team} in their first match on record.",
    ),
    "family_first": (
        "{players} struck on one side for the first time on record: {generations} generations"
        " of a family, for {team}.",
        "{team} had {generations} generations of a family on its side, for the first time on"
        " record: {players}.",
    ),
    "family_again": (
        "{players}, {generations} generations of a family, struck on the side of {team}; on"
        " record it was the {times:ordinal} time that they did so together.",
        "{team} had {generations} generations of a family on its side: {players}, for the"
        " {times:ordinal} time together on record.",
    ),
    # what it meant for the teams
    "team_best": (
        "The {points:points} are the most of {team} on record; before it was {before}, over"
        " {matches:matches}.",
        "{team} has never struck more on record: {points:points}, after {before} as the best"
        " of {matches:matches}.",
    ),
    "ended_won": (
        "So ended a run of {length:wins} that {team} had begun on {since}.",
        "{team} had won {length:matches} in a row since {since}; that is over.",
    ),
    "ended_lost": (
        "{team} had lost {length:matches} in a row since {since}; that is over.",
        "After {length:defeats} in a row since {since}, {team} was not beaten this time.",
    ),
    "ended_unbeaten": (
        "{team} had been unbeaten for {length:matches}, since {since}, until this day.",
        "So ended a run of {length:matches} without defeat for {team}, begun on {since}.",
    ),
    "ended_clean": (
        "{team} had stayed clean for {length:matches}, since {since}, until this day.",
        "So ended a run of {length:matches} in which {team} had conceded no Nummer, begun on"
        " {since}.",
    ),
    "goes_on_won": (
        "{team} has now won {length:matches} in a row, since {since}.",
        "For {team} it is the {length:ordinal} win in a row since {since}.",
    ),
    "goes_on_unbeaten": (
        "{team} has now been unbeaten for {length:matches}, since {since}.",
        "It is the {length:ordinal} match in a row, since {since}, that {team} has not lost.",
    ),
    "goes_on_clean": (
        "{team} has now stayed clean for {length:matches}, since {since}.",
        "It is the {length:ordinal} match in a row, since {since}, in which {team} conceded"
        " no Nummer.",
    ),
    "meeting_won": (
        "When they last met on record, on {date}, {winner} won.",
        "Their previous match on record, on {date}, went to {winner}.",
    ),
    "meeting_drawn": (
        "When they last met on record, on {date}, it was a draw.",
        "Their previous match on record, on {date}, ended level.",
    ),
    "rank_points": (
        "The match gave {home} {home_points:rank_points} and {away} {away_points}.",
        "In rank points the match was worth {home_points} to {home} and {away_points} to {away}.",
        "{home} took {home_points:rank_points} from the match and {away} {away_points}.",
    ),
    # what is known, and from where
    "weather": (
        "Of the weather the sheet says: “{text}”.",
        "The weather, as the sheet has it: “{text}”.",
    ),
    "note": (
        "The sheet also notes: “{text}”.",
        "A note on the sheet says: “{text}”.",
    ),
    "only_players": (
        "Not every strike is known: of one side there are only the points of its players.",
        "Of one side there are only the points of its players, not their strikes.",
    ),
    "only_players_of_both": (
        "The single strikes are not known, only the points of each player.",
        "Of both sides there are only the points of the players, not their strikes.",
    ),
    "only_ries": (
        "Of one side no more is known than its Ries totals.",
        "Who struck what is not known of both sides; of one there are only Ries totals.",
    ),
    "only_ries_of_both": (
        "More than the Ries totals is not known of either side.",
        "Who struck what nobody knows any more; there are only the Ries totals.",
    ),
    "only_points": (
        "Of one side no more is known than its points.",
        "Who struck what is not known of both sides; of one there are only the points.",
    ),
    "only_points_of_both": (
        "More than the points is not known of either side.",
        "Who struck what nobody knows any more; there are only the points.",
    ),
    "only_none": (
        "Of one side no figures have survived.",
        "Of one side no figures have come down to us.",
    ),
    "only_none_of_both": (
        "Figures of the match have not survived.",
        "No figures of the match have come down to us.",
    ),
    "source": (
        "This is told from {source}.",
        "What is known of it comes from {source}.",
    ),
    "source_reference": (
        "This is told from {source} (“{reference}”).",
        "What is known of it comes from {source} (“{reference}”).",
    ),
    "doubts": (
        "The sheet is in doubt at {count:places}.",
        "At {count:places} the sheet itself notes a doubt.",
    ),
})  # fmt: skip


def _ordinal(number: int) -> str:
    teen = number % 100 in (11, 12, 13)
    ending = "th" if teen else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number:,}{ending}"


WORDS = Words(
    months=(
        "January", "February", "March", "April", "May", "June", "July", "August", "September",
        "October", "November", "December",
    ),
    date_form="{day} {month} {year}",
    thousands=",",
    list_end=" and ",
    nouns=MappingProxyType({
        "points": ("{n} point", "{n} points"),
        "rank_points": ("{n} rank point", "{n} rank points"),
        "nummern": ("{n} Nummer", "{n} Nummern"),
        "matches": ("{n} match", "{n} matches"),
        "wins": ("{n} win", "{n} wins"),
        "defeats": ("{n} defeat", "{n} defeats"),
        "strikes": ("{n} strike is", "{n} strikes are"),
        "places": ("one place", "{n} places"),
        "people": ("{n} player", "{n} players"),
    }),
    nth=("first", "second", "third", "fourth", "fifth", "sixth"),
    ordinal=_ordinal,
    generations=MappingProxyType({2: "two", 3: "three", 4: "four"}),
    of_team="{player} ({team})",
    nummer_at="{player} ({inning:nth} inning, {points:points})",
    replacement_nummer_at="{player} (replacement strike, {inning:nth} inning, {points:points})",
    best_of="{player} with {points} (until then {before})",
    with_replacement=" with a replacement strike",
    sources=MappingProxyType({
        "paper-sheet": "the paper sheet",
        "newspaper": "a newspaper",
        "minute-book": "the minute book",
        "letter": "a letter",
        "memory": "what somebody remembers",
        "other": "an old record",
    }),
    phrases=MappingProxyType({
        # what came of it
        "errors": (
            "The sheet of {home} against {away} on {date} still has errors, so there is nothing"
            " to tell yet.",
        ),
        "errors_unknown": ("The sheet still has errors, so there is nothing to tell yet.",),
        "draft": (
            "The sheet of {home} against {away} on {date} is not finished: {blanks:strikes} still"
            " to be entered.",
        ),
        "annulled": (
            "The match of {home} against {away} on {date} was annulled and counts nowhere.",
            "{home} against {away} on {date} does not count: the match was annulled.",
        ),
        "postponed": (
            "The match of {home} against {away} on {date} was postponed; there is no new date yet.",
            "{home} and {away} did not play on {date}; a new date is still to be found.",
        ),
        "postponed_to": (
            "The match of {home} against {away} on {date} was postponed to {moved_to}.",
            "{home} and {away} did not play on {date}; the match was moved to {moved_to}.",
        ),
        "forfeited": (
            "The match of {home} against {away} on {date} was forfeited.",
        ),
        "forfeited_to": (
            "The match against {loser} on {date} was forfeited and given to {winner}.",
            "{winner} was given the match against {loser} on {date}, which was forfeited.",
        ),
        "result_open": (
            "{home} and {away} met on {date}; who won is not on record.",
            "On {date} {home} played {away}, but no record says who won.",
        ),
        "drawn": (
            "{home} and {away} parted level on {date}.",
            "The match of {home} against {away} on {date} was a draw.",
        ),
        "drawn_points": (
            "{home} and {away} parted level on {date}, with {points:points} each.",
            "The match of {home} against {away} on {date} was a draw: both had {points:points}.",
        ),
        "drawn_recorded": (
            "{home} and {away} parted level on {date}, so the record says.",
            "The record has the match of {home} against {away} on {date} as a draw.",
        ),
        "won_clean": (
            "{winner} beat {loser} on {date} and conceded no Nummer, {loser}"
            " {loser_nummern}.",
            "On {date} {winner} stayed clean and won against {loser}, who conceded"
            " {loser_nummern:nummern}.",
            "{winner} won on {date}: {loser} had {loser_nummern:nummern} in the strip, {winner}"
            " had none.",
            "A clean side won on {date}: {winner} let nothing through, and {loser} conceded"
            " {loser_nummern:nummern}.",
        ),
        "won_nummern": (
            "{winner} beat {loser} on {date} by Nummern, {winner_nummern} conceded to"
            " {loser_nummern}.",
            "On {date} {winner} won against {loser}: {winner_nummern:nummern} conceded to"
            " {loser_nummern}.",
            "Nummern decided it on {date}: {winner} conceded {winner_nummern}, {loser}"
            " {loser_nummern}.",
        ),
        "won_points": (
            "{winner} beat {loser} on {date} by {winner_points} to {loser_points:points}.",
            "On {date} {winner} won against {loser}, {winner_points} to {loser_points:points}.",
            "{winner} had {margin:points} more than {loser} on {date} and won, {winner_points} to"
            " {loser_points}.",
            "The match of {date} went to {winner}, who struck {winner_points:points} to the"
            " {loser_points} of {loser}.",
        ),
        "won_longest_ries": (
            "{winner} beat {loser} on {date} by the higher Ries alone.",
            "On {date} only the best Ries told {winner} from {loser}; it gave {winner} the match.",
        ),
        "won_recorded": (
            "{winner} beat {loser} on {date}; the record has the winner, not how it was decided.",
            "The record names {winner} as the winner against {loser} on {date} and does not say"
            " what decided it.",
        ),
        # what the other criterion said
        "points_too": (
            "In points too {winner} was ahead, {winner_points} to {loser_points}.",
            "The points, {winner_points} to {loser_points}, were with {winner} as well.",
            "{winner} also struck more: {winner_points} to {loser_points:points}.",
        ),
        "points_fewer": (
            "In points {loser} had been ahead, {loser_points} to {winner_points}, but Nummern"
            " come first.",
            "{loser} struck more, {loser_points} to {winner_points:points}, and lost all the same.",
            "The {loser_points:points} of {loser} against {winner_points} were of no help.",
        ),
        "points_level": (
            "In points there was nothing between them: {winner_points} each.",
            "Both struck {winner_points:points}.",
        ),
        "nummern_level": (
            "In Nummern they were level: {nummern} each.",
            "Both had conceded {nummern:nummern}.",
            "With {nummern:nummern} against each side, Nummern decided nothing.",
        ),
        "both_clean": (
            "Both sides stayed clean.",
            "Neither side conceded a Nummer.",
            "No nouss came down in the strip untouched, on either side.",
        ),
        # how it went
        "abandoned": (
            "The match was broken off before its end.",
            "It was not played to the end.",
        ),
        "kept_out": (
            "The match counts for no table.",
            "For the tables the match does not count.",
        ),
        "setting": (
            "It was a match of the {competition}.",
            "The match was played in the {competition}.",
        ),
        "setting_round": (
            "It was a match of round {round} ({competition}).",
            "The match belonged to round {round} ({competition}).",
        ),
        "setting_ground": (
            "The match ({competition}) was played on the ground “{ground}”.",
            "The ground of this match ({competition}) was “{ground}”.",
        ),
        "setting_round_ground": (
            "The match belonged to round {round} ({competition}); the ground was “{ground}”.",
            "This was round {round} ({competition}), on the ground “{ground}”.",
        ),
        "nummer_decided": (
            "The Nummer that decided was struck by {player} in the {inning:nth} inning{how}, at"
            " {points:points}.",
            "{player} struck the deciding Nummer{how}: {inning:nth} inning, {strike:nth} strike,"
            " {points:points}.",
            "It was {player} who struck the one Nummer for {team}{how}, with the {strike:nth}"
            " strike of the {inning:nth} inning, at {points:points}.",
        ),
        "nummer_one": (
            "For {team} {player} struck a Nummer in the {inning:nth} inning{how}, at"
            " {points:points}.",
            "{player} struck the one Nummer of {team}{how}: {inning:nth} inning, {strike:nth}"
            " strike, {points:points}.",
        ),
        "nummern_decided": (
            "The {count:nummern} that decided were struck by {strikes}.",
            "{team} had the Nummern from {strikes}.",
            "Those who struck the {count:nummern} for {team}: {strikes}.",
        ),
        "nummern_few": (
            "For {team} {count:nummern} came from {strikes}.",
            "{team} struck {count:nummern} too: {strikes}.",
        ),
        "nummern_many": (
            "{team} struck {count:nummern}.",
            "On the sheet stand {count:nummern} struck by {team}.",
        ),
        "course_grew": (
            "{ahead} led by {lead:points} after the first inning and by {final_lead} in the end.",
            "After the first inning {ahead} was {lead:points} ahead; the second added {change}.",
            "The lead of {ahead} was {lead:points} at half-way and grew by {change} after that.",
        ),
        "course_shrank": (
            "{ahead} led by {lead:points} after the first inning; in the second {change} of them"
            " were lost.",
            "After the first inning {ahead} was {lead:points} ahead, in the end {final_lead}.",
            "The lead of {ahead} was {lead:points} at half-way and came down to {final_lead}.",
        ),
        "course_same": (
            "{ahead} led by {lead:points} after the first inning, and by as many in the end.",
            "The {lead:points} by which {ahead} led were there after the first inning already.",
        ),
        "course_turned": (
            "After the first inning {ahead} had led by {lead:points}; in the end {final_ahead}"
            " was {final_lead} ahead.",
            "{final_ahead} was {lead:points} behind {ahead} at half-way and {final_lead} in front"
            " in the end.",
            "The second inning turned the points: {ahead} had led by {lead}, then {final_ahead}"
            " did by {final_lead}.",
        ),
        "course_from_level": (
            "After the first inning they were level in points; {final_ahead} struck"
            " {final_lead:points} more in the second.",
            "Level after the first inning, {final_ahead} came away {final_lead:points} ahead.",
        ),
        "course_caught": (
            "{ahead} had led by {lead:points} after the first inning; in the end they were level"
            " in points.",
            "The {lead:points} by which {ahead} led at half-way were all lost in the second"
            " inning.",
        ),
        "course_level": (
            "They were level in points after the first inning and level in the end.",
            "Neither inning put one side ahead in points.",
        ),
        "best_ries": (
            "The highest Ries was that of {team} with the {strike:nth} strikes of the"
            " {inning:nth} inning: {points}.",
            "{team} had the best Ries, {points:points} with the {strike:nth} strikes of the"
            " {inning:nth} inning.",
            "No Ries was higher than the {points} of {team} in the {inning:nth} inning"
            " ({strike:nth} strikes).",
        ),
        **AFTER_THE_RESULT,
    }),
)  # fmt: skip
