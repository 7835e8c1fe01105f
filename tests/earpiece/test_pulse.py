"""A sound plays on the chosen output of a real sound server, or nowhere: unplugged, switched, server gone."""

from collections.abc import Iterator

import numpy as np
import pytest

from pacer.earpiece import pulse
from pacer.earpiece.outputs import Output
from pacer.earpiece.patterns import RATE_HZ
from pacer.earpiece.pulse import Pulse
from tests.earpiece.samples import pattern
from tests.earpiece.sound_server import (
    EARBUD,
    NAMES,
    PROJECTOR,
    SPEAKERS,
    SoundServer,
    best_match,
    listen,
    need_tools,
    until,
)

EAR = Output(EARBUD, NAMES[EARBUD])
OTHERS = (SPEAKERS, PROJECTOR)
LONG = np.tile(pattern("move_on"), 38)  # half a minute: what happens in it does, on a busy machine too
WHOLE = np.tile(pattern("move_on"), 8)  # one that is heard to its end
NO_MORE_S = 1.6  # of silence: nothing comes any more


@pytest.fixture
def server() -> Iterator[SoundServer]:
    need_tools()
    made = SoundServer()
    yield made
    made.shut()


@pytest.fixture
def client(server, monkeypatch) -> Iterator[Pulse]:
    """Connected, and told what there is; ``told`` counts how often that changed."""
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    told: list[object] = []
    made = Pulse(lambda: told.append(made.outputs))
    made.told = told
    wait(made, lambda: made.outputs is not None, "the list of outputs")
    yield made
    made.close()


def wait(client, holds, what):
    """Carry the client on until something holds."""

    def turned():
        client.turn()
        return holds()

    until(turned, what)


def play_to_the_end(client, samples, output=EAR):
    assert client.play(output, samples.tobytes(), RATE_HZ)
    wait(client, lambda: not client.is_playing, "the end of the sound")


def begin_long(client, recorder, output=EAR, sound=LONG):
    """Begin a long sound and come back while it plays."""
    before_ms = recorder.heard_ms()
    assert client.play(output, sound.tobytes(), RATE_HZ)
    wait(client, lambda: recorder.heard_ms() > before_ms + 100, "a sound")
    assert client.is_playing


def play_until_heard(client, server, output=EAR, sound=LONG):
    (recorder,) = listen(server, output.id)
    begin_long(client, recorder, output, sound)
    return recorder


def loudest(recorder):
    return int(np.abs(recorder.samples().astype(int)).max())


def likeness(samples, wanted):
    return best_match(samples, wanted)[0]


def test_it_tells_every_output_by_its_id_and_its_name(client):
    assert set(client.outputs) == {Output(id_, name) for id_, name in NAMES.items()}


def test_what_is_played_is_heard_on_the_chosen_output_sample_for_sample_and_on_no_other(client, server):
    recorders = dict(zip(NAMES, listen(server, *NAMES), strict=True))
    play_to_the_end(client, pattern("borrowing"))
    heard = recorders[EARBUD].samples()
    assert likeness(heard, pattern("borrowing")) > 0.99
    assert loudest(recorders[EARBUD]) == np.abs(pattern("borrowing").astype(int)).max()
    assert [loudest(recorders[name]) for name in OTHERS] == [0, 0]


@pytest.mark.slow
def test_the_patterns_are_not_taken_for_one_another_where_they_are_heard(client, server):
    (recorder,) = listen(server, EARBUD)
    play_to_the_end(client, pattern("closing"))
    heard = recorder.samples()
    assert likeness(heard, pattern("closing")) > 0.99
    assert max(likeness(heard, pattern(cue)) for cue in ("borrowing", "move_on", "visit_up")) < 0.8


def test_unplugged_in_the_middle_of_a_sound_it_is_silent_and_nothing_moves_to_another_output(client, server):
    *others, recorder = listen(server, *OTHERS, EARBUD)
    begin_long(client, recorder)
    server.unplug(EARBUD)
    wait(client, lambda: not client.is_playing and EAR not in client.outputs, "the output going")
    assert server.streams() == []
    end_s = max(recorder.seconds for recorder in others) + NO_MORE_S  # by the recorders' own time
    until(lambda: min(recorder.seconds for recorder in others) > end_s, "the rest of the recording")
    assert [loudest(recorder) for recorder in others] == [0, 0]


@pytest.mark.slow
def test_nobody_needs_to_look_for_it_to_be_silent_at_once(client, server):
    """The server itself ends the stream: a program that stands still moves no sound to the class."""
    *others, recorder = listen(server, *OTHERS, EARBUD)
    begin_long(client, recorder)
    server.unplug(EARBUD)
    assert server.streams() == []
    assert [loudest(recorder) for recorder in others] == [0, 0]


@pytest.mark.slow
def test_it_does_not_play_where_the_output_is_gone_and_does_again_when_it_is_back(client, server):
    server.unplug(EARBUD)
    wait(client, lambda: EAR not in client.outputs, "the output going")
    assert not client.play(EAR, LONG.tobytes(), RATE_HZ)
    assert server.streams() == []
    server.plug(EARBUD)
    wait(client, lambda: EAR in client.outputs, "the output coming back")
    (recorder,) = listen(server, EARBUD)
    play_to_the_end(client, pattern("visit_up"))
    assert likeness(recorder.samples(), pattern("visit_up")) > 0.99


@pytest.mark.slow
def test_it_does_not_play_on_an_output_that_went_a_moment_ago_unheard_of(client, server):
    server.unplug(EARBUD)
    others = listen(server, *OTHERS)
    client.play(EAR, LONG.tobytes(), RATE_HZ)  # it has not been told yet
    wait(client, lambda: not client.is_playing, "the refusal")
    assert server.streams() == []
    assert [loudest(recorder) for recorder in others] == [0, 0]


@pytest.mark.slow
def test_another_default_output_makes_no_difference_in_the_middle_of_a_sound(client, server):
    projector, recorder = listen(server, PROJECTOR, EARBUD)
    begin_long(client, recorder, sound=WHOLE)
    server.make_default(PROJECTOR)
    wait(client, lambda: not client.is_playing, "the end of the sound")
    assert likeness(recorder.samples(), WHOLE) > 0.99
    assert loudest(projector) == 0


@pytest.mark.slow
def test_a_chosen_output_that_was_the_default_is_not_followed_to_the_next_default(client, server):
    server.make_default(EARBUD)
    others = listen(server, *OTHERS)
    assert client.play(EAR, WHOLE.tobytes(), RATE_HZ)
    wait(client, server.streams, "the stream")
    server.make_default(PROJECTOR)
    wait(client, lambda: not client.is_playing, "the end of the sound")
    assert [loudest(other) for other in others] == [0, 0]


@pytest.mark.slow
def test_another_output_that_comes_or_goes_does_not_end_a_sound(client, server):
    recorder = play_until_heard(client, server, sound=WHOLE)
    server.unplug(PROJECTOR)
    wait(client, lambda: len(client.outputs) == 2, "the projector going")
    wait(client, lambda: not client.is_playing, "the end of the sound")
    assert likeness(recorder.samples(), WHOLE) > 0.99


@pytest.mark.slow
def test_a_stop_is_heard_at_once_and_a_new_sound_takes_the_place_of_one_that_plays(client, server):
    recorder = play_until_heard(client, server)
    client.stop()
    assert not client.is_playing
    until(lambda: not server.streams(), "the end of the stream")
    begin_long(client, recorder)
    play_to_the_end(client, pattern("closing"))
    assert server.streams() == []
    assert recorder.heard_ms() < len(LONG) * 1000 / RATE_HZ


def test_a_sound_that_is_stopped_while_the_server_still_makes_its_stream_leaves_none(client, server):
    assert client.play(EAR, LONG.tobytes(), RATE_HZ)
    client.stop()
    assert client.play(EAR, LONG.tobytes(), RATE_HZ)
    wait(client, lambda: len(server.streams()) == 1, "one stream alone")
    client.stop()
    wait(client, lambda: not server.streams(), "the end of the second")


@pytest.mark.slow
def test_a_server_that_ends_leaves_no_outputs_and_no_error(client, server):
    play_until_heard(client, server)
    server.end()
    wait(client, lambda: client.is_lost, "the loss of the server")
    assert client.outputs == ()
    assert not client.is_playing
    assert not client.play(EAR, LONG.tobytes(), RATE_HZ)


def test_without_a_server_there_are_no_outputs_and_none_is_started(server, monkeypatch):
    monkeypatch.setenv("PULSE_SERVER", f"unix:{server.folder}/nobody")
    client = Pulse(lambda: None)
    wait(client, lambda: client.is_lost, "the answer that nobody is there")
    assert client.outputs == ()
    client.close()


def test_a_client_that_is_closed_can_be_asked_and_closed_again(client):
    client.close()
    client.turn()
    assert client.is_lost
    assert not client.play(EAR, LONG.tobytes(), RATE_HZ)
    client.close()


def test_the_port_in_use_is_part_of_what_is_chosen():
    """Unplugged headphones leave the same sink with its loudspeakers: another id, another name."""
    sink = pulse._Sink(name=b"card-0", description=b"Built-in", n_ports=2)
    sink.active_port = pulse.ct.pointer(pulse._Port(b"headphones", b"Headphones"))
    assert pulse._output(sink) == Output("card-0 headphones", "Built-in, Headphones")
    sink.active_port = pulse.ct.pointer(pulse._Port(b"speaker", b"Speaker"))
    assert pulse._output(sink) == Output("card-0 speaker", "Built-in, Speaker")


def test_a_system_without_the_library_says_so(monkeypatch):
    monkeypatch.setattr(pulse, "LIBRARY", "libnone.so.0")
    with pytest.raises(OSError, match="libnone"):
        Pulse(lambda: None)
