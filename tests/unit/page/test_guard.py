"""Who may ask what, each tried over a real socket: everything that is not the page itself is refused."""

from __future__ import annotations

import json
import socket
from pathlib import Path

import pytest
from page_stand_in import Asked

from router.page.guard import DEEPEST_JSON, MOST_BODY, is_deep


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    with Asked(tmp_path_factory.mktemp("folder") / "van") as served:
        yield served


def sent(served, text, wait=True):
    """The first line of the answer to bytes that were written by hand, and all of it."""
    with socket.create_connection((served.name, served.port), timeout=10) as connection:
        connection.sendall(text.encode("latin-1") if isinstance(text, str) else text)
        answer = b""
        while wait and (part := connection.recv(65536)):
            answer += part
            if b"\r\n\r\n" in answer and b"connection: close" not in answer.lower():
                break
    return answer.split(b"\r\n")[0].decode(), answer


def words_of(content):
    return json.loads(content)["what"]


def head(served, first="GET /state HTTP/1.1", **headers):
    """A request by hand with the page's headers, each of which may be another or left out."""
    given = {"Host": served.host, "X-Sketch-Token": served.token, "Connection": "close"}
    given |= {name.replace("_", "-"): value for name, value in headers.items()}
    return "\r\n".join([first, *(f"{k}: {v}" for k, v in given.items() if v is not None), "", ""])


def test_the_page_itself_is_let_in(served):
    assert served.ask("GET", "/state")[0] == 200
    same = {"Origin": f"http://{served.host}", "Sec-Fetch-Site": "same-origin"}
    assert served.ask("POST", "/undo", {"revision": 0}, same)[0] == 200
    opened = served.ask("GET", f"/?token={served.token}", headers={"Sec-Fetch-Site": "none"}, own=False)
    assert opened[0] == 200 and f'content="{served.token}"'.encode() in opened[2]


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost", "127.0.0.1", "127.0.0.1:1", "[::1]", "", "{}."]
)
def test_another_host_is_refused(served, host):
    """A name that somebody else points to this address is another host: rebinding."""
    line, _ = sent(served, head(served, Host=host.format(served.host)))
    assert line == "HTTP/1.1 421 Misdirected Request"


def test_a_host_that_is_missing_or_comes_twice_is_refused(served):
    assert sent(served, head(served, Host=None))[0].startswith("HTTP/1.1 400")
    twice = head(served).replace("\r\nX-", f"\r\nHost: {served.host}\r\nX-", 1)
    assert sent(served, twice)[0].startswith("HTTP/1.1 400")


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "https://{}", "http://localhost:{}", "http://{}.evil.example", ""],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_origin_is_refused(served, origin, method):
    body = {"revision": 0} if method == "POST" else None
    path = "/undo" if method == "POST" else "/state"
    status, _, content = served.ask(method, path, body, {"Origin": origin.format(served.host)})
    assert (status, words_of(content)) == (403, "another page may not ask here")


@pytest.mark.parametrize("site", ["cross-site", "same-site", "none", "anything", ""])
def test_what_a_browser_says_comes_from_elsewhere_is_refused(served, site):
    assert served.ask("POST", "/undo", {"revision": 0}, {"Sec-Fetch-Site": site})[0] == 403
    assert served.ask("GET", "/state", headers={"Sec-Fetch-Site": site})[0] == 403


def test_a_page_elsewhere_cannot_show_or_open_this_one(served):
    path = f"/?token={served.token}"
    assert served.ask("GET", path, headers={"Sec-Fetch-Site": "cross-site"}, own=False)[0] == 403
    script = served.ask("GET", "/static/main.js", headers={"Sec-Fetch-Site": "cross-site"}, own=False)
    assert script[0] == 403
    policy = served.ask("GET", path, own=False)[1]["Content-Security-Policy"]
    assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize("token", ["", "x", "{}x", "ä"])
@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/state"),
        ("GET", "/plan"),
        ("POST", "/edit"),
        ("POST", "/outside"),
        ("GET", "/types"),
        ("POST", "/fit"),
    ],
)
def test_a_wrong_token_is_refused(served, token, method, path):
    given = token.format(served.token).encode("utf-8").decode("latin-1")
    body = {"revision": 0} if method == "POST" else None
    status, _, content = served.ask(method, path, body, {"X-Sketch-Token": given})
    assert status == 403
    assert words_of(content) == "the token is missing or wrong; open the address that the server printed"


def test_a_missing_token_is_refused_and_one_in_the_address_is_for_what_a_browser_opens_by_itself(served):
    for path in ("/state", "/plan", "/", "/events", "/map.svg", "/sheet.html"):
        assert served.ask("GET", path, own=False)[0] == 403, path
    assert served.ask("GET", f"/state?token={served.token}", own=False)[0] == 403
    post = {"Content-Type": "application/json"}
    assert served.ask("POST", f"/undo?token={served.token}", b"{}", post, own=False)[0] == 403
    assert served.ask("GET", f"/measuring-sheet.html?token={served.token}", own=False)[0] == 200


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "", "application/jsonp"])
def test_anything_but_json_is_refused(served, kind):
    assert served.ask("POST", "/undo", b'{"revision":0}', {"Content-Type": kind})[0] == 415


@pytest.mark.parametrize(
    "body",
    [b"", b"revision=0", b"[1]", b'"x"', b"{", b'{"revision":NaN}', b"\xff", b'{"a":' + b"9" * 5000 + b"}"],
)
def test_a_body_that_is_no_json_object_is_refused(served, body):
    status, _, content = served.ask("POST", "/undo", body)
    assert status == 400 and words_of(content).startswith("the body is no JSON")


def test_a_body_that_is_too_large_is_refused_before_it_is_read(served):
    line, answer = sent(served, head(served, "POST /edit HTTP/1.1", Content_Type="application/json",
                                     Content_Length=str(MOST_BODY + 1)))  # fmt: skip
    assert line.startswith("HTTP/1.1 413")
    assert words_of(answer.split(b"\r\n\r\n")[1]) == f"a body has at most {MOST_BODY} bytes"


def test_a_body_as_large_as_may_be_is_read(served):
    edit = {"file": "profile", "op": "text", "value": "#" * 2_000_000}
    status, answer = served.json("POST", "/edit", {"revision": 0, "group": None, "edits": [edit]})
    assert status == 200
    assert len(answer["files"]["profile"]["text"]) == 2_000_000
    assert served.json("POST", "/undo", {"revision": 1})[1]["files"]["profile"]["there"] is False
    body = b'{"revision":2,"edits":[]' + b" " * (MOST_BODY - 25) + b"}"
    assert served.ask("POST", "/edit", body)[0] == 422


@pytest.mark.parametrize("length", ["-1", "1.5", "0x10", "99999999999999999999", "ten"])
def test_a_length_that_is_none_is_refused(served, length):
    kind = "application/json"
    line, _ = sent(served, head(served, "POST /undo HTTP/1.1", Content_Type=kind, Content_Length=length))
    assert line.split()[1] in ("400", "413")


def test_a_body_that_does_not_say_how_long_it_is_is_refused(served):
    kind = "application/json"
    no_length = head(served, "POST /undo HTTP/1.1", Content_Type=kind)
    assert sent(served, no_length)[0].startswith("HTTP/1.1 411")
    chunked = head(served, "POST /undo HTTP/1.1", Content_Type=kind, Transfer_Encoding="chunked")
    assert sent(served, chunked + "2\r\n{}\r\n0\r\n\r\n")[0].startswith("HTTP/1.1 411")
    both = head(
        served, "POST /undo HTTP/1.1", Content_Type=kind, Transfer_Encoding="chunked", Content_Length="2"
    )
    assert sent(served, both + "2\r\n{}\r\n0\r\n\r\n")[0].split()[1] in ("400", "411")


def test_what_comes_after_a_body_is_no_second_request_that_slips_in(served):
    inner = "POST /undo HTTP/1.1\r\nHost: evil.example\r\nContent-Length: 0\r\n\r\n"
    given = head(
        served, "POST /undo HTTP/1.1", Content_Type="application/json", Content_Length="14", Connection=None
    )
    _, answer = sent(served, given + '{"revision":0}' + inner)
    assert b"421" in answer or answer.count(b"HTTP/1.1") == 1


def test_a_get_with_a_body_is_refused(served):
    assert served.ask("GET", "/state", b"{}")[0] == 400


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "HEAD", "TRACE", "PROPFIND"])
def test_other_methods_are_refused(served, method):
    status, headers, _ = served.ask(method, "/state")
    assert (status, headers["Allow"]) == (405, "GET, POST")


def test_a_path_is_answered_by_its_own_method_alone(served):
    assert served.ask("GET", "/edit")[0] == 405
    assert served.ask("POST", "/state", {"revision": 0})[0] == 405


@pytest.mark.parametrize(
    "path",
    [
        "/static/../server.py", "/static/..%2fserver.py", "/static/%2e%2e/server.py", "/static//etc/passwd",
        "/static/..\\server.py", "/static/./main.js", "/static/", "/static/main.js%00.css", "/../job.yaml",
        "/static/index.html/../../guard.py", "/profile.yaml", "/sketch.journal", "//evil.example/",
        "/static/.hidden.js", "/%2e%2e/", "/nothing",
    ],
)  # fmt: skip
def test_nothing_but_the_page_is_found(served, path):
    line, answer = sent(served, head(served, f"GET {path} HTTP/1.1"))
    assert line.startswith("HTTP/1.1 404")
    assert b"sketch-token" not in answer and b"import" not in answer


@pytest.mark.parametrize("path", ["/%73tate", "/state%20", "/stat%65"])
def test_an_address_is_written_in_one_way_only(served, path):
    """So that what is let in by its address is what is answered."""
    assert served.ask("GET", path)[0] == 404


def test_what_is_nested_deep_is_refused(served):
    for many in (DEEPEST_JSON + 1, 100_000):
        status, _, content = served.ask("POST", "/undo", b'{"a":' + b"[" * many + b"]" * many + b"}")
        assert (status, words_of(content)) == (400, f"the body is nested deeper than {DEEPEST_JSON}")
    assert served.ask("GET", "/state")[0] == 200


def test_brackets_in_texts_do_not_count_as_depth():
    assert not is_deep(json.dumps({"text": "[{" * 1000 + '"\\' * 1000}).encode())
    assert is_deep(b'{"a":"\\\\",' + b'"b":[' * 1 + b"[" * DEEPEST_JSON)


def test_headers_that_are_too_many_are_refused(served):
    line, _ = sent(served, head(served, X_Long="x" * 100_000))
    assert line.startswith("HTTP/1.1 431")
    line, _ = sent(served, head(served, f"GET /state?{'x' * 40_000} HTTP/1.1"))
    assert line.startswith("HTTP/1.1 431")
    assert served.ask("GET", "/state")[0] == 200


def test_a_socket_of_another_protocol_is_not_opened(served):
    asked = head(served, "GET /events HTTP/1.1", Upgrade="websocket", Connection="Upgrade",
                 Sec_WebSocket_Key="dGhlIHNhbXBsZSBub25jZQ==", Sec_WebSocket_Version="13")  # fmt: skip
    assert not sent(served, asked)[0].startswith("HTTP/1.1 101")


def test_every_answer_tells_the_browser_what_to_keep_to(served):
    asked = [("/", False), ("/state", True), ("/static/main.js", False), ("/nothing", True)]
    assert len(asked) == 4
    for path, own in asked:
        query = f"?token={served.token}" if path == "/" else ""
        _, headers, _ = served.ask("GET", path + query, own=own)
        policy = dict(
            part.strip().partition(" ")[::2] for part in headers["Content-Security-Policy"].split(";")
        )
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
        assert "unsafe" not in headers["Content-Security-Policy"]
        assert "http" not in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers["Cache-Control"] == "no-store"
        assert [name for name in headers if name.lower().startswith("access-control")] == []
        assert headers["Server"] is None


def test_a_refusal_tells_nothing_to_other_origins_either(served):
    _, headers, _ = served.ask("OPTIONS", "/edit", headers={"Origin": "http://evil.example"})
    assert [name for name in headers if name.lower().startswith("access-control")] == []


def test_only_this_machine_is_listened_to(served):
    """By the system's own table of sockets: the port is bound to 127.0.0.1 and to nothing else."""
    port = f"{served.port:04X}"
    tables = [Path(f"/proc/net/{name}").read_text().splitlines()[1:] for name in ("tcp", "tcp6")]
    rows = [line.split() for table in tables for line in table]
    listening = [row[1] for row in rows if row[3] == "0A" and row[1].endswith(f":{port}")]
    assert listening == [f"0100007F:{port}"]


def test_a_body_that_never_comes_holds_nobody_up(served):
    waiting = head(served, "POST /undo HTTP/1.1", Content_Type="application/json", Content_Length="14")
    sockets = [socket.create_connection((served.name, served.port), timeout=10) for _ in range(20)]
    for each in sockets:
        each.sendall(waiting.encode())
    assert served.ask("GET", "/state")[0] == 200
    for each in sockets:
        each.close()
    assert served.ask("GET", "/state")[0] == 200
