"""What a captain asks: the form of a team, a proposed line-up, the Nummern conceded, and what is
still in reach."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from riesbuch.questions.conditions import LEAST_MATCHES, LEAST_STRIKES
from riesbuch.show.matches import basis_note
from riesbuch.show.output import (
    NEVER_FOLDED,
    Answer,
    Column,
    Ratio,
    Table,
    figure_column,
    table_data,
)
from riesbuch.show.season import table_heading
from riesbuch.trade import counts
from riesbuch.trade.messages import Message

if TYPE_CHECKING:
    from riesbuch.care.draft import Aside
    from riesbuch.care.proposal import Proposal, Seat
    from riesbuch.questions.conditions import Conceded, NummernOfTeam
    from riesbuch.questions.form import PlayerForm, Strikes, TeamForm
    from riesbuch.trade.reach import Prospect, Reach
    from riesbuch.trade.season import Competition

Names = Mapping[str, str]
"""Of players and teams, by identifier."""

_SHARES = {0.25: Message("a quarter"), 0.5: Message("half"), 1.0: Message("as much")}


def _figure(value: float | None) -> Ratio | None:
    return None if value is None else Ratio(round(value * 100), 100)


def _average(strikes: Strikes) -> Ratio:
    return Ratio(strikes.points, strikes.number)


def form_answer(form: TeamForm, names: Names) -> Answer:
    def name(player: str) -> str:
        return names.get(player, player)

    columns: tuple[Column[PlayerForm], ...] = (
        Column("player", "Player", shown=lambda row: name(row.player)),
        figure_column("matches", "Matches", spare=1),
        figure_column("strikes", "Strikes", lambda row: row.strikes.number, spare=1),
        figure_column("average", "Average", lambda row: _average(row.strikes)),
        figure_column(
            "recent", Message("Last {count}", count=form.recent), lambda row: _average(row.recent)
        ),
        figure_column("spread", "Spread", lambda row: _figure(row.strikes.spread), spare=2),
        figure_column("expected", "Expected", lambda row: _figure(row.expected)),
        figure_column("nummern", "Nummern", spare=2),
        figure_column("trainings", "Trainings", spare=3),
        Column("player_name", value=lambda row: name(row.player), formats=("csv",)),
    )
    unknown = Message(
        "Nobody's strikes for {team} in {year} are known one by one, so nothing is expected of"
        " anybody.",
        team=names.get(form.team, form.team),
        year=form.season,
    )
    notes = [*_form_notes(form, names)]
    return Answer([Table(columns, form.players)], notes, nothing=() if form.players else [unknown])


def _form_notes(form: TeamForm, names: Names) -> Iterator[str]:
    until = Message(", up to {day}", day=form.until) if form.until else ""
    team = names.get(form.team, form.team)
    yield Message("This is {team} in {year}{until}.", team=team, year=form.season, until=until)
    yield basis_note(form.matches, form.known)
    spread = form.spread
    if spread is None:
        return
    mean = _figure(spread.mean)
    if spread.between:
        yield Message(
            "Expected are points per strike in the next match: a player's mean, drawn towards"
            " the team's of {mean} as if {strikes} of that mean came on top.",
            mean=mean and mean.text,
            strikes=counts.strikes(round(spread.within / spread.between)),
        )
    else:
        yield Message(
            "The players differ no more than chance would have them, so of each the team's"
            " mean of {mean} is expected.",
            mean=mean and mean.text,
        )
    if form.earlier:
        yield _weight_note(Message("of {year}", year=form.season - 1), form.weights.before)
    if form.trained:
        yield _weight_note(Message("of a training"), form.weights.trainings)
    yield Message("Nummern are those that the player struck; opponents conceded them.")


def _weight_note(which: Message, weight: float) -> Message:
    if not weight:
        return Message(
            "A strike {which} does not count: the matches so far would have been foretold no better"
            " with it.",
            which=which,
        )
    return Message(
        "A strike {which} counts {share}, by which the matches so far would have been foretold"
        " best.",
        which=which,
        share=_SHARES[weight],
    )


_PROPOSAL = Message("This is a proposal; the captain decides.")


def lineup_answer(proposal: Proposal, names: Names) -> Answer:
    def name(player: str) -> str:
        return names.get(player, player)

    columns: tuple[Column[Seat], ...] = (
        Column("part", formats=("csv",)),
        figure_column("place", "Place"),
        Column("player", "Player", shown=lambda row: name(row.player)),
        figure_column("expected", "Expected", lambda row: _figure(row.expected)),
        figure_column("strikes", "Strikes", spare=1),
        figure_column("nuller", "Nuller", spare=1),
        Column("reason", "Why", width=NEVER_FOLDED),
        Column("player_name", value=lambda row: name(row.player), formats=("csv",)),
    )
    of_away: tuple[Column[Aside], ...] = (
        Column("player", "Player", shown=lambda row: name(row.player)),
        Column("reason", "Why", width=NEVER_FOLDED),
    )
    striking = Table(columns, proposal.striking, Message("Proposed to strike, in this order"))
    over = Table(columns, proposal.over, Message("Proposed to be over"))
    away = Table(of_away, proposal.away, Message("Not proposed"))
    data = {
        "proposal": str(_PROPOSAL),
        "team": proposal.team,
        "season": proposal.season,
        "date": str(proposal.date) if proposal.date else None,
        "size": proposal.size,
        "strikes": table_data(striking),
        "over": table_data(over),
        "away": table_data(away),
    }
    return Answer(
        tables=[table for table in (striking, over, away) if table.rows],
        notes=[_PROPOSAL, *_lineup_notes(proposal, names)],
        data=data,
        csv=Table(columns, (*proposal.striking, *proposal.over)),
        nothing=() if proposal.striking else [Message("Nobody is left to be proposed.")],
    )


def _lineup_notes(proposal: Proposal, names: Names) -> Iterator[str]:
    team = names.get(proposal.team, proposal.team)
    yield Message(
        "It is for {team} on {day}, by what was struck in {year} before."
        if proposal.date
        else "It is for {team}, by what was struck in {year}; it has no fixture left.",
        team=team,
        day=proposal.date,
        year=proposal.season,
    )
    short = proposal.size - len(proposal.striking)
    if short:
        yield Message(
            "A side has {size}: {players} short. Who has not struck for the team this season is"
            " not proposed.",
            size=proposal.size,
            players=counts.players(short),
        )
    yield Message(
        "Whoever struck last for another team of the club, or stands in a sheet of one on that"
        " day, is left to it."
    )


_BY = {
    "zone": Message("zone"),
    "inning": Message("inning"),
    "ground": Message("ground"),
    "weather": Message("weather"),
    "wind": Message("wind"),
    "opponent": Message("opponent"),
}
_FEW = Message("few")


def nummern_answer(found: NummernOfTeam, names: Names) -> Answer:
    def value(row: Conceded) -> str:
        shown = str(row.value)
        return names.get(shown, shown) if row.by == "opponent" else row.value  # type: ignore[return-value]

    columns: tuple[Column[Conceded], ...] = (
        Column("by", "By", shown=lambda row: _BY[row.by]),
        Column("value", "What", shown=value),
        figure_column("matches", "Matches"),
        figure_column("strikes", "Strikes"),
        figure_column("nummern", "Nummern"),
        figure_column(
            title="In 100 strikes",
            shown=lambda row: Ratio(100 * row.nummern, row.strikes) if row.strikes else None,
        ),
        figure_column(
            title="Per match",
            shown=lambda row: None if row.strikes else Ratio(row.nummern, row.matches),
        ),
        Column("few", "", shown=lambda row: _FEW if row.few else ""),
    )
    listed = Table(columns, found.conceded)
    data = {**found._asdict(), "conceded": table_data(listed)}
    return Answer([listed], [*_nummern_notes(found, names)], data)


def _nummern_notes(found: NummernOfTeam, names: Names) -> Iterator[str]:
    yield Message(
        "{team} conceded {nummern} in {known} of {matches} ({years}).",
        team=names.get(found.team, found.team),
        nummern=counts.nummern(found.nummern),
        known=found.known,
        matches=counts.matches(found.matches),
        years=found.first if found.first == found.last else f"{found.first}–{found.last}",
    )
    if found.by_strike:
        yield Message.plural(
            found.by_strike,
            "By zone and inning: {count} of them, whose strike is known; strikes are those of"
            " the opponents.",
            "By zone and inning: the {count} of them whose strikes are known; strikes are those"
            " of the opponents.",
        )
    if found.by_strike < found.nummern:
        yield Message.plural(
            found.nummern - found.by_strike,
            "{count} fell on a strike that is not known, or was made for a missing player.",
            "{count} fell on strikes that are not known, or were made for missing players.",
        )
    if found.without_ground:
        yield Message(
            "Of {matches} the sheet names no ground.",
            matches=counts.matches(found.without_ground),
        )
    if found.silent:
        yield Message(
            "Of {matches} the sheet says nothing of the weather.",
            matches=counts.matches(found.silent),
        )
    if any(row.few for row in found.conceded):
        yield Message(
            "`few`: under {strikes}, or {matches}, too little to conclude anything from.",
            strikes=counts.strikes(LEAST_STRIKES),
            matches=counts.matches(LEAST_MATCHES),
        )


_OPEN = Message("open")
_STAKES: Mapping[str, str] = {
    "first": Message("champion"),
    "promotion": Message("promotion"),
    "safety": Message("to stay up"),
}
_DECIDED: Mapping[tuple[str, str], str] = {
    ("first", "sure"): Message("champion"),
    ("promotion", "sure"): Message("promoted"),
    ("safety", "sure"): Message("cannot be relegated"),
    ("safety", "gone"): Message("relegated"),
    ("safety", "annulment"): Message("relegated, unless a match is annulled"),
}


def reach_answer(
    competition: Competition,
    year: int,
    until: datetime.date | None,
    rows: Sequence[Reach],
    teams: Mapping[str, str],
    time_limit: int,
) -> Answer:
    """``teams`` are names; ``time_limit`` is in seconds."""

    def team(row: Reach) -> str:
        return teams.get(row.team, row.team)

    def rank(value: int | None) -> int | str:
        return _OPEN if value is None else value

    columns: tuple[Column[Reach], ...] = (
        figure_column("rank", Message("Rank")),
        Column("team", "Team", shown=team),
        figure_column("rank_points", Message("Rank points")),
        figure_column("left", Message("Left")),
        figure_column("least", Message("Least"), spare=1),
        figure_column("most", Message("Most"), spare=1),
        figure_column("best_rank", Message("Best rank"), shown=lambda row: rank(row.best_rank)),
        figure_column("worst_rank", Message("Worst rank"), shown=lambda row: rank(row.worst_rank)),
        Column("", Message("What it takes"), shown=_in_words, width=NEVER_FOLDED, formats=()),
        Column(
            "prospects",
            value=lambda row: [prospect._asdict() for prospect in row.prospects],
            formats=("json",),
        ),
        Column("team_name", value=team, formats=("csv",)),
    )
    left = Message.plural(
        sum(row.left for row in rows) // 2,
        "{count} match left; ranks are by rank points alone, whoever is level in front or behind.",
        "{count} matches left; ranks are by rank points alone, whoever is level in front or"
        " behind.",
    )
    unproved = Message.plural(
        time_limit,
        "Not everything was proved within {count} second: `--time-limit {more}` looks for longer.",
        "Not everything was proved within {count} seconds: `--time-limit {more}` looks for longer.",
        more=time_limit * 10,
    )
    notes = [table_heading(competition.id, year, until), left]
    if any(None in (row.best_rank, row.worst_rank) or any(
        prospect.state == "open" or prospect.may_be_less for prospect in row.prospects
    ) for row in rows):  # fmt: skip
        notes.append(unproved)
    return Answer([Table(columns, rows)], notes)


def _in_words(row: Reach) -> list[str]:
    told = [
        _DECIDED.get((prospect.stake, prospect.state)) or _undecided(prospect, row)
        for prospect in row.prospects
        if prospect.state != "gone" or prospect.stake == "safety"
    ]
    if not told:
        return [Message("cannot be first any more")]
    return [*(Message.layout("{told};", told=each) for each in told[:-1]), told[-1]]


def _undecided(prospect: Prospect, row: Reach) -> Message:
    stake = _STAKES[prospect.stake]
    if prospect.state == "help":
        return Message("{stake}: needs help", stake=stake)
    if prospect.state == "open":
        return Message("{stake}: open, not proved", stake=stake)
    if prospect.may_be_less:
        return Message.plural(
            row.left,
            "{stake}: {points} from {count} match are enough, perhaps fewer",
            "{stake}: {points} from {count} matches are enough, perhaps fewer",
            stake=stake,
            points=prospect.needs,
        )
    return Message.plural(
        row.left,
        "{stake}: needs {points} from {count} match to be sure",
        "{stake}: needs {points} from {count} matches to be sure",
        stake=stake,
        points=prospect.needs,
    )
