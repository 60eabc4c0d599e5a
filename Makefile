# Everything is set up by the target that needs it; nothing but Python 3.11 with venv, make and git is expected.
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help

PYTHON ?= $(or $(shell command -v python3.11),$(shell command -v python3))
VENV := .venv
VENV_BENCH := .venv-bench
PIP_COMPILE_OPTIONS ?=

# Compiled kernels stay inside the checkout, so that `make clean` leaves nothing behind.
export BIKEWRIGHT_CACHE ?= $(CURDIR)/.cache/bikewright
export NUMBA_CACHE_DIR ?= $(CURDIR)/.cache/numba
export PYTHON
# 0: the demo ends after the job and opens no workbench.
export SERVE ?= 1

.PHONY: help demo test soak bench docs lock clean

help:  ## list these targets
	@sed -n 's/^\([a-z]*\):.*## /make \1\t/p' $(MAKEFILE_LIST) | expand -t 14

demo:  ## set up and run the main job on the demo bike, then open the workbench (SERVE=0: only the job)
	@tools/setup.sh runtime $(VENV)
	@tools/demo.sh $(VENV)/bin/bikewright

test:  ## set up and run every check and test (needs root only to install the browser)
	@tools/system_packages.sh requirements/apt.txt
	@tools/setup.sh test $(VENV)
	$(VENV)/bin/python tools/run_tests.py

soak:  ## the tests that run long
	@tools/setup.sh test $(VENV)
	$(VENV)/bin/python tools/run_tests.py --soak

bench:  ## measure the speed claims against general-purpose libraries, in a virtual environment of their own
	@tools/system_packages.sh requirements/apt-bench.txt
	@tools/setup.sh bench $(VENV_BENCH)
	@tools/setup.sh test $(VENV)
	code=0; $(VENV_BENCH)/bin/python -m benchmarks || code=$$?; $(VENV)/bin/python -m benchmarks.page || code=$$?; exit $$code

docs:  ## write the generated pages anew
	@tools/setup.sh runtime $(VENV)
	$(VENV)/bin/python tools/generate_docs.py

lock:  ## pin all dependencies anew; PIP_COMPILE_OPTIONS=--upgrade looks for newer releases
	@tools/setup.sh lock .venv-lock
	tools/lock.sh .venv-lock/bin/python $(PIP_COMPILE_OPTIONS)

clean:  ## remove everything that these targets made
	rm -rf $(VENV) $(VENV_BENCH) .venv-lock .cache build dist
	rm -rf .pytest_cache .mypy_cache .ruff_cache .hypothesis
	find src tests tools docs examples benchmarks -name __pycache__ -prune -exec rm -rf {} + 2>/dev/null || true
