"""Stories in English: what is told once the result and the course of the match are."""

from collections.abc import Mapping
from types import MappingProxyType

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
