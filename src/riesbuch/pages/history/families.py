"""The page of the families: a tree for each, and who struck side by side."""

from collections.abc import Iterator
from itertools import groupby

from riesbuch.pages.markdown import (
    NOTHING,
    Markdown,
    chapters,
    escape,
    sentences,
    stacked,
    table,
)
from riesbuch.pages.past import Past
from riesbuch.questions.families import families
from riesbuch.trade.ids import PlayerId

_TOGETHER = 5
"""So many of each number of generations."""
_DEEPEST = 6
"""Lists within lists that readers of Markdown still show; below it another tree begins."""
_LARGEST = 100_000
"""Trees of more characters name people without links, so that a phone can load the page."""
_NOT_NAMED = "_"
"""Behind all letters."""

_Tree = list[Markdown]
"""The lines of a nested list, one for each of a family."""
_Trees = dict[str, list[_Tree]]


def families_text(past: Past, here: str) -> Markdown:
    wording, found = past.wording, families(past.tables)
    together = [
        row
        for _, rows in groupby(found.together, lambda row: len(row.players))
        for row in [*rows][:_TOGETHER]
    ]
    more = len(found.together) - len(together)
    by_letter = _trees(past, here)
    if sum(len(line) for trees in by_letter.values() for tree in trees for line in tree) > _LARGEST:
        by_letter = _trees(past, None)
    side_by_side = stacked(
        table(
            together,
            wording.column(
                "Who",
                lambda row: wording.listed(
                    wording.player(player, wording.newest, here) for player in row.players
                ),
            ),
            wording.column("Team", lambda row: wording.team(row.team, here)),
            wording.figure_column("Matches", lambda row: row.matches),
            wording.column("First", lambda row: wording.match(row.first_sheet, row.first, here)),
        ),
        wording.counted(
            more,
            "{count} line more: `riesbuch families` lists all.",
            "{count} lines more: `riesbuch families` lists all.",
        )
        if more > 0
        else NOTHING,
    )
    titled = [
        (
            wording.say("Not named in full") if letter == _NOT_NAMED else escape(letter),
            Markdown("\n".join(line for tree in trees for line in tree)),
        )
        for letter, trees in by_letter.items()
    ]
    if together:
        titled.append((wording.say("Side by side in one match"), side_by_side))
    return stacked(
        sentences(
            wording.say(
                "Each tree leads from parents to children, as far as the register has them; in"
                " brackets the first and the last year on record. The other parent stands behind"
                " “with”."
            )
            if by_letter
            else wording.say("No parents and children are on record."),
            wording.say(
                "Of {count} matches that count, who struck is known of {known}, at least on one"
                " side.",
                count=wording.number(found.matches),
                known=wording.number(found.players_known),
            ),
        ),
        chapters(titled),
    )


def _trees(past: Past, here: str | None) -> _Trees:
    """By the letter that the identifier of the oldest begins with; last those of whom he or she is
    not named in full. Who has two parents on record stands below the one who has parents on record
    too, or is named first."""
    wording = past.wording
    parents = {
        child: [parent for parent in dict.fromkeys(person.parents) if parent != child]
        for child, person in sorted(past.archive.register.players.items())
        if person.parents
    }
    below: dict[PlayerId, dict[tuple[PlayerId, ...], list[PlayerId]]] = {}
    elsewhere: dict[PlayerId, dict[PlayerId, None]] = {}
    for child, of_child in parents.items():
        above = next((parent for parent in of_child if parents.get(parent)), None)
        for parent in of_child[:1] if above is None else [above]:
            others = tuple(other for other in of_child if other != parent)
            below.setdefault(parent, {}).setdefault(others, []).append(child)
            for other in others:
                elsewhere.setdefault(other, {})[parent] = None

    def named(person: PlayerId) -> Markdown:
        span = past.spans.get(person)
        years = wording.years(*span) if span else wording.say("no match on record")
        return Markdown(f"{wording.player(person, wording.newest, here)} ({years})")

    told: set[PlayerId] = set()

    def lines(person: PlayerId, depth: int) -> Iterator[Markdown]:
        text, families = named(person), below.get(person, {})
        if person in told or (depth >= _DEEPEST and families):
            waiting.append(person)
            families = {}
        told.update([person] if families else [])
        for others in families if len(families) == 1 else ():
            if others:
                mates = wording.listed(map(named, others))
                text = wording.say("{who} with {others}", who=text, others=mates)
        if person in elsewhere:
            text = wording.say(
                "{who}; children below {others}",
                who=text,
                others=wording.listed(
                    wording.player(each, wording.newest, here) for each in elsewhere[person]
                ),
            )
        yield Markdown(f"{'  ' * depth}- {text}")
        for others, children in families.items():
            deeper = depth + 1
            if others and len(families) > 1:
                mates = wording.say("with {others}", others=wording.listed(map(named, others)))
                yield Markdown(f"{'  ' * deeper}- {mates}")
                deeper += 1
            for child in children:
                yield from lines(child, deeper)

    by_letter: _Trees = {}
    # Where somebody is an own ancestor, which is an error in the files, nobody is the oldest.
    waiting = sorted(below, key=lambda who: (bool(parents.get(who)), not past.is_named(who), who))
    for root in waiting:
        if root not in told:
            letter = root[0].upper() if past.is_named(root) else _NOT_NAMED
            by_letter.setdefault(letter, []).append([*lines(root, 0)])
    return {letter: by_letter[letter] for letter in sorted(by_letter)}
