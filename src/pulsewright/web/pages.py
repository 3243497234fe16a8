"""Whole pages and their main part, filled from the desk."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping
from typing import Any

from pulsewright.drawing.bench import BenchShape
from pulsewright.drawing.fields import FIELD_TITLES
from pulsewright.errors import PulsewrightError, worst_first
from pulsewright.web import formulas as shelf
from pulsewright.web import reply, show
from pulsewright.web.address import Address
from pulsewright.web.desk import CHARGE, Desk
from pulsewright.web.entries import Row, all_rows, places
from pulsewright.web.guard import POLICY
from pulsewright.web.line import charge_line
from pulsewright.web.paper import paper_fields
from pulsewright.web.pictures import PICTURES
from pulsewright.web.shapes import bench_shape
from pulsewright.web.sheets import BESIDE, SHEETS, Sheet, sheet_of
from pulsewright.web.size import FIELDS, MEANINGS
from pulsewright.web.studies import STUDIES
from pulsewright.web.works import WORKS

LOOKS = ("light", "dark", "dim")
#: A source line longer than this, or a file larger, is not quoted.
MOST_LINE, MOST_FILE = 200, 512 * 1024
_STYLE = re.compile(r"<style[^>]*>(.*?)</style>", re.DOTALL)


def whole(desk: Desk, sheet: Sheet, address: Address, look: str) -> str:
    """A sheet as a whole page; a faulty build file gives the page of its faults."""
    desk.refresh()
    if desk.bench.build is None:
        return faulty(desk, look)
    return show.page("page.html", look=look, **_frame(desk, sheet, address), **_main(desk, sheet, address))


def main(desk: Desk, sheet: Sheet, address: Address) -> str:
    """The part of the page below the line that never leaves."""
    desk.refresh()
    if desk.bench.build is None:
        return show.page("part_faulty.html", **_faults(desk))
    return show.page("part_main.html", **_main(desk, sheet, address))


def formula(desk: Desk, name: str, given: Mapping[str, str], address: Address, look: str) -> str:
    """One formula of the shelf, evaluated when arguments are given."""
    desk.refresh()
    card = shelf.card_page(name, given)
    if desk.bench.build is None:
        fields = {"cards": shelf.cards(), "query": "", **card}
        return show.page("bare.html", look=look, name=desk.bench.name, **fields)
    sheet = SHEETS["formulas"]
    return show.page("page.html", look=look, **_frame(desk, sheet, address), **{**_main(desk, sheet, address), **card})


def faulty(desk: Desk, look: str) -> str:
    """The page of a build file that has errors."""
    return show.page("faulty.html", look=look, name=desk.bench.name, **_faults(desk))


def _faults(desk: Desk) -> dict[str, Any]:
    lines = _lines(desk)
    rows = [
        {"finding": finding, "quoted": lines[finding.line - 1] if 0 < finding.line <= len(lines) else ""}
        for finding in worst_first(desk.bench.findings)
    ]
    return {"rows": rows, "file": desk.bench.file.name}


def _lines(desk: Desk) -> list[str]:
    """Lines of the build file, for quoting beside its faults."""
    try:
        if desk.bench.file.stat().st_size > MOST_FILE:
            return []
        text = desk.bench.file.read_text("utf-8")
    except (OSError, UnicodeDecodeError):
        return []
    return [line if len(line) <= MOST_LINE else line[:MOST_LINE] + " ..." for line in text.splitlines()]


def applied(desk: Desk, address: Address) -> tuple[dict[str, str], bool]:
    """The draft of an address as far as it may be laid over this build, and whether the build has changed since."""
    now = desk.bench.build.values_fingerprint if desk.bench.build is not None else ""
    stale = bool(address.draft) and bool(address.build) and address.build != now
    return ({} if stale else dict(address.draft)), stale


def _frame(desk: Desk, sheet: Sheet, address: Address) -> dict[str, Any]:
    """What stands round the sheet: names, strip, the line, the draft."""
    build = desk.bench.build
    assert build is not None
    draft, stale = applied(desk, address)
    held = Address(build.values_fingerprint, draft, address.pins)
    laid = _laid(desk, draft)
    rows = all_rows(desk.bench.entry_rows(), build, draft, address.pins)
    shape = bench_shape(laid, None)
    return {
        "bench": {"name": build.name, "words": build.words, "file": desk.bench.file.name},
        "sheets": [SHEETS[key] for key in BESIDE],
        "strip": reply.strip(shape, reply.states_of(desk, None), held, sheet.id),
        "charge": charge_line(build, laid),
        "stale": _stale(address, rows, build.values_fingerprint) if stale else None,
        "start": {
            "view": sheet.id,
            "sha": desk.bench.text_sha256,
            "build": build.values_fingerprint,
            "draft": draft,
            "pins": [{"path": pin, "most": rows[pin].most} for pin in address.pins if pin in rows],
            "saved": {path: rows[path].saved for path in {CHARGE, *draft, *address.pins} if path in rows},
        },
    }


def _laid(desk: Desk, draft: Mapping[str, str]) -> Any:
    """The build with the draft over it; the saved one where the draft cannot be laid."""
    try:
        return desk.bench.draft(draft)
    except PulsewrightError:
        return desk.bench.build


def _stale(address: Address, rows: Mapping[str, Row], now: str) -> dict[str, Any]:
    """A link whose build has changed: what it wants, what the build says now, and the ways on."""
    wanted = [
        {"path": path, "text": text, "saved": rows[path].saved if path in rows else "there is no such entry now"}
        for path, text in address.draft.items()
    ]
    lay = Address(now, address.draft, address.pins).query()
    drop = Address("", {}, address.pins).query()
    return {"made_on": address.build, "now": now, "wanted": wanted, "lay": lay, "drop": drop}


def _main(desk: Desk, sheet: Sheet, address: Address) -> dict[str, Any]:
    build = desk.bench.build
    assert build is not None
    draft, _ = applied(desk, address)
    rows = all_rows(desk.bench.entry_rows(), build, draft, address.pins)
    where = places(build)
    mine = [row for row in rows.values() if sheet_of(row.path, where) == sheet.id]
    shape = bench_shape(_laid(desk, draft), None)
    return {
        "sheet": sheet,
        "parts": _parts(row for row in mine if not row.absent),
        "absent": [row for row in mine if row.absent],
        "drawings": _drawings(sheet, shape),
        "studies": [{"id": key, "title": STUDIES[key].title, "places": STUDIES[key].places} for key in sheet.studies],
        "works": [WORKS[key] for key in sheet.works],
        "pictures": PICTURES,
        "fields_titles": FIELD_TITLES,
        "heed": show.heed(sheet, where, findings=desk.bench.check()),
        "fields": FIELDS,
        "meanings": MEANINGS,
        "cards": shelf.cards() if sheet.id == "formulas" else [],
        **shelf.NO_CARD,
        "query": Address(build.values_fingerprint, draft, address.pins).query(),
    }


def _drawings(sheet: Sheet, shape: BenchShape) -> list[dict[str, str]]:
    return [{"id": name, "drawing": reply.drawing(name, shape)} for name in sheet.drawings]


def _parts(rows: Any) -> list[dict[str, Any]]:
    """Rows under the table of the build file they stand in, in its order."""
    out: dict[str, list[Row]] = {}
    for row in rows:
        out.setdefault(row.part, []).append(row)
    return [{"name": name, "rows": found} for name, found in out.items()]


def paper(desk: Desk, address: Address) -> str:
    """Everything on paper: cautions first, drawings, entries, one shot, its margins, the envelope."""
    desk.refresh()
    if desk.bench.build is None:
        return faulty(desk, "")
    draft, _ = applied(desk, address)
    return show.page("paper.html", look="", **paper_fields(desk, draft))


def policy_with_styles(html: str) -> str:
    """The page's policy, opened for exactly the style elements that a document carries, by their hash."""
    hashes = [base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() for style in _STYLE.findall(html)]
    words = " ".join(["'self'", *(f"'sha256-{one}'" for one in hashes)])
    return f"{POLICY}; style-src {words}"
