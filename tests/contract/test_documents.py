"""Documents: links lead somewhere, every decision is in the index, and nothing tells of one machine."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").rglob("*.md"))]


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_links_lead_to_files_that_are_there(document: Path) -> None:
    targets = re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", document.read_text("utf-8"))
    local = [target for target in targets if "://" not in target]
    assert [target for target in local if not (document.parent / target).exists()] == []


def test_every_decision_stands_in_the_index_once() -> None:
    folder = ROOT / "docs" / "decisions"
    index = re.findall(r"^\| \[([a-z-]+\.md)\]", (folder / "README.md").read_text("utf-8"), re.MULTILINE)
    pages = {path.name for path in folder.glob("*.md")} - {"README.md", "template.md"}
    assert sorted(index) == sorted(pages)


@pytest.mark.parametrize("name", [path.name for path in sorted((ROOT / "docs" / "decisions").glob("*.md"))])
def test_a_decision_says_what_is_decided(name: str) -> None:
    words = (ROOT / "docs" / "decisions" / name).read_text("utf-8")
    assert words.startswith("# ")
    if name != "README.md":
        assert "\n**Decided" in words


def test_version_stands_in_one_way_everywhere() -> None:
    import pulsewright

    version = pulsewright.__version__
    assert f'version: "{version}"' in (ROOT / "CITATION.cff").read_text("utf-8")
    assert f"\n## {version} " in (ROOT / "CHANGELOG.md").read_text("utf-8")


def test_the_readme_warns_before_it_describes() -> None:
    words = (ROOT / "README.md").read_text("utf-8")
    places = [
        words.index(phrase) for phrase in ("start.py demo", "Stored energy and kilovolts kill", "## What it computes")
    ]
    assert places == sorted(places)
    for phrase in ("class 4", "flammable and toxic", "advises; it never controls", "Local codes and licensed practice"):
        assert phrase in words
