"""`bikewright serve`: the workbench in a browser."""

import os
import sys
import webbrowser
from pathlib import Path

import click

from bikewright.interfaces.cli.asking import BIKE, options


@click.command()
@options(BIKE)
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8722,
    show_default=True,
    help="Port to answer on; 0 takes any free one.",
)
@click.option("--lan", is_flag=True, help="Also let other machines of the network in, by a code that is good once.")
@click.option("--no-open", is_flag=True, help="Print the address and open no browser.")
def serve(bike: Path, port: int, lan: bool, no_open: bool) -> None:
    """Open the workbench on a bike.

    It answers this machine only, unless --lan is given. The address that is printed holds the token of this run:
    whoever has it can change the bike. Ctrl-C ends it; what was changed is kept.
    """
    from bikewright.interfaces.web.keys import Keys
    from bikewright.interfaces.web.lan import WARNING, lan_of, qr_lines
    from bikewright.interfaces.web.server import open_port, run

    line, keys = open_port(port, on_lan=lan), Keys()
    bound = line.getsockname()[1]
    address, reached = f"http://127.0.0.1:{bound}/#token={keys.token}", lan_of(bound) if lan else None

    def ready() -> None:
        click.echo(f"the workbench is at {address}")
        if reached is not None:
            invitation = reached.address(keys.invite())
            click.echo(f"{qr_lines(invitation)}\n{invitation}\n{WARNING}")
        sys.stdout.flush()
        if not no_open and _has_display():
            webbrowser.open(address)

    run(bike, line, keys, lan=reached, ready=ready)


def _has_display() -> bool:
    """Whether a browser window can be seen by somebody here."""
    return sys.platform in ("win32", "darwin") or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
