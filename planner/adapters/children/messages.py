"""What goes between this program and its children: pickled messages, each with its length."""

import pickle
import struct
from dataclasses import dataclass
from typing import IO

_HEADER = struct.Struct("<Q")


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request was refused, as plain facts: the exception itself does not travel.

    ``kind`` is ``time``, ``memory``, ``crash`` or ``fault`` (any handler), or what a
    handler defines, such as ``score`` and ``unsupported``.
    """

    kind: str
    reason: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What came of a request; ``peak_mb`` is the largest memory the process has held so far."""

    result: object
    peak_mb: float


def write_message(stream: IO[bytes], message: object) -> None:
    """Send one message."""
    data = pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    stream.write(_HEADER.pack(len(data)) + data)
    stream.flush()


def read_message(stream: IO[bytes]) -> object:
    """Receive one message.

    Raises:
        EOFError: If the other side is gone.
    """
    header = stream.read(_HEADER.size)
    if len(header) < _HEADER.size:
        raise EOFError
    (size,) = _HEADER.unpack(header)
    data = stream.read(size)
    if len(data) < size:
        raise EOFError
    return pickle.loads(data)  # noqa: S301 (our own child or parent wrote it)
