# Two commands do everything on a fresh machine: `make demo` and `make test`.

VENV := .venv
BIN := $(VENV)/bin
# Of ten thousand files most are never imported: Python compiles those that are, when they are.
PIP := $(BIN)/python -m pip install --quiet --no-compile
TOOLS := tests/tools/node_modules
PORT ?= 8000
# One more than there are processors: tests wait for browsers and for commands a good part of their time.
WORKERS ?= $(shell expr $$(getconf _NPROCESSORS_ONLN) + 1)

# Thousands of commands run in the tests: none of them should compile the program again.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: demo test setup tested tools lint types suite refresh pins bare clean

demo: setup  ## Build the demo and serve it on this machine
	$(BIN)/handover build --out public --date $$(date +%F) | sed 's#https://[^/]*/#http://127.0.0.1:$(PORT)/#'
	@echo "Open one of these addresses. Stop with Ctrl+C."
	$(BIN)/python -m http.server $(PORT) --bind 127.0.0.1 --directory public

test: lint types suite  ## Everything that must pass

suite: tested tools
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadscope --no-loadscope-reorder --durations 12

setup: $(VENV)/ready

tested: $(VENV)/tested

# Every file is known by its digest. The project itself is built with what is there already.
$(VENV)/ready: pyproject.toml requirements.txt
	test -d $(VENV) || python3 -m venv $(VENV) || (./tests/tools/debian.sh python3-venv && python3 -m venv $(VENV))
	$(PIP) --require-hashes --requirement requirements.txt
	$(PIP) --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/tested: $(VENV)/ready constraints.txt
	$(PIP) --require-hashes --requirement constraints.txt
	touch $@

tools: $(TOOLS)/ready

$(TOOLS)/ready: tests/tools/package.json tests/tools/debian.sh
	./tests/tools/debian.sh chromium npm default-jre-headless hunspell-en-gb
	cd tests/tools && npm install --no-package-lock --no-audit --no-fund --silent
	touch $@

lint: tested
	$(BIN)/ruff check builder tests
	$(BIN)/ruff format --check builder tests

types: tested
	$(BIN)/mypy

refresh: tested  ## Write expected outputs and schemas again, to be read in the diff
	$(BIN)/python -m tests.broken_workspaces
	$(BIN)/python -m tests.demonstrations
	$(BIN)/python -m tests.ready_demo
	$(BIN)/python -m tests.papers
	$(BIN)/python -m tests.catalogues
	$(BIN)/handover schema
	$(BIN)/handover rules --format markdown > docs/rules.md

pins: tested  ## Resolve the dependencies again: PINS="--upgrade" takes the newest
	$(PIP) '.[pins]'
	$(BIN)/python tests/tools/pins.py $(PINS)

bare:  ## Before a release, as root: both commands in bare roots of Debian 12 and 13
	python3 tests/tools/bare_root.py $(BARE)

clean:
	rm -rf $(VENV) $(TOOLS) public
