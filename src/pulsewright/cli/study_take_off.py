"""Study `take-off`: what fill pressure, bore and field do to the first microseconds."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, overrides, to_json


@click.command("take-off", cls=Verb, short_help="What fill, field and bore do to the first microseconds.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--fill", metavar="RANGE", help='Fill pressures, for instance "20 torr:600 torr:8:log".')
@click.option("--field", metavar="RANGE", help='Charge voltage over arc length, for instance "100 V/cm:600 V/cm:6".')
@click.option("--bore", metavar="RANGE", help='Bores instead of fields, for instance "3 mm:10 mm:6".')
@click.option(
    "--show", metavar="QUANTITY", help="The quantity printed; else law_fraction, or filling_time where no law holds."
)
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, with every quantity.")
def command_take_off(
    bench_path: Path,
    fill: str | None,
    field: str | None,
    bore: str | None,
    show: str | None,
    pairs: tuple[str, ...],
    as_json: bool,
) -> None:
    """Map the first microseconds of BENCH over fill pressure and field, for its own loop.

    Each point tells whether the arc takes off, and one quantity: filling_time, time_of_peak, peak_current,
    law_fraction, half_current_delay, light_rise_time or unconverted_fraction.
    """
    import pulsewright as pw
    from pulsewright.cli import show_maps
    from pulsewright.cli.ranges import values

    if field is not None and bore is not None:
        raise click.UsageError("--field and --bore: give one of the two; the other axis is the fill.")
    if show is not None:
        show_maps.refuse_unknown_quantity(show)
    second = "bore" if bore is not None else "lamp_field"
    fills = None if fill is None else values("--fill", "fill_pressure", fill)
    others = None
    if bore is not None:
        others = values("--bore", "bore", bore)
    elif field is not None:
        others = values("--field", "lamp_field", field)
    bench = pw.open(bench_path)
    with Progress("Computing the map") as progress:
        found = bench.take_off(second, fills, others, overrides(pairs), progress)
    click.echo(to_json(found.as_dict()) if as_json else show_maps.take_off_page(found, show).lstrip("\n"))
