"""What a role looks like in ink on white: the attributes that the SVG writer sets.

The page's style sheet names the same roles and overrides these by look.
"""

from __future__ import annotations

from collections.abc import Mapping

INK, SOFT, FAINT, PAPER = "#14181c", "#4d565e", "#c9cfd4", "#ffffff"
TYPE = "system-ui, 'Segoe UI', 'Helvetica Neue', Arial, sans-serif"


def _line(width: str = "1.2", stroke: str = INK, dash: str = "") -> dict[str, str]:
    out = {"fill": "none", "stroke": stroke, "stroke-width": width, "stroke-linejoin": "round"}
    return {**out, "stroke-dasharray": dash} if dash else out


def _text(size: str, fill: str = INK, weight: str = "") -> dict[str, str]:
    out = {"fill": fill, "font-size": size}
    return {**out, "font-weight": weight} if weight else out


def _fill(fill: str, stroke: str = "none", opacity: str = "") -> dict[str, str]:
    out = {"fill": fill, "stroke": stroke}
    return {**out, "fill-opacity": opacity} if opacity else out


#: Ink of the steps of a fine map, and of legs of rays, strongest first; the page's style sheet has the same.
TONE_OPACITIES = (0.0, 0.1, 0.22, 0.35, 0.49, 0.64, 0.8, 1.0)
RAY_OPACITIES = (1.0, 0.75, 0.52, 0.33, 0.2, 0.1)
#: The first word of a role decides; a second word ("s2") refines it.
ROLES: Mapping[str, Mapping[str, str]] = {
    "ink": _line(),
    "thin": _line("0.8"),
    "heavy": _line("2.2"),
    "soft": _line("1", SOFT),
    "hidden": _line("1", SOFT, "4 3"),
    "axis": _line("1"),
    "grid": _line("0.6", FAINT),
    "leader": _line("0.6", SOFT),
    "ghost": _line("1", "#8b949c"),
    "curve": _line("1.8"),
    "whisker": _line("1"),
    "limit": _line("1.2", INK, "7 3"),
    "threshold": _line("1.2", INK, "2 3"),
    "now": _line("1", SOFT, "1 2"),
    "place": _line("0.8", SOFT, "1 3"),
    "dimension": _line("0.7", SOFT),
    "beam-fill": {"fill": "#e07000", "stroke": INK, "stroke-width": "0.6"},
    "no-beam": _line("1", SOFT, "2 4"),
    "band": _fill(INK, opacity="0.12"),
    "dot": {"fill": PAPER, "stroke": INK, "stroke-width": "1.6"},
    "paper": {"fill": PAPER, "stroke": "none"},
    "bar": _fill("#8b949c"),
    "shade": _fill(INK),
    "shade0": {"fill-opacity": "0"},
    "shade1": {"fill-opacity": "0.06"},
    "shade2": {"fill-opacity": "0.12"},
    "shade3": {"fill-opacity": "0.18"},
    "shade4": {"fill-opacity": "0.24"},
    "shade5": {"fill-opacity": "0.3"},
    "tone": _fill(INK),
    **{f"tone{i}": {"fill-opacity": f"{opacity:g}"} for i, opacity in enumerate(TONE_OPACITIES)},
    "ray": _line("0.9"),
    **{f"ray{i}": {"stroke-opacity": f"{opacity:g}"} for i, opacity in enumerate(RAY_OPACITIES)},
    "flow": {"fill": "#aab2b8", "stroke": PAPER, "stroke-width": "0.8"},
    "unknown": {"fill": "#eef0f1", "stroke": "none"},
    "ring": _line("1.6", INK, "3 2"),
    "solid": _fill(INK, INK),
    "wall": {"fill": "none", "stroke": INK, "stroke-width": "5", "stroke-linejoin": "round"},
    "plasma": {"fill": "#e9edf0", "stroke": INK, "stroke-width": "0.8"},
    "metal": {"fill": "#b9c0c6", "stroke": INK, "stroke-width": "1"},
    "glass": {"fill": "#eef2f4", "stroke": INK, "stroke-width": "1"},
    "liquid": {"fill": "#dde4e8", "stroke": "none"},
    "dye": {"fill": "#c3ccd2", "stroke": INK, "stroke-width": "0.8"},
    "gas": {"fill": "#f6f7f8", "stroke": INK, "stroke-width": "0.8"},
    "liquid-line": {"fill": "#dde4e8", "stroke": INK, "stroke-width": "0.8"},
    "feed": _line("0.7", SOFT, "3 3"),
    "hit": {"fill": "none", "stroke": "none", "pointer-events": "all"},
    "text": _text("12"),
    "name": _text("14", weight="600"),
    "feed-name": _text("12", weight="600"),
    "small": _text("11", SOFT),
    "state": _text("12"),
    "tick": _text("12", SOFT),
    "axis-title": _text("12"),
    "label": _text("12"),
    "mark": _text("11"),
    "ghost-label": _text("12", "#6d767e"),
}

#: Weight and dash of curve styles, so that lines differ by more than colour.
STYLES: Mapping[str, Mapping[str, str]] = {
    "s0": {},
    "s1": {"stroke-dasharray": "8 3"},
    "s2": {"stroke-width": "1.1"},
    "s3": {"stroke-dasharray": "3 3"},
    "s4": {"stroke-width": "2.6"},
    "s5": {"stroke-dasharray": "10 3 2 3"},
}


def attributes(role: str, beam: str = "") -> dict[str, str]:
    """Ink-on-white attributes of a role; `beam` is the colour of the beam, where it is known."""
    out: dict[str, str] = {}
    for word in role.split():
        out.update(ROLES.get(word, {}))
        out.update(STYLES.get(word, {}))
    if beam and "beam-fill" in role.split():
        out["fill"] = beam
    return out
