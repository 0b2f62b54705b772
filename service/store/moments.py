"""Moments as they are kept: always in UTC, and known to be, whichever database keeps them."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime
from sqlalchemy.types import TypeDecorator


def now() -> datetime:
    """Return this moment."""
    return datetime.now(UTC)


class Moment(TypeDecorator[datetime]):
    """A moment in UTC; SQLite forgets the zone, and PostgreSQL gives its session's."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Any) -> datetime | None:
        """Return what is kept for `value`; one that names no zone is taken as UTC."""
        return None if value is None else _in_utc(value)

    def process_result_value(self, value: datetime | None, dialect: Any) -> datetime | None:
        """Return the moment that was kept."""
        return None if value is None else _in_utc(value)


def _in_utc(value: datetime) -> datetime:
    return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
