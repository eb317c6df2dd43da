"""The command line in another language than English: click's own words, and the help of ours.

Imported only where the user's language is another one.
"""

import contextlib
import copy
import gettext
import sys
from collections.abc import Callable, Iterator
from typing import TypeVar

import click

from riesbuch.cli.main import CommandTable
from riesbuch.trade.messages import Words

_Command = TypeVar("_Command", bound=click.Command)


@contextlib.contextmanager
def click_in(words: Words) -> Iterator[None]:
    """Within, all that click says it says in these words: each of its modules has the functions
    of `gettext` by names of its own."""
    import click._termui_impl
    import click.shell_completion  # noqa: F401

    instead: dict[object, Callable[..., str]] = {
        gettext.gettext: words.gettext,
        gettext.ngettext: words.ngettext,
    }
    before = [
        (module, name, function)
        for module_name, module in sorted(sys.modules.items())
        if module_name.startswith("click.")
        for name, function in [*vars(module).items()]
        if callable(function) and function in (gettext.gettext, gettext.ngettext)
    ]
    for module, name, function in before:
        setattr(module, name, instead[function])
    try:
        yield
    finally:
        for module, name, function in before:
            setattr(module, name, function)


def in_words(command: _Command, words: Words) -> _Command:
    """A copy of the command, or of the group with all that is in it, whose help is in these words;
    paragraphs are looked up one by one, each as one line."""
    spoken = copy.copy(command)
    # It was made in another language where the command had been asked for help before.
    vars(spoken).update(_help_option=None)
    spoken.help = _paragraphs(command.help, words)
    spoken.epilog = _paragraphs(command.epilog, words)
    spoken.params = [_parameter_in_words(parameter, words) for parameter in command.params]
    if isinstance(spoken, CommandTable):
        spoken.words = words
    elif isinstance(spoken, click.Group):
        spoken.commands = {
            name: in_words(within, words) for name, within in spoken.commands.items()
        }
    return spoken


def _parameter_in_words(parameter: click.Parameter, words: Words) -> click.Parameter:
    spoken = copy.copy(parameter)
    if isinstance(spoken, click.Option):
        spoken.help = _paragraphs(spoken.help, words)
    return spoken


def _paragraphs(text: str | None, words: Words) -> str | None:
    if not text:
        return text
    return "\n\n".join(
        # What begins so is laid out by hand.
        words.gettext(part if part.startswith("\b") else " ".join(part.split()))
        for part in text.split("\n\n")
    )
