"""Sheets that the page hands over: the same bytes as the commands write, for those who may have them."""

import subprocess
import sys

import pytest

from bikewright.interfaces.web.lan import Lan
from tests.interfaces.web.rooms import ELSEWHERE, TOKEN, copy_of, served


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return copy_of("quillback", tmp_path_factory.mktemp("papers") / "bike")


def written(folder, out, *arguments):
    """The file that a command writes."""
    run = [sys.executable, "-m", "bikewright.interfaces.cli.main", arguments[0], str(folder), *arguments[1:]]
    done = subprocess.run([*run, "--out", str(out)], capture_output=True, text=True, check=False)
    assert out.exists(), done.stderr
    return out.read_bytes()


def test_the_card_is_the_one_of_the_command(folder, tmp_path):
    with served(folder) as asked:
        a6 = asked.get("/card.pdf?build=stock&rider=tamsin&base=stock&sag_front=18")
        phone = asked.get("/card.pdf?build=stock&rider=tamsin&base=stock&sag_front=18&card=phone")
    told = ("--build", "stock", "--rider", "tamsin", "--base", "stock", "--sag-front", "18")
    assert a6.content == written(folder, tmp_path / "a6.pdf", "setup", *told)
    assert phone.content == written(folder, tmp_path / "phone.pdf", "setup", *told, "--card", "phone")
    assert a6.headers["content-type"] == "application/pdf"
    assert a6.headers["content-disposition"] == 'attachment; filename="set-up-card.pdf"'
    assert "sandbox" in a6.headers["content-security-policy"]


def test_the_table_is_the_one_of_the_command(folder, tmp_path):
    with served(folder) as asked:
        table = asked.get("/tunes.pdf?build=stock&base=stock")
    assert table.content == written(folder, tmp_path / "t.pdf", "tunes", "--builds", "stock", "--base", "stock")
    assert table.headers["content-type"] == "application/pdf"


@pytest.mark.fault
@pytest.mark.parametrize(
    "path",
    ["/card.pdf?card=poster", "/card.pdf?rider=nobody", "/card.pdf?address=javascript:x", "/tunes.pdf?base=none",
     "/card.pdf?address=http://127.0.0.1/" + "a" * 300, "/tunes.pdf?build=none", "/card.pdf?sag_rear=90"],
)  # fmt: skip
def test_what_cannot_be_made_is_a_sentence(folder, path):
    with served(folder) as asked:
        answer = asked.get(path)
    assert answer.status_code == 400
    assert answer.headers["content-type"].startswith("text/plain")
    assert 10 < len(answer.text) < 600


@pytest.mark.fault
@pytest.mark.parametrize("path", ["/card.pdf", "/tunes.pdf", "/coverage.json", "/shown/steps.json?rule=equal"])
def test_another_machine_has_them_with_its_key_alone(folder, path):
    with served(folder, client=ELSEWHERE, lan=Lan("192.168.7.2:8722")) as asked:
        assert asked.get(path).status_code == 403
        assert asked.get(path, headers={"x-bikewright-token": TOKEN}).status_code == 403
