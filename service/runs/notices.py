"""Notices: the end of a run told to the address that its caller has named, signed, until it comes.

What is sent is JSON: the `event` and the `run` as `GET` shows it. `Formhold-Signature` holds the
moment of sending and the HMAC-SHA256 (RFC 2104) of that moment, a point and the body, under the
secret that the caller gave. `Formhold-Delivery` is the same at every try. Which addresses may be
called is `service.runs.outside`; whoever is to be told stands in `service.store.notices`.
"""

import asyncio
import hashlib
import hmac
import json
import logging
import threading
import time
from datetime import timedelta

import httpx

from service.runs.outside import Allowed, NotAllowed, send
from service.store.database import Database, DatabaseUnusable
from service.store.notices import DueNotice, note_delivered, note_failed, take_due

LOOK_EVERY_SECONDS = 1.0
PAUSES = tuple(timedelta(seconds=s) for s in (5, 30, 120, 600, 3600, 4 * 3600, 12 * 3600))
"""Before each further try: most that stand still do so for minutes, some for a night."""

log = logging.getLogger("formhold.notices")


class NoticeSender:
    """Sends what is due, for as long as it is not closed."""

    def __init__(
        self, database: Database, allowed: Allowed, pauses: tuple[timedelta, ...] = PAUSES
    ) -> None:
        """Make ready; nothing is started yet."""
        self.allowed = allowed
        self._database, self._pauses = database, pauses
        self._closing = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._work()), name="notices")

    def start(self) -> None:
        """Begin, where anybody may be called at all; wait for nothing."""
        if not self.allowed.is_nobody:
            self._thread.start()

    def close(self) -> None:
        """Stop after what is being sent."""
        self._closing.set()
        if self._thread.ident is not None:
            self._thread.join()

    async def _work(self) -> None:
        while not self._closing.is_set():
            try:
                due = await asyncio.to_thread(self._take)
                await asyncio.gather(*(self._tell(notice) for notice in due))
            except DatabaseUnusable as error:
                log.warning("the notices wait: %s", error)
            await asyncio.to_thread(self._closing.wait, LOOK_EVERY_SECONDS)

    def _take(self) -> list[DueNotice]:
        with self._database.writing() as connection:
            return take_due(connection)

    async def _tell(self, notice: DueNotice) -> None:
        body = written(notice)
        headers = {
            "Content-Type": "application/json",
            "User-Agent": "formhold",
            "Formhold-Delivery": notice.run.id,
            "Formhold-Signature": signature(notice.secret, int(time.time()), body),
        }
        try:
            status = await send(notice.url, body, headers, self.allowed)
            await self._note(notice, 200 <= status < 300, f"status {status}")
        except NotAllowed as error:
            await self._note(notice, False, f"not sent: the address {error}")
        except (TimeoutError, OSError, httpx.HTTPError) as error:
            await self._note(notice, False, f"no answer ({type(error).__name__})")

    async def _note(self, notice: DueNotice, has_come: bool, answered: str) -> None:
        pause = self._pauses[notice.tries] if notice.tries < len(self._pauses) else None
        log.info("run %s was told: %s", notice.run.id, answered)

        def note() -> None:
            with self._database.writing() as connection:
                if has_come:
                    note_delivered(connection, notice, answered)
                else:
                    note_failed(connection, notice, answered, pause)

        await asyncio.to_thread(note)


def written(notice: DueNotice) -> bytes:
    """Return what is sent."""
    told = {"event": "run-over", "run": notice.run.model_dump(mode="json", by_alias=True)}
    return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()


def signature(secret: str, moment: int, body: bytes) -> str:
    """Return the signature of `body`, sent at `moment` in seconds since 1970."""
    signed = hmac.new(secret.encode(), f"{moment}.".encode() + body, hashlib.sha256)
    return f"created={moment}, hmac-sha256={signed.hexdigest()}"
