"""Long work on worker threads of this process; its state is kept here, so that a reload finds it again.

A job is known by what it computes. Asking twice for the same thing gives the same job, running or done. Nothing is
ever forked. The threads yield to the live requests where the system can lower a thread's priority.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
import os
import sys
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Literal

from pulsewright.errors import Finding, PulsewrightError

State = Literal["waiting", "running", "done", "stopped", "failed"]
Progress = Callable[[int, int], None]
Work = Callable[[Progress], Any]
KEPT = 24
#: How long jobs rest after something moved, and longest rest in one step. [s]
LINGER, MOST_REST = 0.15, 1.0
#: What is said of work that was not started.
NO_JOB: Mapping[str, Any] = {"id": "", "state": "none", "done": 0, "total": 0, "stopping": False, "findings": []}


class StoppedError(Exception):
    """The job was asked to stop."""


@dataclass(slots=True)
class Job:
    """One piece of long work."""

    id: str
    kind: str
    draft: Mapping[str, str]
    state: State = "waiting"
    done: int = 0
    total: int = 0
    result: Any = None
    findings: tuple[Finding, ...] = ()
    ended: threading.Event = field(default_factory=threading.Event)
    stopping: bool = False
    future: Future[None] | None = None

    def as_dict(self) -> dict[str, Any]:
        """For JSON, without the result."""
        return {
            "id": self.id,
            "kind": self.kind,
            "state": self.state,
            "done": self.done,
            "total": self.total,
            "stopping": self.stopping and self.state in ("waiting", "running"),
            "findings": [finding.as_dict() for finding in self.findings],
        }


def job_id(kind: str, base: str, overrides: Mapping[str, str]) -> str:
    """Name of a job: what it computes, from which file, under which draft."""
    text = json.dumps([kind, base, sorted(overrides.items())])
    return hashlib.sha256(text.encode()).hexdigest()[:24]


class Jobs:
    """Every job of one server: at most one of a kind runs at a time.

    While a reader moves something, jobs rest at their next step, so that what moves is answered at once; never longer
    than `MOST_REST` in one step, so that they come to an end all the same.
    """

    def __init__(self) -> None:
        self._moved_at = -math.inf
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._pools: dict[str, ThreadPoolExecutor] = {}
        self._lock = threading.Lock()
        self._closed = False

    def start(self, kind: str, base: str, overrides: Mapping[str, str], work: Work) -> Job:
        """The job of that name; a new one when there is none, or when it was stopped or failed."""
        key = job_id(kind, base, overrides)
        with self._lock:
            job = self._jobs.get(key)
            if job is not None and job.state not in ("stopped", "failed") and not job.stopping:
                self._jobs.move_to_end(key)
                return job
            job = self._jobs[key] = Job(key, kind, dict(overrides))
            self._jobs.move_to_end(key)
            self._forget()
            if self._closed:
                job.state = "stopped"
            else:
                job.future = self._pool(kind).submit(self._run, job, work)
        return job

    def make_way(self) -> None:
        """Tell that a reader moves something just now."""
        self._moved_at = time.monotonic()

    def get(self, key: str) -> Job | None:
        """A job by name."""
        with self._lock:
            return self._jobs.get(key)

    def stop(self, job: Job) -> None:
        """Ask a job to stop; one that still waits ends at once."""
        job.stopping = True
        if job.future is not None and job.future.cancel():
            job.state = "stopped"
            job.ended.set()

    def close(self) -> None:
        """Stop everything and join the threads."""
        with self._lock:
            self._closed = True
            jobs, pools = list(self._jobs.values()), list(self._pools.values())
        for job in jobs:
            self.stop(job)
        for pool in pools:
            pool.shutdown(wait=True, cancel_futures=True)

    def _pool(self, kind: str) -> ThreadPoolExecutor:
        if kind not in self._pools:
            self._pools[kind] = ThreadPoolExecutor(1, thread_name_prefix=f"job-{kind}", initializer=_yield_to_others)
        return self._pools[kind]

    def _forget(self) -> None:
        """Drop the oldest ended jobs beyond what is kept."""
        ended = [key for key, job in self._jobs.items() if job.ended.is_set()]
        for key in ended[: max(0, len(self._jobs) - KEPT)]:
            del self._jobs[key]

    def _rest(self, job: Job) -> None:
        end = time.monotonic() + MOST_REST
        while not job.stopping and time.monotonic() < min(end, self._moved_at + LINGER):
            time.sleep(0.01)

    def _run(self, job: Job, work: Work) -> None:
        def progress(done: int, total: int) -> None:
            job.done, job.total = done, total
            self._rest(job)
            if job.stopping:
                raise StoppedError

        job.state = "running"
        try:
            job.result = work(progress)
            job.state = "done"
        except StoppedError:
            job.state = "stopped"
        except PulsewrightError as refused:
            job.findings, job.state = refused.findings, "failed"
        except Exception as fault:  # noqa: BLE001  a fault of a job is told on the page, not lost in a thread
            message = f"the work failed, which is a fault of the program: {type(fault).__name__}: {fault}"
            job.findings = (Finding("error", "", message, "", "Report it with the build file and the draft"),)
            job.state = "failed"
        finally:
            job.ended.set()


def _yield_to_others() -> None:
    """Lower this thread's priority, where threads have one of their own."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 10)
