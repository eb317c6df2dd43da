"""The rank lists of a festival in parts, each short enough for one sheet of paper."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from riesbuch.pages.markdown import NOTHING, Markdown, escape, joined, link, sentences
from riesbuch.pages.past import Past
from riesbuch.pages.paths import competition_page, rank_list_page
from riesbuch.pages.team_table import Going, team_table
from riesbuch.pages.wording import Wording
from riesbuch.questions.results import CompetitionResults
from riesbuch.trade.ids import TeamId
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.season import Part
from riesbuch.trade.standings import Standing, standings
from riesbuch.trade.strikers import AwardGiven


class RankList(NamedTuple):
    """Over all parts where ``part`` is None; ``matches`` is how many of them it rests on."""

    part: Part | None
    path: str
    rules: RuleSet
    rows: Sequence[Standing]
    matches: int
    awards: Sequence[AwardGiven]

    def title(self, wording: Wording) -> Markdown:
        if self.part is None:
            return wording.say("Rank list")
        return wording.say("Rank list: {part}", part=escape(self.part.name))

    def table(self, past: Past, of: tuple[int, str], here: str) -> Markdown:
        going: Going = "by figures" if self.rules.ranks_by_figures else "by results"
        won: dict[TeamId, list[Markdown]] = defaultdict(list)
        for given in self.awards:
            for team in given.teams:
                won[team].append(escape(given.award.name))
        return team_table(past, of, self.rows, here, going, won=won)


def rank_lists(past: Past, results: CompetitionResults) -> Iterator[RankList]:
    """Over all, then of each part; of those that have a result, and of a festival in parts."""
    competition = results.competition
    tallies = [match.tally for match in results.matches if match.tally.counts]
    for part in (None, *competition.parts) if competition.parts else ():
        of_it = [tally for tally in tallies if part is None or tally.part == part.id]
        rules = past.archive.rules_of(competition, part.id) if part else results.rules
        if of_it and rules is not None:
            yield RankList(
                part,
                rank_list_page(results.year, competition.id, part.id if part else None),
                rules,
                [
                    row
                    for row in (
                        standings(of_it, competition.teams, rules) if part else results.standings
                    )
                    if row.played
                ],
                len(of_it),
                () if part else results.awards,
            )


def rank_list_text(past: Past, results: CompetitionResults, ranks: RankList) -> str:
    wording, year, here = past.wording, results.year, ranks.path
    competition = results.competition
    return wording.page(
        here,
        joined([ranks.title(wording), wording.competition_title(year, competition)]),
        ranks.table(past, (year, competition.id), here),
        sentences(
            wording.counted(
                ranks.matches, "In the tables: {count} match.", "In the tables: {count} matches."
            ),
            wording.left_out(len(results.left_out)),
        ),
        NOTHING if ranks.part else past.ruling_notes([(year, competition.id)]),
        ways=[
            wording.season_title(year, here),
            link(here, competition_page(year, competition.id), escape(competition.name)),
        ],
    )
