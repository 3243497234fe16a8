"""Study `lamp-law`: steady resistivity of the lamps beside the published law and the Spitzer floor."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Verb, overrides, to_json


@click.command("lamp-law", cls=Verb, short_help="Resistivity of the lamps beside the published law and Spitzer's.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, with every curve.")
def command_lamp_law(bench_path: Path, pairs: tuple[str, ...], as_json: bool) -> None:
    """Hold the plasma of BENCH's lamps against the published law of resistivity.

    Steady balance of heat and radiation at 0.2 to 60 kA/cm^2: resistivity with its 90 % range, with conduction to the
    wall, the square-root law, fully ionised plasma, temperature, radiated part.
    """
    import pulsewright as pw
    from pulsewright.cli import show_lamp_law

    found = pw.open(bench_path).lamp_law(overrides(pairs))
    click.echo(to_json(found.as_dict()) if as_json else show_lamp_law.page(found).lstrip("\n"))
