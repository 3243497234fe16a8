"""Subject `bank` of `size`: candidates for a capacitor bank."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pulsewright.cli.verb import Progress, Verb, exit_code, to_json

if TYPE_CHECKING:
    from pulsewright.workbench.sizing import Capacitor, Wish


@click.command("bank", cls=Verb, short_help="Capacitors, inductance and voltage for an energy and a pulse length.")
@click.option("--energy", metavar="ENERGY", required=True, help='Energy into all lamps, for instance "150 J".')
@click.option("--pulse-length", metavar="TIME", required=True, help='Length of the current pulse, for instance "6 us".')
@click.option(
    "--length-means", metavar="DEFINITION", default="", help="What that length is: 3T, 1/3 or 1/2. Must be said."
)
@click.option("--alpha", metavar="RANGE", default="0.7:1.0", show_default=True, help="Damping wanted.")
@click.option("--gas", metavar="NAME", default="xenon", show_default=True, help="Gas of the lamps.")
@click.option("--bore", metavar="RANGE", default="5 mm, 6 mm, 7 mm, 8 mm, 10 mm", show_default=True, help="Bores.")
@click.option("--arc-length", metavar="RANGE", default="75 mm, 100 mm, 150 mm, 200 mm", show_default=True, help="Arcs.")
@click.option("--fill", metavar="RANGE", default="450 torr", show_default=True, help="Fill pressures.")
@click.option("--lamps", metavar="NUMBERS", default="1,2", show_default=True, help="Numbers of lamps.")
@click.option(
    "--connected",
    type=click.Choice(["series", "parallel", "either"]),
    default="series",
    show_default=True,
    help="How several lamps are connected.",
)
@click.option("--impedance", type=float, metavar="NUMBER", help="Measured K0 of one lamp in ohm*A^0.5, not the law's.")
@click.option("--charge", metavar="RANGE", default="500 V:20 kV", show_default=True, help="Charge voltages allowed.")
@click.option("--stock", type=click.Path(path_type=Path), metavar="FILE", help="Your capacitors, as text or TOML.")
@click.option("--values", metavar="LIST", help='Capacitor values instead of the E6 series, for instance "1 uF, 2 uF".')
@click.option(
    "--rating", metavar="LIST", default="5 kV, 10 kV, 20 kV", show_default=True, help="Voltage ratings of such values."
)
@click.option("--most-parts", type=int, default=4, show_default=True, metavar="NUMBER", help="Most capacitors used.")
@click.option(
    "--rating-part", type=float, default=0.9, show_default=True, metavar="PART", help="Part of a rating used."
)
@click.option(
    "--least-inductance",
    metavar="INDUCTANCE",
    default="0.3 uH",
    show_default=True,
    help="Least of the loop without the capacitors.",
)
@click.option(
    "--resistance", metavar="RESISTANCE", default="30 mohm", show_default=True, help="Of the loop without lamps."
)
@click.option(
    "--explosion-fraction",
    type=float,
    default=0.3,
    show_default=True,
    metavar="PART",
    help="Part of the explosion energy accepted.",
)
@click.option("--sections", type=int, metavar="NUMBER", help="A pulse-forming network of so many equal sections.")
@click.option("--show", type=int, default=6, show_default=True, metavar="NUMBER", help="Candidates shown.")
@click.option("--base", default="tidewater", show_default=True, metavar="NAME", help="Example bench for all the rest.")
@click.option("--trigger", metavar="METHOD", help="ideal, triggered spark gap or external wire; else the base's.")
@click.option(
    "--channel", metavar="RADIUS", help='Channel that the trigger leaves, for instance "1.5 mm" after a simmer.'
)
@click.option("--no-simulation", is_flag=True, help="Leave out the plasma model; faster.")
@click.option("--write", type=click.Path(path_type=Path), metavar="DIR", help="Make a bench folder of a candidate.")
@click.option(
    "--candidate", type=int, default=1, show_default=True, metavar="NUMBER", help="The candidate that --write makes."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command_bank(
    ctx: click.Context,
    /,
    no_simulation: bool,
    write: Path | None,
    candidate: int,
    as_json: bool,
    **options: Any,
) -> None:
    """Candidates for a bank that gives lamps an energy in a pulse of a length, best first.

    A RANGE is FIRST:LAST:NUMBER, a list with commas, or one value. The pulse length means nothing without its
    definition: 3T is three sqrt(L C), 1/3 and 1/2 are widths at these parts of the peak.

    Exit code 1 when no candidate is inside every limit; the nearest are printed.
    """
    from pulsewright.cli import show_sizing
    from pulsewright.workbench import size_bank, write_candidate

    wish = wish_of(options)
    with Progress("Simulating the candidates") as progress:
        found = size_bank(wish, not no_simulation, progress)
    made = None if write is None else write_candidate(found, candidate, write)
    click.echo(to_json(found.as_dict()) if as_json else show_sizing.page(found).lstrip("\n"))
    if made is not None and not as_json:
        click.echo(f"\nMade {made} from candidate {candidate}. Next: pulsewright check {made}")
    ctx.exit(exit_code(found.findings))


def wish_of(options: dict[str, Any]) -> Wish:
    """The wish that the options make."""
    from pulsewright.cli.ranges import span, value, values
    from pulsewright.workbench.sizing import Wish

    def several(option: str, key: str, words: str) -> tuple[float, ...]:
        return tuple(float(one) for one in values(option, key, words))

    connected, channel = options["connected"], options["channel"]
    return Wish(
        energy=value("--energy", "lamp_energy", options["energy"]),
        pulse_length=value("--pulse-length", "width_half", options["pulse_length"]),
        definition=options["length_means"],
        damping=span("--alpha", "damping_parameter", options["alpha"]),
        gas=options["gas"],
        bores=several("--bore", "bore", options["bore"]),
        arc_lengths=several("--arc-length", "arc_length", options["arc_length"]),
        fill_pressures=several("--fill", "fill_pressure", options["fill"]),
        counts=_counts(options["lamps"]),
        connected=("series", "parallel") if connected == "either" else (connected,),
        impedance_parameter=options["impedance"],
        charge_voltages=span("--charge", "charge_voltage", options["charge"]),
        capacitors=_capacitors(options, several),
        most_parts=options["most_parts"],
        rating_part=options["rating_part"],
        least_inductance=value("--least-inductance", "inductance", options["least_inductance"]),
        resistance=value("--resistance", "resistance", options["resistance"]),
        explosion_fraction=options["explosion_fraction"],
        sections=options["sections"],
        show=options["show"],
        base=options["base"],
        trigger=options["trigger"],
        channel_radius=None if channel is None else value("--channel", "channel_radius", channel),
    )


def _counts(words: str) -> tuple[int, ...]:
    try:
        return tuple(int(one) for one in words.split(","))
    except ValueError:
        raise click.UsageError(f"--lamps {words!r}: write whole numbers with commas, for instance 1,2.") from None


def _capacitors(options: dict[str, Any], several: Any) -> tuple[Capacitor, ...]:
    from pulsewright.workbench.sizing import read_stock, standard_values

    if options["stock"] is not None:
        if options["values"] is not None:
            raise click.UsageError("--stock and --values: give one of the two.")
        return read_stock(options["stock"])
    ratings = several("--rating", "voltage_rating", options["rating"])
    chosen = () if options["values"] is None else several("--values", "capacitance", options["values"])
    return standard_values(ratings, max(options["most_parts"], 1), chosen)
