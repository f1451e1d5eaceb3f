"""The page's door: who is let in. Rules after the Fetch standard's CORS protocol and RFC 6265bis cookies."""

from __future__ import annotations

from pathlib import Path

import pytest
from page_server import HERE, PORT, page

from hides.errors import InputError
from nesting.commands import main
from nesting.page.door import Door, loopback_hosts, new_token
from nesting.page.serve import open_place

CROSS_SITE = [
    {"Host": "rebound.example:8760"},
    {"Host": "127.0.0.1:9999"},
    {"Host": "127.0.0.1"},
    {"Origin": "http://elsewhere.example"},
    {"Origin": "null"},
    {"Origin": "https://127.0.0.1:8760"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site"},
]


@pytest.mark.parametrize("headers", CROSS_SITE, ids=lambda h: "-".join(h.values()))
def test_a_request_from_elsewhere_is_refused_for_reading_and_writing(tmp_path: Path, headers: dict[str, str]) -> None:
    """DNS rebinding shows in Host; a foreign page in Origin and Sec-Fetch-Site."""
    with page(tmp_path) as client:
        for answer in (
            client.get("/api/folder", headers=headers),
            client.post("/api/drafts", json={}, headers=headers),
        ):
            assert answer.status_code in (403, 421)
            assert "hideplan" in answer.json()["problem"] or "web site" in answer.json()["problem"]
        assert not list(tmp_path.glob(".hideplan/drafts/*"))


def test_a_foreign_form_cannot_write_because_it_lacks_our_header(tmp_path: Path) -> None:
    """A form sent across sites is a simple request: it cannot carry a header of its own."""
    with page(tmp_path) as client:
        del client.headers["X-Hideplan"]
        answer = client.post("/api/drafts", content=b"{}", headers={"Content-Type": "text/plain"})
        assert answer.status_code == 403
        assert not list(tmp_path.glob(".hideplan/drafts/*"))


def test_a_foreign_page_that_asks_first_gets_no_leave(tmp_path: Path) -> None:
    """A preflight is answered without any Access-Control header, so the browser sends nothing more."""
    with page(tmp_path) as client:
        asked = {"Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "x-hideplan"}
        answer = client.options("/api/drafts", headers={"Origin": "http://elsewhere.example", **asked})
        assert not [name for name in answer.headers if name.startswith("access-control")]


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "[::1]"])
def test_this_machine_s_own_names_are_let_in(tmp_path: Path, host: str) -> None:
    with page(tmp_path) as client:
        headers = {"Host": f"{host}:{PORT}", "Origin": f"http://{host}:{PORT}", "Sec-Fetch-Site": "same-origin"}
        assert client.get("/api/folder", headers=headers).status_code == 200


def test_every_answer_forbids_whatever_is_not_our_own(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        for path in ("/", "/static/main.js", "/api/folder", "/nowhere"):
            policy = client.get(path).headers["content-security-policy"]
            assert "default-src 'none'" in policy
            assert "script-src 'self';" in policy
            assert "frame-ancestors 'none'" in policy
            assert "unsafe" not in policy
            assert "http" not in policy


def test_the_token_is_asked_for_then_kept_as_a_strict_cookie(tmp_path: Path) -> None:
    door = Door(loopback_hosts(PORT), new_token(), "hideplan-test")
    with page(tmp_path, door) as client:
        assert client.get("/api/folder").status_code == 401
        assert client.get("/?token=wrong").status_code == 401
        assert client.get(f"/api/folder?token={door.token}").status_code == 401
        answer = client.get(f"/?token={door.token}")
        assert answer.status_code == 200
        cookie = answer.headers["set-cookie"].lower()
        assert "httponly" in cookie
        assert "samesite=strict" in cookie
        assert client.get("/api/folder").status_code == 200
        assert client.get("/api/folder", headers={"Origin": "http://elsewhere.example"}).status_code == 403


def test_a_link_on_another_site_may_open_the_front_page_and_nothing_else(tmp_path: Path) -> None:
    """A person follows the address in a mail: a top-level navigation (Fetch Metadata: dest document)."""
    headers = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Dest": "document", "Sec-Fetch-Mode": "navigate"}
    with page(tmp_path) as client:
        assert client.get("/", headers=headers).status_code == 200
        assert client.get("/api/folder", headers=headers).status_code == 403
        assert client.post("/", headers=headers).status_code == 403
        assert client.get("/", headers={**headers, "Sec-Fetch-Dest": "iframe"}).status_code == 403


def test_tokens_are_long_and_never_the_same() -> None:
    tokens = {new_token() for _ in range(200)}
    assert len(tokens) == 200
    assert min(len(token) for token in tokens) >= 32


def test_without_lan_only_the_loopback_address_listens() -> None:
    place = open_place(0, lan=False)
    with place.listening:
        assert place.listening.getsockname()[0] == "127.0.0.1"
        assert place.door.token is None
        assert place.addresses[0].startswith("http://127.0.0.1:")


def test_with_lan_the_address_carries_the_token() -> None:
    place = open_place(0, lan=True)
    with place.listening:
        assert place.door.token
        assert all(address.endswith(f"/?token={place.door.token}") for address in place.addresses)


def test_our_own_page_is_served_here(tmp_path: Path) -> None:
    with page(tmp_path) as client:
        assert "<title>hideplan</title>" in client.get(HERE + "/").text


@pytest.mark.parametrize("words", [["--folder", "nowhere/at/all"], ["--port", "99999"], ["--port", "x"]])
def test_a_folder_or_port_that_cannot_be_is_told_in_one_line(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["page", "--no-browser", *words]) == 2
    told = capsys.readouterr().err
    assert told.startswith("hideplan: ")
    assert told.count("\n") == 1


def test_a_port_that_is_taken_is_told_if_asked_for_and_gone_round_if_not() -> None:
    first = open_place(0, lan=False)
    with first.listening:
        taken = first.listening.getsockname()[1]
        with pytest.raises(InputError, match=str(taken)):
            open_place(taken, lan=False)
        with open_place(None, lan=False).listening, open_place(None, lan=False).listening:
            pass
