"""Study `fill`: the life of the dye fill over many shots."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, exit_code, overrides, to_json, write_files


@click.command("fill", cls=Verb, short_help="Life of the dye fill: output against shots, when to change it.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--shots", type=int, default=1000, show_default=True, metavar="NUMBER", help="Shots that are followed.")
@click.option("--fraction", type=float, metavar="PART", help="Part of the output at which it is changed, else 0.5.")
@click.option("--loop", metavar="ID", help="The dye loop, where there are several; else the first.")
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--csv", type=click.Path(path_type=Path), metavar="FILE", help="Write the curves, one shot a line, SI.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command_fill(
    ctx: click.Context,
    bench_path: Path,
    shots: int,
    fraction: float | None,
    loop: str | None,
    charge: str | None,
    pairs: tuple[str, ...],
    csv: Path | None,
    as_json: bool,
) -> None:
    """Follow the dye fill of BENCH over many shots, as its loop renews it.

    Dye left, absorption by what becomes of it, output against the number of the shot, each with its range; when to
    change the fill; solution and dye for so many shots; the price of a filter against ultraviolet.
    """
    import pulsewright as pw
    from pulsewright.cli import show_fill
    from pulsewright.cli.numbers import voltage

    volts = None if charge is None else voltage("--charge", charge)
    bench = pw.open(bench_path)
    with Progress("Computing shots") as progress:
        found = bench.fill_life(shots, fraction, loop, volts, overrides(pairs), progress)
    if csv is not None:
        write_files({csv: show_fill.csv_of(found)})
    click.echo(to_json(found.as_dict()) if as_json else show_fill.page(found).lstrip("\n"))
    ctx.exit(exit_code(found.findings))
