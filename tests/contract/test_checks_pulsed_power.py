"""The table of checks of pulsed power: every file and test that it names is there, and every check has a row."""

from __future__ import annotations

import ast
import re
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
PAGE = TESTS.parent / "docs" / "checks-pulsed-power.md"
ROW = re.compile(
    r"^\| (?P<figure>.+?) \| (?P<tag>[a-z]+) \| `(?P<file>[\w/]+\.py)::(?P<test>\w+)` \| (?P<result>.+) \|$"
)
TAGS = {"source", "secondary", "memory", "computed"}
#: Files of published figures that this page must tell in full.
SUBJECT = re.compile(r"pulsewright\.physics\.pulsed_power|lamp\.square_law")


def rows() -> list[re.Match[str]]:
    """Rows of every table but the last one, whose figures have no test."""
    found = []
    for line in PAGE.read_text("utf-8").partition("## Known of, and not checked")[0].splitlines():
        if line.startswith("| ") and not line.startswith("| figure"):
            match = ROW.match(line)
            assert match, line
            found.append(match)
    return found


def collected(path: Path) -> set[str]:
    """Names of the tests that a file holds, as they are collected."""
    return {
        node.name
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def test_every_row_names_a_test_that_is_collected() -> None:
    missing = [
        f"{row['file']}::{row['test']}"
        for row in rows()
        if not (TESTS / row["file"]).is_file()
        or not Path(row["file"]).name.startswith("test_")
        or row["test"] not in collected(TESTS / row["file"])
    ]
    assert not missing, missing
    assert len(rows()) > 80


def test_tags_and_rooms_fit() -> None:
    """Published figures stand in `published`, computed ones in `routes`; no figure is told twice."""
    wrong = [
        row[0]
        for row in rows()
        if row["tag"] not in TAGS
        or row["file"].split("/")[0] != ("routes" if row["tag"] == "computed" else "published")
    ]
    assert not wrong, wrong
    places = [(row["file"], row["test"]) for row in rows()]
    assert len(set(places)) == len(places)


def test_known_deviations_are_called_so_on_both_sides() -> None:
    for row in rows():
        said = row["result"].startswith("known deviation: ")
        assert said or row["result"].startswith("pass"), row[0]
        assert said == ("known_deviation" in row["test"]), row[0]


def test_every_published_file_on_pulsed_power_has_a_row() -> None:
    told = {row["file"].partition("/")[2] for row in rows()}
    about = {path.name for path in (TESTS / "published").glob("*.py") if SUBJECT.search(path.read_text("utf-8"))}
    assert about - told == set()
