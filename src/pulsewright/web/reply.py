"""What the page is sent when something moved: one binary reply with everything that moves with it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pulsewright.drawing.bench import BenchShape, State
from pulsewright.drawing.chamber import chamber_scene
from pulsewright.drawing.circuit import circuit_scene
from pulsewright.drawing.curves import envelope_plots, shot_plots
from pulsewright.drawing.field import Field, field_dict, field_scene
from pulsewright.drawing.fields import shot_fields
from pulsewright.drawing.plans import loop_scene, target_scene
from pulsewright.drawing.scene import Scene
from pulsewright.drawing.strip import strip_scene
from pulsewright.drawing.svg import svg
from pulsewright.drawing.train import resonator_scene, train_scene
from pulsewright.records import Envelope, Shot
from pulsewright.web import show
from pulsewright.web.address import Address
from pulsewright.web.decides import decides
from pulsewright.web.desk import Desk
from pulsewright.web.entries import places
from pulsewright.web.line import charge_line, output_line, part_states, stop_line
from pulsewright.web.pictures import picture
from pulsewright.web.shapes import bench_shape
from pulsewright.web.sheets import SHEETS, Sheet
from pulsewright.web.stress import stress_table
from pulsewright.web.wire import Block

DRAWINGS: Mapping[str, Any] = {
    "circuit": circuit_scene,
    "chamber": chamber_scene,
    "loop": loop_scene,
    "resonator": resonator_scene,
    "train": train_scene,
    "target": target_scene,
}


def drawing(name: str, shape: BenchShape, beam: str = "") -> str:
    """One drawing of a sheet, as SVG; the page's style sheet colours the beam where no colour is given."""
    scene: Scene = DRAWINGS[name](shape)
    return svg(scene, prefix=f"draw-{name}", beam=beam)


def strip(shape: BenchShape, states: Mapping[str, State], address: Address, selected: str = "", beam: str = "") -> str:
    """The strip, as SVG; its links keep draft and pins."""
    query = address.query()
    scene = strip_scene(shape, states, lambda sheet: f"/sheet/{sheet}{query}", selected=selected)
    return svg(scene, beam=beam)


def states_of(desk: Desk, shot: Shot | None) -> dict[str, State]:
    """How each part stands: by the shot where there is one, else by the findings of the file."""
    where = places(desk.bench.build) if desk.bench.build is not None else {}
    if shot is None:
        return part_states((), (), desk.bench.check(), where)
    return part_states(shot.margins, shot.not_judged, [*desk.bench.check(), *shot.findings], where)


def shot_reply(
    desk: Desk, shot: Shot, draft: Mapping[str, str], view: str, *, drawings: bool, quick: bool = False
) -> bytes:
    """Everything on a sheet that moves with a shot; `quick` where the closed form stands in for a traced map."""
    sheet = SHEETS[view]
    build = desk.bench.draft(draft)
    block = Block()
    saved = desk.saved_shot() if draft else None
    states = states_of(desk, shot)
    plots = shot_plots(shot, sheet.plots, saved=saved)
    head: dict[str, Any] = {
        "sha": desk.bench.text_sha256,
        "charge": charge_line(desk.bench.build, build),
        "output": output_line(shot),
        "states": {key: {"grade": state.grade, "text": state.text} for key, state in states.items()},
        "numbers": show.numbers(shot, sheet) if sheet.numbers else "",
        "budget": show.budget(shot, sheet),
        "stress": stress_table(shot, sheet, places(build)),
        "plots": [plot.as_dict(block.place) for plot in plots],
        "lacking": [key for key in sheet.plots if key not in {plot.id for plot in plots}],
        "pictures": {key: picture(key, shot, build.machine) for key in sheet.pictures},
        "fields": [_field(plan, block) for plan in shot_fields(shot, sheet.fields)],
        "decides": decides(shot, sheet, places(build)),
        "quick": quick,
        "drawings": {},
    }
    if view != "envelope":
        head["heed"] = _heed(desk, shot, sheet, build)
    if drawings:
        shape = bench_shape(build, shot)
        with_rays = bench_shape(build, shot, desk.rays(draft)) if "chamber" in sheet.drawings else shape
        head["drawings"] = {name: drawing(name, with_rays) for name in sheet.drawings}
        address = Address(desk.bench.build.values_fingerprint if desk.bench.build else "", draft)
        head["strip"] = strip(shape, states, address, view)
    return block.frame(head)


#: Width of a fine map. [px]
FIELD_WIDTH = 620.0


def _field(plan: Field, block: Block) -> dict[str, Any]:
    """A fine map: drawn, with the numbers that are read off."""
    return field_dict(plan, svg(field_scene(plan, FIELD_WIDTH)), FIELD_WIDTH, block.place)


def _heed(desk: Desk, shot: Shot, sheet: Sheet, build: Any) -> str:
    return show.heed(
        sheet,
        places(build),
        margins=shot.margins,
        unjudged=shot.not_judged,
        findings=[*desk.bench.check(), *shot.findings],
        cautions=shot.cautions,
    )


def envelope_reply(desk: Desk, envelope: Envelope, draft: Mapping[str, str], view: str, now: float | None) -> bytes:
    """What stops you, and on the envelope's own sheet its curves and rows."""
    block = Block()
    head: dict[str, Any] = {"sha": desk.bench.text_sha256, "stop": stop_line(envelope), "plots": []}
    if view == "envelope":
        saved = desk.saved_envelope() if draft else None
        head["lacks_ghost"] = bool(draft) and saved is None
        plots = envelope_plots(envelope, now=now, saved=saved)
        head["plots"] = [plot.as_dict(block.place) for plot in plots]
        head["stops"] = show.stops(envelope)
        head["heed"] = show.heed(
            SHEETS["envelope"],
            places(desk.bench.draft(draft)),
            unjudged=envelope.not_judged,
            findings=envelope.findings,
            cautions=(),
        )
    return block.frame(head)
