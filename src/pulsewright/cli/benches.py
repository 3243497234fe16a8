"""Verbs `new` and `demo`: bench folders from the example benches."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Progress, Verb

DEMO_FOLDER = Path("demo-bench") / "tidewater"


@click.command("new", cls=Verb, short_help="Make a bench folder from one of the example benches.")
@click.argument("directory", type=click.Path(path_type=Path), metavar="DIR")
@click.option(
    "--from", "source", default="tidewater", metavar="NAME", show_default=True, help="The example bench to start from."
)
def command_new(directory: Path, source: str) -> None:
    """Make a bench folder DIR from one of the example benches.

    The examples are invented: tidewater, lanternroom, longwave, millpond. DIR must not exist.
    """
    from pulsewright.workbench import new_bench

    made = new_bench(directory, source)
    click.echo(f"Made {made} from {source}. Its build file is {made / 'laser.toml'}.")
    click.echo(f"Next: pulsewright check {made}")


@click.command("demo", cls=Verb, short_help="Make the demo bench, compute it, serve its page.")
@click.argument("directory", type=click.Path(path_type=Path), metavar="[DIR]", default=DEMO_FOLDER)
@click.option(
    "--port", type=click.IntRange(0, 65535), metavar="NUMBER", default=0, help="Port of the page; 0 takes a free one."
)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
@click.option("--no-serve", is_flag=True, help="Print the shot and the envelope, then end.")
def command_demo(directory: Path, port: int, no_browser: bool, no_serve: bool) -> None:
    """Make the demo bench in DIR if it is not there, compute a shot and its envelope, serve its page.

    DIR is demo-bench/tidewater when not given. A folder that is there is used as it is.
    """
    import pulsewright as pw
    from pulsewright.cli import show_envelope, show_shot
    from pulsewright.workbench import new_bench

    if not directory.exists():
        directory.parent.mkdir(parents=True, exist_ok=True)
        click.echo(f"Made the demo bench in {new_bench(directory, 'tidewater')}")
    bench = pw.open(directory)
    with Progress("Computing the shot"):
        shot = bench.shot()
    click.echo(show_shot.page(shot))
    with Progress("Computing the envelope") as progress:
        envelope = bench.envelope(progress=progress)
    click.echo(show_envelope.page(envelope, told=show_envelope.already_told(shot)))
    if not no_serve:
        from pulsewright.web import serve

        click.echo("")
        serve(directory, host="127.0.0.1", port=port, token=None, open_browser=not no_browser)
