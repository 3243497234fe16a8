"""The command `pulsewright`: parse, call one verb of the workbench, show.

Nothing heavy is imported here: each verb's module is loaded when that verb is asked for.
"""

from __future__ import annotations

import difflib
import importlib
from collections.abc import Sequence

import click

from pulsewright import __version__

#: Verb -> (module, one line of help). Each module holds a `click.Command` named `command_<verb>`.
VERBS: dict[str, tuple[str, str]] = {
    "new": ("benches", "Make a bench folder from one of the example benches."),
    "demo": ("benches", "Make the demo bench, compute it, serve its page."),
    "check": ("check", "Is the build file sound? Its findings, each with the next step."),
    "shot": ("shot", "Compute one shot: waveforms, light, pulse, beam, margins."),
    "envelope": ("envelope", "Output and margins against charge voltage; what stops you."),
    "size": ("size", "A bank for an energy and a pulse length; dye, coupler, bore."),
    "study": ("study", "Questions beyond one shot; each study by its name."),
    "formula": ("formula", "Any single formula with its equation, validity and source."),
    "safety": ("safety", "The printable sheet: before charging, misfire, shut-down."),
    "serve": ("serve", "Serve the local page of a bench."),
}

CAUTION = (
    "It computes and advises; it never charges, fires or interlocks anything. Stored energy and "
    "kilovolts kill. The beam is class 4. Solvents and dyes are flammable and toxic. Local codes and "
    "licensed practice decide."
)


class Verbs(click.Group):
    """The group of verbs; loads a verb's module only when that verb is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the verbs, in the order of the work."""
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The verb's command, or None."""
        if cmd_name not in VERBS:
            return None
        module = importlib.import_module(f"pulsewright.cli.{VERBS[cmd_name][0]}")
        command = getattr(module, f"command_{cmd_name}")
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does it, with the nearest verb named for a misspelling."""
        name = args[0]
        if name not in VERBS and not name.startswith("-"):
            near = difflib.get_close_matches(name, VERBS, n=1)
            hint = f" Did you mean {near[0]}?" if near else f" There are: {', '.join(VERBS)}."
            ctx.fail(f"There is no verb {name!r}.{hint}")
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of verbs, without loading them."""
        with formatter.section("Verbs"):
            formatter.write_dl([(name, words) for name, (_, words) in VERBS.items()])

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The caution."""
        formatter.write_paragraph()
        formatter.write_text(CAUTION)


@click.group(
    cls=Verbs,
    subcommand_metavar="VERB [ARGUMENTS]...",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.version_option(__version__, prog_name="pulsewright", message="%(prog)s %(version)s")
@click.option("--debug", is_flag=True, help="Show tracebacks.")
@click.pass_context
def app(ctx: click.Context, debug: bool) -> None:
    """One flashlamp-pumped dye laser in one file: one shot computed from end to end.

    A bench is a folder that holds laser.toml. `pulsewright VERB --help` tells more of each verb.
    """
    ctx.obj = {"debug": debug}


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command and end the process with its exit code: 0; 1 for any error or limit; 2 wrong usage."""
    app.main(args=None if arguments is None else list(arguments), prog_name="pulsewright")
