"""A service to ask: the one that was named, or one of its own on the database, for as long as it is
needed."""

import subprocess
import sys
import threading
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from service.command_line.asking import Unreachable

START_SECONDS = 60


@contextmanager
def service_of(given: Namespace, run_processes: int = 0) -> Iterator[str]:
    """Yield the address of the service that was named, or of one of its own on the database; raise
    Unreachable where none can be started."""
    if given.url:
        yield given.url
        return
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--single-user"]
    command += ["--database", given.database, "--run-processes", str(run_processes)]
    quietly: dict[str, Any] = {"stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
    process = subprocess.Popen(command, text=True, **quietly)
    assert process.stdout is not None
    too_late = threading.Timer(START_SECONDS, process.kill)
    too_late.start()
    try:
        line = process.stdout.readline()
        too_late.cancel()
        if not line:
            raise Unreachable("No service could be started; `python -m service serve` says why.")
        yield line.split()[-1]
    finally:
        too_late.cancel()
        process.terminate()
        process.wait()
        process.stdout.close()
