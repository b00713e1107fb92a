# Two commands are enough: `make run` and `make test`. Each makes its own virtual environment first.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
NAMES := build/names/seatproof
OUT ?= build/screens

.DEFAULT_GOAL := help
.PHONY: help run test lint types walls unit speed screens lock clean

help: ## say what can be made
	@grep -E '^[a-z]+:.*## ' Makefile | sed -E 's/^([a-z]+):.*## /  make \1\t/'

# The environment is rebuilt when the lock or the project's metadata change, and only then.
$(READY): requirements.lock pyproject.toml setup.py
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Seatproof needs Python 3.11 or newer; name one with: make PYTHON=python3.12")'
	$(PYTHON) -m venv --clear $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps --editable .
	@touch $(READY)

# The type checker follows the name `seatproof` through these links; see DEVELOPERS.md, "One name".
$(NAMES): $(READY)
	@mkdir -p $(NAMES)
	@for name in core devices gui; do ln -sfn ../../../$$name $(NAMES)/$$name; done
	@touch $(NAMES)

run: $(READY) ## the main job, on a simulated gauge: in a window, or without one where there is no display
	@$(BIN)/seatproof try

test: lint types walls unit ## everything that must hold

lint: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(NAMES)
	$(BIN)/mypy -p seatproof

walls: $(READY)
	$(BIN)/lint-imports

# The whole of them goes to several processes, file by file; some of them, to this one.
unit: $(READY)
	QT_QPA_PLATFORM=offscreen $(BIN)/pytest $(if $(ONLY),$(ONLY),-n auto --maxprocesses 4 --dist loadfile)

speed: $(READY) ## benchmarks, as a table
	@QT_QPA_PLATFORM=offscreen $(BIN)/python -m tests.speed $(ONLY)

screens: $(READY) ## render what a person sees to PNG, into build/screens (or OUT=folder)
	@QT_QPA_PLATFORM=offscreen $(BIN)/python -m tests.screens $(OUT)

lock: ## pin the newest allowed versions again (needs uv on the PATH)
	uv pip compile pyproject.toml --extra dev --universal --python-version 3.11 --generate-hashes \
		--no-emit-index-url --no-header --upgrade -o requirements.lock

clean: ## take away everything that was made
	rm -rf $(VENV) build *.egg-info
