"""The page's server over a real socket: what it answers, what open pages are told, and how it ends."""

from __future__ import annotations

import http.client
import json
import signal
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest
from page_stand_in import ROOT, Asked, set_to

from router.page.addresses import AddressError, lan_ip, open_address
from router.page.qr_pictures import qr_lines

PROFILE = "profile: Van      # as measured\nunit: mm\n"
HEAVY = ("numpy", "shapely", "pint", "pydantic", "svgwrite", "router.planning", "router.search")


@pytest.fixture
def served(tmp_path):
    (tmp_path / "van").mkdir()
    (tmp_path / "van" / "profile.yaml").write_text(PROFILE)
    with Asked(tmp_path / "van") as served:
        yield served


@contextmanager
def listening(served):
    """What a page is told: a function that returns the next event and its data."""
    connection = http.client.HTTPConnection(served.name, served.port, timeout=10)
    connection.request("GET", f"/events?token={served.token}")
    answer = connection.getresponse()
    assert (answer.status, answer.headers["Content-Type"]) == (200, "text/event-stream; charset=utf-8")

    def told(wanted):
        while line := answer.readline():
            if line == f"event: {wanted}\n".encode():
                return json.loads(answer.readline().removeprefix(b"data: "))
        return None

    assert told("state") == {"revision": served.state()["revision"]}  # what is so now comes first
    assert told("plan")["revision"] <= served.state()["revision"]
    yield told
    connection.close()


def until(told, last):
    """What is told of plans, up to the last."""
    heard = [told("plan")]
    while heard[-1] != last:
        heard.append(told("plan"))
    return heard


def test_a_state_says_what_is_in_the_folder(served):
    state = served.state()
    assert {key: state[key] for key in ("revision", "can_undo", "can_redo", "outside")} == {
        "revision": 0, "can_undo": False, "can_redo": False, "outside": None,
    }  # fmt: skip
    assert state["folder"] == str(served.folder)
    assert state["files"]["profile"] == {"there": True, "name": "Van", "unit": "mm", "text": PROFILE}
    assert state["files"]["job"] == {"there": False, "name": None, "text": None}
    assert state["data"] == {"profile": {"profile": "Van", "unit": "mm"}, "job": None}


def test_an_edit_is_answered_with_the_state_and_told_to_every_page(served):
    with listening(served) as told, listening(served) as other:
        status, state = served.edit(0, set_to(["profile"], "Truck"))
        assert (status, state["revision"], state["can_undo"]) == (200, 1, True)
        assert told("state") == other("state") == {"revision": 1}
    assert (served.folder / "profile.yaml").read_text() == PROFILE.replace("Van", "Truck")
    assert served.json("POST", "/undo", {"revision": 1})[1]["files"]["profile"]["text"] == PROFILE
    assert served.json("POST", "/redo", {"revision": 2})[1]["data"]["profile"]["profile"] == "Truck"


def test_two_windows_end_in_agreement(served):
    served.edit(0, set_to(["profile"], "First"))
    status, answer = served.edit(0, set_to(["profile"], "Second"))
    assert (status, answer["revision"], answer["state"]["data"]["profile"]["profile"]) == (409, 1, "First")
    assert served.edit(answer["revision"], set_to(["profile"], "Second"))[0] == 200


def test_what_cannot_be_done_is_said_and_changes_nothing(served):
    status, answer = served.edit(0, set_to(["keep-outs", 3, "name"], "x"))
    assert status == 422 and answer["faults"][0]["what"]
    assert served.json("POST", "/edit", {"revision": "0", "edits": [set_to(["profile"], "x")]})[0] == 422
    assert served.json("POST", "/edit", {})[0] == 422
    assert served.state()["revision"] == 0


def test_what_another_program_does_is_told_asked_and_answered(served):
    with listening(served) as told:
        (served.folder / "profile.yaml").write_text("profile: Theirs\n")
        assert told("outside") == {"file": "profile"}
        with listening(served) as late:
            assert late("outside") == {"file": "profile"}
        assert served.state()["outside"] == {"file": "profile", "theirs": "profile: Theirs\n", "what": ""}
        assert served.edit(0, set_to(["profile"], "Mine"))[0] == 409
        status, state = served.json("POST", "/outside", {"file": "profile", "keep": "theirs"})
        assert (status, state["outside"], state["data"]["profile"]) == (200, None, {"profile": "Theirs"})
        assert told("state") == {"revision": 1}
    assert served.json("POST", "/outside", {"file": "profile", "keep": "both"})[0] == 422


def test_a_plan_is_made_after_every_change_and_told(served):
    assert served.json("GET", "/plan")[1] == {
        "revision": 0, "stage": "none", "says": "", "plan": None, "no_way": None,
    }  # fmt: skip
    assert served.ask("GET", "/map.svg")[0] == 404
    with listening(served) as told:
        served.edit(0, set_to(["job"], "Lamp", "job"))
        stages = [
            each["stage"] for each in until(told, {"revision": 1, "stage": "proof"}) if each["revision"]
        ]
        assert stages == ["answer", "proof"]
        assert served.json("GET", "/plan")[1]["plan"] == {"job": "job: Lamp\n"}
        served.edit(1, set_to(["job"], "Winch", "job"))
        assert {"revision": 2, "stage": "answer"} in until(told, {"revision": 2, "stage": "proof"})
    assert served.json("GET", "/plan")[1]["plan"] == {"job": "job: Winch\n"}


def test_the_files_of_a_plan_hold_no_script_and_may_run_none(served):
    served.edit(0, set_to(["job"], "Lamp", "job"))
    served.until(lambda: served.json("GET", "/plan")[1]["stage"] == "proof")
    status, headers, content = served.ask("GET", f"/sheet.html?token={served.token}&paper=a3", own=False)
    assert (status, content) == (200, b"<p>sheet")
    assert headers["Content-Type"] == "text/html; charset=utf-8"
    assert "script" not in headers["Content-Security-Policy"]
    assert headers["Content-Security-Policy"].startswith("default-src 'none'; ")
    assert served.ask("GET", "/map.svg")[1]["Content-Type"] == "image/svg+xml"
    assert served.ask("GET", "/map.svg?paper=b5")[0] == 422


def test_what_people_fit_measure_and_start_with(served):
    assert served.json("GET", "/fit") == (200, [{"key": "lamp"}])
    status, state = served.json("POST", "/fit", {"revision": 0, "key": "lamp"})
    assert (status, state["files"]["job"]["text"]) == (200, "job: lamp\n")
    assert served.json("POST", "/fit", {"revision": 1}) == (
        422,
        {"faults": [{"what": "no key"}], "what": "no key"},
    )
    assert served.json("POST", "/fit", {"revision": 0, "key": "lamp"})[0] == 409
    assert served.json("GET", "/types") == (200, [{"key": "van"}])
    assert served.json("GET", "/library") == (200, [{"key": "wren", "name": "Wren"}])
    status, state = served.json(
        "POST", "/start", {"revision": 1, "type": "van", "name": "Mine", "answers": {}}
    )
    assert (status, state["data"]["profile"]) == (200, {"profile": "Mine"})
    status, answer = served.json("POST", "/start", {"revision": 2})
    assert (status, answer["faults"]) == (422, [{"name": "type", "what": "there is no such type"}])
    assert served.json("POST", "/tape", {"text": "1650", "unit": "mm"}) == (
        200,
        {"mm": 1650, "says": "1650 mm"},
    )
    assert served.json("POST", "/tape", {"text": "x", "unit": "mm"}) == (422, {"what": "is no length"})
    assert served.ask("GET", "/measuring-sheet.html?paper=letter&unit=in")[2] == b"<p>letter in"
    assert served.ask("GET", "/measuring-sheet.html?paper=a0")[0] == 422
    way = {"number": 7, "terminal": "lamp", "space": "boot", "at": [1, 2]}
    assert served.json("POST", "/way", way) == (200, {"number": 7, "routes": [], "no_way": None})


def test_a_worker_that_fails_is_told_of_and_the_page_goes_on(served):
    status, state = served.edit(0, {"file": "profile", "op": "text", "value": "fail: now\n"})
    assert (status, state["data"]) == (200, {"profile": None, "job": None})
    assert state["faults"][0]["what"].startswith("this is a fault of the program")
    assert served.json("POST", "/undo", {"revision": 1})[1]["data"]["profile"]["profile"] == "Van"


def test_a_folder_with_a_broken_profile_opens_all_the_same(tmp_path):
    (tmp_path / "profile.yaml").write_bytes(b"profile: [\xff \xed\xa0\x80")
    with Asked(tmp_path) as served:
        state = served.state()
        assert (state["data"]["profile"], state["files"]["profile"]["there"]) == (None, True)
        edit = {"file": "profile", "op": "text", "value": PROFILE}
        assert served.edit(0, edit)[1]["data"]["profile"]["profile"] == "Van"


def test_a_second_server_on_the_folder_is_refused(served):
    with Asked(served.folder) as second:
        assert second.url == ""
        assert second.process.wait(10) != 0
    assert served.state()["revision"] == 0


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_stop_ends_it_at_once_though_pages_are_open(served, number):
    with listening(served) as told, listening(served):
        began = time.monotonic()
        served.process.send_signal(number)
        assert told("bye") == {}
        assert served.process.wait(10) == 0
        assert time.monotonic() - began < 2.0
    assert served.process.stderr.read() == ""
    assert json.loads((served.folder / "sketch.journal").read_text().splitlines()[-1]) == {"closed": True}


def test_a_stop_in_the_middle_of_a_half_sent_body_ends_it_too(served):
    import socket

    with socket.create_connection((served.name, served.port)) as connection:
        connection.sendall(
            f"POST /undo HTTP/1.1\r\nHost: {served.host}\r\nX-Sketch-Token: {served.token}\r\n"
            "Content-Type: application/json\r\nContent-Length: 20\r\n\r\n{".encode()
        )
        time.sleep(0.2)
        began = time.monotonic()
        served.process.send_signal(signal.SIGINT)
        assert served.process.wait(10) == 0
        assert time.monotonic() - began < 3.0


def test_more_pages_than_there_can_be_are_told_so(served):
    connections = [http.client.HTTPConnection(served.name, served.port, timeout=10) for _ in range(30)]
    statuses = []
    for each in connections:
        each.request("GET", f"/events?token={served.token}")
        statuses.append(each.getresponse().status)
    for each in connections:
        each.close()
    assert (statuses.count(200), statuses.count(503)) == (24, 6)
    served.until(lambda: served.ask("GET", "/state")[0] == 200)


def test_nothing_heavy_is_read_in_before_the_page_is_served():
    words = "import sys, router.page.serving, router.page.server, router.page.session; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, cwd=ROOT, check=True)
    read = done.stdout.split()
    assert "router.page.server" in read
    assert [name for name in HEAVY if name in read] == []


# addresses


def test_each_address_has_a_token_of_its_own():
    first, second = open_address("127.0.0.1", 0), open_address("127.0.0.1", 0)
    assert first.host != second.host and first.token != second.token
    assert min(len(first.token), len(second.token)) >= 32  # 24 random bytes
    assert first.url == f"http://{first.host}/?token={first.token}"
    with pytest.raises(AddressError, match="Address already in use; take another --port, or 0 for any"):
        open_address("127.0.0.1", first.socket.getsockname()[1])
    first.socket.close()
    second.socket.close()


def ip_for_phones():
    """The address, or the words where there is none."""
    try:
        return lan_ip()
    except AddressError as error:
        return str(error)


def test_the_address_for_a_phone_is_one_that_this_machine_has_or_refused():
    ip = ip_for_phones()
    assert not ip.startswith(("127.", "0.0.0.0"))
    if ip != "this machine is in no network that a phone could be in; leave out --lan":
        open_address(ip, 0).socket.close()  # the system refuses any that is not its own


def test_a_picture_for_a_phone_is_a_square_of_characters_with_a_border():
    lines = qr_lines("http://192.168.0.7:8000/?token=" + "x" * 32).rstrip("\n").split("\n")
    plain = [line.replace("\x1b[0m", "") for line in lines]
    assert len({len(line) for line in plain}) == 1
    assert len(plain) >= 16 and len(plain[0]) >= 33  # version 4 and larger, two rows of it a line
