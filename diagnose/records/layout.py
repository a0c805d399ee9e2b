"""Tables of the store.

Rules
-----
- Events are only ever added; `erase_customer` alone rewrites their text.
- `jobs` holds what follows from the events, for lists, search and reports, and can be made anew.
- A file of an older layout gets the columns it lacks and new summaries; so a new column needs a
  default and a raised `VERSION`, nothing more.
"""

from __future__ import annotations

from diagnose.records.database import Session

__all__ = ["VERSION", "layout_version", "mend_layout"]

#: version of the layout; raise it with every change of the tables or of what a summary says
VERSION = 3

_WORDS = "TEXT NOT NULL DEFAULT ''"

#: table -> column -> type, in the order in which a row of a file holds them
_TABLES = {
    "about": {"name": "TEXT NOT NULL PRIMARY KEY", "value": "TEXT NOT NULL"},
    "jobs": {
        "job": "TEXT NOT NULL PRIMARY KEY",
        # The same job in two stores has the same uid, whatever it is called there.
        "uid": "TEXT NOT NULL UNIQUE",
        "digest": "TEXT NOT NULL",
        "count": "INTEGER NOT NULL DEFAULT 0",
        "latest": "BIGINT NOT NULL DEFAULT 0",
        "erased": "INTEGER NOT NULL DEFAULT 0",
        "state": "TEXT NOT NULL DEFAULT 'new'",
        "opened": _WORDS,
        "changed": _WORDS,
        "person": _WORDS,
        "first_words": _WORDS,
        "stage": _WORDS,
        "words": _WORDS,
        "since": _WORDS,
        "due": _WORDS,
        "outcome": _WORDS,
    },
    "events": {
        "seq": "{number} PRIMARY KEY",
        "job": "TEXT NOT NULL",
        "number": "INTEGER NOT NULL",
        "kind": "TEXT NOT NULL",
        "body": "TEXT NOT NULL",
        "digest": "TEXT NOT NULL, UNIQUE (job, number)",
    },
}

#: All that a search looks at lies in the index of a file, which is then read from end to end; a
#: server's index has no room for that, and its memory holds the table.
_FILE_INDEXES = {"jobs_searched": "jobs (latest, job, state, person, words)"}
_SERVER_INDEXES = {
    "jobs_latest": "jobs (latest, job)",
    "jobs_state": "jobs (state, latest, job)",
}


def layout_version(session: Session) -> int | None:
    """Version of the layout in the store; None where there is none yet."""
    if session.server:
        there = session.value("SELECT to_regclass('about') IS NOT NULL")
    else:
        there = session.value("SELECT 1 FROM sqlite_master WHERE name = 'about'")
    if not there:
        return None
    value = session.value("SELECT value FROM about WHERE name = 'layout'")
    return int(value) if value is not None and str(value).isdigit() else None


def mend_layout(session: Session) -> bool:
    """Make the tables, or bring older ones up to date; True if the summaries must be made anew."""
    if session.server:
        # Two programs that start at once must not both make the tables.
        session.run("SELECT pg_advisory_xact_lock(7305)")
    found = layout_version(session)
    if found is not None and found >= VERSION:
        return False
    number = "BIGSERIAL" if session.server else "INTEGER NOT NULL"
    for table, columns in _TABLES.items():
        types = {name: kind.format(number=number) for name, kind in columns.items()}
        inside = ", ".join(f"{name} {kind}" for name, kind in types.items())
        session.run(f"CREATE TABLE IF NOT EXISTS {table} ({inside})")
        present = _columns(session, table)
        for name, kind in types.items():
            if name not in present:
                session.run(f"ALTER TABLE {table} ADD COLUMN {name} {kind}")
    indexes = _SERVER_INDEXES if session.server else _FILE_INDEXES
    for index, what in indexes.items():
        session.run(f"CREATE INDEX IF NOT EXISTS {index} ON {what}")
    session.run("DELETE FROM about WHERE name = 'layout'")
    session.run("INSERT INTO about (name, value) VALUES ('layout', ?)", (str(VERSION),))
    return found is not None


def _columns(session: Session, table: str) -> set[str]:
    if session.server:
        chosen = (
            "SELECT attname FROM pg_attribute"
            " WHERE attrelid = to_regclass(?) AND attnum > 0 AND NOT attisdropped"
        )
    else:
        chosen = "SELECT name FROM pragma_table_info(?)"
    return {name for (name,) in session.rows(chosen, (table,))}
