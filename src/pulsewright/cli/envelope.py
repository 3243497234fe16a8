"""Verb `envelope`: output and margins against charge voltage."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, exit_code, overrides, refuse_kept, to_json, write_files


@click.command("envelope", cls=Verb, short_help="Output and margins against charge voltage; what stops you.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--from", "start", metavar="VOLTAGE", help='Lowest charge voltage, for instance "5 kV".')
@click.option("--to", "stop", metavar="VOLTAGE", help="Highest charge voltage.")
@click.option("--points", type=int, default=60, metavar="NUMBER", show_default=True, help="Number of voltages.")
@click.option("--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry; repeatable.")
@click.option("--samples", type=int, metavar="NUMBER", help="Band, threshold and stops from so many samples.")
@click.option("--seed", type=int, metavar="NUMBER", help="What the samples are drawn from; 0 unless given.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--figure", type=click.Path(path_type=Path), metavar="FILE", help="Write the curves as an SVG figure.")
@click.pass_context
def command_envelope(
    ctx: click.Context,
    bench_path: Path,
    start: str | None,
    stop: str | None,
    points: int,
    pairs: tuple[str, ...],
    samples: int | None,
    seed: int | None,
    as_json: bool,
    figure: Path | None,
) -> None:
    """Threshold, highest voltage within limits and limiting item of BENCH, with the output between.

    Without --from and --to the range is what the charger reaches.
    """
    import pulsewright as pw
    from pulsewright.cli import show_envelope
    from pulsewright.cli.numbers import voltage
    from pulsewright.cli.shot import refuse_other_than_svg, samples_and_seed

    if figure is not None:
        refuse_kept(figure)
        refuse_other_than_svg(figure)
    first = None if start is None else voltage("--from", start)
    last = None if stop is None else voltage("--to", stop)
    changes, drawn = overrides(pairs), samples_and_seed(samples, seed)
    asked = {"samples": drawn[0], "seed": drawn[1]} if drawn[0] else {}
    bench = pw.open(bench_path)
    with Progress("Computing the envelope") as progress:
        envelope = bench.envelope(start=first, stop=last, points=points, overrides=changes, progress=progress, **asked)
    if figure is not None:
        from pulsewright.cli.figures import envelope_figure

        write_files({figure: envelope_figure(envelope)})
    click.echo(to_json(envelope.as_dict()) if as_json else show_envelope.page(envelope).lstrip("\n"))
    if figure is not None and not as_json:
        click.echo(f"\nWrote {figure}")
    ctx.exit(exit_code(envelope.findings))
