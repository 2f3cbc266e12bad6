# Every command a person needs. `make` alone lists them.
PYTHON ?= python3
VENV ?= .venv
PORT ?= 8000
DATA ?= .local/demo
WORKERS ?= 2
BIN := $(VENV)/bin
MANAGE := $(BIN)/python manage.py
export PYTHONUNBUFFERED = 1

.PHONY: help demo run forty test lint check faults fuzz bench screenshots schema lock clean

help: ## list the commands
	@grep -hE '^[a-z]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 10

$(VENV)/.base: requirements.lock
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed: make PYTHON=/path/to/python3.11 …"; exit 1; }
	@echo "Installing the packages of requirements.lock into $(VENV) …"
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	@touch $@

$(VENV)/.dev: requirements-dev.lock $(VENV)/.base
	@echo "Installing what the tests need …"
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	@touch $@

demo: $(VENV)/.base ## serve the invented demo: make demo [PORT=8000] [DATA=.local/demo]
	@LOGBOOK_DATA=$(DATA) $(MANAGE) migrate --verbosity 0
	@echo "Loading the invented demo, once; this takes half a minute …"
	@LOGBOOK_DATA=$(DATA) $(MANAGE) load_demo
	@echo "Board Logbook demo: http://127.0.0.1:$(PORT)/   (stop with Ctrl-C)"
	@LOGBOOK_DATA=$(DATA) exec $(BIN)/gunicorn logbook.conf.wsgi --bind 127.0.0.1:$(PORT) --workers $(WORKERS) --threads 4 --no-control-socket

run: DATA = .local/data
run: $(VENV)/.base ## serve your own site: make run [PORT=8000] [DATA=.local/data]
	@LOGBOOK_DATA=$(DATA) $(MANAGE) migrate --verbosity 0
	@LOGBOOK_DATA=$(DATA) $(MANAGE) show_setup_code
	@echo "Board Logbook: http://127.0.0.1:$(PORT)/   (stop with Ctrl-C)"
	@LOGBOOK_DATA=$(DATA) exec $(BIN)/gunicorn logbook.conf.wsgi --bind 127.0.0.1:$(PORT) --workers $(WORKERS) --threads 4 --no-control-socket

test: $(VENV)/.dev ## install what the tests need and run all of them
	$(BIN)/python -m pytest -n auto --dist loadgroup $(ARGS)

forty: DATA = .local/forty
forty: $(VENV)/.dev ## take forty readings of a simulated meter while the network is cut twice
	@LOGBOOK_DATA=$(DATA) $(MANAGE) migrate --verbosity 0
	@LOGBOOK_DATA=$(DATA) $(MANAGE) load_demo
	@export LOGBOOK_DATA=$(DATA) LOGBOOK_URL=http://127.0.0.1:$(PORT) PYTHONPATH=api/client; \
	$(BIN)/gunicorn logbook.conf.wsgi --bind 127.0.0.1:$(PORT) --workers $(WORKERS) --threads 4 --no-control-socket & \
	site=$$!; trap 'kill $$site; wait $$site' EXIT; \
	LOGBOOK_TOKEN=$$($(MANAGE) create_token --user iv --scopes read,record) \
	$(BIN)/python api/client/examples/forty_readings.py saltlark 0006 RLD-2 --meter DMM-1 --cut

lint: $(VENV)/.dev ## format check, lint, types, import contracts
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports

check: lint test ## everything a change must pass

faults: $(VENV)/.dev ## break a site on purpose and print what was survived
	$(BIN)/python -m pytest tests/faults -p no:randomly -q $(ARGS)

READERS ?= archives audio bench_csv formulas limits masks parts parts_list quantities sweeps waveforms
fuzz: $(VENV)/.dev ## look for inputs that break a reader: make fuzz [READERS="limits audio"] [SECONDS_EACH=60]
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check "atheris>=3.0"
	@for reader in $(READERS); do PYTHONPATH=api/client $(BIN)/python -m tests.fuzz.harnesses $$reader $(or $(SECONDS_EACH),60) || exit 1; done

bench: $(VENV)/.dev ## measure the product against the raw database in the same run
	$(BIN)/python -m tests.performance $(ARGS)

screenshots: $(VENV)/.dev ## take the pictures of README.md anew
	$(BIN)/python -m tests.browser.screenshots

schema: $(VENV)/.dev ## write docs/openapi.yaml anew
	$(MANAGE) spectacular --validate --fail-on-warn --file docs/openapi.yaml

lock: $(VENV)/.dev ## resolve the lock files anew
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-header pyproject.toml --extra gerber --extra pdf --extra postgres --extra redis -o requirements.lock
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-header pyproject.toml --extra gerber --extra pdf --extra postgres --extra redis --extra s3 --extra dev -c requirements.lock -o requirements-dev.lock

clean: ## remove the environment and all local data
	rm -rf $(VENV) .local
