"""A workbench on a copy of the demo bike, asked through its own door: shared by the tests of the server."""

import json
import os
import re
import shutil
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

from starlette.testclient import TestClient

from bikewright.interfaces.web.bench import Workbench
from bikewright.interfaces.web.keys import Keys
from bikewright.interfaces.web.server import create_app

EXAMPLES = Path(__file__).parents[3] / "examples"
TOKEN = "the-token-of-this-test"
HOST = "127.0.0.1:8722"
ORIGIN = {"origin": f"http://{HOST}"}
ELSEWHERE = ("192.168.7.7", 4711)
PIN = "linkage.pins.rocker.z_mm"


def copy_of(bike, folder):
    """A demo bike in a folder of its own."""
    shutil.copytree(EXAMPLES / bike, folder, ignore=shutil.ignore_patterns(".bikewright", "versions"))
    return folder


@contextmanager
def served(folder, *, client=("127.0.0.1", 5000), lan=None, hosts=frozenset({HOST})):
    """The server inside this process; requests come from the address given."""
    bench = Workbench(folder)
    app = create_app(bench, Keys(TOKEN), hosts, lan=lan)
    with TestClient(app, base_url=f"http://{HOST}", client=client) as asked:
        asked.bench, asked.guard = bench, app
        yield asked


class Line:
    """A socket with its messages as tables."""

    def __init__(self, session):
        self.session = session

    def say(self, **message):
        self.session.send_text(json.dumps(message))

    def hear(self):
        """The next message: what it is, and what it holds."""
        return next(iter(json.loads(self.session.receive_text()).items()))

    def wait_for(self, *kinds, n=None):
        """The next message of one of these kinds, and with this number where one is given."""
        for _ in range(500):
            kind, content = self.hear()
            if kind in kinds and (n is None or content.get("n") == n):
                return content
        raise AssertionError(f"no {kinds} came")


@contextmanager
def window(asked, name="w", token=TOKEN, **view):
    """An open window of a served bench, welcomed."""
    with asked.websocket_connect(f"ws://{HOST}/socket", headers=ORIGIN) as session:
        line = Line(session)
        line.say(hello={"token": token, "window": name})
        line.welcome = line.wait_for("welcome")
        if view:
            line.say(show={"n": 0, "view": view})
            line.wait_for("consequences", n=0)
        yield line


class Process:
    """A server as people start it, in a process of its own."""

    def __init__(self, folder, *options, code=None):
        command = ["-m", "bikewright.interfaces.cli.main"] if code is None else ["-c", code]
        self.process = subprocess.Popen(
            [sys.executable, *command, "serve", str(folder), "--no-open", *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        self.printed = self.process.stdout.readline()
        found = re.search(r"http://(127\.0\.0\.1:(\d+))/#token=(\S+)", self.printed)
        if found is None:
            raise AssertionError(f"no address was printed: {self.printed!r}, {self.process.communicate()[1]!r}")
        self.host, self.port, self.token = found[1], int(found[2]), found[3]

    @contextmanager
    def connect(self, *, name="w", token=None, origin=None):
        """A socket to it, greeted but not yet heard."""
        from websockets.sync.client import connect

        with connect(f"ws://{self.host}/socket", origin=origin or f"http://{self.host}", max_size=None) as line:
            line.send(json.dumps({"hello": {"token": token or self.token, "window": name}}))
            yield line

    def kill(self):
        """Pull the plug."""
        self.process.kill()
        self.process.communicate()

    def end(self):
        """End it as Ctrl-C does; returns what it printed besides the address."""
        self.process.terminate()
        return self.process.communicate(timeout=30)


def received(line, kind, n=None, within=20.0):
    """The next message of a kind from a real socket."""
    until = time.monotonic() + within
    while time.monotonic() < until:
        found, content = next(iter(json.loads(line.recv(timeout=within)).items()))
        if found == kind and (n is None or content.get("n") == n):
            return content
        if found == "trouble":
            raise AssertionError(content["text"])
    raise AssertionError(f"no {kind} came")
