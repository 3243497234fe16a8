"""Laser shapes for the drawing tests: one for each kind of head the drawings know."""

from __future__ import annotations

import math
from dataclasses import replace

from pulsewright.drawing.bench import BenchShape, CellShape, ChamberShape, LampShape, OpticShape


def lamp(name: str, **more: object) -> LampShape:
    bare = LampShape(id=name, shape="linear", bore=7e-3, arc_length=0.15, wall_thickness=1e-3)
    return replace(bare, **more)  # type: ignore[arg-type]


TWO_LAMPS = BenchShape(
    name="tidewater",
    lamps=(lamp("east"), lamp("west")),
    chamber=ChamberShape(reflector="double ellipse", length=0.16, semi_major=25e-3, semi_minor=22e-3, coolant="water"),
    cell=CellShape(shape="cylinder", bore=8e-3, length=0.17, pumped_length=0.15, wall_thickness=1e-3),
    resonator_length=0.4,
    rear="rear",
    coupler="coupler",
    optics=(
        OpticShape(id="rear", kind="mirror", place="cavity", curvature=2.0),
        OpticShape(id="window_rear", kind="window", place="cavity"),
        OpticShape(id="window_front", kind="window", place="cavity"),
        OpticShape(id="coupler", kind="mirror", place="cavity"),
        OpticShape(id="lens", kind="lens", place="train", distance=1.5, focal_length=0.5),
        OpticShape(id="steering", kind="mirror", place="train", distance=0.6, angle=math.pi / 4),
    ),
    target_distance=1.9,
    switch="triggered spark gap",
    loop_method="closed loop",
    words={"bank": "4.00 uF", "target": "water <at> 1.90 m"},
    beam=((-0.1, 8e-3), (0.0, 8e-3), (0.6, 8.2e-3), (1.5, 8.6e-3), (1.9, 1.8e-3)),
)
COAXIAL = replace(
    TWO_LAMPS,
    name="lanternroom",
    lamps=(lamp("sleeve", shape="coaxial", bore=16e-3, inner_diameter=12e-3),),
    chamber=ChamberShape(reflector="close-wrapped diffuse", length=0.16, perimeter=0.07),
    switch="thyratron",
    loop_method="bleed and feed",
)
FOUR_LAMPS = replace(
    TWO_LAMPS,
    name="longwave",
    lamps=tuple(lamp(name) for name in ("north", "east", "south", "west")),
    chamber=ChamberShape(reflector="circular", length=0.2, diameter=0.06, coolant="water"),
    network="pulse-forming network",
    sections=6,
    lamps_connected="parallel",
)
BARE = replace(
    TWO_LAMPS,
    name="millpond",
    lamps=(lamp("reed"),),
    chamber=ChamberShape(reflector="single ellipse", length=0.16, semi_major=30e-3, semi_minor=24e-3),
    cell=replace(TWO_LAMPS.cell, shape="slab", width=20e-3),
    optics=(),
    target_distance=None,
    switch="none",
    loop_method="stagnant",
    words={},
    beam=(),
)
SHAPES = {shape.name: shape for shape in (TWO_LAMPS, COAXIAL, FOUR_LAMPS, BARE)}
