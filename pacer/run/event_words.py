"""The plain names that events, settings and day records share: modes, endings, faces, fills, edges, cues.

They stand apart from the events, whose models take time to be made: a start reads settings and lists lessons
without them.
"""

from typing import Literal

Ending = Literal["done", "moved on", "unsaid", "bell", "interrupted", "skipped"]
Face = Literal["full", "strip", "off"]
Fill = Literal["countdown", "problem", "picture"]
Edge = Literal["bottom", "top", "left", "right"]
Mode = Literal["live", "rehearsal", "demo", "baseline"]
"""Baseline: a live lesson in which the Desk gave no warnings, to compare with."""
Cue = Literal["borrowing", "move_on", "talk", "quiet"]
"""A stage that is reached, a long stretch of teacher talk, or a long time without any press."""
