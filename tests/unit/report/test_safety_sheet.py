from __future__ import annotations

import base64
import hashlib
import re

import pytest

from pulsewright import machine, report


def build_of(name: str, **changes: str) -> machine.Build:
    loaded = machine.load_text(machine.bench_text(name), "laser.toml").build
    assert loaded is not None
    return loaded.override({path.replace("__", "."): text for path, text in changes.items()}) if changes else loaded


@pytest.mark.parametrize("name", machine.BENCHES)
def test_page_needs_nothing_from_outside(name: str) -> None:
    html = report.safety_sheet(build_of(name))
    assert html.startswith("<!doctype html>")
    assert f"<title>Safety sheet: {name}</title>" in html
    for foreign in ("<script", "http:", "https:", "//", "url(", "@import", "<link", "<img", " on"):
        assert foreign not in re.sub(r">[^<]*<", "><", html)
    assert "<script" not in html
    assert html.count('class="box"') > 20
    for words in ("Before charging", "Between shots", "MISFIRE", "Shut-down", "Date", "Name"):
        assert words in html


def test_text_of_the_build_file_is_escaped_and_bounded() -> None:
    material = '<img src=x onerror="alert(1)"> & ' + 400 * "x"
    html = report.safety_sheet(build_of("tidewater", target__material=material))
    assert "<img" not in html
    assert "&lt;img" in html
    assert 60 * "x" not in html


def test_style_word_is_the_hash_of_what_stands_in_the_page() -> None:
    html = report.safety_sheet(build_of("tidewater"))
    style = re.search(r"<style>(.*)</style>", html, re.DOTALL)
    assert style is not None
    digest = base64.b64encode(hashlib.sha256(style.group(1).encode()).digest()).decode()
    assert report.style_source() == f"'sha256-{digest}'"


def test_page_is_ink_on_white() -> None:
    html = report.safety_sheet(build_of("tidewater"))
    colours = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", html))
    assert colours == {"#000", "#fff", "#777"}
