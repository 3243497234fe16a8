"""Study `bank`: discharge and light over capacitance, voltage, inductance, or any other entry."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, overrides, to_json, write_files

#: Options that are axes by themselves: option, path of the entry.
AXES = (
    ("--capacitance", "bank.capacitance"),
    ("--charge", "bank.charge_voltage"),
    ("--inductance", "loop.inductance"),
)


@click.command("bank", cls=Verb, short_help="Current, light and stress over capacitance, voltage, inductance.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--capacitance", metavar="RANGE", help='Capacitance of the bank, for instance "1 uF:10 uF:20".')
@click.option("--charge", metavar="RANGE", help='Charge voltage, for instance "6 kV:12 kV:13".')
@click.option("--inductance", metavar="RANGE", help='Inductance of the loop, for instance "0.5 uH:5 uH:10".')
@click.option("--axis", "others", metavar="PATH=RANGE", multiple=True, help="Any other entry as an axis; repeatable.")
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--csv", type=click.Path(path_type=Path), metavar="FILE", help="Write every point as CSV.")
def command_bank(
    bench_path: Path,
    capacitance: str | None,
    charge: str | None,
    inductance: str | None,
    others: tuple[str, ...],
    pairs: tuple[str, ...],
    as_json: bool,
    csv: Path | None,
) -> None:
    """Map discharge and light of BENCH over one to three entries; the dye is not computed.

    A RANGE is FIRST:LAST:NUMBER, with :log behind it in equal factors, or a list with commas. An axis such as
    lamps.*.bore sets every lamp.
    """
    import pulsewright as pw
    from pulsewright.cli import show_maps
    from pulsewright.cli.axes import axes_of

    given = dict(zip(AXES, (capacitance, charge, inductance), strict=True))
    if not (others or any(words is not None for words in given.values())):
        raise click.UsageError(
            'Give one to three of --capacitance, --charge, --inductance and --axis, such as --charge "6 kV:12 kV:7".'
        )
    axes = axes_of({where: words for where, words in given.items() if words is not None}, others)
    bench = pw.open(bench_path)
    with Progress("Computing the map") as progress:
        found = bench.bank_map(axes, overrides(pairs), progress)
    if csv is not None:
        write_files({csv: show_maps.csv_of(found)})
    click.echo(to_json(found.as_dict()) if as_json else show_maps.bank_page(found).lstrip("\n"))
    if csv is not None and not as_json:
        click.echo(f"\nWrote {csv}")
