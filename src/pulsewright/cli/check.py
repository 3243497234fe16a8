"""Verb `check`: the findings of a build file."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli import text
from pulsewright.cli.verb import Verb, exit_code, to_json
from pulsewright.errors import GRADES, Finding, worst_first


@click.command("check", cls=Verb, short_help="Is the build file sound? Its findings, each with the next step.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.pass_context
def command_check(ctx: click.Context, bench_path: Path, as_json: bool) -> None:
    """List what is wrong, or worth knowing, in the build file of BENCH.

    Exit code 1 when there is any error or limit among the findings.
    """
    import pulsewright as pw

    bench = pw.open(bench_path)
    found = worst_first(bench.check())
    if as_json:
        outcome = "sound" if exit_code(found) == 0 else "faulty"
        click.echo(to_json({"bench": bench_path, "outcome": outcome, "findings": [row.as_dict() for row in found]}))
    else:
        click.echo(page(str(bench_path), found))
    ctx.exit(exit_code(found))


def page(name: str, found: list[Finding]) -> str:
    """Findings in words, with a line that counts them."""
    if not found:
        return f"{name}: a sound file. What it does to the parts: shot, study charge."
    counts = [text.counted(n, grade) for grade in GRADES if (n := sum(row.grade == grade for row in found))]
    return f"{text.findings(found)}\n\n{name}: {', '.join(counts)}."
