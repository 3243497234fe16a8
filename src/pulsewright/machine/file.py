"""Reading a build file from disk, and writing changes into it without losing anything."""

from __future__ import annotations

import os
import re
import tempfile
import threading
import tomllib
from collections.abc import Iterator, Mapping, MutableMapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

import tomlkit

from pulsewright.errors import BuildError, ConflictError, Finding, worst_first
from pulsewright.machine.build import Build, made, read_layers, unknown_path, with_text
from pulsewright.machine.lines import line_numbers
from pulsewright.machine.migrate import migrate
from pulsewright.machine.named_files import named_files
from pulsewright.machine.schema import SECTIONS, Address, address

#: Larger files are refused before they are read. [byte]
LARGEST_FILE = 1 << 20

_PLACE = re.compile(r"\s*\(at line (\d+), column (\d+)\)|\s*\(at end of document\)")
_TWICE = re.compile(r"Cannot (?:declare|overwrite|mutate|redefine)\b.*?\((.*?)\) twice|Cannot overwrite a value")
_WRITING = threading.Lock()


@dataclass(frozen=True, slots=True)
class Loaded:
    """A build file as read: the build when it is sound enough to compute with, and its findings.

    Parameters
    ----------
    build : Build or None
        None when any finding is an error.
    findings : tuple of Finding
        Worst first.
    text_sha256 : str
        Of the bytes read; empty when they could not be.
    text : str
        As read; empty when it could not be.
    files : tuple of str
        Names of the measured files that it asks for, readable or not.
    """

    build: Build | None
    findings: tuple[Finding, ...]
    text_sha256: str
    text: str = ""
    files: tuple[str, ...] = ()


def load(path: str | Path) -> Loaded:
    """Read a build file; every fault is a finding, and nothing is raised for one."""
    path = Path(path)
    content, fault = _bytes_of(path)
    if fault is not None:
        return Loaded(None, (fault,), "")
    digest = sha256(content).hexdigest()
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        return Loaded(None, (_not_text(path.name, content.count(b"\n", 0, wrong.start) + 1),), digest)
    if "\0" in text:
        return Loaded(None, (_not_text(path.name, text.count("\n", 0, text.index("\0")) + 1),), digest)
    build, findings, files = _read(text, path.name, path.parent)
    return Loaded(build, findings, digest, text, files)


def load_text(text: str, file: str = "laser.toml", folder: Path | None = None) -> Loaded:
    """The same for a text that is not on disk; measured files are looked for in `folder`."""
    build, findings, files = _read(text, file, folder)
    return Loaded(build, findings, sha256(text.encode()).hexdigest(), text, files)


def _bytes_of(path: Path) -> tuple[bytes, Finding | None]:
    name = path.name or str(path)
    try:
        size = path.stat().st_size
        if path.is_dir():
            step = f"Name the file in it, for instance {name}/laser.toml"
            return b"", Finding("error", "", f"{name} is a folder", "A build file in TOML", step, name)
        if size > LARGEST_FILE:
            message = f"the file has {size / 1e6:.3g} MB, which is no build file"
            return b"", Finding("error", "", message, f"At most {LARGEST_FILE >> 20} MiB", "Check the path", name)
        with path.open("rb") as stream:
            return stream.read(LARGEST_FILE + 1), None
    except FileNotFoundError:
        step = "Check the path, or make a bench with: pulsewright new DIR --from tidewater"
        place = str(path.parent) if path.parent.is_dir() else f"{path.parent}, which is no folder"
        return b"", Finding(
            "error", "", f"there is no such file in {place}", "A build file, usually laser.toml", step, name
        )
    except OSError as wrong:
        message = f"the file cannot be read ({wrong.strerror or type(wrong).__name__})"
        return b"", Finding("error", "", message, "A readable file", "Check its permissions", name)


def _not_text(file: str, line: int) -> Finding:
    step = "Check the path; if it is the right file, save it again as UTF-8"
    return Finding("error", "", "the file is not a text file", "TOML in UTF-8", step, file, line)


def read_text(text: str, file: str, folder: Path | None = None) -> tuple[Build | None, tuple[Finding, ...]]:
    """Build and findings of a TOML text."""
    build, findings, _ = _read(text, file, folder)
    return build, findings


def _read(text: str, file: str, folder: Path | None) -> tuple[Build | None, tuple[Finding, ...], tuple[str, ...]]:
    """Build, findings and names of measured files of a TOML text."""
    try:
        tree: Mapping[str, Any] = tomllib.loads(text)
        lines = line_numbers(text)
    except RecursionError:
        step = "Write values as in docs/build-file.md"
        deep = Finding("error", "", "the file is nested too deeply", "Tables and inline tables", step, file)
        return None, (deep,), ()
    except ValueError as wrong:  # also numbers and dates that Python cannot hold
        return None, (_not_toml(str(wrong), file, text),), ()
    tree, fault = migrate(tree, file, lines.get("schema", 1))
    if fault is not None and "newer" in fault.message:
        return None, (fault,), ()
    reading, _ = read_layers(tree, lines, file, faults=[fault] if fault else [], folder=folder)
    findings = tuple(worst_first(reading.findings))
    files = named_files(reading)
    if any(finding.grade == "error" for finding in findings):
        return None, findings, files
    return made(tree, lines, reading), findings, files


def _not_toml(words: str, file: str, text: str) -> Finding:
    place = _PLACE.search(words)
    line = int(place.group(1)) if place and place.group(1) else text.count("\n") + 1
    column = f", column {place.group(2)}" if place and place.group(2) else ""
    reason = _PLACE.sub("", words)
    twice = _TWICE.search(reason)
    if twice:
        dotted = ".".join(re.findall(r"'([^']*)'", twice.group(1) or ""))
        message = f"{dotted or 'a key'} stands here for the second time"
        return Finding("error", dotted, message, "Each id and key once", "Rename or remove one of the two", file, line)
    message = f"this is not TOML{column}: {reason[:1].lower()}{reason[1:]}"
    return Finding(
        "error",
        "",
        message,
        'Lines such as capacitance = "4 uF" under a header such as [bank]',
        "Correct this line",
        file,
        line,
    )


# Writing ---------------------------------------------------------------------------------------


def save(path: str | Path, changes: Mapping[str, str], expected_sha256: str) -> str:
    """Write changes into a build file; comments and order survive.

    The file is complete or untouched: it is written beside, flushed and renamed.

    Parameters
    ----------
    path : str or Path
    changes : mapping of str to str
        Path to text, as in `Build.override`. A value in a table keeps its spread, basis and source.
    expected_sha256 : str
        Of the bytes that the changes were made against.

    Returns
    -------
    text_sha256 : str
        Of the file as it is now.

    Raises
    ------
    ConflictError
        If the file is not the one expected; nothing is written.
    BuildError
        If a change is not possible or would bring a new error; nothing is written.
    """
    path = Path(path).resolve()
    with _WRITING, _folder_lock(path.parent):
        content, fault = _bytes_of(path)
        if fault is not None:
            raise BuildError(fault)
        if sha256(content).hexdigest() != expected_sha256:
            step = "Read it again and repeat the change"
            message = "the file was changed by someone else since it was read; nothing was written"
            raise ConflictError(Finding("error", "", message, "A file as it was read", step, path.name))
        mark = b"\xef\xbb\xbf" if content.startswith(b"\xef\xbb\xbf") else b""
        text = changed_text(content[len(mark) :].decode("utf-8"), changes, path.name, path.parent)
        changed = mark + text.encode()
        if changed != content:
            _replace_file(path, changed)
        return sha256(changed).hexdigest()


def changed_text(text: str, changes: Mapping[str, str], file: str, folder: Path | None = None) -> str:
    """The text with changes written in, checked: no error may be in it that was not there before."""
    _, before = read_text(text, file, folder)
    known = {(finding.path, finding.message) for finding in before}
    document, faults = _document(text, file)
    ids = {section: tuple(document.get(section, {})) for section in _families()}
    faults += [fault for path in changes if (fault := unknown_path(path, ids)) is not None]
    if faults:
        raise BuildError(*faults)
    for path, value in changes.items():
        where = address(path)
        assert where is not None
        _set(document, where, value)
    changed = tomlkit.dumps(document)
    _, after = read_text(changed, file, folder)
    new = [found for found in after if found.grade == "error" and (found.path, found.message) not in known]
    if new:
        raise BuildError(*new)
    return changed


def _families() -> tuple[str, ...]:
    return tuple(section.name for section in SECTIONS.values() if section.many)


def _document(text: str, file: str) -> tuple[tomlkit.TOMLDocument, list[Finding]]:
    try:
        return tomlkit.parse(text), []
    except (tomlkit.exceptions.TOMLKitError, ValueError, RecursionError) as wrong:
        return tomlkit.document(), [_not_toml(str(wrong), file, text)]


def _set(document: tomlkit.TOMLDocument, where: Address, text: str) -> None:
    table: Any = document
    for word in (where.section.name, where.part):
        if word and word not in table:
            table[word] = tomlkit.table()
        table = table[word] if word else table
    key = where.field.key
    old: Any = table.get(key)
    if not isinstance(old, MutableMapping):
        table[key] = _item(where, with_text(where, _plain(old), text))
        return
    for sub, value in with_text(where, _plain(old), text).items():
        if sub not in old or old[sub] != value:
            old[sub] = _literal(where, sub, value)


def _plain(item: Any) -> Any:
    """What tomllib would have read."""
    return item.unwrap() if hasattr(item, "unwrap") else item


def _item(where: Address, value: Any) -> Any:
    if not isinstance(value, dict):
        return _literal(where, "value", value)
    table = tomlkit.inline_table()
    for sub, inner in value.items():
        table[sub] = _literal(where, sub, inner)
    return table


def _literal(where: Address, sub: str, value: Any) -> Any:
    """A bare number where the schema has one, text otherwise."""
    plain = where.field.kind == "count" or (where.field.kind == "number" and not where.field.dimensional)
    if plain and sub in ("value", "spread") and isinstance(value, str):
        with suppress(ValueError):
            return int(value) if where.field.kind == "count" else float(value)
    return value


def _replace_file(path: Path, content: bytes) -> None:
    """Write beside, flush, rename; the old file stays whole until the new one is."""
    if not os.access(path, os.W_OK):  # a rename would go through all the same
        raise BuildError(_unwritable(path, PermissionError(13, "it is read-only")))
    try:
        handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    except OSError as wrong:
        raise BuildError(_unwritable(path, wrong)) from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        with suppress(OSError):
            Path(beside).chmod(path.stat().st_mode & 0o7777)
        Path(beside).replace(path)
        _flush_folder(path.parent)
    except OSError as wrong:
        Path(beside).unlink(missing_ok=True)
        raise BuildError(_unwritable(path, wrong)) from None


def _unwritable(path: Path, wrong: OSError) -> Finding:
    message = f"the file cannot be written ({wrong.strerror or type(wrong).__name__}); it is as it was"
    return Finding(
        "error", "", message, "A folder that can be written to", "Check permissions and free space", path.name
    )


def _flush_folder(folder: Path) -> None:
    """Make the rename itself durable, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def _folder_lock(folder: Path) -> Iterator[None]:
    """Keep other processes from writing at the same time, where the system has advisory locks on folders."""
    try:
        import fcntl  # noqa: PLC0415  not on every system
    except ImportError:
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        yield
        return
    try:
        with suppress(OSError):
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)
