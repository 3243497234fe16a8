"""Study `pump-down`: a head triggered by a pressure drop, pumped down until it fires."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Verb, overrides, to_json


@click.command("pump-down", cls=Verb, short_help="Pressure drop: pumped down until the lamps fire.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command_pump_down(bench_path: Path, charge: str | None, pairs: tuple[str, ...], as_json: bool) -> None:
    """Pump BENCH down until its lamps fire: instant, jitter by cause, and what can go wrong.

    For a head triggered by a pressure drop; any other is refused.
    """
    import pulsewright as pw
    from pulsewright.cli import show_pump_down
    from pulsewright.cli.numbers import voltage

    volts = None if charge is None else voltage("--charge", charge)
    found = pw.open(bench_path).pump_down(volts, overrides(pairs))
    click.echo(to_json(found.as_dict()) if as_json else show_pump_down.page(found).lstrip("\n"))
