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
@click.option("--token", metavar="WORD", help="Word the browser must bring; needed on any address but this machine's.")
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
def command_serve(bench_path: Path, host: str, port: int, token: str | None, no_browser: bool) -> None:
    """Serve the page of BENCH on this machine and open a browser. Ctrl-C ends it.

    It listens on this machine alone unless --host says otherwise, and then only with a token.
    """
    serve_page(bench_path, host, port, token, open_browser=not no_browser)


def serve_page(path: Path, host: str, port: int, token: str | None, *, open_browser: bool) -> None:
    """Serve until Ctrl-C, which is its ordinary end."""
    from pulsewright.web import serve

    try:
        serve(path, host=host, port=port, token=token, open_browser=open_browser)
    except KeyboardInterrupt:
        click.echo("\nThe page is closed.")
