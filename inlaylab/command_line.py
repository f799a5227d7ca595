"""
The command line: one registry of commands, one way to answer and one way to refuse.

``main`` reads the words, runs the command and prints its answer: a text for people, or with ``--json`` one JSON object
on standard output and nothing else there. Progress and messages go to standard error. Exit status: 0 done; 2 the input
is at fault (one sentence, nothing written); 1 the program is; 130 stopped by the person.
"""

import argparse
import json
import os
import re
import sys
from typing import Any, NoReturn

from inlaylab import __version__
from inlaylab.commands import (
    advise,
    coupon,
    fit,
    log,
    next_cut,
    notebooks,
    pool,
    review,
    share,
    virtual_cut,
)
from inlaylab.commands.command import Command
from inlaylab.errors import InlaylabError, shown
from inlaylab.services.plain_values import plain_values
from inlaylab.wording.commands import command as said

COMMANDS: dict[str, Command] = {
    command.name: command
    for module in (log, fit, advise, next_cut, review, virtual_cut, coupon, share, pool, notebooks)
    for command in module.COMMANDS
}

DONE, INPUT_AT_FAULT, STOPPED = 0, 2, 130  # 1, which Python gives by itself: the program is at fault


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals are one sentence on standard error, and to which -0.05mm is a length, not an option."""

    def __init__(self, *words: Any, **options: Any):
        super().__init__(*words, **options)
        self._negative_number_matcher = re.compile(r"-\.?\d")  # as Python 3.14 has it; no option starts with a digit

    def error(self, message: str) -> NoReturn:
        self.exit(INPUT_AT_FAULT, f"{self.prog}: {shown(message, 600)[1:-1]} (see {self.prog} --help)\n")


def parser() -> argparse.ArgumentParser:
    """Build the parser of every command in the registry."""
    top = _Parser(
        prog="inlaylab",
        description=said.DESCRIPTION,
        epilog=said.EPILOG,
        allow_abbrev=False,
    )
    top.add_argument("--version", action="version", version=f"inlaylab {__version__}")
    families = top.add_subparsers(dest="command", metavar="COMMAND", required=True, title="commands")
    for command in COMMANDS.values():
        examples = "".join(f"\n  inlaylab {line}" for line in command.examples)
        each = families.add_parser(
            command.name,
            help=command.help,
            description=command.help[0].upper() + command.help[1:] + ".",
            epilog="\n\n".join(part for part in (command.details, examples and f"examples:{examples}") if part),
            formatter_class=argparse.RawDescriptionHelpFormatter,
            allow_abbrev=False,
        )
        command.add_arguments(each)
        each.add_argument("--json", action="store_true", help=said.JSON)
    return top


def read(words: list[str] | None = None) -> argparse.Namespace:
    """
    Read the words of a command line, or end the process with one sentence on standard error and status 2.

    Parameters
    ----------
    words : list of str, optional
        The words after ``inlaylab``; those of the process if left out.

    Returns
    -------
    arguments : argparse.Namespace
        With ``handed_on``, the words that the command itself does not know.
    """
    top = parser()
    arguments, rest = top.parse_known_args(words)
    if rest and not COMMANDS[arguments.command].hands_on:
        top.error(said.unknown_words(arguments.command, " ".join(rest)))
    arguments.handed_on = [word for word in rest if word != "--"]
    return arguments


def main(words: list[str] | None = None) -> int:
    """
    Run one command line.

    Parameters
    ----------
    words : list of str, optional
        The words after ``inlaylab``; those of the process if left out.

    Returns
    -------
    status : int
        The exit status.
    """
    arguments = read(words)
    try:
        answer = COMMANDS[arguments.command].run(arguments)
        _print(json.dumps(plain_values(answer.record), allow_nan=False) if arguments.json else answer.text)
    except InlaylabError as fault:
        return _refuse(arguments.command, str(fault))
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as fault:
        if fault.filename is None:
            raise
        return _refuse(arguments.command, f"{shown(os.fsdecode(fault.filename), 300)}: {fault.strerror or fault}")
    except KeyboardInterrupt:
        _refuse(arguments.command, said.STOPPED)
        return STOPPED
    return DONE


def _print(text: str) -> None:
    """Print to standard output; what a terminal cannot show is replaced, never a reason to fail."""
    encoding = sys.stdout.encoding or "utf-8"
    print(text.encode(encoding, "backslashreplace").decode(encoding), flush=True)


def _refuse(command: str, message: str) -> int:
    """Say in one sentence on standard error why a command was refused."""
    text = f"inlaylab {command}: {' '.join(message.split())}"
    encoding = sys.stderr.encoding or "utf-8"
    print(text.encode(encoding, "backslashreplace").decode(encoding), file=sys.stderr)
    return INPUT_AT_FAULT
