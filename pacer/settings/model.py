"""The teacher's settings, each with a starting value."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

ClockTime = Annotated[str, Field(pattern=r"^([01]?\d|2[0-3]):[0-5]\d$")]


class Settings(BaseModel):
    """Everything the program remembers beside outlines and day records. Unknown keys are kept."""

    model_config = ConfigDict(frozen=True, extra="allow")

    block_start: ClockTime = "9:00"
    start_when_pressed: bool = False
    last_outline: str = ""
    wall_digits: bool = True
    wall_squares: bool = True
    talk_limit_s: int = Field(300, ge=30, le=3600)
    reduced_motion: bool = False
