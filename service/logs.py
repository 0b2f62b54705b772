"""The log: an event a line on standard error, as JSON, or as words where a terminal reads it.

Lines tell what happened, never what somebody sent: an error is told by its kind and its place in
the program, as its own words may quote a request. What is logged for a request bears its id.
"""

import logging
import sys
import traceback
from collections.abc import Iterator
from types import TracebackType
from typing import TextIO

import structlog
from structlog.typing import EventDict, Processor

QUIETER = {"procrastinate": logging.WARNING, "alembic": logging.WARNING}
"""The queue would speak of each of its jobs, the migrations of every start."""


def log_to_stderr() -> None:
    """Log to standard error from now on."""
    for name, level in QUIETER.items():
        logging.getLogger(name).setLevel(level)
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(formatter(sys.stderr))
    logging.basicConfig(level=logging.INFO, handlers=[handler])


def formatter(stream: TextIO) -> logging.Formatter:
    """Return how lines are written to `stream`."""
    shown: Processor = (
        structlog.dev.ConsoleRenderer()
        if stream.isatty()
        else structlog.processors.JSONRenderer(sort_keys=False)
    )
    return structlog.stdlib.ProcessorFormatter(
        foreign_pre_chain=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.stdlib.add_log_level,
            structlog.stdlib.add_logger_name,
            structlog.stdlib.ExtraAdder(),
        ],
        processors=[
            structlog.stdlib.ProcessorFormatter.remove_processors_meta,
            _tell_error,
            _event_first,
            shown,
        ],
    )


def _tell_error(_logger: object, _method: str, event: EventDict) -> EventDict:
    """Tell an error by the kinds of errors that led to it, and where each was raised."""
    given = event.pop("exc_info", None)
    if isinstance(given, tuple) and given[1] is not None:
        event["error"] = [
            {"kind": type(error).__qualname__, "at": list(_places(error.__traceback__))}
            for error in _and_its_causes(given[1])
        ]
    return event


def _and_its_causes(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)


def _places(trace: TracebackType | None) -> Iterator[str]:
    for frame in traceback.extract_tb(trace):
        yield f"{frame.filename}:{frame.lineno} {frame.name}"


def _event_first(_logger: object, _method: str, event: EventDict) -> EventDict:
    event.pop("color_message", None)  # the server says everything twice
    first = {name: event.pop(name) for name in ("timestamp", "level", "event") if name in event}
    return {**first, **event}
