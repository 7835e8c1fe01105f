"""A third, small monitor for the Desk card beside the laptop and the projector."""

from tests.real_screens.monitors import PROJECTOR, Place, TwoMonitors

OUTPUT = "DUMMY2"
CARD = 2
SIZE = (480, 320)
MODE = (
    "480x320",
    "12.00",
    "480",
    "496",
    "536",
    "592",
    "320",
    "323",
    "333",
    "337",
)


class CardMonitor:
    """DUMMY2, dark until it is plugged in; the other two stay as they are."""

    def __init__(self, monitors: TwoMonitors) -> None:
        self.monitors = monitors
        modes = monitors.run_tool("xrandr")
        if MODE[0] not in modes:
            monitors.run_tool("xrandr", "--newmode", *MODE)
            monitors.run_tool("xrandr", "--addmode", OUTPUT, MODE[0])

    def plug(self, x: int = 2648, y: int = 0) -> None:
        """Light it with its upper left corner at a place of the whole X screen."""
        self.monitors.tell("plug the card's")
        self.monitors.run_tool("xrandr", "--output", OUTPUT, "--mode", MODE[0], "--pos", f"{x}x{y}")
        self.monitors.tell("")

    def mirror(self) -> None:
        """It shows the upper left part of what the projector shows."""
        place = self.monitors.place(PROJECTOR)
        assert place is not None
        self.plug(place[0], place[1])

    def unplug(self) -> None:
        """Dark again."""
        self.monitors.tell("unplug the card's")
        self.monitors.run_tool("xrandr", "--output", OUTPUT, "--off")
        self.monitors.tell("")

    def swap_with_projector(self) -> None:
        """The card's monitor lies where the projector began, the projector right of it."""
        self.monitors.tell("swap places")
        self.monitors.run_tool(
            "xrandr", "--output", OUTPUT, "--pos", "1368x0", "--output", "DUMMY1", "--pos", "1848x0"
        )
        self.monitors.tell("")

    @property
    def place(self) -> Place:
        """Where it is lit now; LookupError when it is not."""
        found = self.monitors.monitor(CARD)
        return found.x, found.y, found.width, found.height
