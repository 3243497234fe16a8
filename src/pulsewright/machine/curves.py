"""Measured curves: files of two columns in the bench folder, read into frozen records, with every fault told.

A curve is a transmission, a reflectivity or a spectrum against vacuum wavelength. What the file says is kept as
it is, but sorted, averaged where it repeats itself or has far more points than matter, and cut at its physical ends
where it misses them by no more than noise. Nothing that is no number comes out.
"""

from __future__ import annotations

import stat
from collections import OrderedDict
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, Literal, NoReturn

from pulsewright.machine.columns import LEAST_POINTS, Columns, Told, UnusableError, read_columns

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Float = NDArray[np.float64]

#: Larger files are refused before they are read. [byte]
LARGEST_CURVE = 64 << 20
#: Points kept of a longer file.
MOST_POINTS = 2000
#: Beyond 0 or 1 by at most this part of the highest value counts as noise. Common practice, no source.
NOISE = 0.03
#: Rows of one wavelength that lie further apart than this part of the highest value contradict each other.
CONTRADICTION = 0.1
#: A step is a hole when it is so many times as wide as those beside it, and at least so wide. [-], [m]
HOLE, HOLE_WIDTH = 6.0, 2e-9

#: What a curve is: a fraction from 0 to 1, or a spectrum of any scale.
Use = Literal["fraction", "spectrum"]

#: Curves kept in memory.
_KEPT = 32
_kept: OrderedDict[tuple[str, str, Use], tuple[Any, Read]] = OrderedDict()
_lock = Lock()


@dataclass(frozen=True)
class MeasuredCurve:
    """A measured curve. Compares by value.

    Parameters
    ----------
    wavelength : tuple of float
        Vacuum wavelength, increasing. [m]
    values : tuple of float
        Finite, not negative; a fraction at most 1.
    sha256 : str
        Of the bytes of the file.
    rows : int
        Rows read.
    file : str
        Name in the bench folder.
    """

    wavelength: tuple[float, ...]
    values: tuple[float, ...]
    sha256: str
    rows: int
    file: str

    def __hash__(self) -> int:
        return hash((self.sha256, len(self.values)))

    @cached_property
    def _arrays(self) -> tuple[Float, Float]:
        import numpy as np  # noqa: PLC0415  machine is read without numpy

        return np.array(self.wavelength), np.array(self.values)

    def at(self, wavelength: Any) -> Float:
        """Values at wavelengths [m], interpolated linearly; outside the file its end values hold."""
        import numpy as np  # noqa: PLC0415  machine is read without numpy

        return np.asarray(np.interp(wavelength, *self._arrays), dtype=np.float64)

    @cached_property
    def peak(self) -> tuple[float, float]:
        """Wavelength and value of the highest point."""
        place = max(range(len(self.values)), key=self.values.__getitem__)
        return self.wavelength[place], self.values[place]


@dataclass(frozen=True, slots=True)
class Read:
    """A file as read: the curve, or None when it cannot be used, and what is to be told."""

    curve: MeasuredCurve | None
    told: tuple[Told, ...]


def read_curve(folder: Path, name: str, use: Use) -> Read:
    """Read a file of the bench folder; every fault is told, nothing is raised for one.

    The same file is not parsed again while its place, size and times stay.
    """
    try:
        path, signature = _place(folder, name)
        with _lock:
            kept = _kept.get((str(path), name, use))
            if kept is not None and kept[0] == signature:
                _kept.move_to_end((str(path), name, use))
                return kept[1]
        read = _parsed(_content(path), name, use)
    except UnusableError as refused:
        return Read(None, (refused.told,))
    with _lock:
        _kept[(str(path), name, use)] = signature, read
        while len(_kept) > _KEPT:
            _kept.popitem(last=False)
    return read


# The file --------------------------------------------------------------------------------------


def _place(folder: Path, name: str) -> tuple[Path, tuple[int, ...]]:
    """Path and signature of a regular file inside the folder."""
    inside = "A file in the bench folder, beside the build file"
    try:
        path = (folder / name).resolve(strict=True)
        if not path.is_relative_to(folder.resolve()):
            message = f'"{name}" leads out of the bench folder'
            raise UnusableError(message, inside, "Copy the file into the bench folder")
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        step = _alike(folder, name) or "Put the file there, or correct its name"
        raise UnusableError(f'there is no file "{name}" in the bench folder', inside, step) from None
    except (OSError, ValueError, RuntimeError) as wrong:
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        raise UnusableError(f'"{name}" cannot be read ({reason})', inside, "Check its name and permissions") from None
    if not stat.S_ISREG(found.st_mode):
        raise UnusableError(f'"{name}" is no file', inside, "Name the file itself")
    if found.st_size > LARGEST_CURVE:
        message = f'"{name}" has {found.st_size / 1e6:.3g} MB'
        raise UnusableError(message, f"At most {LARGEST_CURVE >> 20} MiB", "Export fewer points")
    return path, (found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino)


def _alike(folder: Path, name: str) -> str:
    """A step with the name in the folder that is closest; empty when none is close."""
    try:
        there = sorted(item.name for item in folder.iterdir())
    except OSError:
        return ""
    near = get_close_matches(name, there, n=1, cutoff=0.6)
    return f'Perhaps "{near[0]}" was meant' if near else ""


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_CURVE + 1)
    except OSError as wrong:
        reason = wrong.strerror or type(wrong).__name__
        message = f'"{path.name}" cannot be read ({reason})'
        raise UnusableError(message, "A readable file", "Check its permissions") from None
    if len(content) > LARGEST_CURVE:
        raise UnusableError(
            f'"{path.name}" grows while it is read', f"At most {LARGEST_CURVE >> 20} MiB", "Read it again"
        )
    return content


def _parsed(content: bytes, name: str, use: Use) -> Read:
    told: list[Told] = []
    try:
        columns = read_columns(content)
        values = _values(columns, use, told)
        wavelength, values = _settled(columns, values, told)
    except UnusableError as refused:
        return Read(None, (*told, refused.told))
    digest = sha256(content).hexdigest()
    curve = MeasuredCurve(tuple(wavelength.tolist()), tuple(values.tolist()), digest, len(columns.values), name)
    return Read(curve, tuple(told))


# Values ----------------------------------------------------------------------------------------


def _values(columns: Columns, use: Use, told: list[Told]) -> Float:
    """The second column in its physical range."""
    values = columns.values
    if columns.per_cent and use == "fraction":
        values = values / 100.0
        told.append(Told("note", "the header says per cent; the values are divided by 100", "", ""))
    top = int(values.argmax())
    highest = float(values[top])
    if not 1e-12 < highest < 1e12:
        message = f"the highest value is {highest:g}, which is no curve"
        raise UnusableError(
            message, "A highest value above 1e-12 and below 1e12", "Check the second column", columns.line(top)
        )
    if use == "fraction" and highest > 1.0 + NOISE:
        _refuse_per_cent(highest, columns.line(top))
    values = _cut_low(columns, values, highest, told)
    if use == "fraction" and highest > 1.0:
        message = f"values up to {highest:.4g} are above 1, by no more than noise; they are cut at 1"
        told.append(Told("warning", message, "0 to 1", "Check the reference of the measurement", columns.line(top)))
        values = values.clip(0.0, 1.0)
    return values


def _refuse_per_cent(highest: float, line: int) -> NoReturn:
    if highest <= 100.0 * (1.0 + NOISE):
        message = f"values up to {highest:.4g} are no fraction; they look like per cent, 100 times as large"
        step = (
            f'Write {highest / 100:.4g} instead of {highest:.4g}, or say it in the header: "wavelength (nm), value (%)"'
        )
    else:
        message = f"values up to {highest:.4g} are no fraction"
        step = "Check the second column; a fraction is the part of the light, such as 0.985"
    raise UnusableError(message, "0 to 1", step, line)


def _cut_low(columns: Columns, values: Float, highest: float, told: list[Told]) -> Float:
    """Values cut at 0 where they lie below it by no more than noise."""
    low = int(values.argmin())
    lowest = float(values[low])
    if lowest >= 0.0:
        return values
    share = -lowest / highest
    if share > NOISE:
        message = f"{lowest:.4g} is negative, {100 * share:.3g} % of the highest value and so no noise"
        raise UnusableError(
            message, f"0 or more, noise to {100 * NOISE:g} %", "Take off the baseline", columns.line(low)
        )
    count = int((values < 0.0).sum())
    times = "1 value is" if count == 1 else f"{count} values are"
    message = f"{times} negative, down to {lowest:.3g}, no more than noise; cut at 0"
    told.append(Told("warning", message, "0 or more", "Check the baseline", columns.line(low)))
    return values.clip(0.0, None)


# Order -----------------------------------------------------------------------------------------


def _settled(columns: Columns, values: Float, told: list[Told]) -> tuple[Float, Float]:
    """Sorted, one value a wavelength, at most `MOST_POINTS`, holes told."""
    import numpy as np  # noqa: PLC0415  machine is read without numpy

    wavelength = columns.wavelength
    backwards = np.flatnonzero(np.diff(wavelength) < 0.0)
    order = np.argsort(wavelength, kind="stable")
    if backwards.size:
        falling = backwards.size == wavelength.size - 1
        message = "wavelengths fall" if falling else f"wavelengths go back {backwards.size} times"
        told.append(Told("note", f"{message}; the rows are sorted", "", "", columns.line(int(backwards[0]) + 1)))
    wavelength, values = wavelength[order], values[order]
    first = np.flatnonzero(np.concatenate(([True], np.diff(wavelength) > 0.0)))
    if first.size < wavelength.size:
        wavelength, values = _averaged(columns, order, first, wavelength, values, told)
    if wavelength.size < LEAST_POINTS:
        message = f"the file has {wavelength.size} different wavelengths"
        raise UnusableError(message, f"At least {LEAST_POINTS}", "Export the whole curve")
    _tell_holes(wavelength, told)
    return _thinned(wavelength, values, told)


def _averaged(
    columns: Columns, order: Any, first: Any, wavelength: Float, values: Float, told: list[Told]
) -> tuple[Float, Float]:
    """One row a wavelength; rows that contradict each other are refused."""
    import numpy as np  # noqa: PLC0415  machine is read without numpy

    spread = np.maximum.reduceat(values, first) - np.minimum.reduceat(values, first)
    counts = np.diff(np.append(first, values.size))
    worst = int(spread.argmax())
    if spread[worst] > CONTRADICTION * values.max():
        rows = order[first[worst] : first[worst] + counts[worst]]
        group = values[first[worst] : first[worst] + counts[worst]]
        low, high = (columns.line(int(rows[at])) for at in (int(group.argmin()), int(group.argmax())))
        message = (
            f"{wavelength[first[worst]] * 1e9:.6g} nm stands there {counts[worst]} times, with {group.min():.4g} "
            f"(line {low}) and {group.max():.4g} (line {high})"
        )
        raise UnusableError(message, "One value a wavelength", "Keep one of the rows; two curves need two files", high)
    repeated = int((counts > 1).sum())
    told.append(Told("note", f"{repeated} wavelengths stand there more than once; their values are averaged", "", ""))
    return wavelength[first], np.add.reduceat(values, first) / counts


def _tell_holes(wavelength: Float, told: list[Told]) -> None:
    import numpy as np  # noqa: PLC0415  machine is read without numpy

    step = np.diff(wavelength)
    beside = np.maximum(np.append(step[1:], 0.0), np.append(0.0, step[:-1]))
    holes = np.flatnonzero((step > HOLE * beside) & (step > HOLE_WIDTH))
    if not holes.size:
        return
    widest = int(holes[step[holes].argmax()])
    others = "" if holes.size == 1 else f", and {holes.size - 1} more such holes"
    message = (
        f"no rows from {wavelength[widest] * 1e9:.5g} to {wavelength[widest + 1] * 1e9:.5g} nm{others}; the curve is "
        "interpolated across"
    )
    told.append(Told("warning", message, f"Steps up to {HOLE:g} times those beside them", "Measure what is missing"))


def _thinned(wavelength: Float, values: Float, told: list[Told]) -> tuple[Float, Float]:
    """Neighbours averaged where the file has more points than matter."""
    import numpy as np  # noqa: PLC0415  machine is read without numpy

    if wavelength.size <= MOST_POINTS:
        return wavelength, values
    edges = np.linspace(0, wavelength.size, MOST_POINTS + 1).astype(np.int64)[:-1]
    counts = np.diff(np.append(edges, wavelength.size))
    told.append(Told("note", f"{wavelength.size} points are averaged down to {MOST_POINTS}", "", ""))
    wavelength, values = np.add.reduceat(wavelength, edges) / counts, np.add.reduceat(values, edges) / counts
    apart = np.concatenate(([True], np.diff(wavelength) > 0.0))  # the means of wavelengths one bit apart may be equal
    return wavelength[apart], values[apart]
