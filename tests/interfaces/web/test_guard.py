"""Who is answered, from where, with how much: each refusal by itself, and that the own page gets through."""

import asyncio
import json
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.guard import BODY_LIMITS
from bikewright.interfaces.web.keys import MOST_WRONG, Keys
from bikewright.interfaces.web.lan import Lan
from bikewright.interfaces.web.server import hosts
from bikewright.interfaces.web.socket import LARGEST_MESSAGE
from bikewright.interfaces.web.twins import LONG_TWINS, TWINS
from tests.interfaces.web.rooms import ELSEWHERE, HOST, ORIGIN, TOKEN, Line, copy_of, served, window

LAN = Lan("192.168.7.2:8722")
OWNER = {"x-bikewright-token": TOKEN, **ORIGIN}


@pytest.fixture
def folder(tmp_path):
    return copy_of("wherry", tmp_path / "bike")


@pytest.fixture
def asked(folder):
    with served(folder) as asked:
        yield asked


@pytest.mark.parametrize(
    "path", ["/", "/answer.json", "/none", "/page/main.js", "/export.html", "/card.pdf", "/coverage.json"]
)
def test_every_answer_tells_the_browser_what_it_may_do(asked, path):
    head = asked.get(path).headers
    policy = head["content-security-policy"]
    assert policy.startswith(("default-src 'self';", "default-src 'none';"))
    assert head["x-content-type-options"] == "nosniff"
    assert head["referrer-policy"] == "no-referrer"
    assert head["x-frame-options"] == "DENY"
    assert "set-cookie" not in head
    assert "access-control-allow-origin" not in head


def test_the_own_page_may_run_nothing_that_stands_in_it(asked):
    policy = asked.get("/").headers["content-security-policy"]
    assert "unsafe" not in policy
    assert "http" not in policy


@pytest.mark.fault
@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:8723", "localhost.evil.example:8722", "",
                                  "127.0.0.1:8722, evil.example", "192.168.7.2:8722"])  # fmt: skip
def test_a_foreign_host_is_refused(asked, host):
    for path in ("/", "/answer.json"):
        answer = asked.get(path, headers={"host": host})
        assert answer.status_code == 403
        assert "Wherry" not in answer.text
    with (
        pytest.raises(WebSocketDisconnect),
        asked.websocket_connect(f"ws://{HOST}/socket", headers={"host": host, "origin": f"http://{host}"}),
    ):
        pass


def test_both_names_of_this_machine_are_answered(folder):
    with served(folder, hosts=hosts(8722, None)) as asked:
        assert asked.get("/words.json", headers={"host": "localhost:8722"}).status_code == 200
        assert asked.get("/words.json", headers={"host": "127.0.0.1:8722"}).status_code == 200


@pytest.mark.fault
@pytest.mark.parametrize("origin", [None, "http://evil.example", "https://127.0.0.1:8722", "http://127.0.0.1:8723",
                                    "null", "http://localhost:8722", "file://"])  # fmt: skip
def test_a_socket_of_another_page_is_refused_though_it_has_the_token(asked, origin):
    headers = {} if origin is None else {"origin": origin}
    with (
        pytest.raises(WebSocketDisconnect) as refused,
        asked.websocket_connect(f"ws://{HOST}/socket", headers=headers),
    ):
        pass
    assert refused.value.code == 1008
    assert asked.bench.windows == {}


@pytest.mark.fault
@pytest.mark.parametrize(
    "first",
    [
        {"hello": {"token": "wrong"}},
        {"hello": {"token": ""}},
        {"hello": {}},
        {"hello": {"token": TOKEN.upper()}},
        {"hello": {"token": [TOKEN]}},
        {"show": {"n": 1}},
        {"hello": "x"},
        {"hello": {"token": "\ud800"}},
        {"hello": {"token": TOKEN, "window": "\ud800"}},
        [],
        "x",
    ],
    ids=str,
)
def test_a_socket_without_the_token_hears_one_sentence_and_is_closed(asked, first):
    with asked.websocket_connect(f"ws://{HOST}/socket", headers=ORIGIN) as session:
        session.send_text(json.dumps(first))
        assert "trouble" in json.loads(session.receive_text())
        with pytest.raises(WebSocketDisconnect) as closed:
            session.receive_text()
    assert closed.value.code == 1008
    assert asked.bench.windows == {}


@pytest.mark.fault
@pytest.mark.parametrize(
    "text",
    ["", "{", "[]", "3", "null", "\0", "{}", '{"a":{},"b":{}}', '{"nothing":{}}', '{"show":3}', '{"show":{"n":"x"}}',
     '{"show":{"n":1,"view":3}}', '{"show":{"n":1,"view":{"state":"flying"}}}', '{"show":{"view":{"curves":"x"}}}',
     '{"show":{"view":{"sizes":1}}}', '{"try":{"changes":"x"}}', '{"try":{"changes":[3]}}',
     '{"make":{"changes":["a=1"]}}',
     '{"try":{"n":NaN}}', '{"hello":{}}', '{"try":{"n":1,"changes":[1e999]}}', "[" * 20000, '{"undo":{"id":3}}',
     '{"show":{"n":1,"view":{"build":"nobody"}}}', '{"show":{"n":1,"view":{"size":"nobody"}}}',
     '{"show":{"n":1,"view":{"curves":["nothing"]}}}', '{"open":{"id":"o","version":"../../bike"}}',
     '{"\\ud800":{}}', '{"make":{"id":"\\ud800","changes":["stem_spacers_mm=5"]}}',
     '{"keep":{"id":"k","name":"a","note":"\\ud800"}}'],
    ids=lambda text: text[:40] or "empty",
)  # fmt: skip
def test_a_message_that_cannot_be_meant_is_a_sentence_and_the_line_stays(asked, text):
    with window(asked) as line:
        line.session.send_text(text)
        assert line.wait_for("trouble")["text"]
        line.say(show={"n": 7, "view": {"build": "", "size": "", "curves": []}})
        assert line.wait_for("screen", n=7)["draft"]["position"] == 0


@pytest.mark.fault
def test_a_message_that_is_too_large_ends_the_line(asked):
    with window(asked) as line:
        line.session.send_text(json.dumps({"try": {"n": 1, "changes": ["x" * LARGEST_MESSAGE]}}))
        with pytest.raises(WebSocketDisconnect) as closed:
            while True:
                line.hear()
    assert closed.value.code == 1009


@pytest.mark.fault
def test_a_message_is_measured_in_bytes(asked):
    with window(asked) as line:
        line.session.send_text(json.dumps({"try": {"n": 1, "changes": ["ü" * 130_000]}}, ensure_ascii=False))
        with pytest.raises(WebSocketDisconnect) as closed:
            while True:
                line.hear()
    assert closed.value.code == 1009


@pytest.mark.fault
def test_bytes_instead_of_text_end_the_line(asked):
    with window(asked) as line:
        line.session.send_bytes(b"\x00\x01")
        with pytest.raises(WebSocketDisconnect) as closed:
            while True:
                line.hear()
    assert closed.value.code == 1003


@pytest.mark.fault
@pytest.mark.parametrize("path", sorted(BODY_LIMITS))
def test_a_body_is_counted_as_it_comes_whatever_its_header_says(asked, path):
    def pieces():
        for _ in range(BODY_LIMITS[path] // 500 + 1):
            yield b"x" * 500

    assert asked.post(path, content=pieces(), headers=OWNER).status_code == 413
    assert asked.post(path, content=b"x" * (BODY_LIMITS[path] + 1), headers=OWNER).status_code == 413


@pytest.mark.fault
def test_a_body_that_does_not_come_is_not_waited_for(asked, monkeypatch):
    monkeypatch.setattr("bikewright.interfaces.web.guard.BODY_WITHIN_S", 0.1)

    async def post():
        sent = []
        scope = {"type": "http", "method": "POST", "path": "/join", "client": ELSEWHERE,
                 "headers": [(b"host", HOST.encode())]}  # fmt: skip
        await asked.guard(scope, asyncio.Event().wait, _into(sent))
        return sent

    sent = asked.portal.start_task_soon(post).result(timeout=20)
    assert sent[0]["status"] == 408


@pytest.mark.fault
def test_an_invitation_whose_message_was_cut_off_stays_good(folder):
    with served(folder, lan=LAN) as asked:
        keys = asked.guard.app.state.keys
        token = keys.invite()
        said = [{"type": "http.request", "body": json.dumps({"token": token}).encode(), "more_body": True},
                {"type": "http.disconnect"}]  # fmt: skip

        async def post():
            async def receive():
                return said.pop(0)

            sent = []
            scope = {"type": "http", "method": "POST", "path": "/join", "client": ELSEWHERE,
                     "headers": [(b"host", HOST.encode())]}  # fmt: skip
            await asked.guard(scope, receive, _into(sent))
            return sent

        assert asked.portal.call(post) == []
        assert keys.join(token) is not None


def _into(sent):
    async def send(message):
        sent.append(message)

    return send


@pytest.mark.fault
@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_another_page_puts_into_itself_is_not_worked_out(asked, site):
    inside = {"sec-fetch-site": site, "sec-fetch-mode": "no-cors", "sec-fetch-dest": "image"}
    for path in ("/answer.json", "/coverage.json", "/card.pdf", "/page/main.js", "/"):
        assert asked.get(path, headers=inside).status_code == 403
    framed = {"sec-fetch-site": site, "sec-fetch-mode": "navigate", "sec-fetch-dest": "iframe"}
    assert asked.get("/", headers=framed).status_code == 403


def test_a_link_from_another_page_may_lead_here(asked):
    followed = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
    own = {"sec-fetch-site": "same-origin", "sec-fetch-mode": "cors", "sec-fetch-dest": "empty"}
    typed = {"sec-fetch-site": "none", "sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
    for head in (followed, own, typed):
        assert asked.get("/words.json", headers=head).status_code == 200


@pytest.mark.fault
@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_else_can_be_asked_for(asked, method):
    for path in ("/", *TWINS, *LONG_TWINS, "/card.pdf", "/tunes.pdf", "/page/main.js", "/socket"):
        assert asked.request(method, path, headers=OWNER).status_code == 405


@pytest.mark.fault
@pytest.mark.parametrize("path", ["/lan/invite", "/lan/revoke"])
def test_a_change_over_http_needs_the_token_and_the_own_origin(folder, path):
    with served(folder, lan=LAN) as asked:
        assert asked.post(path).status_code == 403
        assert asked.post(path, headers={**OWNER, "x-bikewright-token": "wrong"}).status_code == 403
        assert asked.post(path, headers={**OWNER, "origin": "http://evil.example"}).status_code == 403
        assert asked.post(path, headers=OWNER).status_code == 200


def test_without_lan_there_is_no_invitation(asked):
    assert asked.post("/lan/invite", headers=OWNER).status_code == 409


def test_an_invitation_is_good_once_and_its_key_can_be_taken_back(folder):
    lan_hosts = frozenset({HOST, LAN.host})
    with served(folder, lan=LAN, hosts=lan_hosts) as owner:
        invited = owner.post("/lan/invite", headers=OWNER).json()
        assert invited["address"].startswith(f"http://{LAN.host}/#join=")
        assert invited["svg"].startswith("<svg")
        assert "trust" in invited["warning"]
        token = invited["address"].partition("#join=")[2]
        body = json.dumps({"token": token})
        key = owner.post("/join", content=body).json()["key"]
        assert owner.post("/join", content=body).status_code == 403
        keys = owner.guard.app.state.keys
        assert keys.may_change(key, here=False)
        assert not keys.may_change(token, here=False)
        assert not keys.may_change(TOKEN, here=False)
        assert owner.post("/lan/revoke", headers=OWNER).json() == {"revoked": 1}
        assert not keys.may_change(key, here=False)


@pytest.mark.fault
def test_another_machine_reads_and_changes_nothing_without_a_key(folder):
    with served(folder, client=ELSEWHERE, lan=LAN) as asked:
        for path in (*TWINS, *LONG_TWINS, "/export.html", "/card.pdf", "/tunes.pdf"):
            assert asked.get(path).status_code == 403
            assert asked.get(path, headers={"x-bikewright-token": TOKEN}).status_code == 403
        assert asked.post("/lan/invite", headers=OWNER).status_code == 403
        with asked.websocket_connect(f"ws://{HOST}/socket", headers=ORIGIN) as session:
            session.send_text(json.dumps({"hello": {"token": TOKEN}}))
            assert "trouble" in json.loads(session.receive_text())
        keys = asked.guard.app.state.keys
        key = asked.post("/join", content=json.dumps({"token": keys.invite()})).json()["key"]
        assert asked.get("/words.json", headers={"x-bikewright-token": key}).status_code == 200
        with window(asked, token=key) as line:
            line.say(show={"n": 1})
            assert line.wait_for("screen", n=1)


@pytest.mark.fault
def test_taking_keys_back_closes_the_lines_of_other_machines(folder):
    with served(folder, client=ELSEWHERE, lan=LAN) as strange:
        here = TestClient(strange.guard, base_url=f"http://{HOST}", client=("127.0.0.1", 5000))
        here.portal = strange.portal
        keys = strange.guard.app.state.keys
        key = keys.join(keys.invite())
        with window(strange, token=key) as line, window(here) as own:
            assert here.post("/lan/revoke", headers=OWNER).json() == {"revoked": 1}
            line.say(show={"n": 1})
            with pytest.raises(WebSocketDisconnect) as closed:
                line.wait_for("screen", n=1)
            assert closed.value.code == 1008
            own.say(show={"n": 1})
            assert own.wait_for("screen", n=1)
        assert not keys.may_change(key, here=False)
        assert strange.guard.app.state.lines == {}


class Deaf:
    """A window of another machine that sends and takes nothing after its welcome, as behind a full pipe."""

    def __init__(self, key):
        self.scope = {"type": "websocket", "path": "/socket", "raw_path": b"/socket", "query_string": b"",
                      "headers": [(b"host", HOST.encode()), (b"origin", ORIGIN["origin"].encode())],
                      "client": ELSEWHERE, "server": None, "subprotocols": [], "scheme": "ws"}  # fmt: skip
        self.says = [{"type": "websocket.connect"}, _said({"hello": {"token": key}}), _said({"show": {"n": 1}})]
        self.welcomed = threading.Event()

    async def run(self, app):
        self.never = asyncio.Event()
        await app(self.scope, self.receive, self.send)

    async def receive(self):
        if not self.says:
            await self.never.wait()
            return {"type": "websocket.disconnect"}
        return self.says.pop(0)

    async def send(self, message):
        if self.welcomed.is_set():
            await self.never.wait()
        if "welcome" in message.get("text", ""):
            self.welcomed.set()


def _said(message):
    return {"type": "websocket.receive", "text": json.dumps(message)}


@pytest.mark.fault
def test_keys_are_taken_back_from_a_machine_that_reads_nothing_too(folder, monkeypatch):
    monkeypatch.setattr("bikewright.interfaces.web.socket.CLOSED_WITHIN_S", 0.1)
    with served(folder, client=ELSEWHERE, lan=LAN) as strange:
        here = TestClient(strange.guard, base_url=f"http://{HOST}", client=("127.0.0.1", 5000))
        here.portal = strange.portal
        keys = strange.guard.app.state.keys
        deaf = Deaf(keys.join(keys.invite()))
        running = strange.portal.start_task_soon(deaf.run, strange.guard)
        assert deaf.welcomed.wait(20)
        with ThreadPoolExecutor(1) as asking:
            try:
                assert asking.submit(here.post, "/lan/revoke", headers=OWNER).result(timeout=20).status_code == 200
                running.result(timeout=20)
            finally:
                strange.portal.call(deaf.never.set)
        assert strange.bench.windows == {}


@pytest.mark.fault
def test_a_window_that_takes_nothing_is_sent_away(folder, monkeypatch):
    monkeypatch.setattr("bikewright.interfaces.web.socket.TAKEN_WITHIN_S", 0.2)
    monkeypatch.setattr("bikewright.interfaces.web.socket.CLOSED_WITHIN_S", 0.1)
    with served(folder, client=ELSEWHERE, lan=LAN) as strange:
        keys = strange.guard.app.state.keys
        deaf = Deaf(keys.join(keys.invite()))
        running = strange.portal.start_task_soon(deaf.run, strange.guard)
        try:
            running.result(timeout=20)
        finally:
            strange.portal.call(deaf.never.set)
        assert strange.bench.windows == {}


@pytest.mark.fault
@pytest.mark.parametrize(
    "body", [b"", b"[" * 1000, b'{"token":"\\ud800"}', b"\xff\xfe", b"[]", b"{}", b'{"token":3}', b'{"token":""}']
)
def test_an_invitation_that_is_none_is_refused_in_a_sentence(folder, body):
    with served(folder, lan=LAN) as asked:
        answer = asked.post("/join", content=body)
    assert answer.status_code == 403
    assert "invitation" in answer.text


def test_guessing_ends_the_inviting():
    keys = Keys()
    token = keys.invite()
    for _ in range(MOST_WRONG):
        assert keys.join("guess") is None
    assert keys.join(token) is None
    assert keys.join(keys.invite()) is not None


def test_an_invitation_that_is_too_old_is_void(monkeypatch):
    keys = Keys()
    token = keys.invite()
    monkeypatch.setattr("bikewright.interfaces.web.keys.time.monotonic", lambda: 1e9)
    assert keys.join(token) is None


def test_a_new_invitation_voids_the_one_before():
    keys = Keys()
    first = keys.invite()
    keys.invite()
    assert keys.join(first) is None


def test_tokens_cannot_be_guessed():
    assert len({Keys().token for _ in range(100)}) == 100
    assert len(Keys().token) >= 32


@pytest.mark.fault
def test_one_folder_is_served_once(folder):
    from bikewright.errors import EnvironmentFault

    with served(folder), pytest.raises(EnvironmentFault, match="being served already"):
        Workbench(folder)
    with served(folder) as again, window(again) as line:
        assert isinstance(line, Line)
