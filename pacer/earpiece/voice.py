"""A voice of this computer that writes words to a file and says nothing aloud itself, if there is one.

Qt's speech can do that in C++ only: PySide6 has no ``synthesize``, and ``say`` uses the default output. So a
voice is a command: on macOS and Windows it is always there, on Linux often.
"""

import shutil
import sys
from collections.abc import Callable
from pathlib import Path

SpeakTo = Callable[[Path], list[str]]
"""Makes the command that reads words from its input and writes them to a WAV file."""

# The file comes in the environment: in the command itself its name would be read as PowerShell.
FILE_IN_ENVIRONMENT = "PACER_VOICE_FILE"
_WINDOWS = (
    "Add-Type -AssemblyName System.Speech;"
    "[Console]::InputEncoding = [Text.Encoding]::UTF8;"
    "$v = New-Object System.Speech.Synthesis.SpeechSynthesizer;"
    f"$v.SetOutputToWaveFile($env:{FILE_IN_ENVIRONMENT}); $v.Speak([Console]::In.ReadToEnd()); $v.Dispose()"
)
_FILE = "the file"
_COMMANDS = {
    "darwin": ["say", "--file-format=WAVE", "--data-format=LEI16@22050", "-o", _FILE, "-f", "-"],
    "win32": ["powershell", "-NoProfile", "-NonInteractive", "-Command", _WINDOWS],
}


def find_voice(platform: str = sys.platform) -> SpeakTo | None:
    """The voice of this computer, if it has one that writes files."""
    command = _COMMANDS.get(platform, ["espeak-ng", "--stdin", "-w", _FILE])
    if shutil.which(command[0]) is None:
        return None
    return lambda path: [str(path) if part == _FILE else part for part in command]
