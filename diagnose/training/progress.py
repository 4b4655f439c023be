"""The progress of all learners: every lesson, open or closed, in one SQLite file.

Takes a path and Kept lessons, gives them back; imports records and errors only. Each keeping is one
transaction, so a kill at any moment leaves the lesson as it was before the move or after it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

from pydantic import AwareDatetime, Field, ValidationError
from sqlalchemy import URL, Connection, NullPool, create_engine, event, inspect, select
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import DeclarativeBase, Mapped, Session, mapped_column

from diagnose.errors import Fault, InputFaulty, fault_in_file
from diagnose.training.records import Lesson, Outcome, Record

# Marks a SQLite file as one of ours ("dgpr"), and the version of its tables.
_OURS, _VERSION = 0x64677072, 1
# Seconds to wait for another program that writes.
PATIENCE = 2.0
# A learner's name goes to terminals and tables: no control characters.
Name = Annotated[str, Field(min_length=1, max_length=100, pattern=r"^[^\x00-\x1f\x7f-\x9f]+$")]


class Kept(Record):
    """One lesson of one learner as it is kept.

    Attributes:
        id: Made when the lesson was begun; the same for every keeping of it.
        allowed: Minutes an exam may take by the clock; None where it is none.
        outcome: The graded lesson, once it is closed.
    """

    id: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    learner: Name
    begun: AwareDatetime
    changed: AwareDatetime
    lesson: Lesson
    allowed: Annotated[float, Field(gt=0)] | None = None
    outcome: Outcome | None = None

    @property
    def grown(self) -> int:
        """Count how far the lesson has come; of two keepings of one lesson the further one holds."""
        return 2 * len(self.lesson.moves) + (self.outcome is not None)

    def with_lesson(self, lesson: Lesson, now: datetime) -> Kept:
        """Give the same lesson some moves later."""
        return self.model_copy(update={"lesson": lesson, "changed": now})


class _Base(DeclarativeBase):
    """Base of the tables."""


class _Row(_Base):
    """One lesson; what is asked for often stands in columns of its own."""

    __tablename__ = "lessons"

    id: Mapped[str] = mapped_column(primary_key=True)
    learner: Mapped[str] = mapped_column(index=True)
    begun: Mapped[str]
    grown: Mapped[int]
    document: Mapped[str]


class Progress:
    """A progress file."""

    def __init__(self, path: Path, patience: float = PATIENCE) -> None:
        """Take the file, made on first use, and the seconds to wait for another writer."""
        self.path = path
        url = URL.create("sqlite", database=str(path))
        self._engine = create_engine(url, poolclass=NullPool, connect_args={"timeout": patience})
        event.listen(self._engine, "connect", _set_safe_writing)

    def keep(self, *lessons: Kept) -> None:
        """Write lessons, all or none; one that has come further in the file already stays as it is there.

        Raises:
            InputFaulty: The file is locked, damaged, or none of ours.
        """
        if not lessons:
            return
        rows = [_row_of(kept) for kept in lessons]
        new = insert(_Row).values(rows)
        columns = {name: new.excluded[name] for name in rows[0] if name != "id"}
        further = new.on_conflict_do_update(
            index_elements=["id"], set_=columns, where=new.excluded.grown >= _Row.grown
        )
        with self._session() as session:
            session.execute(further)

    def list_kept(self, learner: str | None = None) -> tuple[Kept, ...]:
        """List lessons in the order they were begun, of one learner where one is named.

        Raises:
            InputFaulty: The file is locked, damaged, or none of ours.
        """
        wanted = select(_Row.document).order_by(_Row.begun, _Row.id)
        if learner is not None:
            wanted = wanted.where(_Row.learner == learner)
        if not self.path.exists():
            return ()
        with self._session() as session:
            found = tuple(session.scalars(wanted))
        try:
            return tuple(Kept.model_validate_json(document) for document in found)
        except ValidationError as error:
            wrong = f"holds a lesson that cannot be read: {error.errors()[0]['msg']}"
            cure = "move the file away; a new one is begun, and what waits beside it is taken in"
            raise InputFaulty([fault_in_file(self.path, "progress", wrong, cure)]) from None

    @contextmanager
    def _session(self) -> Iterator[Session]:
        """Open one transaction; whatever SQLite finds wrong becomes one clear line."""
        try:
            with Session(self._engine) as session, session.begin():
                _ensure_tables(session)
                yield session
        except (SQLAlchemyError, sqlite3.Error) as error:
            raise InputFaulty([_explain(self.path, getattr(error, "orig", None) or error)]) from None


def _set_safe_writing(connection: Any, _: object) -> None:  # noqa: ANN401 - the library types it so
    """Write ahead, and wait for the disk at each commit."""
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")


def _ensure_tables(session: Session) -> None:
    """Make the tables in a new file; refuse a file that is somebody else's or of a later version."""
    connection = session.connection()
    if _is_ready(connection):
        return
    # whoever comes second waits here, and then finds the tables made
    connection.exec_driver_sql("BEGIN IMMEDIATE")
    if _is_ready(connection):
        return
    if inspect(connection).get_table_names():
        raise sqlite3.DatabaseError("it holds the tables of another program")
    _Base.metadata.create_all(connection)
    connection.exec_driver_sql(f"PRAGMA application_id={_OURS}")
    connection.exec_driver_sql(f"PRAGMA user_version={_VERSION}")


def _is_ready(connection: Connection) -> bool:
    """Tell whether the file holds our tables; of a later version they are not read."""
    owner = connection.exec_driver_sql("PRAGMA application_id").scalar_one()
    version = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
    if owner == _OURS and version != _VERSION:
        raise sqlite3.DatabaseError(f"its tables are of version {version}, this program reads {_VERSION}")
    return bool(owner == _OURS)


def _explain(path: Path, error: BaseException) -> Fault:
    text = str(error)
    if "locked" in text:
        return fault_in_file(
            path, "progress", "is locked by another program", "end that program, or name another file"
        )
    cure = "move the file away and a new one is begun, or name another file"
    return fault_in_file(path, "progress", f"cannot be used: {text}", cure)


def _row_of(kept: Kept) -> dict[str, Any]:
    return {
        "id": kept.id,
        "learner": kept.learner,
        "begun": kept.begun.isoformat(),
        "grown": kept.grown,
        "document": kept.model_dump_json(),
    }
