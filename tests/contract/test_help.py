"""What the command says of itself and what the documentation says must agree.

`docs/commands.md` holds the help of every verb as it is printed. Where this test fails after a change of an option,
write the page anew and read what changed: `PULSEWRIGHT_WRITE_DOCS=1 python3 start.py test tests/contract/test_help.py`.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from pulsewright import cli
from pulsewright.cli.size import SUBJECTS
from pulsewright.cli.study import STUDIES

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "commands.md"
HEAD = """# The command

`pulsewright VERB` calls one verb of the workbench and shows what it gives. Exit codes: 0; 1 for any error or exceeded
limit; 2 for wrong usage. Values with units are text in quotes: `--charge "9 kV"`. `--set PATH=VALUE` takes the paths of
the build file and changes nothing in it. With `--json` all numbers are SI, and faults come as JSON too; what the JSON
and the CSV hold stands in [records.md](records.md). Files are written whole or not at all. Colour is used on a terminal
only, and never where `NO_COLOR` is set. `--debug` shows the traceback of a fault.
"""


def help_of(*verb: str) -> str:
    """Help as printed, 80 columns wide."""
    printed = CliRunner().invoke(cli.app, [*verb, "--help"], prog_name="pulsewright", terminal_width=80)
    assert printed.exit_code == 0
    return "\n".join(line.rstrip() for line in printed.output.rstrip().splitlines())


def commands() -> list[tuple[str, ...]]:
    """Every verb, and every study below the verb of that name."""
    below = {"study": STUDIES, "size": SUBJECTS}
    return [(name,) for name in cli.VERBS] + [(verb, name) for verb, names in below.items() for name in names]


def command_of(words: tuple[str, ...]) -> click.Command:
    """The command that these words call."""
    found: click.Command | None = cli.app
    for word in words:
        assert isinstance(found, click.Group)
        found = found.get_command(click.Context(found), word)
    assert found is not None
    return found


def page() -> str:
    """The page as it must be."""
    parts = [HEAD, f"```text\n{help_of()}\n```\n"]
    parts += [f"## {' '.join(words)}\n\n```text\n{help_of(*words)}\n```\n" for words in commands()]
    return "\n".join(parts)


def test_the_page_of_commands_is_what_the_command_says() -> None:
    if os.environ.get("PULSEWRIGHT_WRITE_DOCS") == "1":
        PAGE.write_text(page(), "utf-8")
    assert PAGE.read_text("utf-8") == page()


def test_the_readme_lists_every_verb_and_no_other() -> None:
    listed = re.findall(r"^\| `pulsewright ([a-z]+)", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE)
    assert sorted(listed) == sorted(cli.VERBS)


@pytest.mark.parametrize("words", commands(), ids=" ".join)
def test_every_option_and_verb_has_words(words: tuple[str, ...]) -> None:
    command, name = command_of(words), " ".join(words)
    assert command.help
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, f"{name} {parameter.name} has no words"
            assert parameter.help.endswith((".", "it.")), f"{name} {parameter.name} is no sentence"


def test_examples_in_the_documents_name_real_verbs_and_options() -> None:
    for document in [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]:
        for line in re.findall(r"pulsewright ([a-z]+ [^`\n]*)`", document.read_text("utf-8")):
            verb, *words = line.split()
            assert verb in cli.VERBS, f"{document.name}: there is no verb {verb}"
            command = command_of((verb, words[0]) if verb in ("study", "size") else (verb,))
            known = {spelling for parameter in command.params for spelling in parameter.opts} | {"--help"}
            used = {word for word in words if word.startswith("--")}
            assert used <= known, f"{document.name}: {verb} has no {sorted(used - known)}"
