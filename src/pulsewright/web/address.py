"""What the address of a view holds: the draft, the pins, and the fingerprint of the build they were made on.

For instance `/sheet/lamps?build=3f9c2a71d0b4e651&set=bank.charge_voltage~9.2 kV&pin=dye.concentration`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated
from urllib.parse import urlencode

from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from starlette.datastructures import QueryParams

MOST_ENTRIES, MOST_PATH, MOST_TEXT = 200, 120, 400

EntryPath = Annotated[str, StringConstraints(min_length=1, max_length=MOST_PATH)]
EntryText = Annotated[str, StringConstraints(max_length=MOST_TEXT)]
Draft = Annotated[dict[EntryPath, EntryText], Field(max_length=MOST_ENTRIES)]
ViewName = Annotated[str, StringConstraints(max_length=40)]


class ShotAsk(BaseModel):
    """What the page asks for when something moved."""

    model_config = ConfigDict(extra="forbid")

    view: ViewName
    draft: Draft = Field(default_factory=dict)
    drawings: bool = False
    sha: str = Field("", max_length=64)


class JobAsk(BaseModel):
    """Long work the page asks for; with `start` false only where it was started before."""

    model_config = ConfigDict(extra="forbid")

    kind: Annotated[
        str, StringConstraints(pattern="^(envelope|interval|sampled|size|fill|size-dye|take-off|take-off by bore)$")
    ]
    draft: Draft = Field(default_factory=dict)
    start: bool = True


class WriteAsk(BaseModel):
    """A draft to be written into the build file that was read with this hash."""

    model_config = ConfigDict(extra="forbid")

    draft: Annotated[dict[EntryPath, EntryText], Field(min_length=1, max_length=MOST_ENTRIES)]
    sha: Annotated[str, StringConstraints(pattern="^[0-9a-f]{64}$")]


@dataclass(frozen=True, slots=True)
class Address:
    """The query of a view's address, read."""

    build: str = ""
    draft: Mapping[str, str] = field(default_factory=dict)
    pins: tuple[str, ...] = ()

    @classmethod
    def read(cls, query: QueryParams) -> Address:
        """From a query; what is too long or too much is left out, the guard has bounded the whole."""
        pairs = [text.partition("~") for text in query.getlist("set")[:MOST_ENTRIES]]
        draft = {path: text for path, mark, text in pairs if mark and len(path) <= MOST_PATH and len(text) <= MOST_TEXT}
        pins = tuple(dict.fromkeys(pin for pin in query.getlist("pin") if len(pin) <= MOST_PATH))[:12]
        return cls(query.get("build", "")[:64], draft, pins)

    def query(self) -> str:
        """Back to a query, with its question mark; empty when there is nothing to say."""
        pairs = [("set", f"{path}~{text}") for path, text in self.draft.items()]
        pairs = [*([("build", self.build)] if pairs else []), *pairs, *(("pin", pin) for pin in self.pins)]
        return f"?{urlencode(pairs)}" if pairs else ""
