"""The window managers that the real monitors can have: openbox, or another by PACER_WM=xfwm4.

Each gets settings of ours: keys by which an owner moves a window to another monitor, puts all away and closes
one, so that every other key reaches the window, and one desktop.
"""

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

CHOICE = "PACER_WM"
MOVE_KEYS = ("super+F11", "super+F12")
_OPENBOX = """\
<?xml version="1.0" encoding="UTF-8"?>
<openbox_config xmlns="http://openbox.org/3.4/rc">
  <focus><focusNew>yes</focusNew><followMouse>no</followMouse></focus>
  <placement><policy>Smart</policy></placement>
  <desktops><number>1</number><popupTime>0</popupTime></desktops>
  <keyboard>
    <keybind key="W-F10"><action name="ToggleShowDesktop"/></keybind>
    <keybind key="W-F11">
      <action name="Unmaximize"/>
      <action name="MoveResizeTo"><monitor>1</monitor><x>0</x><y>0</y></action>
      <action name="Maximize"/>
    </keybind>
    <keybind key="W-F12">
      <action name="Unmaximize"/>
      <action name="MoveResizeTo"><monitor>2</monitor><x>0</x><y>0</y></action>
      <action name="Maximize"/>
    </keybind>
    <keybind key="A-F4"><action name="Close"/></keybind>
  </keyboard>
  <mouse>
    <context name="Client">
      <mousebind button="Left" action="Press"><action name="Focus"/><action name="Raise"/></mousebind>
    </context>
    <context name="Close">
      <mousebind button="Left" action="Click"><action name="Close"/></mousebind>
    </context>
  </mouse>
</openbox_config>
"""
_XFCE_KEYS = """\
<?xml version="1.0" encoding="UTF-8"?>
<channel name="xfce4-keyboard-shortcuts" version="1.0">
  <property name="xfwm4" type="empty"><property name="custom" type="empty">
    <property name="&lt;Super&gt;F10" type="string" value="show_desktop_key"/>
    <property name="&lt;Alt&gt;F4" type="string" value="close_window_key"/>
    <property name="&lt;Super&gt;F11" type="string" value="move_window_to_monitor_left_key"/>
    <property name="&lt;Super&gt;F12" type="string" value="move_window_to_monitor_right_key"/>
    <property name="override" type="bool" value="true"/>
  </property></property>
</channel>
"""
_XFCE_WINDOWS = """\
<?xml version="1.0" encoding="UTF-8"?>
<channel name="xfwm4" version="1.0">
  <property name="general" type="empty">
    <property name="workspace_count" type="int" value="1"/>
    <property name="use_compositing" type="bool" value="false"/>
  </property>
</channel>
"""


@dataclass(frozen=True)
class WindowManager:
    """A manager by name. ``packages`` maps its commands to Debian packages.

    ``prepare`` writes its settings into a folder of its own and returns the command and what it adds to the
    environment.
    """

    name: str
    packages: dict[str, str]
    prepare: Callable[[Path], tuple[list[str], dict[str, str]]]


def _openbox(folder: Path) -> tuple[list[str], dict[str, str]]:
    config = folder / "openbox.xml"
    config.write_text(_OPENBOX)
    return ["openbox", "--sm-disable", "--config-file", str(config)], {}


def _xfwm4(folder: Path) -> tuple[list[str], dict[str, str]]:
    settings = folder / "xfce4" / "xfconf" / "xfce-perchannel-xml"
    settings.mkdir(parents=True)
    (settings / "xfce4-keyboard-shortcuts.xml").write_text(_XFCE_KEYS)
    (settings / "xfwm4.xml").write_text(_XFCE_WINDOWS)
    # It reads its settings over a message bus, which it gets for itself.
    return ["dbus-run-session", "--", "xfwm4", "--sm-client-disable"], {"XDG_CONFIG_HOME": str(folder)}


MANAGERS = {
    manager.name: manager
    for manager in (
        WindowManager("openbox", {"openbox": "openbox"}, _openbox),
        WindowManager(
            "xfwm4", {"xfwm4": "xfwm4", "dbus-run-session": "dbus-daemon", "xfconf-query": "xfconf"}, _xfwm4
        ),
    )
}


def chosen_manager() -> WindowManager:
    """The manager that PACER_WM names; openbox where it names none. KeyError for an unknown one."""
    return MANAGERS[os.environ.get(CHOICE) or "openbox"]
