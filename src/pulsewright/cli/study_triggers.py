"""Study `triggers`: every way to start the discharge, held against the user's own head."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Verb, overrides, to_json


@click.command("triggers", cls=Verb, short_help="Every way to start the discharge, held against this head.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command_triggers(bench_path: Path, charge: str | None, pairs: tuple[str, ...], as_json: bool) -> None:
    """Compare every way to start the discharge of BENCH.

    For each method: whether it suits this head, delay and jitter with their ranges, rise time of the current, what it
    adds to the loop, parts, upkeep, hazards, source.
    """
    import pulsewright as pw
    from pulsewright.cli.numbers import voltage
    from pulsewright.cli.show_triggers import page

    volts = None if charge is None else voltage("--charge", charge)
    found = pw.open(bench_path).triggers(volts, overrides(pairs))
    click.echo(to_json(found.as_dict()) if as_json else page(found).lstrip("\n"))
