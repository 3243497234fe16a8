"""Verb `size`: from what is wanted to candidate builds. To add a subject, add a line to `SUBJECTS`."""

from __future__ import annotations

import difflib
import importlib

import click

#: Subject -> (module, one line of help). Each module holds a `click.Command` named `command_<subject>`.
SUBJECTS: dict[str, tuple[str, str]] = {
    "bank": ("size_bank", "Capacitors, inductance and voltage for an energy and a pulse length."),
    "dye": ("size_dye", "Concentration, coupler and bore for the head of a bench."),
}


class Subjects(click.Group):
    """The group of subjects; loads a subject's module only when it is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the subjects."""
        return list(SUBJECTS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The subject's command, or None."""
        if cmd_name not in SUBJECTS:
            return None
        module = importlib.import_module(f"pulsewright.cli.{SUBJECTS[cmd_name][0]}")
        command = getattr(module, f"command_{cmd_name}")
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, with the nearest subject named for a misspelling."""
        name = args[0]
        if name not in SUBJECTS and not name.startswith("-"):
            near = difflib.get_close_matches(name, SUBJECTS, n=1)
            hint = f" Did you mean {near[0]}?" if near else f" There are: {', '.join(SUBJECTS)}."
            ctx.fail(f"There is nothing to size called {name!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of subjects, without loading them."""
        with formatter.section("Subjects"):
            formatter.write_dl([(name, words) for name, (_, words) in SUBJECTS.items()])


@click.group(
    "size",
    cls=Subjects,
    short_help="A bank for an energy and a pulse length; dye, coupler, bore.",
    subcommand_metavar="SUBJECT [ARGUMENTS]...",
)
def command_size() -> None:
    """From what is wanted to builds: a bank from nothing but a wish, dye, coupler and bore for a bench that is there.

    Each subject tells more of itself with --help.
    """
