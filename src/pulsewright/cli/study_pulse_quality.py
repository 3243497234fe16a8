"""Study `pulse-quality`: one shot against the acoustic clock of its dye cell."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Verb, overrides, to_json


@click.command("pulse-quality", cls=Verb, short_help="When a shot's own heat spoils its beam, and the wait.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option("--limit", type=float, metavar="WAVES", help="Wavefront error accepted, rms; 1/14 when not given.")
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, with every array.")
def command_pulse_quality(
    bench_path: Path, charge: str | None, limit: float | None, pairs: tuple[str, ...], as_json: bool
) -> None:
    """Hold one shot of BENCH against the time that sound takes across its dye.

    Heat, density and index in the cell, the error of the wavefront in one pass, when it spoils the pulse, other liquids
    and changes that help, and how long or how much dye the next shot has to wait for.
    """
    import pulsewright as pw
    from pulsewright.cli import show_pulse_quality
    from pulsewright.cli.numbers import voltage

    volts = None if charge is None else voltage("--charge", charge)
    found = pw.open(bench_path).pulse_quality(volts, overrides(pairs), limit)
    click.echo(to_json(found.as_dict()) if as_json else show_pulse_quality.page(found).lstrip("\n"))
