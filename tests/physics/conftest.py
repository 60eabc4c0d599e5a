"""Both forms of every kernel, for the tests that hold them together."""

import os

import pytest

from bikewright.physics.kernels import compile as kernels


@pytest.fixture(scope="module")
def loaded(tmp_path_factory):
    """Both forms of every kernel by name; afterwards calls are answered uncompiled again."""
    before = os.environ.get("BIKEWRIGHT_CACHE")
    if before is None:
        os.environ["BIKEWRIGHT_CACHE"] = str(tmp_path_factory.mktemp("kernels"))
    kernels.load()
    yield {name: (plain, kernels.compiled(name)) for name, plain in kernels.plain_kernels().items()}
    kernels.unload()
    if before is None:
        del os.environ["BIKEWRIGHT_CACHE"]
