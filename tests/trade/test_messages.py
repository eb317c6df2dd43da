"""A message is its English sentence, and can be said in another language wherever it went."""

import json
import pickle

from riesbuch.trade.messages import Message, joined, packed, translated, unpacked
from riesbuch.trade.problems import all_of, alternatives


class Backwards:
    """Every sentence in brackets, its own words in capitals."""

    def gettext(self, message: str) -> str:
        return (
            "["
            + "".join(part if part.startswith("{") else part.upper() for part in _parts(message))
            + "]"
        )

    def pgettext(self, context: str, message: str) -> str:
        return message

    def ngettext(self, one: str, many: str, number: int) -> str:
        return self.gettext(one if number == 1 else many)


def _parts(message: str) -> list[str]:
    return message.replace("{", "\0{").replace("}", "}\0").split("\0")


COUNTED = Message.plural(2, "{count} strike in {where}", "{count} strikes in {where}", where="x")
NESTED = Message("`{place}` has {what}", place="home.points", what=COUNTED)


def test_a_message_is_its_english_sentence() -> None:
    assert NESTED == "`home.points` has 2 strikes in x"
    assert json.dumps([NESTED]) == '["`home.points` has 2 strikes in x"]'
    assert Message.plural(1, "{count} strike", "{count} strikes") == "1 strike"
    assert Message("no gaps, but {braces}") == "no gaps, but {braces}"


def test_a_message_is_said_in_another_language_with_all_that_is_in_it() -> None:
    assert translated(NESTED, Backwards()) == "[`home.points` HAS [2 STRIKES IN x]]"
    assert translated("written by somebody", Backwards()) == "written by somebody"


def test_thousands_are_grouped_as_the_language_does() -> None:
    class Apart(Backwards):
        def pgettext(self, context: str, message: str) -> str:
            return "\N{RIGHT SINGLE QUOTATION MARK}" if context == "between thousands" else "5"

    many, more = (
        Message.plural(number, "{count:,} sheet", "{count:,} sheets of {year}", year=2026)
        for number in (1234, 12800)
    )
    assert many == "1,234 sheets of 2026"
    assert translated(many, Apart()) == "[1234 SHEETS OF 2026]"
    assert translated(more, Apart()) == "[12’800 SHEETS OF 2026]"
    assert Message.plural(1, "{count:,} sheet", "{count:,} sheets") == "1 sheet"


def test_messages_put_together_are_said_each_for_itself() -> None:
    class Known(Backwards):
        def gettext(self, message: str) -> str:
            return {"b {gap}": "B {gap}"}.get(message, message)

    together = joined("; ", ("a", Message("b {gap}", gap="c\nd"), "{e}"))
    assert together == "a; b c\nd; {e}"
    assert translated(together, Known()) == "a; B c\nd; {e}"
    assert together.on_one_line() == "a; b c\\nd; {e}"
    assert translated(together.on_one_line(), Known()) == "a; B c\\nd; {e}"
    assert translated(unpacked(json.loads(json.dumps(packed(together)))), Known()) == (
        "a; B c\nd; {e}"
    )
    assert joined(", ", ()) == ""
    added = "x {" + Message("b {gap}", gap=1) + "} y"
    assert added == "x {b 1} y"
    assert translated(added, Known()) == "x {B 1} y"


def test_a_message_is_kept_and_comes_back_whole() -> None:
    for message in (NESTED, COUNTED, Message("a")):
        for back in (
            unpacked(json.loads(json.dumps(packed(message)))),
            pickle.loads(pickle.dumps(message)),
        ):
            assert back == message
            assert translated(back, Backwards()) == translated(message, Backwards())
    assert unpacked(packed("written by somebody")) == "written by somebody"


def test_lists() -> None:
    assert [alternatives(words) for words in (["a"], ["a", "b"], ["a", "b", "c"])] == [
        "a", "a or b", "a, b or c",
    ]  # fmt: skip
    assert all_of(["a", "b", "c", "d"]) == "a, b, c and d"
    assert translated(alternatives(["a", "b", "c"]), Backwards()) == "[[a, b] OR c]"
