"""A progress bar: on a terminal one line that is written over, elsewhere a line for each tenth."""

from typing import TextIO

from models.run import Run

_CELLS = 30


class Progress:
    """How far a run has come, shown as it goes."""

    def __init__(self, out: TextIO) -> None:
        """Show it on `out`."""
        self._out = out
        self._is_terminal = out.isatty()
        self._shown = ""
        self._tenth = -1

    def show(self, run: Run) -> None:
        """Show the run as it is now."""
        words = progress_words(run)
        if self._is_terminal:
            self._out.write(f"\r{words.ljust(len(self._shown))}")
            self._shown = words
        elif (tenth := 10 * run.done // max(1, run.total)) != self._tenth:
            self._out.write(f"{words}\n")
            self._tenth = tenth
        self._out.flush()

    def end(self) -> None:
        """Leave the last line as it stands."""
        if self._is_terminal:
            self._out.write("\n")
            self._out.flush()


def progress_words(run: Run) -> str:
    """Return how far a run has come, how fast it goes and how long it may still take."""
    full = _CELLS * run.done // max(1, run.total)
    bar = f"[{'#' * full}{'.' * (_CELLS - full)}] {run.done:,} of {run.total:,}"
    rate = f", {run.recipes_per_second:.1f} a second" if run.recipes_per_second else ""
    return f"{bar}{rate}{_left(run.seconds_left)}"


def _left(seconds: float | None) -> str:
    if seconds is None:
        return ""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f", {hours}:{minutes:02}:{rest:02} left" if hours else f", {minutes}:{rest:02} left"
