"""The house's own test rules, each shown to bite: in a pytest run inside this one, on tests written here."""

from pathlib import Path

import pytest

pytest_plugins = ["pytester"]

MARKS = "[pytest]\nmarkers =\n    browser: real browser\n"


@pytest.fixture
def house(pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> pytest.Pytester:
    """An empty project that has our conftest."""
    monkeypatch.delenv("BIKEWRIGHT_WHOLE_RUN", raising=False)
    monkeypatch.delenv("BIKEWRIGHT_CHROMIUM", raising=False)
    pytester.makeconftest((Path(__file__).parent / "conftest.py").read_text(encoding="utf-8"))
    pytester.makeini(MARKS)
    return pytester


SKIPS = "import pytest\n\ndef test_part():\n    pytest.skip('no such part here')\n"


def test_a_skipped_test_fails_a_whole_run_and_only_that(house, monkeypatch):
    house.makepyfile(SKIPS)

    house.runpytest_subprocess().assert_outcomes(skipped=1)
    _pretend_wheel(house, monkeypatch)
    whole = house.runpytest_subprocess()

    whole.assert_outcomes(failed=1)
    whole.stdout.fnmatch_lines(["*test_part was skipped*no such part here*"])


def test_a_file_that_skips_itself_fails_a_whole_run(house, monkeypatch):
    house.makepyfile("import pytest\n\npytest.importorskip('not_installed')\n\ndef test_it():\n    pass\n")
    _pretend_wheel(house, monkeypatch)

    house.runpytest_subprocess().assert_outcomes(errors=1)


def test_an_expected_failure_stays_one(house, monkeypatch):
    house.makepyfile("import pytest\n\n@pytest.mark.xfail\ndef test_it():\n    assert False\n")
    _pretend_wheel(house, monkeypatch)

    house.runpytest_subprocess().assert_outcomes(xfailed=1)


def test_a_browser_test_fails_where_there_is_no_browser(house, monkeypatch):
    house.makepyfile("import pytest\n\n@pytest.mark.browser\ndef test_page():\n    pass\n")
    monkeypatch.setenv("BIKEWRIGHT_CHROMIUM", str(house.path / "no-such-browser"))

    result = house.runpytest_subprocess()

    result.assert_outcomes(errors=1)
    result.stdout.fnmatch_lines(["*no-such-browser is missing*"])


def test_a_whole_run_refuses_the_source_tree(house, monkeypatch):
    package = house.mkpydir("bikewright")
    house.makepyfile("def test_it():\n    pass\n")
    monkeypatch.setenv("BIKEWRIGHT_WHOLE_RUN", "1")
    monkeypatch.setenv("PYTHONPATH", str(package.parent))

    result = house.runpytest_subprocess()

    assert result.ret == pytest.ExitCode.USAGE_ERROR
    result.stderr.fnmatch_lines(["*the built wheel is to be tested*"])


def _pretend_wheel(house: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    """A whole run whose package counts as installed, wherever this run's own package comes from."""
    house.mkpydir("bikewright")
    monkeypatch.setenv("BIKEWRIGHT_WHOLE_RUN", "1")
    monkeypatch.setenv("PYTHONPATH", str(house.path))
    source = (house.path / "conftest.py").read_text(encoding="utf-8")
    (house.path / "conftest.py").write_text(source.replace("sys.prefix", repr(str(house.path))), encoding="utf-8")
