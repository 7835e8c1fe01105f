"""What was said and mended after a lesson: written one by one beside its events, which stay as they are."""

import sqlite3
from collections.abc import Mapping
from typing import TYPE_CHECKING

from pacer.log.database import LogError
from pacer.log.part import RecordsPart, must_write
from pacer.text import _

if TYPE_CHECKING:
    from pacer.run.corrections import AnyAfter, Correction


class AfterStore(RecordsPart):
    """The after-school events of all lessons in an open file of day records."""

    def of(self, run_id: int) -> list["Correction"]:
        """All that was said about a lesson, in order. A damaged one is left out. Raises LogError."""
        return self._read("WHERE run_id = ?", (run_id,)).get(run_id, [])

    def all(self) -> Mapping[int, list["Correction"]]:
        """The same for every lesson that anything was said about, by run number. Raises LogError."""
        return self._read("", ())

    def newest_tomorrow_note(self) -> tuple[int, str]:
        """The run number of the lesson to which a note for tomorrow was said last, and its text.

        (0, "") where there is none, or where the last one was taken away again or is done. Raises LogError.
        """
        query = (
            "SELECT run_id FROM after_event WHERE run_id NOT IN (SELECT run_id FROM trash) "
            "AND kind = 'thing_tomorrow' ORDER BY utc_ms DESC, number DESC LIMIT 1"
        )
        for (run_id,) in self._rows(query):
            from pacer.run.corrections import effective

            corrections = effective(self.of(run_id))
            if corrections.thing and not corrections.thing_done:
                return run_id, corrections.thing
        return 0, ""

    def say(self, run_id: int, body: "AnyAfter", utc_ms: int) -> "Correction":
        """Write one down; it is on disk when this returns. Raises LogError and its kinds."""
        from pacer.run.corrections import Correction

        must_write(self._records)
        query = (
            "INSERT INTO after_event (run_id, number, utc_ms, kind, body) "
            "SELECT ?1, coalesce(max(number) + 1, 0), ?2, ?3, ?4 FROM after_event "
            "WHERE run_id = ?1 AND typeof(number) = 'integer' RETURNING number"
        )
        values = (run_id, utc_ms, body.kind, body.model_dump_json())
        try:
            ((number,),) = self._rows(query, values)
        except LogError as error:
            if isinstance(error.__cause__, sqlite3.IntegrityError):
                raise LogError(_("This day record was deleted meanwhile.")) from error
            raise
        return Correction(int(number), utc_ms, body)

    def take_back(self, run_id: int, number: int, utc_ms: int) -> "Correction":
        """Take an earlier one back, which is one more. Raises LogError and its kinds."""
        from pacer.run.corrections import TakenBack

        return self.say(run_id, TakenBack(target=number), utc_ms)

    def _read(self, where: str, values: tuple[int, ...]) -> dict[int, list["Correction"]]:
        query = f"SELECT run_id, number, utc_ms, body FROM after_event {where} ORDER BY run_id, number"
        from pacer.run.corrections import Correction, after_from_json

        by_run: dict[int, list[Correction]] = {}
        for run_id, number, utc_ms, text in self._rows(query, values):
            try:
                event = Correction(int(number), int(utc_ms), after_from_json(text))
            except (ValueError, TypeError):
                continue  # one that nobody can read must not hide the lesson
            by_run.setdefault(run_id, []).append(event)
        return by_run
