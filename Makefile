# The two commands a newcomer needs are `make demo` and `make test`; both install first.
PYTHON ?= python3
VENV := .venv
PY := $(VENV)/bin/python

.PHONY: install demo serve test check examples bench mutate lock clean

install: $(VENV)/.installed

$(VENV)/.installed: requirements.lock
	test -x $(PY) || $(PYTHON) -m venv $(VENV)
	if command -v uv >/dev/null 2>&1; then \
		uv pip sync --python $(PY) --require-hashes requirements.lock; \
	else \
		$(PY) -m pip install --quiet --disable-pip-version-check --no-deps --require-hashes -r requirements.lock; \
	fi
	touch $@

demo: install  ## start the service, send it one recipe, print the answer, stop
	$(PY) -m service demo

serve: install  ## serve on 127.0.0.1:8000
	$(PY) -m service serve

test: install  ## run the tests, a process a core (PYTEST_ARGS adds options)
	$(PY) -m pytest -n auto --dist loadfile --no-loadscope-reorder $(PYTEST_ARGS)

check: install  ## lint, types, the one arrow between packages, recorded examples
	$(VENV)/bin/ruff check .
	$(VENV)/bin/ruff format --check .
	$(VENV)/bin/mypy
	$(VENV)/bin/lint-imports
	$(PY) -m openapi_examples.record --check

examples: install  ## record the request and response pairs again from the real app
	$(PY) -m openapi_examples.record

bench: install  ## print measured ratios; never part of the tests (what presses on a service is run by itself)
	$(PY) -m pytest -m benchmark -s --no-header -q tests/benchmarks --ignore=tests/benchmarks/test_mutants.py \
		$(foreach long,document_requests extreme_numbers overload soak sameness growth,--ignore=tests/benchmarks/test_$(long).py)

mutate: install  ## put small faults in a scratch copy, print which no test sees (FORMHOLD_MUTANTS=10, or all)
	nice -n 10 $(PY) -m pytest -m benchmark -s --no-header -q tests/benchmarks/test_mutants.py

lock:  ## make requirements.lock, and deploy/'s of it without tools, again from pyproject.toml (needs uv)
	uv pip compile pyproject.toml --extra dev --universal --python-version 3.11 \
		--generate-hashes --no-annotate --no-header --output-file requirements.lock
	uv pip compile pyproject.toml --constraint requirements.lock --universal --python-version 3.11 \
		--generate-hashes --no-annotate --no-header --output-file deploy/requirements.lock

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
