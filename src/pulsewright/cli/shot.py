"""Verb `shot`: compute one shot; show it, or write it as JSON, CSV or a figure."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb, exit_code, overrides, refuse_kept, to_json, write_files
from pulsewright.errors import Finding, PulsewrightError
from pulsewright.records import Shot


@click.command("shot", cls=Verb, short_help="Compute one shot: waveforms, light, pulse, beam, margins.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--charge", metavar="VOLTAGE", help='Charge voltage, for instance "9 kV"; else the build file\'s.')
@click.option(
    "--set", "pairs", metavar="PATH=VALUE", multiple=True, help="Override an entry for this shot; repeatable."
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--waveforms", is_flag=True, help="Put the waveforms into the JSON.")
@click.option("--csv", "csv_path", type=click.Path(path_type=Path), metavar="FILE", help="Write the waveforms as CSV.")
@click.option("--figure", type=click.Path(path_type=Path), metavar="FILE", help="Write the curves as an SVG figure.")
@click.option("--no-interval", is_flag=True, help="Leave out the 90 % interval; faster.")
@click.option("--samples", type=int, metavar="NUMBER", help="Intervals and chances from so many samples, 20 or more.")
@click.option("--seed", type=int, metavar="NUMBER", help="What the samples are drawn from; 0 unless given.")
@click.pass_context
def command_shot(
    ctx: click.Context,
    bench_path: Path,
    charge: str | None,
    pairs: tuple[str, ...],
    as_json: bool,
    waveforms: bool,
    csv_path: Path | None,
    figure: Path | None,
    no_interval: bool,
    samples: int | None,
    seed: int | None,
) -> None:
    """Compute one shot of BENCH, from the capacitor to the target.

    Exit code 1 when any limit is exceeded; the shot is printed all the same.
    """
    if waveforms and not as_json:
        raise click.UsageError("--waveforms goes with --json; --csv FILE writes them as a table.")
    for path in (csv_path, figure):
        if path is not None:
            refuse_kept(path)
    if figure is not None:
        refuse_other_than_svg(figure)
    drawn = samples_and_seed(samples, seed)
    shot = compute(bench_path, charge, overrides(pairs), interval=not no_interval, drawn=drawn)
    write_files(outputs(shot, csv_path, figure))
    if as_json:
        click.echo(to_json(shot.as_dict(waveforms=waveforms)))
    else:
        from pulsewright.cli import show_shot

        click.echo(show_shot.page(shot))
        for path in (csv_path, figure):
            if path is not None:
                click.echo(f"\nWrote {path}")
    ctx.exit(exit_code(shot.findings, (row.ratio for row in shot.margins)))


def samples_and_seed(samples: int | None, seed: int | None) -> tuple[int, int]:
    """Number of samples, 0 for none asked for, and their seed; a seed alone, or none of a sample, is wrong usage."""
    if samples is None:
        if seed is not None:
            raise click.UsageError("--seed goes with --samples NUMBER.")
        return 0, 0
    if samples == 0:
        raise click.UsageError("--samples 0 asks for no sample: ask for 20 or more, or leave it out.")
    return samples, seed or 0


def compute(
    path: Path,
    charge: str | None,
    changes: dict[str, str] | None,
    *,
    interval: bool,
    drawn: tuple[int, int] = (0, 0),
) -> Shot:
    """One shot by the workbench."""
    import pulsewright as pw
    from pulsewright.cli.numbers import voltage

    volts = None if charge is None else voltage("--charge", charge)
    bench = pw.open(path)
    samples, seed = drawn
    if not samples:
        with Progress("Computing the shot"):
            return bench.shot(charge_voltage=volts, overrides=changes, interval=interval)
    with Progress("Computing the samples") as progress:
        return bench.shot(volts, changes, interval, samples=samples, seed=seed, progress=progress)


def outputs(shot: Shot, csv_path: Path | None, figure: Path | None) -> dict[Path, str]:
    """Texts of the files asked for."""
    found: dict[Path, str] = {}
    if csv_path is not None:
        from pulsewright.cli.columns import shot_table

        found[csv_path] = shot_table(shot)
    if figure is not None:
        from pulsewright.cli.figures import shot_figure

        found[figure] = shot_figure(shot)
    return found


def refuse_other_than_svg(path: Path) -> None:
    """Refuse a figure in another format."""
    if path.suffix.lower() != ".svg":
        raise PulsewrightError(
            Finding(
                "error",
                str(path),
                f"a figure is not written as {path.suffix or 'a file without an ending'}",
                "A name that ends in .svg",
                f"Write --figure {path.with_suffix('.svg')}",
            )
        )
