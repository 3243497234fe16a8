"""Who may ask the page for what: Host, Origin, token, sizes, headers."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from app.page_client import HERE, Client, unmodelled

from pulsewright.web import create_app
from pulsewright.web.guard import COOKIE, MOST_BODY
from pulsewright.web.serve import names_of, page_address
from pulsewright.workbench import new_bench, open_bench


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return new_bench(tmp_path_factory.mktemp("web") / "tidewater", "tidewater")


def client(folder: Path, **options: Any) -> Client:
    return Client(create_app(open_bench(folder), **options))


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("127.0.0.1:8421", 200),
        ("localhost", 200),
        ("[::1]:8421", 200),
        ("LOCALHOST:1", 200),
        ("evil.example", 421),
        ("127.0.0.1.evil.example", 421),
        ("192.168.1.7:8421", 421),
        ("", 421),
        ("127.0.0.1:port", 421),
        ("127.0.0.1@evil.example", 421),
    ],
)
def test_host_is_checked(folder: Path, host: str, status: int) -> None:
    answer = client(folder).get("/sheet/bank", headers={"host": host})
    assert answer.status_code == status
    if status != 200:
        assert "not served under the name" in answer.json()["findings"][0]["message"]


@pytest.mark.parametrize(
    ("origin", "status"),
    [
        (HERE, 200),
        ("http://evil.example", 403),
        ("http://127.0.0.1:9999", 403),
        ("null", 403),
        ("file://127.0.0.1:8421", 403),
        (None, 403),
    ],
)
def test_origin_is_checked_on_everything_that_is_not_read_only(folder: Path, origin: str | None, status: int) -> None:
    headers = {} if origin is None else {"origin": origin}
    answer = client(folder).post("/jobs", json={"kind": "interval", "draft": {"dye.name": "x"}}, headers=headers)
    assert answer.status_code == status


def test_a_form_of_another_page_cannot_write(folder: Path) -> None:
    before = (folder / "laser.toml").read_bytes()
    answer = client(folder).post("/write", data={"draft": "x"}, headers={"origin": HERE})
    assert answer.status_code == 415
    assert (folder / "laser.toml").read_bytes() == before


def test_another_page_cannot_make_this_one_work(folder: Path) -> None:
    foreign = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}
    assert client(folder).get("/paper", headers=foreign).status_code == 403
    assert client(folder).get("/sheet/bank", headers={**foreign, "sec-fetch-mode": "navigate"}).status_code == 200


class TestToken:
    def test_without_it_nothing_is_told(self, folder: Path) -> None:
        page = client(folder, token="a word")
        for path in ("/", "/sheet/bank", "/safety", "/static/page.css", "/jobs/x"):
            answer = page.get(path)
            assert answer.status_code == 401
            assert "tidewater" not in answer.text
        assert page.get("/sheet/bank?token=another").status_code == 401
        assert page.get("/sheet/bank", headers={"cookie": f"{COOKIE}=wrong"}).status_code == 401

    def test_in_the_address_it_becomes_a_cookie_and_leaves_the_address(self, folder: Path) -> None:
        page = client(folder, token="a-word")
        answer = page.get("/sheet/bank?token=a-word&pin=bank.capacitance")
        assert answer.status_code == 303
        assert answer.headers["location"] == "/sheet/bank?pin=bank.capacitance"
        cookie = answer.headers["set-cookie"]
        assert {"HttpOnly", "SameSite=Strict"} <= set(re.split(r";\s*", cookie))
        kept = {"cookie": f"{COOKIE}=a-word"}
        assert page.get("/sheet/bank", headers=kept).status_code == 200
        assert page.get("/sheet/bank", headers={**kept, "host": "192.168.1.7:8421"}).status_code == 200
        assert page.get("/sheet/bank", headers={**kept, "host": "evil.example"}).status_code == 421

    def test_it_is_not_taken_on_a_write(self, folder: Path) -> None:
        answer = client(folder, token="a-word").post("/jobs?token=a-word", json={}, headers={"origin": HERE})
        assert answer.status_code == 401


class TestSizes:
    def test_a_body_that_says_it_is_large(self, folder: Path) -> None:
        body = b'{"view": "' + b"x" * MOST_BODY + b'"}'
        headers = {"origin": HERE, "content-type": "application/json"}
        assert client(folder).post("/shot", content=body, headers=headers).status_code == 413

    def test_a_body_that_does_not_say_so(self, folder: Path) -> None:
        async def pieces() -> Any:
            for _ in range(MOST_BODY // 1024 + 2):
                yield b"x" * 1024

        headers = {"origin": HERE, "content-type": "application/json"}
        assert client(folder).post("/shot", content=pieces(), headers=headers).status_code == 413

    def test_a_long_address(self, folder: Path) -> None:
        assert client(folder).get("/sheet/bank?set=" + "x" * 20_000).status_code == 414

    @pytest.mark.parametrize(
        "body",
        [
            {"view": "bank", "draft": {f"bank.key{i}": "1" for i in range(201)}},
            {"view": "bank", "draft": {"x" * 200: "1"}},
            {"view": "bank", "draft": {"bank.note": "x" * 500}},
            {"view": "bank", "draft": ["bank.note"]},
            {"view": "bank", "more": 1},
            {"draft": {}},
        ],
    )
    def test_a_malformed_question_is_a_finding(self, folder: Path, body: Any) -> None:
        answer = client(folder).post("/shot", json=body, headers={"origin": HERE})
        assert answer.status_code == 422
        assert answer.json()["findings"][0]["message"].startswith("the request is malformed")


def test_every_answer_keeps_the_page_to_itself(folder: Path) -> None:
    unmodelled(folder)  # the headers do not hang on what is computed
    page = client(folder)
    answers = [page.get(path) for path in ("/sheet/bank", "/static/page.js", "/paper?x", "/nowhere")]
    answers.append(page.get("/sheet/bank", headers={"host": "evil.example"}))
    for answer in answers:
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'self';")
        assert "unsafe" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"


@pytest.mark.parametrize(
    "path", [f"/sheet/{v}" for v in ("shot", "bank", "envelope", "findings", "formulas")] + ["/formulas/stored_energy"]
)
def test_pages_carry_no_script_and_no_style_of_their_own(folder: Path, path: str) -> None:
    html = client(folder).get(path).text
    assert not re.search(r"<script(?![^>]*\bsrc=)", html)
    assert "<style" not in html
    assert not re.search(r"\sstyle\s*=", html)
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", html)
    outside = re.findall(r"(?:href|src|action)=[\"'](https?:)?//", html)
    assert outside == []


def test_the_safety_sheets_own_style_is_let_in_by_its_hash_alone(folder: Path) -> None:
    answer = client(folder).get("/safety")
    assert answer.status_code == 200
    assert re.search(r"style-src 'self' 'sha256-[^']+'$", answer.headers["content-security-policy"])
    assert "isfire" in answer.text


def test_no_interface_description_is_served(folder: Path) -> None:
    page = client(folder)
    assert [page.get(path).status_code for path in ("/docs", "/redoc", "/openapi.json")] == [404] * 3


@pytest.mark.parametrize(
    ("host", "port", "token", "address"),
    [
        ("127.0.0.1", 8421, None, "http://127.0.0.1:8421/"),
        ("::1", 80, None, "http://[::1]:80/"),
        ("10.0.0.2", 8421, "w", "http://10.0.0.2:8421/?token=w"),
    ],
)
def test_printed_address(host: str, port: int, token: str | None, address: str) -> None:
    assert page_address(host, port, token) == address


def test_names_under_which_a_server_may_be_asked() -> None:
    assert set(names_of("127.0.0.1")) == {"127.0.0.1", "localhost", "::1"}
    assert "10.0.0.2" in names_of("10.0.0.2")
