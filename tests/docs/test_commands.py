"""Every command that the documents tell is one that there is."""

import argparse
import re
import shlex
from importlib.util import find_spec
from pathlib import Path

import pytest

from evenfall.cli.app import build_parser
from tests.docs.pages import PAGES, ROOT, codes, command_lines, name_of

PROGRAM = re.compile(r"(?:\.venv/bin/)?evenfall(?= )")
SYNOPSIS = re.compile(r"[\[|]|\bCOMMAND\b")
"""Where a line shows what may be said, rather than what is said."""

PARSER = build_parser()
(_COMMANDS,) = [action for action in PARSER._actions if isinstance(action, argparse._SubParsersAction)]
OPTIONS = {
    name: {option for action in parser._actions for option in action.option_strings}
    for name, parser in _COMMANDS.choices.items()
}
MADE = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(), re.M))


def _told(page: Path) -> list[str]:
    lines = [line.strip() for line in command_lines(page)]
    return [line for line in lines if PROGRAM.match(line)]


def _words(line: str) -> list[str]:
    """Split a line as a shell does, without its comment and without where its output goes."""
    return shlex.split(line.partition(" > ")[0], comments=True)[1:]


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_a_command_told_is_understood(page: Path) -> None:
    for line in _told(page):
        if not SYNOPSIS.search(line):
            try:
                PARSER.parse_args(_words(line))
            except SystemExit:
                pytest.fail(f"not understood: {line}")


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_a_synopsis_names_options_that_there_are(page: Path) -> None:
    for line in _told(page):
        command = line.split()[1]
        if SYNOPSIS.search(line) and command in OPTIONS:
            assert set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*", line)) <= OPTIONS[command], line


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_a_command_named_in_a_sentence_is_one(page: Path) -> None:
    for code in codes(page):
        if PROGRAM.match(code):
            _, command, *rest = code.split()
            assert command in OPTIONS or command == "--version", code
            assert {word for word in rest if word.startswith("--")} <= OPTIONS[command], code
        if module := re.match(r"python -m ([\w.]+)", code):
            assert find_spec(module.group(1)), code


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_what_is_to_be_made_can_be_made(page: Path) -> None:
    told = [*codes(page), *(line.strip() for line in command_lines(page))]
    for line in told:
        if named := re.match(r"make ([a-z]+)\b", line):
            assert named.group(1) in MADE, line


def test_a_command_that_there_is_not_is_found_out(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        PARSER.parse_args(_words("evenfall reed film.mp4 > out.json  # never"))
    assert "reed" in capsys.readouterr().err


def test_the_tutorials_tell_commands() -> None:
    """Else the tests above would look at nothing."""
    assert len(_told(ROOT / "docs/tutorial/first-reading.md")) > 5
    assert len(_told(ROOT / "docs/reference/cli.md")) > 20
