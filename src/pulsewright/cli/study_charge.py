"""Study `charge`: charge, hold and dump of the bank, with rules, acceptance and earthing."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, exit_code, overrides, to_json


@click.command("charge", cls=Verb, short_help="Charge, hold and dump: times, powers, rules, checklists.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--shot", "with_shot", is_flag=True, help="Compute the shot too: its steepest current, what it leaves.")
@click.option("--lists", is_flag=True, help="Print the lists: short, earthing, acceptance of parts.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command_charge(
    ctx: click.Context,
    bench_path: Path,
    charge: str | None,
    pairs: tuple[str, ...],
    with_shot: bool,
    lists: bool,
    as_json: bool,
) -> None:
    """Charge, hold and dump of the bank of BENCH: what each takes, what stands on it when, what rules ask.

    Exit code 1 when any limit is exceeded. No voltage computed here is a proof: dump, measure, short.
    """
    import pulsewright as pw
    from pulsewright.cli.numbers import voltage

    volts = None if charge is None else voltage("--charge", charge)
    changes = overrides(pairs)
    bench = pw.open(bench_path)
    shot = None
    if with_shot:
        with Progress("Computing the shot"):
            shot = bench.shot(volts, changes, interval=False)
    found = bench.charge_and_dump(volts, changes, shot)
    if as_json:
        click.echo(to_json(found.as_dict()))
    else:
        from pulsewright.cli import show_charge

        click.echo((show_charge.lists(found) if lists else show_charge.page(found)).lstrip("\n"))
    ctx.exit(exit_code(found.findings, (row.ratio for row in found.margins)))
