"""Rules for seals and corrections."""

from collections.abc import Iterator

from riesbuch.judge.holdings import Holdings, problem_at
from riesbuch.judge.register import unknown_club
from riesbuch.trade.ids import club_of
from riesbuch.trade.match import Match
from riesbuch.trade.messages import Message
from riesbuch.trade.problems import Finding, Problem, all_of, finding
from riesbuch.trade.rules import RuleSet
from riesbuch.trade.sealing import (
    fits_seal,
    is_one_person,
    missing_agreement,
    read_change,
    too_early,
    unmet_changes,
)


def unbroken_seal(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """What decides the result of a sealed sheet is what its captains agreed on."""
    # What cannot be read was reported; the digest would only say so again.
    if match.seal is None or not match.whole or fits_seal(match):
        return
    yield finding(
        match.position("seal.digest"),
        "seal-broken",
        "the sheet was changed after both captains agreed on it: its seal does"
        " not fit what it says now",
        "take the change back and make it with `riesbuch correct`, which asks"
        " for the agreement of both clubs",
    )


def sealed_corrections(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Only a sealed sheet is corrected."""
    if match.corrections and "seal" not in match.positions:
        yield finding(
            match.position("corrections"),
            "correction-without-seal",
            "the sheet has corrections but no seal",
            "bring back the seal that the last correction made; a sheet that was"
            " never sealed is simply edited",
        )


def readable_changes(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A correction names each change as a place, the value before and the value after."""
    for number, correction in enumerate(match.corrections if match.whole else (), start=1):
        for index, written in enumerate(correction.changed, start=1):
            if read_change(written) is None:
                yield finding(
                    match.position(f"corrections.{number}.changed.{index}"),
                    "correction-unreadable",
                    "`{written}` does not name a place and its values",
                    "write it like home.strikes.PLAYER.2.1: 14 -> 15, with `nothing` for a"
                    " value that is not there",
                    written=written,
                )


def met_changes(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """A sheet shows what its last correction of a cell made of it."""
    # Behind a broken seal the cell may be the one that was changed, which is said already.
    if not match.whole or not fits_seal(match):
        return
    for unmet in unmet_changes(match):
        named = unmet.named
        now = (
            Message("has no such place")
            if unmet.now is None
            else Message("says {now}", now=unmet.now)
        )
        made = (
            Message("took it out")
            if named.after is None
            else Message("made it {after}", after=named.after)
        )
        yield finding(
            match.position(f"corrections.{unmet.correction}.changed.{unmet.change}"),
            "correction-differs",
            "the correction of `{at}` {made}, but the sheet {now}",
            "the entry is wrong, or a later change was never entered: settle with"
            " both clubs which value they agreed on",
            at=named.at,
            made=made,
            now=now,
        )


def days_in_order(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Nobody agrees on a match before it was held, nor to a correction before the one above it."""
    for early in too_early(match) if match.whole else ():
        if early.correction:
            yield finding(
                match.position(f"corrections.{early.correction}.on"),
                "agreed-too-early",
                "the correction is dated before {what}",
                "write the day on which both clubs agreed",
                what=early.what,
            )
        else:
            yield finding(
                match.position("seal.on"),
                "sealed-too-early",
                "the seal is dated before {what}",
                "write the day on which both captains agreed, or the day of the match",
                what=early.what,
            )


def two_captains(match: Match, rules: RuleSet) -> Iterator[Finding]:
    """Two people agree, one for each side."""
    seal = match.seal
    if seal is not None and is_one_person(seal.home, seal.away):
        yield finding(
            match.position("seal.away"),
            "one-person-for-both",
            "`{away}` agrees for both sides",
            "each side's own captain agrees",
            away=seal.away,
        )


def agreeing_clubs(holdings: Holdings) -> Iterator[Problem]:
    """Both clubs of the match agreed to a correction, or clubs that carry them on."""
    register = holdings.archive.register
    for entry in holdings.entries:
        teams = [team for team in (entry.home, entry.away) if team and register.knows_team(team)]
        meeting = tuple(dict.fromkeys(club_of(team) for team in teams))
        for agreement in entry.agreements:
            unknown = False
            for mention in agreement.clubs:
                if not register.knows_club(mention.club):
                    unknown = True
                    advice = ""
                    if meeting:
                        advice = Message("the match was of {clubs}", clubs=all_of(meeting))
                    place = entry.path, mention.position
                    yield unknown_club(place, mention.club, register, advice)
            agreed = [mention.club for mention in agreement.clubs]
            missing = missing_agreement(meeting, agreed, register.clubs.values())
            if missing and not unknown:
                yield problem_at(
                    entry.path,
                    agreement.position,
                    "correction-not-agreed",
                    "{clubs} did not agree to this correction",
                    "a correction needs both clubs of the match",
                    clubs=all_of(f"`{club}`" for club in missing),
                )
