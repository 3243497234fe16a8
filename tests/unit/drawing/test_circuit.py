from __future__ import annotations

from dataclasses import replace

import pytest
from unit.drawing.circuits import CIRCUITS, LADDER, LOOPS, ONE, PAIR, SEPARATE

from pulsewright.drawing.bench import BenchShape
from pulsewright.drawing.circuit import TOP, circuit_scene
from pulsewright.drawing.labels import text_width
from pulsewright.drawing.scene import Circle, Line, Path, Scene, Text
from pulsewright.drawing.symbols import Pen, capacitor, inductor


def texts(scene: Scene) -> list[Text]:
    return [item for item in scene.items if isinstance(item, Text)]


def words(bench: BenchShape) -> set[str]:
    return {text.words for text in texts(circuit_scene(bench))}


def count(bench: BenchShape, role: str) -> int:
    return sum(1 for item in circuit_scene(bench).items if item.role == role)


def coils(bench: BenchShape) -> int:
    """Windings: lines of half circles are the only paths of many points without a fill."""
    items = circuit_scene(bench).items
    return sum(1 for item in items if isinstance(item, Path) and item.role == "ink" and item.d.count("L") > 30)


def box(text: Text) -> tuple[float, float, float, float]:
    """Left, top, right, bottom; the width nearly the generous estimate."""
    size = {"small": 11.0, "name": 14.0}.get(text.role, 12.0)
    width = 0.98 * text_width(text.words, size)
    left = text.x - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    return left, text.y - 0.75 * size, left + width, text.y + 0.2 * size


@pytest.mark.parametrize("name", CIRCUITS)
def test_no_text_covers_another_and_all_is_inside(name: str) -> None:
    scene = circuit_scene(CIRCUITS[name])
    boxes = [(text.words, *box(text)) for text in texts(scene)]
    for one, left, top, right, bottom in boxes:
        assert left >= 0, one
        assert right <= scene.width, one
        assert top >= 0, one
        assert bottom <= scene.height, one
    clear = [
        (a[0], b[0])
        for i, a in enumerate(boxes)
        for b in boxes[:i]
        if a[1] < b[3] and b[1] < a[3] and a[2] < b[4] and b[2] < a[4]
    ]
    assert clear == []


@pytest.mark.parametrize("name", CIRCUITS)
def test_every_wire_is_upright_or_level(name: str) -> None:
    wires = [item for item in circuit_scene(CIRCUITS[name]).items if isinstance(item, Line) and item.role == "ink"]
    assert len(wires) > 20
    assert all(wire.x1 == wire.x2 or wire.y1 == wire.y2 for wire in wires)


def test_values_stand_beside_their_parts() -> None:
    shown = words(PAIR)
    assert {"4.00 uF", "20.0 Mohm", "2.00 kohm", "1.50 uH", "30.0 mohm", "1.00 Gohm", "100 kohm"} <= shown
    assert {"bank", "bleeder", "dump", "divider, meter", "east", "west", "earth", "V"} <= shown
    assert {"triggered", "spark gap"} <= shown


def test_what_is_not_known_is_said_to_be() -> None:
    scene = circuit_scene(CIRCUITS["nothing known"])
    assert [text.words for text in texts(scene)].count("not known") == 7
    assert "bank not known" in scene.description
    assert "bleeder not known" in scene.description


@pytest.mark.parametrize("lamps", ["series", "parallel", "separate loops"])
def test_every_lamp_is_drawn_once_and_named(lamps: str) -> None:
    bench = replace(CIRCUITS["four in series"], lamps_connected=lamps)
    assert count(bench, "glass") == 4
    assert {"north", "east", "south", "west"} <= words(bench)


def test_lamps_in_series_share_one_wire_and_in_parallel_stand_side_by_side() -> None:
    def places(bench: BenchShape) -> list[float]:
        names = {lamp.id for lamp in bench.lamps}
        return [text.x for text in texts(circuit_scene(bench)) if text.words in names]

    assert len(set(places(CIRCUITS["four in series"]))) == 1
    across = places(CIRCUITS["parallel"])
    assert across == sorted(set(across))
    assert len(across) == 4


def test_a_loop_of_its_own_has_switch_delay_and_values() -> None:
    shown = words(SEPARATE)
    assert {"no delay", "after 2.00 us", "1.50 uH", "1.60 uH", "30.0 mohm", "31.0 mohm"} <= shown
    assert count(SEPARATE, "solid") - count(ONE, "solid") >= 2
    described = circuit_scene(SEPARATE).description
    assert "east 1.50 uH, 30.0 mohm, no delay; west 1.60 uH, 31.0 mohm, after 2.00 us" in described


def test_leads_that_loops_share_stand_before_them() -> None:
    assert coils(SEPARATE) == 3
    assert "shared leads of 1.50 uH and 30.0 mohm" in circuit_scene(SEPARATE).description
    assert coils(CIRCUITS["separate, own banks"]) == 2


def test_own_capacitors_are_drawn_and_said() -> None:
    plates = count(SEPARATE, "heavy")
    both = CIRCUITS["separate, own banks"]
    one = replace(CIRCUITS["separate, one own bank"], switch="triggered spark gap")
    assert count(one, "heavy") == plates + 2
    assert "bank 4.00 uF" in circuit_scene(one).description
    assert "own capacitor 2.00 uF" in circuit_scene(one).description
    assert count(both, "heavy") == plates + 4 - 2
    assert [text.words for text in texts(circuit_scene(both))].count("2.00 uF") == 2
    assert "bank" not in words(both)
    assert "no shared bank" in circuit_scene(both).description
    assert circuit_scene(both).height > circuit_scene(SEPARATE).height


def test_a_lamp_without_its_loop_in_the_file_is_not_known() -> None:
    bench = replace(SEPARATE, branches=LOOPS[:1])
    assert "west not known, not known, delay not known" in circuit_scene(bench).description


@pytest.mark.parametrize(("sections", "plates"), [(2, 2), (6, 6), (8, 8), (12, 4), (None, 4)])
def test_sections_of_the_network(sections: int | None, plates: int) -> None:
    bench = replace(LADDER, sections=sections, lamps=ONE.lamps)
    lamp_and_plates = count(bench, "heavy")
    assert lamp_and_plates == 2 + 2 * plates
    told = f"{sections} capacitors" if sections else "capacitors, how many is not known,"
    assert f"{told} of 11.7 uF, coils of 60.0 uH between" in words(bench)
    assert coils(bench) - coils(ONE) == plates - 1
    assert ("..." in words(bench)) == (plates != sections)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("clamp", "clamp diode"),
        ("crowbar", "crowbar"),
        ("simmer", "simmer"),
        ("pre-pulse", "pre-pulse"),
        ("series injection", "trigger pulse"),
        ("pressure drop", "pump"),
        ("thyratron", "thyratron"),
    ],
)
def test_parts_that_not_every_circuit_has(name: str, shown: str) -> None:
    assert shown in words(CIRCUITS[name])
    assert shown not in words(PAIR)


def test_switches_differ() -> None:
    kinds = ("triggered spark gap", "overvoltage gap", "thyratron", "hard switch", "none")
    drawn = {tuple(map(repr, circuit_scene(replace(ONE, switch=kind)).items)) for kind in kinds}
    assert len(drawn) == len(kinds)


def test_the_charging_resistor_stands_only_where_it_charges() -> None:
    assert "100 kohm" in words(replace(ONE, charge_method="resistor"))
    levels = [text.y for text in texts(circuit_scene(CIRCUITS["crowbar"])) if text.words == "100 kohm"]
    assert len(levels) == 2
    assert min(levels) == pytest.approx(TOP + 26)


def test_notes_stand_below_and_in_the_description() -> None:
    scene = circuit_scene(PAIR)
    lowest = max(item.y2 for item in scene.items if isinstance(item, Line))
    notes = [text for text in texts(scene) if text.words in PAIR.circuit_notes]
    assert len(notes) == len(PAIR.circuit_notes)
    assert all(text.y > lowest for text in notes)
    assert all(note in scene.description for note in PAIR.circuit_notes)


def test_a_long_note_runs_on_in_a_second_line() -> None:
    note = "leads: " + ", ".join(f"lead_{i} (strips 500 mm)" for i in range(12))
    scene = circuit_scene(replace(PAIR, circuit_notes=(note,)))
    rows = [text for text in texts(scene) if "(strips" in text.words]
    assert len(rows) >= 2
    assert " ".join(text.words for text in rows) == note
    assert all(box(text)[2] <= scene.width for text in rows)


@pytest.mark.parametrize("turn", [0, 1, 2, 3])
def test_a_symbol_reaches_from_terminal_to_terminal(turn: int) -> None:
    pen = Pen(100.0, 200.0, turn)
    for symbol in (capacitor, inductor):
        ends = [(item.x1, item.y1, item.x2, item.y2) for item in symbol(pen, 60.0) if isinstance(item, Line)]
        assert ends[0][:2] == (100.0, 200.0)
        assert pen.at(60.0) in [end[2:] for end in ends]


def test_joints_are_dots_on_a_wire() -> None:
    scene = circuit_scene(PAIR)
    wires = [item for item in scene.items if isinstance(item, Line)]
    for dot in [item for item in scene.items if isinstance(item, Circle) and item.radius == 2.4]:
        assert any(
            min(w.x1, w.x2) <= dot.x <= max(w.x1, w.x2) and min(w.y1, w.y2) <= dot.y <= max(w.y1, w.y2) for w in wires
        )
    assert any(isinstance(item, Path) for item in scene.items)
