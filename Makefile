# Two commands do everything on a fresh machine: `make demo` and `make test`.

VENV := .venv
BIN := $(VENV)/bin
TOOLS := tests/tools/node_modules

.PHONY: demo test setup tools lint types refresh clean

demo: setup  ## Build the demo and serve it on this machine
	$(BIN)/handover build --out public --date $$(date +%F) | sed 's#https://[^/]*/#http://127.0.0.1:8000/#'
	@echo "Open one of these addresses. Stop with Ctrl+C."
	$(BIN)/python -m http.server 8000 --bind 127.0.0.1 --directory public

test: setup tools lint types  ## Everything that must pass
	$(BIN)/python -m pytest -n auto --dist loadscope --durations 12

setup: $(VENV)/ready

$(VENV)/ready: pyproject.toml constraints.txt
	test -d $(VENV) || python3 -m venv $(VENV) || (./tests/tools/debian.sh python3-venv && python3 -m venv $(VENV))
	$(BIN)/python -m pip install --quiet --constraint constraints.txt --editable '.[test]'
	touch $@

tools: $(TOOLS)/ready

$(TOOLS)/ready: tests/tools/package.json tests/tools/debian.sh
	./tests/tools/debian.sh chromium npm default-jre-headless
	cd tests/tools && npm install --no-package-lock --no-audit --no-fund --silent
	touch $@

lint: setup
	$(BIN)/ruff check builder tests
	$(BIN)/ruff format --check builder tests

types: setup
	$(BIN)/mypy

refresh: setup  ## Write expected outputs and schemas again, to be read in the diff
	$(BIN)/python -m tests.broken_workspaces
	$(BIN)/python -m tests.demonstrations
	$(BIN)/python -m tests.ready_demo
	$(BIN)/python -m tests.papers
	$(BIN)/handover schema
	$(BIN)/handover rules --format markdown > docs/rules.md

clean:
	rm -rf $(VENV) $(TOOLS) public
