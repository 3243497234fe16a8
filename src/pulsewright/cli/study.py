"""Verb `study`: questions about a bench beyond the single shot. To add one, add a line to `STUDIES`.

Like the verbs themselves, a study's module is loaded when that study is asked for.
"""

from __future__ import annotations

import difflib
import importlib

import click

#: Study -> (module, one line of help). Each module holds a `click.Command` named `command_<study>`, "_" for "-".
STUDIES: dict[str, tuple[str, str]] = {
    "triggers": ("study_triggers", "Every way to start the discharge, held against this head."),
    "pump-down": ("study_pump_down", "Pressure drop: pumped down until the lamps fire."),
    "charge": ("study_charge", "Charge, hold and dump: times, powers, rules, checklists."),
    "bank": ("study_bank", "Current, light and stress over capacitance, voltage, inductance."),
    "lamp-law": ("study_lamp_law", "Resistivity of the lamps beside the published law and Spitzer's."),
    "pulse-quality": ("study_pulse_quality", "When a shot's own heat spoils its beam, and the wait."),
    "take-off": ("study_take_off", "What fill, field and bore do to the first microseconds."),
    "fill": ("study_fill", "Life of the dye fill: output against shots, when to change it."),
}


class Studies(click.Group):
    """The group of studies; loads a study's module only when that study is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the studies."""
        return list(STUDIES)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The study's command, or None."""
        if cmd_name not in STUDIES:
            return None
        module = importlib.import_module(f"pulsewright.cli.{STUDIES[cmd_name][0]}")
        command = getattr(module, f"command_{cmd_name.replace('-', '_')}")
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, with the nearest study named for a misspelling."""
        name = args[0]
        if name not in STUDIES and not name.startswith("-"):
            near = difflib.get_close_matches(name, STUDIES, n=1)
            hint = f" Did you mean {near[0]}?" if near else f" There are: {', '.join(STUDIES)}."
            ctx.fail(f"There is no study {name!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of studies, without loading them."""
        if STUDIES:
            with formatter.section("Studies"):
                formatter.write_dl([(name, words) for name, (_, words) in STUDIES.items()])


@click.group(
    "study",
    cls=Studies,
    short_help="Questions beyond one shot; each study by its name.",
    subcommand_metavar="STUDY [ARGUMENTS]...",
)
def command_study() -> None:
    """Questions about a bench beyond the single shot.

    Each study tells more of itself with --help.
    """
