"""What a hostile page in the same browser could send, and what it gets: nothing.

The requests are those of OWASP's notes on cross-site request forgery and DNS rebinding, and of
path traversal (CWE-22, CWE-59).
"""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from asking import Asker

SECRET = "nobody may read this"
JSON = {"content-type": "application/json"}


def _status(page: Asker, path: str, *, body: bytes = b"{}", **headers: str) -> tuple[int, str]:
    answer = page.client.post(path, content=body, headers={**JSON, **headers})
    return answer.status_code, answer.text


@pytest.mark.parametrize(
    "headers",
    [
        {"host": "evil.example:8765"},  # a name that was made to point to this machine
        {"host": "127.0.0.1"},
        {"host": "127.0.0.1:8766"},
        {"origin": "http://evil.example"},
        {"origin": "http://127.0.0.1:8766"},
        {"origin": "https://127.0.0.1:8765"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
@pytest.mark.parametrize("path", ["api/files", "", "file/job.toml", "static/api.js"])
def test_another_site_is_refused(page: Asker, path: str, headers: dict[str, str]) -> None:
    """Even with the key no other host, origin or site gets a byte of the folder."""
    for method in ("GET", "POST"):
        answer = page.client.request(method, f"/{page.key}/{path}", headers={**JSON, **headers})
        assert answer.status_code == 403
        assert "job" not in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/api/files",
        "/wrong/api/files",
        "//api/files",
        "/a-key-for-test/",
        "/a-key-for-tests",
        "/file/job.toml",
        "/static/index.html",
    ],
)
def test_without_the_key_nothing_is_served(page: Asker, path: str) -> None:
    """Whoever does not know the address of this run gets the same bare answer everywhere."""
    for method in ("GET", "POST"):
        answer = page.client.request(method, path, headers=JSON)
        assert (answer.status_code, answer.json()["faults"][0]["what"]) == (403, "refused")


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_a_form_of_another_site_is_refused(page: Asker, kind: str) -> None:
    """Kinds of content that a browser sends anywhere unasked (Fetch Standard) are not taken."""
    answer = page.client.post(
        f"/{page.key}/api/files", content=b"{}", headers={"content-type": kind}
    )
    assert answer.status_code == 415


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "HEAD", "TRACE"])
def test_no_other_methods(page: Asker, method: str) -> None:
    """Only GET and POST; a preflight of another site is not answered."""
    answer = page.client.request(method, f"/{page.key}/api/files")
    assert answer.status_code == 405
    assert not any(name.startswith("access-control") for name in answer.headers)


def test_a_huge_body_is_refused(page: Asker) -> None:
    """More than a million bytes are not read, whether their number is stated or not."""
    large = b" " * 1_000_001

    def pieces() -> Iterator[bytes]:
        for _ in range(11):
            yield b" " * 100_000

    assert _status(page, f"/{page.key}/api/files", body=large)[0] == 413
    assert (
        page.client.post(f"/{page.key}/api/files", content=pieces(), headers=JSON).status_code
        == 413
    )  # type: ignore[arg-type]
    stated = {**JSON, "content-length": "9" * 40}
    answer = page.client.post(f"/{page.key}/api/files", content=b"{}", headers=stated)
    assert answer.status_code == 413


NAMES = [
    "../outside.toml", "..", "a/../../outside.toml", "/etc/passwd", "C:\\outside.toml", "a\\b.toml",
    "//host/share.toml", "link.toml", "links/outside.toml", ".hidden.toml", "x/.ssh/id.toml", "",
    ".", "job.toml\x00.toml", "a/b/c/d/e.toml", "x" * 300 + ".toml", "job.toml/", "job.toml ",
    "job.toml.", "con:.toml", "\u202etoml.bob.toml",
]  # fmt: skip


@pytest.fixture(scope="module")
def traps(page: Asker) -> Path:
    """A file beside the folder, and links in the folder that lead to it."""
    outside = page.root.parent / "outside.toml"
    outside.write_text(f'title = "{SECRET}"\n[blank]\n', encoding="utf-8")
    for name, target in (("link.toml", outside), ("links", page.root.parent)):
        if not (page.root / name).is_symlink():
            (page.root / name).symlink_to(target)
    return outside


@pytest.mark.parametrize("name", NAMES)
def test_no_name_leads_out_of_the_folder(page: Asker, traps: Path, forms: dict, name: str) -> None:  # type: ignore[type-arg]
    """Dots, whole paths and links read and write nothing outside the folder."""
    before = {path: path.stat().st_mtime_ns for path in page.root.parent.rglob("*.toml")}
    job = forms["job"]
    for endpoint, request in (
        ("read", {"file": name}),
        ("write", {"file": name, "kind": "job", "table": job, "digest": None, "overwrite": True}),
        ("copy", {"from": name, "file": "copied.toml"}),
        ("copy", {"from": "job.toml", "file": name}),
        ("weighings", {"file": name}),
        ("weigh", {"file": name, "rows": [{"date": "2026-05-02", "mass": "1 kg"}]}),
    ):
        status, answer = page.ask(endpoint, **request)
        assert status == 422, endpoint
        assert SECRET not in json.dumps(answer)
    after = {path: path.stat().st_mtime_ns for path in page.root.parent.rglob("*.toml")}
    assert after == before


@pytest.mark.parametrize("name", [n for n in NAMES if n.isprintable() and n])
def test_no_address_leads_out_of_the_folder(page: Asker, traps: Path, name: str) -> None:
    """The same for files that are fetched, written plainly and percent-encoded."""
    assert traps.is_file()
    for place in ("file", "static"):
        for shown in (name, name.replace("/", "%2f").replace(".", "%2e"), name.replace("/", "%5c")):
            answer = page.client.get(f"/{page.key}/{place}/{shown}")
            assert answer.status_code in (403, 404), (place, shown)
            assert SECRET not in answer.text


def test_links_are_not_listed(page: Asker, traps: Path) -> None:
    """What lies behind a link is not among the files."""
    listed = [one["file"] for one in page.ask("files")[1]["files"]]
    assert "job.toml" in listed
    assert not any("link" in file or "outside" in file for file in listed)


def test_every_answer_forbids_what_a_page_could_misuse(page: Asker) -> None:
    """Content policy, no sniffing, no frame, no cache, no referrer: on each kind of answer."""
    for path in ("", "static/nothing.js", "file/job.toml", "file/none.toml"):
        headers = page.client.get(f"/{page.key}/{path}").headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert headers["cache-control"] == "no-store"
        assert headers["referrer-policy"] == "no-referrer"
        assert headers["cross-origin-resource-policy"] == "same-origin"


def test_files_with_scripts_are_only_downloads(page: Asker) -> None:
    """What could hold a script is never shown as a page of ours; a list is plain text."""
    for name in ("sly.svg", "sly.html", "list.txt"):
        path = page.root / name
        path.write_text("<svg xmlns='http://www.w3.org/2000/svg'/>", encoding="utf-8")
        headers = page.client.get(f"/{page.key}/file/{name}").headers
        if name == "list.txt":
            assert headers["content-type"].startswith("text/plain")
        else:
            assert headers["content-disposition"].startswith("attachment")
        path.unlink()


@pytest.mark.parametrize(
    "body",
    [b"", b"[]", b"null", b"{", b"\xff\xfe", b'{"job": 3}', b'{"job": []}', b"[" * 100_000,
     b'{"job": {"blank": ' + b'{"a":' * 400 + b"1" + b"}" * 400 + b"}}", b'{"job": {}, "shop": {}}',
     b'{"language": ["en"]}', b'{"file": {}}', b'{"serial": "x", "window": []}',
     b'{"serial": 1e999}',
     b'{"job": {"blank": {"diameter": 1e999}}, "shop": {"cutters": [[]]}}'],
)  # fmt: skip
@pytest.mark.parametrize(
    "name", ["plan", "move", "unpin", "advice", "read", "write", "copy", "weigh", "measure", "task"]
)
def test_nonsense_is_a_fault(page: Asker, name: str, body: bytes) -> None:
    """Whatever is sent, the answer is a fault in the common form and no failure of the program."""
    status, text = _status(page, f"/{page.key}/api/{name}", body=body)
    answer = json.loads(text)
    assert status in (404, 422), answer
    assert answer["faults"][0]["line"]
    assert "the program failed" not in text


def test_an_unknown_endpoint_is_no_file(page: Asker) -> None:
    """Names that are no endpoint, those of our own modules included."""
    for name in ("planned", "serve", "picture", "__init__", "opened_of"):
        assert page.ask(name)[0] == 404


def test_only_pictures_come_into_the_folder(page: Asker, monkeypatch: pytest.MonkeyPatch) -> None:
    """An upload needs the key, its own kind and a plain name of a picture, and is bounded.

    A name that is taken gets a number: nothing is written over.
    """
    raw = {"content-type": "application/octet-stream"}
    held = sorted(path.name for path in page.root.rglob("*"))
    for address, headers, status in (
        ("wrong-key/upload/a.png", raw, 403),
        (f"{page.key}/upload/a.png", {**raw, "origin": "http://evil.example"}, 403),
        (f"{page.key}/upload/a.png", {"content-type": "text/plain"}, 415),
        (f"{page.key}/upload/a.png", JSON, 415),
        (f"{page.key}/upload/a.toml", raw, 422),
        (f"{page.key}/upload/..%2Fa.png", raw, 404),
        (f"{page.key}/upload/%2Ftmp%2Fa.png", raw, 404),
        (f"{page.key}/upload/.a.png", raw, 422),
        (f"{page.key}/api/files", raw, 415),
    ):
        answer = page.client.post(f"/{address}", content=b"x", headers=headers)
        assert answer.status_code == status, address
    assert sorted(path.name for path in page.root.rglob("*")) == held
    names = [
        page.client.post(f"/{page.key}/upload/one.png", content=data, headers=raw).json()["file"]
        for data in (b"first", b"second")
    ]
    assert names == ["scans/one.png", "scans/one-2.png"]
    assert [(page.root / name).read_bytes() for name in names] == [b"first", b"second"]
    monkeypatch.setattr("templategen.page.guard.MOST_UPLOAD", 10)
    answer = page.client.post(f"/{page.key}/upload/two.png", content=b"x" * 11, headers=raw)
    assert answer.status_code == 413
    assert not (page.root / "scans" / "two.png").exists()
