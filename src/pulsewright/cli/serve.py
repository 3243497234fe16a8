"""Verb `serve`: the local page of a bench."""

from __future__ import annotations

from pathlib import Path

import click

from pulsewright.cli.verb import Verb


@click.command("serve", cls=Verb, short_help="Serve the local page of a bench.")
@click.argument("bench_path", type=click.Path(path_type=Path), metavar="BENCH")
@click.option("--host", default="127.0.0.1", metavar="ADDRESS", show_default=True, help="Address to listen on.")
@click.option(
    "--port", type=click.IntRange(0, 65535), metavar="NUMBER", default=0, help="Port; 0, the default, takes a free one."
)
@click.option(
    "--token",
    metavar="WORD",
    help="Word the browser must bring; elsewhere than on this machine one is made if none is given.",
)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
def command_serve(bench_path: Path, host: str, port: int, token: str | None, no_browser: bool) -> None:
    """Serve the page of BENCH on this machine and open a browser. Ctrl-C ends it.

    It listens on this machine alone unless --host says otherwise, and then only with a token.
    """
    from pulsewright.web import serve

    serve(bench_path, host=host, port=port, token=token, open_browser=not no_browser)
