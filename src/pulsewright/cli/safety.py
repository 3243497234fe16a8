"""Verb `safety`: the printable sheet of a bench."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Verb, write_files

SHEET = "safety-sheet.html"


@click.command("safety", cls=Verb, short_help="The printable sheet: before charging, misfire, shut-down.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option(
    "--sheet",
    is_flag=False,
    flag_value="",
    required=True,
    metavar="[FILE]",
    help=f"Write the sheet to FILE; without FILE to {SHEET} in the bench folder; - prints it.",
)
def command_safety(bench_path: Path, sheet: str) -> None:
    """Write the safety sheet of BENCH, one page of HTML to print: before charging, between shots, misfire, shut-down.

    It is made from the build file. It advises; local codes and licensed practice decide.
    """
    import pulsewright as pw
    from pulsewright.workbench import safety_sheet

    words = safety_sheet(pw.open(bench_path))
    if sheet == "-":
        click.echo(words)
        return
    folder = bench_path if bench_path.is_dir() else bench_path.parent
    path = Path(sheet) if sheet else folder / SHEET
    write_files({path: words})
    click.echo(f"Wrote {path}. Print it and hang it where the laser is charged.")
