"""Tables of the store, and an engine for a file or a server.

Rules
-----
- Events are only ever added; `erase_customer` alone rewrites their text.
- `jobs` holds what follows from the events, for lists and search, and can be made anew.
- A file of an older layout gets the columns it lacks and new summaries; so a new column needs a
  default and a raised `VERSION`, nothing more.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Engine,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    create_engine,
    event,
    inspect,
    text,
)
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.pool import StaticPool
from sqlalchemy.schema import CreateColumn

from diagnose.errors import StoreError

__all__ = ["PAGE", "VERSION", "about", "engine_for", "events", "jobs", "mend_layout", "shown"]

#: version of the layout; raise it with every change of the tables or of what a summary says
VERSION = 1

#: size of a page of a file [bytes]; fixed, so that a file with a broken head can still be read
PAGE = 4096

_metadata = MetaData()
_NUMBER = BigInteger().with_variant(Integer, "sqlite")

about = Table(
    "about",
    _metadata,
    Column("name", Text, primary_key=True),
    Column("value", Text, nullable=False),
)

jobs = Table(
    "jobs",
    _metadata,
    Column("job", Text, primary_key=True),
    # The same job in two stores has the same uid, whatever it is called there.
    Column("uid", Text, nullable=False, unique=True),
    Column("digest", Text, nullable=False),
    Column("count", Integer, nullable=False, server_default="0"),
    Column("latest", _NUMBER, nullable=False, server_default="0"),
    Column("erased", Integer, nullable=False, server_default="0"),
    Column("state", Text, nullable=False, server_default="new"),
    Column("opened", Text, nullable=False, server_default=""),
    Column("changed", Text, nullable=False, server_default=""),
    Column("person", Text, nullable=False, server_default=""),
    Column("first_words", Text, nullable=False, server_default=""),
    Column("stage", Text, nullable=False, server_default=""),
    Column("words", Text, nullable=False, server_default=""),
    # All that a search looks at lies in the index of a file, which is then read from end to end;
    # a server's index has no room for that, and its memory holds the table.
    Index("jobs_searched", "latest", "job", "state", "person", "words").ddl_if(dialect="sqlite"),
    Index("jobs_latest", "latest", "job").ddl_if(dialect="postgresql"),
    Index("jobs_state", "state", "latest", "job").ddl_if(dialect="postgresql"),
)

events = Table(
    "events",
    _metadata,
    Column("seq", _NUMBER, primary_key=True, autoincrement=True),
    Column("job", Text, nullable=False),
    Column("number", Integer, nullable=False),
    Column("kind", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("digest", Text, nullable=False),
    UniqueConstraint("job", "number"),
)


def engine_for(place: str | Path, patience: float) -> Engine:
    """An engine whose commits are durable.

    Parameters
    ----------
    place : path of a file, ``:memory:``, or a URL.
    patience : how long to wait for a lock and for a server [s].
    """
    url = _url(place)
    if url.get_backend_name() == "sqlite":
        return _of_file(url, patience)
    try:
        engine = create_engine(
            url, pool_pre_ping=True, connect_args={"connect_timeout": max(1, round(patience))}
        )
    except ModuleNotFoundError as fault:
        raise StoreError(
            "The driver for PostgreSQL is not installed.",
            where=shown(url),
            next_step='Install it with: pip install "diagnose[server]"',
        ) from fault

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: Any) -> None:
        # A server set up for speed may answer before it has written.
        with connection.cursor() as cursor:
            cursor.execute("SET synchronous_commit TO on")
            cursor.execute(f"SET lock_timeout TO {max(1, round(patience * 1000))}")
        connection.commit()

    return engine


def shown(url: URL) -> str:
    """The place as a person may see it: the path of a file, or a URL without its password."""
    if url.get_backend_name() == "sqlite":
        return "memory" if url.database in {None, "", ":memory:"} else str(url.database)
    return url.render_as_string(hide_password=True).replace("+psycopg", "")


def _url(place: str | Path) -> URL:
    if isinstance(place, Path) or "://" not in place:
        return URL.create("sqlite", database=str(place))
    try:
        url = make_url(place)
        if url.get_backend_name() in {"postgresql", "postgres"}:
            return url.set(drivername="postgresql+psycopg")
        if url.get_backend_name() == "sqlite":
            return url.set(drivername="sqlite")
    except (ArgumentError, NoSuchModuleError, ValueError):
        pass
    raise StoreError(
        "This is no place for jobs.",
        where=place.partition("@")[2] or place,
        next_step="Name a file, or a server as postgresql://user@host/database",
    )


def _of_file(url: URL, patience: float) -> Engine:
    arguments: dict[str, Any] = {"timeout": patience, "check_same_thread": False}
    if shown(url) == "memory":
        engine = create_engine(url, connect_args=arguments, poolclass=StaticPool)
    else:
        engine = create_engine(url, connect_args=arguments)

    @event.listens_for(engine, "connect")
    def _prepare(connection: sqlite3.Connection, _record: Any) -> None:
        # Transactions begin below, by our own word: the driver's would begin too late to lock.
        connection.isolation_level = None
        connection.execute(f"PRAGMA page_size={PAGE}")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("PRAGMA secure_delete=ON")
        connection.execute("PRAGMA journal_mode=WAL")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def layout_version(connection: Connection) -> int | None:
    """Version of the layout in the store; None where there is none yet."""
    if not inspect(connection).has_table(about.name):
        return None
    value = connection.execute(
        about.select().with_only_columns(about.c.value).where(about.c.name == "layout")
    ).scalar()
    return int(value) if value is not None and str(value).isdigit() else None


def mend_layout(connection: Connection) -> bool:
    """Make the tables, or bring older ones up to date; True if the summaries must be made anew."""
    if connection.dialect.name == "postgresql":
        # Two programs that start at once must not both make the tables.
        connection.execute(text("SELECT pg_advisory_xact_lock(7305)"))
    found = layout_version(connection)
    if found is not None and found >= VERSION:
        return False
    _metadata.create_all(connection)
    for table in _metadata.sorted_tables:
        present = {column["name"] for column in inspect(connection).get_columns(table.name)}
        for column in table.columns:
            if column.name not in present:
                made = CreateColumn(column).compile(dialect=connection.dialect)
                connection.execute(text(f"ALTER TABLE {table.name} ADD COLUMN {made}"))
        for index in table.indexes:
            index.create(connection, checkfirst=True)
    connection.execute(about.delete().where(about.c.name == "layout"))
    connection.execute(about.insert().values(name="layout", value=str(VERSION)))
    return found is not None


def settle_folder(url: URL) -> None:
    """Write the folder's entry of a new file to disk: SQLite does so for its journals only."""
    if url.get_backend_name() != "sqlite" or shown(url) == "memory" or os.name != "posix":
        return
    folder = os.open(Path(str(url.database)).resolve().parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
