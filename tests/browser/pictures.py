"""Reading a screenshot: a PNG to an array, and the contrast of what stands in a box of it."""

from __future__ import annotations

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

#: Weights of relative luminance of linear sRGB: WCAG 2.2, IEC 61966-2-1.
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])


def read_png(data: bytes) -> NDArray[np.float64]:
    """Pixels of an 8-bit RGB or RGBA picture without interlacing, as red, green, blue in 0 to 1."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    place, packed, width, height, channels = 8, b"", 0, 0, 3
    while place < len(data):
        size, kind = struct.unpack(">I4s", data[place : place + 8])
        body = data[place + 8 : place + 8 + size]
        if kind == b"IHDR":
            width, height, depth, colour, _, _, interlace = struct.unpack(">IIBBBBB", body)
            assert (depth, interlace) == (8, 0)
            channels = {2: 3, 6: 4}[colour]
        elif kind == b"IDAT":
            packed += body
        place += 12 + size
    rows = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, 1 + width * channels)
    return _unfiltered(rows, channels).reshape(height, width, channels)[:, :, :3] / 255.0


def _unfiltered(rows: NDArray[np.uint8], step: int) -> NDArray[np.uint8]:
    out = np.zeros((rows.shape[0], rows.shape[1] - 1), np.uint8)
    above = np.zeros(rows.shape[1] - 1, np.uint8)
    for i, row in enumerate(rows):
        line = row[1:].copy()
        if row[0] == 2:
            line += above
        elif row[0]:
            _unfilter_line(line, above, int(row[0]), step)
        out[i] = above = line
    return out


def _unfilter_line(line: NDArray[np.uint8], above: NDArray[np.uint8], kind: int, step: int) -> None:
    current, upper = line.tolist(), above.tolist()
    for x in range(len(current)):
        left = current[x - step] if x >= step else 0
        up, corner = upper[x], upper[x - step] if x >= step else 0
        guess = {1: left, 3: (left + up) // 2, 4: _paeth(left, up, corner)}[kind]
        current[x] = (current[x] + guess) & 255
    line[:] = current


def _paeth(a: int, b: int, c: int) -> int:
    p = a + b - c
    return min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]


def luminance(picture: NDArray[np.float64], dropped: int | None = None) -> NDArray[np.float64]:
    """Relative luminance with one primary taken away, as eyewear takes a band; the rest is scaled to white."""
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    weights = WEIGHTS.copy()
    if dropped is not None:
        weights[dropped] = 0.0
    return linear @ (weights / weights.sum())


def contrast(picture: NDArray[np.float64], dropped: int | None = None) -> float:
    """Contrast between the lightest and the darkest that cover a per cent of a picture or more."""
    light = luminance(picture, dropped).ravel()
    low, high = np.quantile(light, [0.01, 0.99])
    return float((high + 0.05) / (low + 0.05))
