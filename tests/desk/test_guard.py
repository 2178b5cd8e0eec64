"""Nobody gets in but the browser that was sent here, and nobody gets out of the project's folder.

The rules are those of the Fetch standard (fetch.spec.whatwg.org: Origin, Sec-Fetch-Site), of RFC 6265bis (SameSite) and
of RFC 9110 (Host); from memory where no text is quoted.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from desks import HOST, PORT, starter, visiting

from nesting.desk.guard import Guard

FORBIDDEN = 403


def test_another_host_is_refused(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        assert visitor.get("/").status_code == 200
        for host in ("evil.example", f"evil.example:{PORT}", "127.0.0.1", f"127.0.0.1:{PORT + 1}", ""):
            assert visitor.client.get("/", headers={"Host": host}).status_code == FORBIDDEN


def test_without_the_secret_nothing_is_shown(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        visitor.client.delete_cookie(visitor.guard.cookie, domain="127.0.0.1")
        for address in ("/", "/state", "/file/papers.toml", "/assets/desk.js", "/packet"):
            assert visitor.get(address).status_code == FORBIDDEN
        assert visitor.get("/open?token=guessed").status_code == FORBIDDEN
        visitor.client.set_cookie(visitor.guard.cookie, "guessed", domain="127.0.0.1")
        assert visitor.get("/").status_code == FORBIDDEN


def test_the_printed_address_lets_the_browser_in(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        visitor.client.delete_cookie(visitor.guard.cookie, domain="127.0.0.1")
        answer = visitor.get(visitor.guard.address.removeprefix(f"http://{HOST}"))
        cookie = answer.headers["Set-Cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=Strict" in cookie
        assert visitor.get("/").status_code == 200


def test_another_page_can_change_nothing(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        before = visitor.seen()
        said = {"what": "counts", "fields": {"autumn": "99"}, "seen": before}
        for origin in ("http://evil.example", f"http://127.0.0.1:{PORT + 1}", "null", f"https://{HOST}"):
            assert visitor.post("/save", said, origin=origin).status_code == FORBIDDEN
        no_origin = visitor.client.post("/save", base_url=f"http://{HOST}", json=said)
        assert no_origin.status_code == FORBIDDEN
        assert visitor.post("/save", said, sec_fetch_site="same-site").status_code == FORBIDDEN
        assert visitor.get("/", sec_fetch_site="cross-site").status_code == FORBIDDEN
        assert visitor.seen() == before
        assert visitor.post("/save", said).status_code == 200


@pytest.mark.parametrize(
    "address",
    [
        "/file/..%2F..%2Fsecret.toml", "/file/../secret.toml", "/file/%2e%2e%2fsecret.toml", "/file/.hidden.toml",
        "/assets/..%2Fapp.py", "/assets/../app.py", "/font/..%2F..%2Fmatplotlibrc", "/file/drawer.sqlite",
    ],
)  # fmt: skip
def test_no_address_leads_out_of_the_folder(tmp_path: Path, address: str) -> None:
    (tmp_path / "secret.toml").write_text("a = 1", "utf-8")
    folder = starter(tmp_path / "p")
    (folder / ".hidden.toml").write_text("a = 1", "utf-8")
    with visiting(folder) as visitor:
        assert visitor.get(address).status_code == 404


@pytest.mark.parametrize("name", ["../secret.toml", "/etc/x.toml", "sub/x.toml", "x.py", "..", "a\0.toml", ".x.toml"])
def test_no_save_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    (tmp_path / "secret.toml").write_text("a = 1", "utf-8")
    with visiting(starter(tmp_path / "p")) as visitor:
        answer = visitor.save("file", name, seen={name: ""}, fields={"text": "b = 2"})
        assert answer.status_code == 400
        assert (tmp_path / "secret.toml").read_text("utf-8") == "a = 1"
        assert sorted(path.name for path in (tmp_path / "p").iterdir()) == sorted(visitor.seen())


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.toml").write_text('[paper.secret]\nsheet = "A4"\n', "utf-8")
    folder = starter(tmp_path / "p")
    (folder / "linked.toml").symlink_to(tmp_path / "secret.toml")
    with visiting(folder) as visitor:
        assert visitor.get("/file/linked.toml").status_code == 404
        assert b"secret" not in visitor.get("/papers").data


def test_what_the_user_wrote_is_never_taken_for_a_page(tmp_path: Path) -> None:
    folder = starter(tmp_path / "p")
    evil = "<script>alert(1)</script>"
    text = (folder / "papers.toml").read_text("utf-8").replace("[paper.pine]", f'[paper."{evil}"]')
    (folder / "papers.toml").write_text(text.replace("plain dark green", evil), "utf-8")
    (folder / "batch.toml").write_text(f"[batch]\ntitle = '{evil}\" onload=\"'\ncards = {{ autumn = 2 }}\n", "utf-8")
    with visiting(folder) as visitor:
        for address in ("/", "/papers", "/cards", "/card/autumn", "/files", "/file/papers.toml", "/cost",
                        "/paper/%3Cscript%3Ealert(1)%3C%2Fscript%3E"):  # fmt: skip
            answer = visitor.get(address)
            assert answer.status_code == 200, address
            assert evil.encode() not in answer.data
            assert b'" onload="' not in answer.data


def test_every_answer_forbids_scripts_from_elsewhere(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        for answer in (visitor.get("/"), visitor.get("/nowhere"), visitor.get("/", host="evil.example")):
            policy = answer.headers["Content-Security-Policy"]
            assert "default-src 'none'" in policy
            assert "script-src 'self'" in policy
            assert "unsafe" not in policy
            assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_a_request_without_end_is_refused(tmp_path: Path) -> None:
    with visiting(starter(tmp_path / "p")) as visitor:
        assert visitor.save("file", "papers.toml", fields={"text": "#" * 3_000_000}).status_code == 413


def test_two_sittings_have_two_secrets() -> None:
    assert Guard(PORT).token != Guard(PORT).token
    assert len(Guard(PORT).token) >= 40
