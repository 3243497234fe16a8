"""Plasma tables kept on disk: found again, never trusted when spoilt, never in the way, never too many."""

from __future__ import annotations

import os
import time
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.engine import lamp_plasma, table_store
from pulsewright.engine.coefficients import PLASMA_OF_GAS
from pulsewright.physics.lamp import tables
from pulsewright.physics.lamp.tables import PlasmaTables


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PULSEWRIGHT_CACHE_DIR", str(tmp_path))
    monkeypatch.setattr(table_store, "_written", [])


def recipe(torr: float = 100.0) -> lamp_plasma.Recipe:
    row = refdata.gas("xenon")
    values = {f"xenon.{field}": float(getattr(row, field)) for field in PLASMA_OF_GAS}
    values |= {"plasma.range_factor": 3.0, "plasma.fill_temperature": 300.0}
    return lamp_plasma.recipe((("xenon", 1.0),), torr * 133.322, "", 0.0, values)


class Counted:
    """Builds tables and counts how often."""

    def __init__(self, made: lamp_plasma.Recipe) -> None:
        self.made, self.calls = made, 0

    def __call__(self) -> PlasmaTables:
        self.calls += 1
        return self.made.tables()


def same(first: PlasmaTables, second: PlasmaTables) -> bool:
    return all(np.array_equal(getattr(first, f.name), getattr(second, f.name)) for f in fields(PlasmaTables))


def files() -> list[Path]:
    return sorted(table_store.folder().glob("*"))


def test_built_once_and_found_again_to_the_bit(tmp_path: Path) -> None:
    made = recipe()
    build = Counted(made)
    first = table_store.stored_tables(made, build)
    again = table_store.stored_tables(made, build)
    assert build.calls == 1
    assert same(first, again)
    assert [path.suffix for path in files()] == [".npz"]
    assert table_store.folder().parent == tmp_path


@pytest.mark.parametrize("spoil", [b"", b"PK\x03\x04 not a file of arrays", None])
def test_a_spoilt_file_is_built_anew(spoil: bytes | None) -> None:
    made = recipe()
    first = table_store.stored_tables(made, made.tables)
    (path,) = files()
    path.write_bytes(path.read_bytes()[:-2000] if spoil is None else spoil)
    build = Counted(made)
    assert same(table_store.stored_tables(made, build), first)
    assert build.calls == 1
    assert table_store.stored_tables(made, build) is not first
    assert build.calls == 1  # the file is sound again


@pytest.mark.parametrize("field", ["log_resistivity", "temperature"])
def test_a_file_with_a_wrong_array_is_built_anew(field: str) -> None:
    made = recipe()
    table_store.stored_tables(made, made.tables)
    (path,) = files()
    for wrong in (lambda array: array[:, :-1], lambda array: array * np.nan):
        with np.load(path) as kept:
            arrays = {name: kept[name] for name in kept.files}
        arrays[field] = wrong(arrays[field])
        with path.open("wb") as file:
            np.savez(file, **arrays)
        build = Counted(made)
        table_store.stored_tables(made, build)
        assert build.calls == 1


def test_a_folder_that_cannot_be_made_stops_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "a file"
    blocked.write_text("in the way")
    monkeypatch.setenv("PULSEWRIGHT_CACHE_DIR", str(blocked))
    made = recipe()
    assert same(table_store.stored_tables(made, made.tables), made.tables())
    assert blocked.read_text() == "in the way"


def test_a_disk_that_is_full_leaves_nothing_behind(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(np, "savez", full)
    made = recipe()
    assert same(table_store.stored_tables(made, made.tables), made.tables())
    assert files() == []


def test_no_more_files_than_are_kept_and_the_oldest_go(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table_store, "MOST_FILES", 3)
    found = recipe().tables()
    for torr in range(5):
        made = recipe(100.0 + torr)
        table_store.stored_tables(made, lambda: found)
        path = table_store.folder() / f"{table_store.digest(made)}.npz"
        os.utime(path, (time.time() - 100 + torr, time.time() - 100 + torr))
    kept = {path.stem for path in files()}
    assert kept == {table_store.digest(recipe(100.0 + torr)) for torr in (2, 3, 4)}


def test_a_study_of_many_does_not_fill_the_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table_store, "MOST_WRITES", 2)
    found = recipe().tables()
    for torr in range(5):
        table_store.stored_tables(recipe(100.0 + torr), lambda: found)
    assert len(files()) == 2


def test_name_follows_every_number_the_sizes_and_the_bands(monkeypatch: pytest.MonkeyPatch) -> None:
    made = recipe()
    usual = table_store.digest(made)
    assert usual == table_store.digest(recipe())
    assert table_store.digest(replace(made, range_factor=3.0000001)) != usual
    element = replace(made.species.elements[0], biberman_factor=1.6)
    assert table_store.digest(replace(made, species=replace(made.species, elements=(element,)))) != usual
    with monkeypatch.context() as patch:
        patch.setattr(tables, "SIZES", (141, 192, 28))
        assert table_store.digest(made) != usual
    centre, width = tables.spectral_bands()
    with monkeypatch.context() as patch:
        patch.setattr(tables, "_bands", lambda: (centre[1:], width[1:]))
        assert table_store.digest(made) != usual
    monkeypatch.setattr(table_store, "_sources", lambda: "changed")
    assert table_store.digest(made) != usual


def test_sources_that_are_hashed_are_those_that_compute() -> None:
    """Every module of the lamp that the tables import is in the list."""
    import ast

    folder = Path(tables.__file__).parent
    wanted, seen = ["tables"], set()
    while wanted:
        name = wanted.pop()
        if name in seen:
            continue
        seen.add(name)
        for node in ast.walk(ast.parse((folder / f"{name}.py").read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "pulsewright.physics.lamp":
                wanted += [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pulsewright.physics.lamp."):
                wanted.append(str(node.module).rsplit(".", 1)[-1])
    assert seen == set(table_store._SOURCES)
