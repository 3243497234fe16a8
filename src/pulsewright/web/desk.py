"""The open bench of one server, with what is kept between requests: the saved build's shot, and the jobs."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from pulsewright.errors import PulsewrightError
from pulsewright.records import Envelope, Shot
from pulsewright.web.jobs import Job, Jobs, Progress, StoppedError, job_id
from pulsewright.web.size import read_wish
from pulsewright.web.works import WORKS as ON_SHEETS
from pulsewright.web.works import parted, read_form
from pulsewright.workbench import Bench, size_bank

CHARGE = "bank.charge_voltage"
Ask = Callable[[Any, Mapping[str, str], Progress], Any]
#: Shots drawn for the sampled interval.
SAMPLES = 200


def _fill(bench: Any, texts: Mapping[str, str], progress: Progress) -> Any:
    """The life of the fill of a draft, over as many shots as the form says."""
    draft, form = parted(texts)
    asked = read_form(ON_SHEETS["fill"], form)
    return bench.fill_life(shots=int(asked["shots"][0]), overrides=draft, progress=progress)


def _size_dye(bench: Any, texts: Mapping[str, str], progress: Progress) -> Any:
    """Concentration, coupler and bore of a draft, over the lists of the form."""
    draft, form = parted(texts)
    lists = {key: np.array(values) for key, values in read_form(ON_SHEETS["size_dye"], form).items()}
    return bench.size_dye(overrides=draft, progress=progress, **lists)


#: Long work by kind.
WORKS: Mapping[str, Ask] = {
    "envelope": lambda bench, draft, progress: bench.envelope(overrides=draft, progress=progress),
    "interval": lambda bench, draft, _: bench.shot(overrides=draft, interval=True),
    "sampled": lambda bench, draft, progress: bench.shot(overrides=draft, samples=SAMPLES, progress=progress),
    "size": lambda _, wish, progress: size_bank(read_wish(wish), progress=progress),
    "fill": _fill,
    "size-dye": _size_dye,
    "take-off": lambda bench, draft, progress: bench.take_off("lamp_field", overrides=draft, progress=progress),
    "take-off by bore": lambda bench, draft, progress: bench.take_off("bore", overrides=draft, progress=progress),
}
#: Work over a range of charge voltages of its own.
_WITHOUT_CHARGE = ("envelope", "take-off")


def _asked(kind: str, draft: Mapping[str, str]) -> dict[str, str]:
    """The part of a draft that a kind of work hangs on."""
    return {path: text for path, text in draft.items() if path != CHARGE or kind not in _WITHOUT_CHARGE}


class Desk:
    """One bench and its work in hand."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.jobs = Jobs()
        self._lock = threading.Lock()
        self._live = threading.Lock()
        self._signature = self.bench.signature()
        self._saved: tuple[str, Shot | None] = ("", None)

    def refresh(self) -> None:
        """Read the build file again when it, or a measured file that it names, was changed by someone else."""
        with self._lock:
            if self.bench.signature() != self._signature:
                self.bench.reload()
                self._signature = self.bench.signature()

    def write(self, draft: Mapping[str, str], sha: str) -> None:
        """Write a draft into the build file that was read with this hash."""
        with self._lock:
            self.bench.write(draft, sha)
            self._signature = self.bench.signature()

    def shot(self, draft: Mapping[str, str]) -> Shot:
        """One shot of a draft, without interval."""
        with self._live:
            return self.bench.shot(overrides=draft, interval=False)

    def live(self, draft: Mapping[str, str]) -> tuple[Shot, bool]:
        """One live shot, and whether by the closed form: a chamber that was not traced yet is not traced for it."""
        self.jobs.make_way()
        quick = not self.bench.is_traced(draft)
        with self._live:
            found = self.bench.shot(overrides=draft, interval=False, quick=quick)
        self.jobs.make_way()
        return found, quick

    def rays(self, draft: Mapping[str, str]) -> Any:
        """Some rays of a draft's chamber; None where they cannot be traced."""
        try:
            return self.bench.ray_sample(overrides=draft)
        except PulsewrightError:
            return None

    def saved_shot(self) -> Shot | None:
        """The saved build's own shot, for the ghosts; None where it cannot be computed."""
        sha = self.bench.content_sha256
        if self._saved[0] != sha:
            try:
                self._saved = (sha, self.shot({}))
            except PulsewrightError:
                self._saved = (sha, None)
        return self._saved[1]

    def warm(self) -> None:
        """Compute the saved build's shot in the background, so that the first page does not wait for compiled code."""

        def work(_: Progress) -> None:
            self.saved_shot()

        self.jobs.start("warm", self.bench.content_sha256, {}, work)

    def start(self, kind: str, draft: Mapping[str, str]) -> Job:
        """Start long work on a draft, or find it."""
        bench, sha = self.bench, self.bench.content_sha256
        asked, ask = _asked(kind, draft), WORKS[kind]

        def work(progress: Progress) -> Any:
            if bench.content_sha256 != sha:
                raise StoppedError
            return ask(bench, asked, progress)

        return self.jobs.start(kind, sha, asked, work)

    def find(self, kind: str, draft: Mapping[str, str]) -> Job | None:
        """Long work on a draft, if it was started."""
        return self.jobs.get(job_id(kind, self.bench.content_sha256, _asked(kind, draft)))

    def saved_envelope(self) -> Envelope | None:
        """The saved build's envelope, if it has been worked out."""
        job = self.jobs.get(job_id("envelope", self.bench.content_sha256, {}))
        return job.result if job is not None and isinstance(job.result, Envelope) else None
