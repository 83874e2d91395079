"""What strangers may try on the studio's two doors, tried on the real program over real sockets.

The doors: this computer's (loopback, the whole studio) and the house's (`--lan`, the easel alone, after pairing). Each row of the
tables is one attempt; `out/hostile-network.md` lists what was tried and what came of it.
The dangers are those of the web's own standards and guides: DNS rebinding and cross-site requests (W3C Fetch Metadata;
RFC 6454, The Web Origin Concept), request smuggling (RFC 9112, 11.2), path traversal (CWE-22), guessing and replay of one-time
codes (NIST SP 800-63B, 5.2.2).
"""

import json
import socket
import time

import pytest

from conftest import ROOT
from running import Running

CAST = ROOT / "demo/harbour-pilot.jpg"
SECRET = "not for strangers"
JSON = {"content-type": "application/json"}


class Door:
    """A door of the running studio."""

    def __init__(self, host, port):
        self.host, self.port = host, port

    def raw(self, request: bytes, patience=5.0):
        """What comes back for these very bytes: the status (0 if the line is cut) and everything sent."""
        with socket.create_connection((self.host, self.port), timeout=patience) as line:
            line.sendall(request)
            answer = b""
            try:
                while True:
                    part = line.recv(1 << 16)
                    if not part:
                        break
                    answer += part
            except (TimeoutError, ConnectionResetError):
                pass
        first = answer.split(b"\r\n", 1)[0].split()
        return (int(first[1]) if len(first) > 1 else 0), answer

    def ask(self, method, path, headers=None, body=b"", host=None):
        lines = [f"{method} {path} HTTP/1.1", f"host: {host or f'{self.host}:{self.port}'}", "connection: close"]
        lines += [f"{name}: {value}" for name, value in (headers or {}).items()]
        lines += [f"content-length: {len(body)}", "", ""]
        return self.raw("\r\n".join(lines).encode("latin-1") + body)


class Studio(Running):
    """The program with both doors open, on a folder of its own beside a file that is none of a stranger's business."""

    def __init__(self, program, folder):
        self.folder = folder / "Paintings"
        (folder / "secret.txt").write_text(SECRET)
        super().__init__(program, self.folder, "--lan=127.0.0.2", addresses=2)
        ports = [int(address.split(":")[2].split("/")[0]) for address in self.addresses]
        self.desk, self.house = Door("127.0.0.1", ports[0]), Door("127.0.0.2", ports[1])
        status, answer = self.desk.ask("GET", "/api/shelf")
        assert status == 200
        self.painting = json.loads(answer.split(b"\r\n\r\n", 1)[1])["paintings"][0]["id"]
        self.path = f"/api/paintings/{self.painting}"

    def state(self):
        return self.desk.ask("GET", self.path)[1].split(b"\r\n\r\n", 1)[1]

    def edit(self):
        revision = json.loads(self.state())["revision"]
        return json.dumps({"revision": revision, "edit": {"grid": {"do": "parts", "columns": 9, "rows": 9}}}).encode()

    def code(self):
        status, answer = self.desk.ask("POST", "/api/second-screens/code", JSON, json.dumps({"painting": self.painting}).encode())
        assert status == 200, answer
        return json.loads(answer.split(b"\r\n\r\n", 1)[1])["code"]

    def guess(self, code, headers=None, host=None):
        own = {"origin": f"http://127.0.0.2:{self.house.port}", **JSON}
        return self.house.ask("POST", "/api/pair", own | (headers or {}), json.dumps({"code": code}).encode(), host)

    def let_in(self):
        status, answer = self.guess(self.code())
        assert status == 200, answer
        cookie = next(line for line in answer.decode().split("\r\n") if line.lower().startswith("set-cookie: "))
        return {"cookie": cookie.split(": ", 1)[1].split(";")[0]}

    def files(self):
        return sorted(str(file.relative_to(self.folder.parent)) for file in self.folder.parent.rglob("*") if file.is_file())


@pytest.fixture
def studio(target, tmp_path):
    running = Studio(target / "release/mahlstick", tmp_path)
    try:
        yield running
    finally:
        running.stop()


@pytest.fixture(scope="module")
def table():
    """What was tried; written down at the end."""
    rows = []
    yield rows
    file = ROOT / "out/hostile-network.md"
    file.parent.mkdir(exist_ok=True)
    lines = ["| door | tried | answer |", "| --- | --- | --- |"] + [f"| {door} | {tried} | {came} |" for door, tried, came in rows]
    file.write_text("\n".join(lines) + "\n")


def refused(table, door, tried, status, answer, allowed=(400, 401, 403, 404, 405, 408, 411, 413, 414, 415, 422, 429, 431)):
    table.append((door, tried, status or "the line is cut"))
    assert status in (0, *allowed), f"{tried}: {status}"
    assert SECRET.encode() not in answer, tried
    assert b"root:" not in answer, tried
    assert b"access-control-allow" not in answer.lower(), tried


# Headers of requests that a page elsewhere, or a name pointed at this computer, can bring about.
STRANGERS = [
    ("a name pointed at this computer", {}, "paint.example"),
    ("the same with our port", {}, "paint.example:{port}"),
    ("another port of this computer", {}, "127.0.0.1:80"),
    ("no port", {}, "127.0.0.1"),
    ("an address that is ours to none", {}, "0.0.0.0:{port}"),
    ("our name as part of another", {}, "127.0.0.1:{port}.paint.example"),
    ("another site's origin", {"origin": "http://paint.example"}, None),
    ("an origin of no site (a sandboxed frame)", {"origin": "null"}, None),
    ("our address by https", {"origin": "https://127.0.0.1:{port}"}, None),
    ("another port's origin", {"origin": "http://127.0.0.1:1"}, None),
    ("a request that a browser marks as cross-site", {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}, None),
    ("a request from a sibling name", {"sec-fetch-site": "same-site", "sec-fetch-mode": "cors"}, None),
]


def test_pages_elsewhere_read_and_change_nothing(studio, table):
    before, files = studio.state(), studio.files()
    for tried, headers, host in STRANGERS:
        port = studio.desk.port
        headers = {name: value.format(port=port) for name, value in headers.items()}
        host = host and host.format(port=port)
        for method, path, body in [
            ("GET", studio.path, b""),
            ("GET", f"{studio.path}/picture.jpg", b""),
            ("GET", "/", b""),
            ("POST", f"{studio.path}/edits", studio.edit()),
            ("POST", "/api/paintings", b'{"title":"Strange","size":"12 x 16 in"}'),
            ("POST", f"{studio.path}/photo?revision=1", CAST.read_bytes()[:100]),
        ]:
            status, answer = studio.desk.ask(method, path, {**JSON, **headers}, body, host)
            refused(table, "desk", f"{method} {path.replace(studio.painting, 'ID').split('?')[0]}, {tried}", status, answer)
    assert (studio.state(), studio.files()) == (before, files)


def test_a_form_of_another_site_cannot_post(studio, table):
    """What a plain HTML form can send without asking first (WHATWG Fetch, simple requests) is not taken for JSON."""
    before = studio.state()
    for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""]:
        status, answer = studio.desk.ask("POST", f"{studio.path}/edits", {"content-type": kind}, studio.edit())
        refused(table, "desk", f"an edit sent as “{kind}”", status, answer)
    assert studio.state() == before


PATHS = [
    "/web/../secret.txt", "/web/../../secret.txt", "/web/%2e%2e/%2e%2e/secret.txt", "/web/..%2f..%2fsecret.txt",
    "/web/..%5c..%5csecret.txt", "/web/%252e%252e/secret.txt", "/web//etc/passwd", "/web/%2fetc%2fpasswd", "/web/.", "/web/%00",
    "/api/paintings/..%2f..%2fsecret.txt", "/api/paintings/..", "/api/paintings/%2e%2e%2fsecret", "/api/paintings/%00",
    "/api/paintings/" + "a" * 5000, "/api/paintings/%ff%fe", "/easel/..%2f..%2fsecret.txt", "//etc/passwd", "/../secret.txt",
    "/api/paintings/C:%5cWindows%5cwin.ini", "/api/paintings/%2fetc%2fpasswd/picture.jpg", "http://paint.example/secret.txt",
]


@pytest.mark.parametrize("door", ["desk", "house"])
def test_no_path_leads_out(studio, table, door):
    cookie = studio.let_in() if door == "house" else {}
    for path in PATHS:
        status, answer = getattr(studio, door).ask("GET", path, cookie)
        if path.startswith("/easel/"):
            # The page itself is the same for any painting; it holds nothing.
            table.append((door, path, status))
            assert SECRET.encode() not in answer
            continue
        refused(table, door, path[:60], status, answer, (303, 400, 401, 403, 404, 405, 414))


def test_names_from_the_network_are_never_paths(studio, table):
    files = studio.files()
    for name in ["..%2F..%2Fstolen.jpg", "%2Ftmp%2Fstolen.jpg", "C:%5Cstolen.jpg", "%00", "a" * 3000]:
        revision = json.loads(studio.state())["revision"]
        status, answer = studio.desk.ask("POST", f"{studio.path}/photo?revision={revision}", {"x-name": name}, CAST.read_bytes())
        table.append(("desk", f"a photo named {name[:40]}", status))
        assert status in (200, 400, 431), answer[:300]
    assert studio.files() == files


def test_requests_that_are_no_requests_are_refused_and_the_studio_lives(studio, table):
    host = f"host: 127.0.0.1:{studio.desk.port}\r\n".encode()
    edit = studio.edit()
    smuggled = b"POST " + f"{studio.path}/edits".encode() + b" HTTP/1.1\r\n" + host
    before = studio.state()
    for tried, request in [
        ("two lengths that differ", smuggled + b"content-length: 5\r\ncontent-length: 50\r\n\r\n" + edit),
        ("a length and chunks", smuggled + b"content-type: application/json\r\ncontent-length: 4\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\nGET / HTTP/1.1\r\n\r\n"),
        ("chunks of a size that is no number", smuggled + b"transfer-encoding: chunked\r\n\r\nzz\r\nabc\r\n0\r\n\r\n"),
        ("a length below nothing", smuggled + b"content-length: -1\r\n\r\n"),
        ("a length beyond all numbers", smuggled + b"content-length: 99999999999999999999999\r\n\r\n"),
        ("no host", b"GET / HTTP/1.0\r\n\r\n"),
        ("two hosts", b"GET / HTTP/1.1\r\n" + host + b"host: paint.example\r\n\r\n"),
        ("a header of a megabyte", b"GET / HTTP/1.1\r\n" + host + b"x: " + b"a" * (1 << 20) + b"\r\n\r\n"),
        ("a thousand headers", b"GET / HTTP/1.1\r\n" + host + b"".join(b"x%d: 1\r\n" % at for at in range(1000)) + b"\r\n"),
        ("no words at all", bytes(range(256)) * 20),
        ("the greeting of another protocol", b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n"),
        ("TRACE", b"TRACE / HTTP/1.1\r\n" + host + b"connection: close\r\n\r\n"),
        ("CONNECT", b"CONNECT paint.example:443 HTTP/1.1\r\n" + host + b"connection: close\r\n\r\n"),
    ]:
        status, answer = studio.desk.raw(request, patience=2)
        refused(table, "desk", tried, status, answer)
    assert studio.state() == before


def test_too_much_is_refused_before_it_is_taken_in(studio, table):
    before = studio.state()
    status, answer = studio.desk.ask("POST", f"{studio.path}/edits", JSON, b"[" * (1 << 20))
    refused(table, "desk", "an edit of a megabyte", status, answer)
    status, answer = studio.desk.ask("POST", f"{studio.path}/edits", JSON, b"[" * 60_000)
    refused(table, "desk", "an edit of brackets in brackets", status, answer)
    # A sender that never ends keeps no one else waiting.
    with socket.create_connection(("127.0.0.1", studio.desk.port)) as slow:
        slow.sendall(f"POST {studio.path}/edits HTTP/1.1\r\nhost: 127.0.0.1:{studio.desk.port}\r\ncontent-length: 100\r\n\r\n[".encode())
        begun = time.monotonic()
        assert studio.state() == before
        table.append(("desk", "a request that never ends, and another beside it", "the other is answered"))
        assert time.monotonic() - begun < 5


def test_the_house_sees_nothing_before_it_is_let_in(studio, table):
    before = studio.state()
    for method, path in [
        ("GET", "/"), ("GET", "/api/shelf"), ("GET", studio.path), ("GET", f"{studio.path}/easel.jpg"),
        ("GET", f"{studio.path}/events"), ("GET", f"{studio.path}/packet.pdf"), ("GET", f"/painting/{studio.painting}"),
        ("GET", "/openapi.json"), ("POST", f"{studio.path}/edits"), ("POST", "/api/second-screens/code"), ("GET", "/api/second-screens"),
    ]:
        for tried, cookie in [("without a cookie", {}), ("with a made-up cookie", {"cookie": "screen=" + "A" * 43})]:
            status, answer = studio.house.ask(method, path, {**JSON, **cookie}, studio.edit() if method == "POST" else b"")
            refused(table, "house", f"{method} {path.replace(studio.painting, 'ID')} {tried}", status, answer, (303, 401, 403, 404, 405))
    assert studio.state() == before


def test_a_screen_that_was_let_in_only_looks(studio, table):
    cookie, before = studio.let_in(), studio.state()
    assert studio.house.ask("GET", studio.path, cookie)[0] == 200
    for method, path, body in [
        ("POST", f"{studio.path}/edits", studio.edit()), ("POST", f"{studio.path}/undo", b'{"revision":1}'),
        ("POST", f"{studio.path}/photo?revision=1", CAST.read_bytes()), ("POST", "/api/paintings", b'{"title":"x","size":"12x16in"}'),
        ("GET", "/api/shelf", b""), ("GET", "/openapi.json", b""), ("POST", "/api/second-screens/code", b"{}"),
        ("DELETE", studio.path, b""), ("PUT", studio.path, b"{}"),
    ]:
        status, answer = studio.house.ask(method, path, {**JSON, **cookie}, body)
        refused(table, "house", f"{method} {path.replace(studio.painting, 'ID').split('?')[0]} by a screen that was let in", status, answer)
    for tried, headers, host in [
        ("a foreign host", {}, "paint.example"),
        ("a foreign origin", {"origin": "http://paint.example"}, None),
        ("a cross-site request", {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"}, None),
    ]:
        status, answer = studio.house.ask("GET", studio.path, {**cookie, **headers}, b"", host)
        refused(table, "house", f"{tried} with the cookie of a screen that was let in", status, answer)
    assert studio.state() == before


def test_codes_are_neither_guessed_nor_used_twice(studio, table):
    code = studio.code()
    assert studio.guess(code)[0] == 200
    refused(table, "house", "a code that was used already", *studio.guess(code))
    fresh = studio.code()
    refused(table, "house", "the right code from a foreign origin", *studio.guess(fresh, {"origin": "http://paint.example"}))
    refused(table, "house", "the right code under a foreign host", *studio.guess(fresh, host="paint.example"))
    for guess in ["", "00000000", fresh[:-1], fresh + fresh, "%00", "' OR 1=1", "A" * 100_000]:
        refused(table, "house", f"the guess “{guess[:20]}”", *studio.guess(guess))
    # After so many wrong guesses even the right one is not heard.
    statuses = [studio.guess(f"{at:08}")[0] for at in range(10)]
    refused(table, "house", "the right code after many wrong ones", *studio.guess(fresh))
    assert 429 in statuses


@pytest.mark.parametrize("door", ["desk", "house"])
def test_every_answer_keeps_browsers_narrow(studio, door):
    """Content Security Policy Level 3, and the headers that browsers heed beside it."""
    cookie = studio.let_in() if door == "house" else {}
    easel = f"/easel/{studio.painting}"
    for path in [easel, studio.path, "/nowhere", "/web/easel/easel.js"]:
        head = getattr(studio, door).ask("GET", path, cookie)[1].split(b"\r\n\r\n", 1)[0].lower().decode()
        for needed in ["content-security-policy: default-src 'none'", "x-content-type-options: nosniff", "x-frame-options: deny",
                       "referrer-policy: no-referrer", "cross-origin-resource-policy: same-origin"]:
            assert needed in head, (path, needed)
        assert "unsafe" not in head
