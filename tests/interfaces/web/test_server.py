"""The port of the server: on this machine only, and quick."""

import asyncio
import socket

import pytest

from bikewright.errors import EnvironmentFault
from bikewright.interfaces.web.lan import Lan
from bikewright.interfaces.web.server import hosts, open_port


def test_the_port_is_this_machines_unless_the_network_is_asked_for():
    with open_port(0) as line:
        assert line.getsockname()[0] == "127.0.0.1"
    with open_port(0, on_lan=True) as line:
        assert line.getsockname()[0] == "0.0.0.0"


def test_a_small_message_does_not_wait_for_the_window_to_say_something():
    """An accepted line must have TCP_NODELAY, or a screen is held back by a frame while a pin is dragged."""

    async def accepted(listening):
        found = asyncio.get_running_loop().create_future()

        async def take(_, writer):
            line = writer.get_extra_info("socket")
            found.set_result(line.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()
            await writer.wait_closed()

        async with await asyncio.start_server(take, sock=listening):
            _, writer = await asyncio.open_connection(*listening.getsockname())
            result = await asyncio.wait_for(found, 5)
            writer.close()
            await writer.wait_closed()
            return result

    with open_port(0) as listening:
        assert asyncio.run(accepted(listening)) != 0


@pytest.mark.fault
def test_a_port_that_is_taken_is_a_sentence():
    with open_port(0) as line, pytest.raises(EnvironmentFault, match="Name another with --port"):
        open_port(line.getsockname()[1])


def test_a_server_answers_under_its_own_names_only():
    assert hosts(8722, None) == {"127.0.0.1:8722", "localhost:8722"}
    assert hosts(8722, Lan("192.168.7.2:8722")) == {"127.0.0.1:8722", "localhost:8722", "192.168.7.2:8722"}
