"""Whether an open file is one of ours: whole, with the tables that Pacer made and nothing else in it."""

import sqlite3
from functools import cache
from pathlib import Path

from pacer.log import database, migrations
from pacer.log.database import APPLICATION_ID, Unreadable
from pacer.log.migrations import Migration, upgrade_copy, version_of
from pacer.text import _

# Many times what looking through a whole file takes; a file can't be made to take longer.
_STEPS_AT_LEAST, _STEPS_A_BYTE = 10_000_000, 4

Tables = frozenset[tuple[str, str, str]]


def tables_of(connection: sqlite3.Connection) -> Tables:
    """All tables, indexes, views and triggers of an open file, as kind, name and what made them."""
    query = (
        "SELECT type, name, coalesce(sql, '') FROM sqlite_master WHERE name NOT LIKE 'sqlite~_%' ESCAPE '~'"
    )
    # Spaces may differ: they come from our source text.
    return frozenset((kind, name, "".join(sql.split())) for kind, name, sql in connection.execute(query))


@cache
def tables_after(steps: tuple[Migration, ...]) -> Tables:
    """What `tables_of` tells of a file that has had these steps."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        upgrade_copy(connection, steps)
        return tables_of(connection)
    finally:
        connection.close()


def must_be_harmless(connection: sqlite3.Connection) -> None:
    """Raises Unreadable for a file of another program, and one in which writing would run what others wrote.

    Its tables may be more or fewer than ours.
    """
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    if mark != APPLICATION_ID:
        raise Unreadable(_("it belongs to another program"))
    if {kind for kind, _name, _sql in tables_of(connection)} - {"table", "index"}:
        raise Unreadable(_("its tables are not those of Pacer"))


def must_be_ours(connection: sqlite3.Connection, path: Path) -> int:
    """Look through an open file; returns how many steps it has had.

    Raises Unreadable for a damaged or foreign one, and one with tables, views or triggers that Pacer did not
    make; NewerDatabase; sqlite3.Error where it can't be looked at now.
    """
    try:
        with database.within_steps(connection, _STEPS_AT_LEAST + _STEPS_A_BYTE * path.stat().st_size):
            return _looked_through(connection, path)
    except sqlite3.Error as error:
        if database.code_of(error) in (*database.BUSY, *database.NO_WRITING):
            raise
        raise Unreadable(database.plain_reason(error)) from error
    except (UnicodeError, OverflowError, MemoryError, TypeError, ValueError) as error:
        raise Unreadable(_("it is damaged")) from error


def _looked_through(connection: sqlite3.Connection, path: Path) -> int:
    version = version_of(connection)
    mark = int(connection.execute("PRAGMA application_id").fetchone()[0])
    tables = tables_of(connection)
    if tables and mark != APPLICATION_ID:
        raise Unreadable(_("it belongs to another program"))
    if version > len(migrations.STEPS) and not _is_number_damaged(connection, tables):
        raise database.NewerDatabase(
            _(
                "The day records in {path} were written by a newer Pacer. "
                "Nothing was changed; use the newer one."
            ).format(path=path)
        )
    if not 0 <= version <= len(migrations.STEPS) or tables != tables_after(tuple(migrations.STEPS[:version])):
        raise Unreadable(_("its tables are not those of Pacer"))
    check = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    if check != "ok":
        raise Unreadable(check)
    return version


def _is_number_damaged(connection: sqlite3.Connection, tables: Tables) -> bool:
    """Whether a file that says to be newer is just what one of ours is: each step is noted in a table."""
    try:
        noted = int(connection.execute("SELECT count(*) FROM migration").fetchone()[0])
    except sqlite3.Error:
        return False
    return noted <= len(migrations.STEPS) and tables == tables_after(tuple(migrations.STEPS[:noted]))
