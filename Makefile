# On a machine with Python 3.11 or newer and make: `make demo` runs the main job, `make test` every test.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
OUT := demo-out
ROAD := $(OUT)/demo.slab
WORKERS ?= 2
INSTALL = $(BIN)/python -m pip install --quiet --disable-pip-version-check

.PHONY: help demo test check bench docs serve lock clean browser postgres soak

help:
	@echo "make demo   set up and carry the demo road from its field files to the report"
	@echo "make test   set up and run every test"
	@echo "make check  lint, types, import ranks"
	@echo "make soak   many tabs for two minutes while the server is killed"
	@echo "make bench  speed, as ratios against a named baseline in the same run"
	@echo "make docs   build the documentation into site/"
	@echo "make serve  work on the demo road in the browser, on this machine only"
	@echo "make lock   pin the dependencies anew (needs uv)"

$(VENV)/.run: requirements.lock pyproject.toml
	$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "Slabwright needs Python 3.11 or newer")'
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(INSTALL) --require-hashes -r requirements.lock
	$(INSTALL) --no-deps --no-build-isolation -e .
	touch $@

$(VENV)/.dev: requirements-dev.lock $(VENV)/.run
	$(INSTALL) --require-hashes -r requirements-dev.lock
	touch $@

demo: $(VENV)/.run
	rm -rf $(OUT) && mkdir $(OUT)
	$(BIN)/slabwright new $(ROAD) --example
	$(BIN)/slabwright run $(ROAD)
	@echo "No sum is told before the engineer stands by the prices. Of this invented road they are invented too."
	$(BIN)/slabwright decide $(ROAD) economics.prices_are="confirmed by the engineer" economics.currency=crowns economics.price_year=2026
	@echo "Now the long work: the bond as a field, and fatigue lives from a few hundred plates. A few minutes."
	$(BIN)/slabwright run $(ROAD) bond
	@echo "The fatigue analysis as published is refuted by this road's own past, so it is calibrated to it."
	$(BIN)/slabwright decide $(ROAD) life.calibration="calibrated to the section's own past"
	$(BIN)/slabwright run $(ROAD) life
	$(BIN)/slabwright report $(ROAD) -o $(OUT)/report.pdf --with-appendix
	$(BIN)/slabwright export $(ROAD) --xlsx --gpkg --dxf -o $(OUT)
	@$(BIN)/slabwright compare $(ROAD)
	@echo "Files, in $(OUT)/:"
	@ls -1 $(OUT)
	@echo "Call the program yourself: $(BIN)/slabwright --help, for example"
	@echo "  $(BIN)/slabwright show $(ROAD) design --table thicknesses"
	@echo "Results assist a licensed engineer; local codes and that engineer's judgement govern."

browser:
	@command -v chromium >/dev/null \
	  || { test "$$(id -u)" = 0 && command -v apt-get >/dev/null && apt-get -qq update && apt-get -qq install -y chromium >/dev/null; } \
	  || { echo "The browser tests need Debian's chromium: install the package chromium." >&2; exit 1; }

# Which tests need it, and are skipped by name where it cannot be had, is said before they run.
postgres:
	@command -v postgres >/dev/null || ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 \
	  || { test "$$(id -u)" = 0 && command -v apt-get >/dev/null && apt-get -qq update && apt-get -qq install -y postgresql >/dev/null; } \
	  || echo "Debian's postgresql cannot be had here: tests/project/test_server.py and all tests named [postgresql] are skipped."

test: $(VENV)/.dev browser postgres
	$(BIN)/python -m pytest -rs -n $(WORKERS) --ignore=tests/browser
	$(BIN)/python -m pytest -n $(WORKERS) tests/browser

# Two minutes of many tabs and killed servers; MINUTES=10 TABS=50 for longer. No part of the tests.
MINUTES ?= 2
TABS ?= 20
soak: $(VENV)/.dev browser
	$(BIN)/python -m tests.soak --seconds $$(( $(MINUTES) * 60 )) --tabs $(TABS)

check: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/.dev
	mkdir -p .benchmarks
	$(BIN)/python -m pytest benchmarks --benchmark-enable --benchmark-json=.benchmarks/last.json -p no:xdist
	$(BIN)/python benchmarks/report.py

docs: $(VENV)/.dev
	$(BIN)/python docs/generate.py
	$(BIN)/mkdocs build --strict --quiet

serve: $(VENV)/.run
	test -e $(ROAD) || { mkdir -p $(OUT) && $(BIN)/slabwright new $(ROAD) --example; }
	$(BIN)/slabwright serve $(ROAD)

lock:
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header \
	  --group pyproject.toml:build pyproject.toml -o requirements.lock
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header \
	  --group pyproject.toml:dev pyproject.toml -o requirements-dev.lock

clean:
	rm -rf $(VENV) $(OUT) site
