"""The chronicle of a league or a club: what stands in it, in which order."""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field
from functools import cached_property
from html import escape as html_escape
from itertools import groupby

from riesbuch.pages import paths
from riesbuch.pages.binding import COLUMNS_OF_LINES, COLUMNS_OF_PERSONS, Binding, anchor_of
from riesbuch.pages.club import club_pages
from riesbuch.pages.competition import (
    best_of_classes,
    decisions,
    how_many,
    marked_team,
    striker_table,
)
from riesbuch.pages.handed_down import told_striker_tables, told_tables
from riesbuch.pages.history.overview import history_pages
from riesbuch.pages.markdown import Markdown, bullets, escape, joined, stacked, table
from riesbuch.pages.outcomes import fixtures_of, has_page, played, sure_places_of
from riesbuch.pages.past import Past
from riesbuch.pages.player import players_with_page
from riesbuch.pages.round_lines import result_line
from riesbuch.pages.season import gaps, season_pages
from riesbuch.pages.stories.telling import match_story
from riesbuch.questions.before_match import BeforeMatch
from riesbuch.questions.honours import CompetitionOverview, season_gaps
from riesbuch.questions.match_lines import GreatMatch, Why, great_matches
from riesbuch.questions.results import CompetitionResults, RecordedMatch, is_league
from riesbuch.questions.under_way import seasons_only
from riesbuch.questions.who import find_party
from riesbuch.trade.ids import TeamId
from riesbuch.trade.match import Depth, SourceKind
from riesbuch.trade.people import Club
from riesbuch.trade.season import CompetitionKind
from riesbuch.trade.standings import Standing

_HERE = f"{paths.REPORTS}/book.md"
_BEST_STRIKERS = 10
_MOST_DAYS = 2
_HISTORY = (
    paths.HONOURS_PAGE,
    paths.ALL_TIME_PAGE,
    paths.RECORDS_PAGE,
    paths.FAMILIES_PAGE,
    paths.PEOPLE_PAGE,
    paths.GROUNDS_PAGE,
)


@dataclass(frozen=True, kw_only=True)
class Chronicle:
    """Of the whole league, or of a ``club`` with all that it carries on; of all seasons, or of the
    first to the last that ``limits`` names. ``past`` is that of all, ``results_of`` gives those of
    one. Nothing is in it where ``years`` are empty."""

    past: Past
    results_of: Callable[[int], Sequence[CompetitionResults]]
    club: Club | None = None
    limits: tuple[int, int] | None = None
    _pages: dict[str, paths.Page] = field(default_factory=dict)

    @cached_property
    def years(self) -> list[int]:
        """The seasons of which there is something to tell, the oldest first."""
        return sorted({known.season for known in self._competitions})

    def text(self) -> str:
        """The whole file."""
        wording, past = self.past.wording, self.past
        for year, results in self._results.items():
            self._add(season_pages(past, year, results))
        for _, years in groupby(self.years, lambda year: year // 10):
            self._decade([*years])
        self._great_matches()
        limited = seasons_only(past.tables, *self.limits) if self.limits else nullcontext()
        with limited:
            told = Past(archive=past.archive, tables=past.tables, whole=past)
            self._history(told)
            cover = self._cover(told)
        title = wording.words.say("{name}: chronicle", name=self._name)
        return self._binding.bound(title, cover, wording.say("Contents"))

    @cached_property
    def _binding(self) -> Binding:
        return Binding(self.past.wording.words.language, self._pages)

    @property
    def _name(self) -> str:
        return self.club.name if self.club else self.past.wording.league

    @cached_property
    def _clubs(self) -> Sequence[str]:
        """The club, then those whose history it carries on."""
        if self.club is None:
            return sorted(self.past.wording.register.clubs)
        return self.club.id, *find_party(self.past.tables, self.club.id).predecessors

    @cached_property
    def _teams(self) -> frozenset[str] | None:
        """Those of the club; None where everybody's are told."""
        if self.club is None:
            return None
        return frozenset(team for team, _ in find_party(self.past.tables, self.club.id).teams)

    def _is_told(self, team: TeamId | str | None) -> bool:
        return self._teams is None or team in self._teams

    @cached_property
    def _competitions(self) -> list[CompetitionOverview]:
        first, last = self.limits or (0, self.past.wording.newest)
        found = [
            known
            for known in self.past.overview
            if first <= known.season <= last and self._has_part(known)
        ]
        return sorted(found, key=lambda known: known.season)

    def _has_part(self, known: CompetitionOverview) -> bool:
        key = known.season, known.competition
        told = self.past.told.get(key)
        teams = [row.team for rows in (told.tables.values() if told else ()) for row in rows]
        teams += [title.team for title in (told.titles if told else ())]
        return (
            self._teams is None
            or any(self.past.has_played(team, key) for team in self._teams)
            or any(map(self._is_told, teams))
        )

    @cached_property
    def _results(self) -> dict[int, list[CompetitionResults]]:
        wanted = {(known.season, known.competition) for known in self._competitions}
        return {
            year: [of for of in self.results_of(year) if (year, of.competition.id) in wanted]
            for year in self.years
            if year in self.past.archive.seasons
        }

    def _matches(self, results: CompetitionResults) -> list[RecordedMatch]:
        return [
            match
            for match in results.matches
            if has_page(match)
            and (self._is_told(match.tally.home.team) or self._is_told(match.tally.away.team))
        ]

    def _all_matches(self) -> Iterator[RecordedMatch]:
        for of_year in self._results.values():
            for results in of_year:
                yield from self._matches(results)

    def _add(self, pages: Iterator[paths.Page]) -> None:
        self._pages.update((page.path, page) for page in pages)

    def _tell(self, path: str, level: int) -> None:
        """What the page at ``path`` tells, its title a heading of that level; family trees in
        columns. Nothing where there is no such page."""
        within = path.removeprefix(f"{paths.REPORTS}/")
        page, anchor = self._pages.get(within), anchor_of(within)
        text = page.text() if page else None
        if text is None or anchor is None:
            return
        title = Markdown(text.partition("\n")[0].removeprefix("# "))
        of_families = anchor.startswith("history-families")
        if level == 1:
            self._binding.chapter(anchor, title, "history")
        else:
            self._binding.heading(level, anchor, title, is_listed=not of_families)
        self._binding.page(text, path, deeper=level - 1, in_columns=of_families)

    def _cover(self, told: Past) -> str:
        wording, say = self.past.wording, self.past.wording.say
        counted = [match for match in self._all_matches() if match.tally.counts]
        whole = sum(
            match.tally.home.depth is match.tally.away.depth is Depth.STRIKES for match in counted
        )
        missing = 0 if self.club else sum(row.missing for row in season_gaps(told.tables))
        state = [
            wording.counted(
                len(counted),
                "{count} match is on record, {known} known strike by strike.",
                "{count} matches are on record, {known} of them known strike by strike.",
                known=wording.number(whole),
            )
        ]
        if missing:
            state.append(say("Planned and not on record: {count}.", count=wording.number(missing)))
        if told.last_day:
            state.append(say("Last match on record: {date}.", date=wording.date(told.last_day)))
        own_record = say(
            "The tables of this book are the club's own record, added up from its match sheets;"
            " they are not a federation's ruling."
        )
        return "".join(
            f'<{tag} class="{kind}">{line}</{tag}>'
            for tag, kind, line in (
                ("p", "kind", say("Chronicle")),
                ("h1", "name", html_escape(self._name)),
                ("p", "league", html_escape(wording.league) if self.club else ""),
                ("p", "years", wording.years(self.years[0], self.years[-1])),
                *(("p", "state", sentence) for sentence in (*state, own_record)),
            )
            if line
        )

    def _decade(self, years: Sequence[int]) -> None:
        wording, past = self.past.wording, self.past
        decade = years[0] // 10 * 10
        first, last = self.limits or (decade, decade + 9)
        title = wording.years(max(first, decade), min(last, decade + 9))
        self._binding.chapter(f"decade-{decade}", title)
        if years[0] == self.years[0]:
            how_to_read = wording.say(
                "Results stand in one line each: home team and visitors, then of each side the"
                " Nummern that it conceded in the field and its points. The fewer Nummern, the"
                " better; where these are level, points decide. A question mark stands for what"
                " nobody knows."
            )
            self._binding.text(how_to_read)
        self._binding.text(
            table(
                (known for known in self._competitions if known.season in years),
                wording.column("Season", lambda row: wording.season(row.season, _HERE)),
                past.competition_column(_HERE),
                wording.figure_column("Matches", past.how_many),
                wording.column("First place", lambda row: past.first_place(row, _HERE)),
            )
        )
        for year in years:
            self._season(year)

    def _season(self, year: int) -> None:
        wording, past = self.past.wording, self.past
        self._binding.heading(2, f"season-{year}", wording.season_title(year))
        results = {of.competition.id: of for of in self._results.get(year, ())}
        for known in (known for known in self._competitions if known.season == year):
            anchor = f"competition-{year}-{known.competition}"
            self._binding.heading(3, anchor, escape(known.name), is_listed=False)
            of_sheets = next((of for key, of in results.items() if key == known.competition), None)
            if of_sheets is not None and of_sheets.matches:
                self._competition(of_sheets)
                continue
            self._binding.text(
                stacked(
                    told_tables(past, year, known.competition, _HERE),
                    told_striker_tables(past, year, known.competition, _HERE),
                )
                or wording.say("No sheet of it is on record."),
                deeper=2,
            )
        matches = [match for of in results.values() for match in self._matches(of)]
        found = stacked(*gaps(past, year, [*results.values()], matches, _HERE))
        if found:
            self._binding.heading(
                3, f"gaps-{year}", wording.say("What is missing or doubtful"), is_listed=False
            )
            doubtful = [match for match in matches if match.doubts]
            self._binding.text(self._with_links(found, doubtful), deeper=1, in_columns=True)

    def _competition(self, results: CompetitionResults) -> None:
        wording, past, year = self.past.wording, self.past, results.year
        key = results.competition.id
        sure = sure_places_of(
            results, fixtures_of(past.archive, results), is_over=past.is_over(year)
        )
        rows: Sequence[Standing] = results.standings
        if results.competition.kind is CompetitionKind.CUP:
            rows = sorted(rows, key=lambda row: -row.won)
        strikers = [row for row in results.strikers if self._is_told(row.team)]
        if self._teams is None:
            strikers = [row for row in strikers if row.rank <= _BEST_STRIKERS]
        self._binding.text(
            stacked(
                how_many(wording, results, fixtures_of(past.archive, results)),
                table(
                    rows if played(results) else (),
                    wording.figure_column("Rank", lambda row: row.rank)
                    if results.competition.kind is not CompetitionKind.CUP
                    else None,
                    wording.column(
                        "Team", lambda row: marked_team(past, results, row, sure, _HERE)
                    ),
                    *wording.total_columns(by_figures=results.by_figures),
                    wording.figure_column("Rank points", lambda row: row.rank_points)
                    if is_league(results)
                    else None,
                ),
                past.ruling_notes([(year, key)]),
                decisions(wording, results),
                told_tables(past, year, key, _HERE),
            ),
            deeper=2,
        )
        folder = paths.competition_page(year, key).removeprefix(f"{paths.REPORTS}/")[:-9]
        for path in self._pages:
            if path.startswith(folder) and path.endswith(".svg") and "/" not in path[len(folder) :]:
                self._binding.picture(path)
        self._binding.text(
            stacked(
                wording.titled(
                    "Best strikers", striker_table(past, _HERE, results, strikers), level=4
                ),
                wording.titled(
                    "Best of each class",
                    bullets(best_of_classes(wording, results, _HERE)),
                    level=4,
                ),
                told_striker_tables(past, year, key, _HERE),
            ),
        )
        matches = self._matches(results)
        if matches:
            self._binding.heading(
                4, f"results-{year}-{key}", wording.say("Results"), is_listed=False
            )
            self._binding.columns(COLUMNS_OF_LINES, self._lines(results, matches))

    def _lines(
        self, results: CompetitionResults, matches: Sequence[RecordedMatch]
    ) -> Iterator[tuple[Markdown, list[tuple[None, Markdown]]]]:
        """Round by round, or day by day, a line a match."""
        wording = self.past.wording
        parts = {part.id: number for number, part in enumerate(results.competition.parts)}

        def group(match: RecordedMatch) -> tuple[int, int, str]:
            tally = match.tally
            if tally.part in parts:
                return 0, parts[tally.part], ""
            day = str(tally.date or "") if tally.round is None else ""
            return 1, tally.round or 0, day

        for (with_round, number, _), found in groupby(sorted(matches, key=group), group):
            of_group = [*found]
            days = sorted({match.tally.date for match in of_group if match.tally.date})
            titles = [joined(map(wording.date, days))] if 0 < len(days) <= _MOST_DAYS else []
            if not with_round:
                titles.insert(0, escape(results.competition.parts[number].name))
            elif number:
                titles.insert(0, wording.say("Round {number}", number=Markdown(str(number))))
            name = self.past.archive.register.team_name
            lines = [
                (None, escape(result_line(wording.words, match.tally, name))) for match in of_group
            ]
            yield joined(titles) or wording.unknown, lines

    def _great_matches(self) -> None:
        wording, past = self.past.wording, self.past
        found = {
            great.line.sheet: great
            for great in great_matches(past.tables, past.honours, self._teams)
            if great.line.season in self._results
        }
        if not found:
            return
        self._binding.chapter("great-matches", wording.say("Great matches"))
        self._binding.text(
            wording.say(
                "This chapter tells of the finals of the cups, every match in which a team or a"
                " player struck more points than anybody on record before (from the second season"
                " on), and of each decade the highest total of a team and the closest match on"
                " points."
                if self._teams is None
                else "This chapter tells of the cup finals that the club played, every match in"
                " which it or one of its players struck more points than ever before on record"
                " (from the second season on), and of each decade its highest total and its closest"
                " match on points."
            ),
        )
        before = BeforeMatch(past.tables)
        told = [
            (results, match)
            for of_year in self._results.values()
            for results in of_year
            for match in results.matches
            if match.tally.sheet in found
        ]
        order = [*found]
        for results, match in sorted(told, key=lambda pair: order.index(pair[1].tally.sheet)):
            self._great_match(before, results, match, found[match.tally.sheet])

    def _great_match(
        self, before: BeforeMatch, results: CompetitionResults, recorded: RecordedMatch,
        great: GreatMatch,
    ) -> None:  # fmt: skip
        wording, archive, tally = self.past.wording, self.past.archive, recorded.tally
        rules = archive.rules_of(results.competition, tally.part) or results.rules
        self._binding.heading(
            2,
            f"match-{tally.sheet.replace('/', '-')}",
            joined([wording.sides(tally.home.team, tally.away.team), wording.date(tally.date)]),
        )
        reasons = [self._reason(why, figure, results.year) for why, figure in great.why]
        story = match_story(before, archive, recorded.match, tally, rules, length="long")
        self._binding.text(
            stacked(
                wording.competition_title(results.year, results.competition, _HERE),
                bullets(reasons),
                *(self._with_links(escape(text), [recorded]) for text in story.texts()),
            ),
        )
        path = paths.match_page(tally.sheet).removeprefix(f"{paths.REPORTS}/")
        self._binding.picture(f"{path.removesuffix('.md')}.svg")

    def _reason(self, why: Why, figure: int, year: int) -> Markdown:
        wording, decade = self.past.wording, year // 10 * 10
        reasons: dict[Why, Markdown] = {
            "final": wording.say("The final of the cup."),
            "team_record": wording.say("{points} points: more than any team on record before."),
            "player_record": wording.say(
                "A player with {points} points: more than anybody on record before."
            ),
            "highest": wording.say(
                "{points} points: the highest total of a team on record in {years}."
            ),
            "closest": wording.say("Points apart: {points}, the fewest on record in {years}."),
        }
        return Markdown(
            reasons[why].format(
                points=wording.number(figure), years=wording.years(decade, decade + 9)
            )
        )

    def _with_links(self, told: Markdown, matches: Sequence[RecordedMatch]) -> Markdown:
        """Whoever struck in one of the ``matches`` and is named in full, as a link. Two of one
        name are left as they are."""
        wording = self.past.wording
        links: dict[str, set[Markdown]] = {}
        for match in (recorded.match for recorded in matches):
            struck = (known.player for _, side in match.sides for known in side.by_points)
            for player in (*(row.player for row in match.all_rows), *struck):
                name = wording.player(player, match.season)
                links.setdefault(name, set()).add(wording.player(player, match.season, _HERE))
        names = [name for name, of_name in links.items() if len(of_name) == 1 and {name} != of_name]
        if not names:
            return told
        any_name = "|".join(map(re.escape, sorted(names, key=lambda name: (-len(name), name))))
        named = re.compile(rf"(?<!\w)(?:{any_name})(?!\w)")
        return Markdown(named.sub(lambda found: next(iter(links[found[0]])), told))

    def _history(self, told: Past) -> None:
        """What is told of all these seasons together."""
        wording, binding = self.past.wording, self._binding
        self._add(history_pages(told))
        self._add(club_pages(told))
        if self.club is None:
            for path in _HISTORY:
                self._tell(path, 1)
                if path == paths.FAMILIES_PAGE:
                    # Where the trees are too many for one page, each letter has its own.
                    for of_letter in sorted(self._pages):
                        if of_letter.startswith("history/families-"):
                            self._tell(f"{paths.REPORTS}/{of_letter}", 2)
            binding.chapter("clubs", wording.say("Portraits of the clubs"), "portraits")
        else:
            binding.chapter("clubs", wording.say("The club"), "portraits")
        for key in self._clubs:
            self._tell(paths.club_page(key), 2)
        if wording.publishing.players:
            self._register(told)
        if self.club is None:
            self._tell(paths.SOURCES_PAGE, 1)
            return
        kinds = Counter(
            known.source.kind if known.source else None for known in self._all_matches()
        )
        if kinds:
            binding.chapter("sources", wording.say("Sources and gaps"))
            binding.text(
                wording.sources((kind, kinds[kind]) for kind in (*SourceKind, None) if kinds[kind])
            )

    def _register(self, told: Past) -> None:
        """Everybody who may be named in full: who is named in the book and, in that of the league,
        whoever else struck in these years; of all years the whole register."""
        wording, named = self.past.wording, self._binding.persons
        persons = [
            player
            for player in players_with_page(self.past)
            if player in named or (self.club is None and (not self.limits or player in told.spans))
        ]
        if not persons:
            return
        self._binding.chapter("register", wording.say("Register of persons"), "register")
        self._binding.text(
            wording.say(
                "In brackets the years of the first and the last match on record, then the pages of"
                " this book on which the name stands."
            ),
        )
        self._binding.columns(
            COLUMNS_OF_PERSONS,
            (
                (escape(letter), [(player, self._person(told, player)) for player in of_letter])
                for letter, of_letter in groupby(persons, lambda player: player[0].upper())
            ),
        )

    def _person(self, told: Past, player: str) -> Markdown:
        wording, span = self.past.wording, told.spans.get(player)
        name = wording.player(player, wording.newest)
        return Markdown(f"{name} ({wording.years(*span)})") if span else name
