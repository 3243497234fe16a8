"""One reply for a whole sheet: a JSON head, then every curve as float32, in one binary block.

Layout: length of the head in bytes (uint32, little-endian), the head (UTF-8, padded with blanks to a multiple of
four), then float32 values, little-endian. In the head an array stands as `[first value, number of values]`.
"""

from __future__ import annotations

import json
from typing import Any

import numpy as np
from numpy.typing import NDArray

MEDIA_TYPE = "application/octet-stream"


class Block:
    """Collects arrays and says where each lies."""

    def __init__(self) -> None:
        self._parts: list[NDArray[np.float32]] = []
        self._size = 0

    def place(self, values: NDArray[np.float64]) -> list[int]:
        """Add an array; its place."""
        part = np.ascontiguousarray(values, dtype="<f4").ravel()
        place = [self._size, int(part.size)]
        self._parts.append(part)
        self._size += part.size
        return place

    def frame(self, head: dict[str, Any]) -> bytes:
        """The reply: head and arrays."""
        text = json.dumps(head, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
        text += b" " * (-len(text) % 4)
        return len(text).to_bytes(4, "little") + text + b"".join(part.tobytes() for part in self._parts)


def read(reply: bytes) -> tuple[dict[str, Any], NDArray[np.float32]]:
    """Take a reply apart, as the page does; for tests and tools."""
    size = int.from_bytes(reply[:4], "little")
    return json.loads(reply[4 : 4 + size]), np.frombuffer(reply[4 + size :], dtype="<f4")
