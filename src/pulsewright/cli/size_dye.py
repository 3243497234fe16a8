"""Subject `dye` of `size`: concentration, coupler and bore for the head of a bench."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, exit_code, overrides, to_json


@click.command("dye", cls=Verb, short_help="Concentration, coupler and bore for the head of a bench.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--concentration", metavar="RANGE", help='Of the dye, for instance "1e-5 mol/L:3e-4 mol/L:11:log".')
@click.option("--reflectivity", metavar="RANGE", help='Of the output coupler, for instance "0.1:0.9:9".')
@click.option("--bore", metavar="RANGE", help='Of the cell, for instance "6 mm, 8 mm, 10 mm".')
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--write", type=click.Path(path_type=Path), metavar="DIR", help="Make a bench folder with the values.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, with the whole map.")
@click.pass_context
def command_dye(
    ctx: click.Context,
    bench_path: Path,
    concentration: str | None,
    reflectivity: str | None,
    bore: str | None,
    charge: str | None,
    pairs: tuple[str, ...],
    write: Path | None,
    as_json: bool,
) -> None:
    """Size dye, coupler and bore of BENCH for the most output at its charge voltage.

    Shows the map of output over concentration and coupler, the best of each bore, between which values the output
    stays near the best, what stops it, and whether it is firm at the ends of what is known of the dye.

    A RANGE is FIRST:LAST:NUMBER, a list with commas, or one value. Exit code 1 when the best point exceeds a limit.
    """
    import pulsewright as pw
    from pulsewright.cli import show_dye
    from pulsewright.cli.numbers import voltage
    from pulsewright.cli.ranges import values
    from pulsewright.workbench import write_sized_dye

    axes = [
        None if words is None else values(option, key, words)
        for option, key, words in (
            ("--concentration", "concentration", concentration),
            ("--reflectivity", "reflectivity", reflectivity),
            ("--bore", "bore", bore),
        )
    ]
    volts, changes = None if charge is None else voltage("--charge", charge), overrides(pairs)
    bench = pw.open(bench_path)
    with Progress("Computing shots") as progress:
        found = bench.size_dye(axes[0], axes[1], axes[2], volts, changes, progress)
    made = None
    if write is not None:
        kept = dict(changes or {}) | ({} if charge is None else {"bank.charge_voltage": charge})
        made = write_sized_dye(bench, found, write, kept)
    click.echo(to_json(found.as_dict()) if as_json else show_dye.page(found).lstrip("\n"))
    if made is not None and not as_json:
        click.echo(f"\nMade {made}. Next: pulsewright check {made}")
    ctx.exit(exit_code(found.findings))
