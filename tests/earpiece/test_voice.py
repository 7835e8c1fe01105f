"""Each system's own voice is found where it is."""

import os
import stat

import pytest

from pacer.earpiece.voice import find_voice


@pytest.mark.parametrize(
    ("platform", "command"), [("linux", "espeak-ng"), ("darwin", "say"), ("win32", "powershell")]
)
def test_each_system_s_own_voice_is_found_where_it_is(tmp_path, monkeypatch, platform, command):
    monkeypatch.setenv("PATH", str(tmp_path))
    assert find_voice(platform) is None
    program = tmp_path / (f"{command}.exe" if os.name == "nt" else command)
    program.write_text("")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    voice = find_voice(platform)
    assert voice(tmp_path / "words.wav")[0] == command
