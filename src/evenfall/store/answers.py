"""Answers given in practice, to see how a reader's eye comes on."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select

from evenfall.store import schema
from evenfall.store.engine import Barn, now, reading, writing
from evenfall.store.records import Answer
from evenfall.store.rows import made, made_all

__all__ = ["add", "of_reader"]

_TABLE = schema.answers


def add(  # noqa: PLR0913 - a question and its answer, kept at once
    barn: Barn,
    reader: str,
    *,
    kind: str,
    question: Mapping[str, Any],
    answer: Mapping[str, Any],
    right: bool | None = None,
) -> Answer:
    """Keep an answer; ``right`` is None where it is neither right nor wrong, as a time that is so far off."""
    given = {"question": dict(question), "answer": dict(answer), "right": right}
    put = _TABLE.insert().values(reader=reader, kind=kind, answered_at=now(), **given).returning(*_TABLE.c)
    with writing(barn) as connection:
        return made(Answer, connection.execute(put).mappings().one(), _TABLE)


def of_reader(barn: Barn, reader: str) -> tuple[Answer, ...]:
    """Return a reader's answers, oldest first."""
    asked = select(_TABLE).where(_TABLE.c.reader == reader).order_by(_TABLE.c.id)
    with reading(barn) as connection:
        return made_all(Answer, connection.execute(asked).mappings(), _TABLE)
