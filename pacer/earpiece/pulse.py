"""Speaks to PulseAudio (or PipeWire in its place): which outputs there are, and a sound on one of them only.

Qt's own sound lets that server move what plays to the default output when its output goes, and is not told
that it went. A stream that may not be moved needs the server's own library.
"""

import ctypes as ct
from collections.abc import Callable
from typing import Any

from pacer.earpiece.outputs import Output

LIBRARY = "libpulse.so.0"
MOST_TURNS = 64  # of its loop at a time, so that a busy server keeps nobody waiting
LATENCY_MS = 60

# Values of libpulse's enumerations (pulse/def.h and pulse/sample.h), part of its stable interface.
_CONTEXT_READY, _CONTEXT_FAILED = 4, 5
_CONTEXT_NOAUTOSPAWN = 1
_STREAM_CREATING, _STREAM_READY, _STREAM_FAILED = 1, 2, 3
_STREAM_DONT_MOVE, _STREAM_ADJUST_LATENCY = 0x0200, 0x2000
_SUBSCRIBE_SINKS = 1
_OPERATION_RUNNING = 0
_S16LE = 3
_ANY = 0xFFFFFFFF


class _SampleSpec(ct.Structure):
    _fields_ = (("format", ct.c_int), ("rate", ct.c_uint32), ("channels", ct.c_uint8))


class _BufferAttr(ct.Structure):
    _fields_ = tuple((name, ct.c_uint32) for name in ("maxlength", "tlength", "prebuf", "minreq", "fragsize"))


class _Port(ct.Structure):
    """The beginning of ``pa_sink_port_info``: all that is read here."""

    _fields_ = (("name", ct.c_char_p), ("description", ct.c_char_p))


class _Sink(ct.Structure):
    """``pa_sink_info`` of pulse/introspect.h up to the port that is in use."""

    _fields_ = (
        ("name", ct.c_char_p),
        ("index", ct.c_uint32),
        ("description", ct.c_char_p),
        ("sample_spec", _SampleSpec),
        ("map_channels", ct.c_uint8),
        ("map", ct.c_int * 32),
        ("owner_module", ct.c_uint32),
        ("volume_channels", ct.c_uint8),
        ("volumes", ct.c_uint32 * 32),
        ("mute", ct.c_int),
        ("monitor_source", ct.c_uint32),
        ("monitor_source_name", ct.c_char_p),
        ("latency", ct.c_uint64),
        ("driver", ct.c_char_p),
        ("flags", ct.c_int),
        ("proplist", ct.c_void_p),
        ("configured_latency", ct.c_uint64),
        ("base_volume", ct.c_uint32),
        ("state", ct.c_int),
        ("n_volume_steps", ct.c_uint32),
        ("card", ct.c_uint32),
        ("n_ports", ct.c_uint32),
        ("ports", ct.c_void_p),
        ("active_port", ct.POINTER(_Port)),
    )


_ON_SINK = ct.CFUNCTYPE(None, ct.c_void_p, ct.POINTER(_Sink), ct.c_int, ct.c_void_p)
_ON_EVENT = ct.CFUNCTYPE(None, ct.c_void_p, ct.c_int, ct.c_uint32, ct.c_void_p)
_P = ct.c_void_p
_CALLS: tuple[tuple[str, Any, tuple[Any, ...]], ...] = (
    ("pa_mainloop_new", _P, ()),
    ("pa_mainloop_get_api", _P, (_P,)),
    ("pa_mainloop_iterate", ct.c_int, (_P, ct.c_int, _P)),
    ("pa_mainloop_free", None, (_P,)),
    ("pa_context_new", _P, (_P, ct.c_char_p)),
    ("pa_context_connect", ct.c_int, (_P, ct.c_char_p, ct.c_int, _P)),
    ("pa_context_get_state", ct.c_int, (_P,)),
    ("pa_context_disconnect", None, (_P,)),
    ("pa_context_unref", None, (_P,)),
    ("pa_context_set_subscribe_callback", None, (_P, _ON_EVENT, _P)),
    ("pa_context_subscribe", _P, (_P, ct.c_int, _P, _P)),
    ("pa_context_get_sink_info_list", _P, (_P, _ON_SINK, _P)),
    ("pa_operation_get_state", ct.c_int, (_P,)),
    ("pa_operation_unref", None, (_P,)),
    ("pa_stream_new", _P, (_P, ct.c_char_p, ct.POINTER(_SampleSpec), _P)),
    (
        "pa_stream_connect_playback",
        ct.c_int,
        (_P, ct.c_char_p, ct.POINTER(_BufferAttr), ct.c_int, _P, _P),
    ),
    ("pa_stream_get_state", ct.c_int, (_P,)),
    ("pa_stream_write", ct.c_int, (_P, ct.c_char_p, ct.c_size_t, _P, ct.c_int64, ct.c_int)),
    ("pa_stream_drain", _P, (_P, _P, _P)),
    ("pa_stream_disconnect", ct.c_int, (_P,)),
    ("pa_stream_unref", None, (_P,)),
)


class Pulse:
    """A connection to the sound server, made without waiting and carried on by ``turn``.

    ``outputs`` are those there now, None until the server has told; a socket's output that can switch, as
    between loudspeaker and headphones, is one for what is in use. ``changed`` is called when they change.
    Raises OSError where the library is missing.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._pa = _library()
        self._changed = changed
        self.outputs: tuple[Output, ...] | None = None
        self._sinks: dict[Output, bytes] = {}
        self._found: dict[Output, bytes] = {}
        self._is_told = False
        self._subscribed = self._list_is_old = False
        self._listing: int | None = None
        self._stream: int | None = None
        self._ending: list[int] = []
        self._plays: Output | None = None
        self._pcm = b""
        self._draining: int | None = None
        # Kept here: the library holds no reference of its own.
        self._on_sink, self._on_event = _ON_SINK(self._note_sink), _ON_EVENT(self._note_event)
        self._loop = self._pa.pa_mainloop_new()
        self._context = self._pa.pa_context_new(self._pa.pa_mainloop_get_api(self._loop), b"Pacer")
        self._pa.pa_context_connect(self._context, None, _CONTEXT_NOAUTOSPAWN, None)

    @property
    def is_lost(self) -> bool:
        """Whether there is no server any more, or never was one."""
        return not self._context or self._pa.pa_context_get_state(self._context) >= _CONTEXT_FAILED

    @property
    def is_playing(self) -> bool:
        """Whether a sound is under way."""
        return self._stream is not None

    def turn(self) -> None:
        """Carry on with whatever is due, and wait for nothing."""
        for _turn in range(MOST_TURNS):
            if not self._loop or self._pa.pa_mainloop_iterate(self._loop, 0, None) <= 0:
                break
        if self.is_lost:
            self.stop()
            self._end_streams()
            self._tell({})
        elif self._pa.pa_context_get_state(self._context) == _CONTEXT_READY:
            self._keep_playing()
            self._end_streams()
            self._keep_list()

    def play(self, output: Output, pcm: bytes, rate_hz: int) -> bool:
        """Begin to play 16-bit mono samples on an output, in place of what plays; False if it is gone."""
        self.stop()
        sink = self._sinks.get(output)
        if sink is None or self.is_lost:
            return False
        bytes_ms = rate_hz * 2 // 1000
        spec = _SampleSpec(_S16LE, rate_hz, 1)
        wanted = _BufferAttr(_ANY, LATENCY_MS * bytes_ms, min(len(pcm), LATENCY_MS * bytes_ms), _ANY, _ANY)
        self._stream = self._pa.pa_stream_new(self._context, b"Earpiece", ct.byref(spec), None)
        if self._stream is None:
            return False
        self._pcm, self._plays = pcm, output
        flags = _STREAM_DONT_MOVE | _STREAM_ADJUST_LATENCY
        if self._pa.pa_stream_connect_playback(self._stream, sink, ct.byref(wanted), flags, None, None) < 0:
            self.stop()
            return False
        return True

    def stop(self) -> None:
        """Be silent at once."""
        stream, self._stream, self._plays, self._pcm = self._stream, None, None, b""
        if self._draining is not None:
            self._pa.pa_operation_unref(self._draining)
            self._draining = None
        if stream is not None:
            self._ending.append(stream)
            self._end_streams()
            self._pa.pa_mainloop_iterate(self._loop, 0, None)  # sends it

    def close(self) -> None:
        """Leave the server."""
        if not self._loop:
            return
        self.stop()
        if self._listing is not None:
            self._pa.pa_operation_unref(self._listing)
        self._pa.pa_context_disconnect(self._context)
        self._end_streams()
        self._pa.pa_context_unref(self._context)
        self._pa.pa_mainloop_free(self._loop)
        self._loop = self._context = self._listing = None

    def _keep_list(self) -> None:
        """Have the outputs told anew whenever one came, went or changed."""
        if self._is_told and self._listing is not None:
            self._pa.pa_operation_unref(self._listing)
            self._listing, self._is_told = None, False
            self._tell(self._found)
        if not self._subscribed:
            self._subscribed = self._list_is_old = True
            self._pa.pa_context_set_subscribe_callback(self._context, self._on_event, None)
            told = self._pa.pa_context_subscribe(self._context, _SUBSCRIBE_SINKS, None, None)
            if told:
                self._pa.pa_operation_unref(told)
        if self._list_is_old and self._listing is None:
            self._list_is_old = False
            self._found = {}
            self._listing = self._pa.pa_context_get_sink_info_list(self._context, self._on_sink, None)

    def _keep_playing(self) -> None:
        """Hand over the samples once the stream stands; end it when they were heard, or it can't go on."""
        if self._stream is None:
            return
        state = self._pa.pa_stream_get_state(self._stream)
        if state >= _STREAM_FAILED:
            self.stop()
        elif state == _STREAM_READY and self._pcm:
            self._pa.pa_stream_write(self._stream, self._pcm, len(self._pcm), None, 0, 0)
            self._pcm = b""
            self._draining = self._pa.pa_stream_drain(self._stream, None, None)
        elif self._draining is not None and not self._is_draining():
            self.stop()

    def _end_streams(self) -> None:
        """One that the server is still making can't be ended yet: it would stay, without a sound."""
        for stream in self._ending[:]:
            if self._pa.pa_stream_get_state(stream) != _STREAM_CREATING:
                self._pa.pa_stream_disconnect(stream)
                self._pa.pa_stream_unref(stream)
                self._ending.remove(stream)

    def _is_draining(self) -> bool:
        return bool(self._pa.pa_operation_get_state(self._draining) == _OPERATION_RUNNING)

    # The next two are called by the library in the middle of its loop, so they only note what they hear.

    def _note_event(self, _context: int, _event: int, _index: int, _data: int) -> None:
        self._list_is_old = True

    def _note_sink(self, _context: int, sink: Any, last: int, _data: int) -> None:
        if last or not sink:
            self._is_told = True
        else:
            self._found[_output(sink.contents)] = sink.contents.name

    def _tell(self, found: dict[Output, bytes]) -> None:
        self._sinks = found
        if self._plays is not None and self._plays not in found:
            self.stop()
        outputs = tuple(found)
        if outputs != self.outputs:
            self.outputs = outputs
            self._changed()


def _output(sink: _Sink) -> Output:
    """A sink, with the port in use where it has several: unplugged headphones leave another one."""
    words = [_text(sink.description)]
    ids = [_text(sink.name)]
    if sink.n_ports and sink.active_port:
        port = sink.active_port.contents
        ids.append(_text(port.name))
        words.append(_text(port.description))
    return Output(" ".join(ids), ", ".join(filter(None, words)))


def _text(raw: bytes | None) -> str:
    return (raw or b"").decode("utf-8", "replace")


def _library() -> Any:
    """The library, each call with its types. Raises OSError."""
    library = ct.CDLL(LIBRARY)
    for name, result, arguments in _CALLS:
        call = getattr(library, name)
        call.restype, call.argtypes = result, arguments
    return library
