# One short command per task; continuous integration calls the same ones.
SHELL := bash
UV := $(shell command -v uv 2>/dev/null || echo .tools/bin/uv)
RUN := $(UV) run --locked --quiet

.PHONY: demo test lint types bench docs pictures unit browser
demo: .venv/ready          ## make the made-up barn's films and run the main job on each
	$(RUN) evenfall demo --home demo-barn

test: lint types unit      ## everything that must pass

lint: .venv/ready
	$(RUN) ruff check .
	$(RUN) ruff format --check .

types: .venv/ready
	$(RUN) mypy

unit: .venv/ready browser
	$(RUN) pytest -n 2 --dist worksteal

browser:                   ## Chromium and PostgreSQL for the tests, from the system's own packages
	@if command -v chromium >/dev/null && ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1; then :; \
	elif command -v apt-get >/dev/null; then \
		SUDO=$$([ "$$(id -u)" = 0 ] || echo sudo); \
		$$SUDO apt-get update -qq && \
		DEBIAN_FRONTEND=noninteractive $$SUDO apt-get install -y -qq --no-install-recommends chromium postgresql; \
	else echo "Chromium or PostgreSQL is missing; the tests that need them are skipped, and say so."; fi

bench: .venv/ready         ## speed and memory, as ratios measured side by side
	$(RUN) python -m benchmarks

docs: .venv/ready          ## the documents as pages in build/docs; the reference pages made from the code
	$(RUN) python -m docs.build

pictures: .venv/ready browser  ## the documents' pictures: a made-up barn, looked at with Chromium
	$(RUN) python -m docs.pictures.make

.venv/ready: pyproject.toml uv.lock | $(UV)
	$(UV) sync --locked --quiet
	touch $@

.tools/bin/uv:             # no uv on this machine: put one beside the project
	python3 -m venv .tools
	.tools/bin/pip install --quiet uv
