"""What every verb shares: its fault handling, its exit code, JSON, and files written whole or not at all."""

from __future__ import annotations

import json
import math
import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, Self

import click

from pulsewright.cli import text
from pulsewright.errors import Finding, PulsewrightError, worst_first

OK, FAULT, USAGE, STOPPED = 0, 1, 2, 130

#: Files of a bench that no output may replace.
_KEPT = (".toml", ".sqlite", ".sqlite-wal", ".sqlite-shm")


class Verb(click.Command):
    """A verb: faults become findings and exit code 1, tracebacks only with `--debug`."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.params.append(click.Option(["--debug"], is_flag=True, expose_value=False, help="Show tracebacks."))

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take note of `--debug` here too, so that it may stand after the verb."""
        if "--debug" in args:
            ctx.ensure_object(dict)["debug"] = True
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the verb."""
        _steady_output()
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort, BrokenPipeError):
            raise
        except KeyboardInterrupt:
            click.echo("\nStopped.", err=True)
            ctx.exit(STOPPED)
        except Exception as fault:
            if ctx.ensure_object(dict).get("debug"):
                raise
            tell_faults(findings_of(fault), as_json=bool(ctx.params.get("as_json")))
            ctx.exit(FAULT)


def _steady_output() -> None:
    """A terminal that cannot show a letter shows a question mark; it never ends the command."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def findings_of(fault: Exception) -> tuple[Finding, ...]:
    """The findings of any exception."""
    if isinstance(fault, PulsewrightError):
        return fault.findings
    if isinstance(fault, OSError):
        where = str(fault.filename or "")
        return (Finding("error", where, fault.strerror or str(fault), "", "Check the path and try again"),)
    message = f"an internal fault stopped this: {type(fault).__name__}: {fault}"
    return (Finding("error", "pulsewright", message, "", "Run it again with --debug and report what it prints"),)


def tell_faults(findings: Iterable[Finding], *, as_json: bool) -> None:
    """Print faults that ended a verb: as JSON on standard output, or in words on standard error."""
    rows = worst_first(findings)
    if as_json:
        click.echo(to_json({"outcome": "failed", "findings": [row.as_dict() for row in rows]}))
    else:
        click.echo(text.findings(rows), err=True)


def exit_code(findings: Iterable[Finding], ratios: Iterable[float] = ()) -> int:
    """1 for any error or limit, or for a margin that is used up; otherwise 0."""
    graded = any(row.grade in ("error", "limit") for row in findings)
    return FAULT if graded or any(ratio >= 1.0 for ratio in ratios) else OK


# JSON -------------------------------------------------------------------------------------------


def plain(value: Any) -> Any:
    """The same with what JSON does not know made plain; a number that is not finite becomes null."""
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if value is None or isinstance(value, str | int):
        return value
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    return str(value)


def to_json(record: Mapping[str, Any]) -> str:
    """JSON text, indented by one."""
    return json.dumps(plain(record), indent=1, ensure_ascii=False, allow_nan=False)


# Overrides --------------------------------------------------------------------------------------


def overrides(pairs: Iterable[str]) -> dict[str, str] | None:
    """`--set PATH=VALUE` options as a mapping, or None when there are none."""
    found: dict[str, str] = {}
    for pair in pairs:
        path, equals, value = pair.partition("=")
        path, value = path.strip(), value.strip()
        if not equals or not path or not value:
            raise click.UsageError(
                f'--set {pair!r}: write PATH=VALUE, for instance --set dye.concentration="6e-5 mol/L".'
            )
        if path in found:
            raise click.UsageError(f"--set {path}: given twice. Give it once.")
        found[path] = value
    return found or None


# Files ------------------------------------------------------------------------------------------


def refuse_kept(path: Path) -> None:
    """Refuse to write an output over a build file or a logbook."""
    if path.suffix.lower() in _KEPT:
        raise PulsewrightError(
            Finding(
                "error",
                str(path),
                "an output is not written over a build file or a logbook",
                f"Any name that does not end in {' or '.join(_KEPT[:2])}",
                "Give another file name",
            )
        )


def write_files(contents: Mapping[Path, str]) -> None:
    """Write files whole or not at all: each beside its place, then renamed once all are on the disk."""
    beside: dict[Path, Path] = {}
    try:
        for path, words in contents.items():
            refuse_kept(path)
            beside[path] = _guarded(path, partial(_write_beside, path, words))
        for path, new in beside.items():
            _guarded(path, partial(new.replace, path))
    finally:
        for new in beside.values():
            new.unlink(missing_ok=True)


def _write_beside(path: Path, words: str) -> Path:
    if path.is_dir():
        raise IsADirectoryError(None, "it is a folder", str(path))
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".new")
    new = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as out:
            out.write(words)
            out.flush()
            os.fsync(out.fileno())
        new.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
    except BaseException:
        new.unlink(missing_ok=True)
        raise
    return new


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _guarded(path: Path, work: Callable[[], Path]) -> Path:
    try:
        return work()
    except OSError as fault:
        reason = (fault.strerror or str(fault)).rstrip(".")
        raise PulsewrightError(
            Finding(
                "error",
                str(path),
                f"it cannot be written: {reason[:1].lower()}{reason[1:]}",
                "A file in a folder that exists and may be written to",
                "Give another file name; nothing was written",
            )
        ) from fault


# Progress ---------------------------------------------------------------------------------------


class Progress:
    """How far long work is, on one line of standard error; silent where that is not a terminal."""

    def __init__(self, words: str) -> None:
        self.words = words
        self.live = sys.stderr.isatty()

    def __call__(self, done: int, total: int) -> None:
        """Tell how far it is."""
        if self.live:
            click.echo(f"\r{self.words}: {done} of {total}", nl=False, err=True)

    def __enter__(self) -> Self:
        if self.live:
            click.echo(f"{self.words} ...", nl=False, err=True)
        return self

    def __exit__(self, *_: object) -> None:
        if self.live:
            click.echo("\r" + " " * (len(self.words) + 30) + "\r", nl=False, err=True)
