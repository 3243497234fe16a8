"""Long work that is asked for on a sheet: what it is called, how it is started, what the form before it asks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pulsewright import quantities
from pulsewright.errors import BuildError, Finding, QuantityError

#: Entries of a form that goes with a draft start with this, so that they are never taken for the build's.
FORM = "form."


@dataclass(frozen=True, slots=True)
class Ask:
    """One entry of the form: empty means as the work itself chooses."""

    key: str
    words: str
    hint: str
    quantity: str
    several: bool = True
    text: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """One piece of long work on a sheet.

    `starts` are (kind of job, words of its button); `unit` what it counts; `plots` ids of plots it fills.
    """

    id: str
    title: str
    starts: tuple[tuple[str, str], ...]
    unit: str
    words: str = ""
    form: tuple[Ask, ...] = ()
    plots: tuple[str, ...] = ()


WORKS: Mapping[str, Work] = {
    work.id: work
    for work in (
        Work(
            "map",
            "The first microseconds, over fill and field or bore",
            (("take-off", "Map over fill and field"), ("take-off by bore", "Map over fill and bore")),
            "points",
        ),
        Work(
            "fill",
            "Life of the fill",
            (("fill", "Follow the fill"),),
            "shots computed",
            "Output shot by shot as the dye bleaches and its products absorb, by how the loop renews the fill.",
            (Ask("shots", "shots to follow", "1000", "-", several=False, text="1000"),),
            ("fill_output", "fill_dye", "fill_product"),
        ),
        Work(
            "size_dye",
            "Output over concentration, coupler and bore",
            (("size-dye", "Size the dye"),),
            "shots computed",
            "Every point is a whole shot at this charge voltage. Left empty, a list is chosen round the build.",
            (
                Ask("concentrations", "concentrations to try", "4e-5 mol/L, 8e-5 mol/L", "concentration"),
                Ask("reflectivities", "reflectivities of the coupler to try", "0.5, 0.7, 0.85", "reflectivity"),
                Ask("bores", "bores of the cell to try", "6 mm, 8 mm, 10 mm", "bore"),
            ),
        ),
    )
}


def parted(texts: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """The draft, and what the form says."""
    form = {key.removeprefix(FORM): text for key, text in texts.items() if key.startswith(FORM)}
    return {key: text for key, text in texts.items() if not key.startswith(FORM)}, form


def read_form(work: Work, texts: Mapping[str, str]) -> dict[str, tuple[float, ...]]:
    """Numbers of a form, in SI; what is left empty is left out.

    Raises
    ------
    BuildError
        With every entry that cannot be read.
    """
    faults: list[Finding] = []
    found: dict[str, tuple[float, ...]] = {}
    for ask in work.form:
        text = texts.get(ask.key, ask.text).strip()
        if text:
            found[ask.key] = _read(ask, text, faults)
    if faults:
        raise BuildError(*faults)
    return found


#: Longest list of one entry.
MOST = 24


def _read(ask: Ask, text: str, faults: list[Finding]) -> tuple[float, ...]:
    pieces = [piece.strip() for piece in text.split(",") if piece.strip()] if ask.several else [text]
    if len(pieces) > MOST:
        faults.append(Finding("error", ask.words, f"{len(pieces)} values are too many", f"Up to {MOST}", "Try fewer"))
        return ()
    if ask.quantity == "-":
        return _whole(ask, pieces, faults)
    values = []
    for piece in pieces:
        try:
            values.append(quantities.read(ask.quantity, piece))
        except QuantityError as fault:
            one = fault.findings[0]
            faults.append(Finding("error", ask.words, one.message, one.allowed, one.next_step or f"Write {ask.hint}"))
    return tuple(values)


def _whole(ask: Ask, pieces: list[str], faults: list[Finding]) -> tuple[float, ...]:
    if all(piece.isascii() and piece.isdigit() and 1 <= int(piece[:9]) <= 1_000_000 for piece in pieces):
        return tuple(float(piece[:9]) for piece in pieces)
    said = ", ".join(pieces)[:40]
    faults.append(
        Finding("error", ask.words, f'"{said}" is no whole number from 1 to 1 000 000', "", f"Write {ask.hint}")
    )
    return ()
