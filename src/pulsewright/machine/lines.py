"""Line numbers of the entries of a TOML text that the standard parser has already accepted."""

from __future__ import annotations

import re

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STRINGS = ('"""', "'''", '"', "'")


def line_numbers(text: str) -> dict[str, int]:
    """Line, from 1, of every table header and key, by dotted path; keys inside inline tables too.

    The text must be valid TOML; elements of arrays have no entries of their own.
    """
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.counted = 0
        self.line = 1
        self.found: dict[str, int] = {}

    def scan(self) -> dict[str, int]:
        table: tuple[str, ...] = ()
        self.skip_blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                self.at += 2 if self.text.startswith("[[", self.at) else 1
                table = self.key()
                self.note(table)
                self.at = self.text.find("]", self.at) + 1
                self.at += self.text.startswith("]", self.at)
            else:
                self.pair(table)
            self.skip_blank()
        return self.found

    def note(self, path: tuple[str, ...]) -> None:
        self.line += self.text.count("\n", self.counted, self.at)
        self.counted = self.at
        self.found.setdefault(".".join(path), self.line)

    def skip_blank(self, also: str = "") -> None:
        while self.at < len(self.text):
            letter = self.text[self.at]
            if letter == "#":
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            elif letter.isspace() or letter in also:
                self.at += 1
            else:
                return

    def key(self) -> tuple[str, ...]:
        words: list[str] = []
        while True:
            self.skip_blank()
            letter = self.text[self.at]
            if letter in "\"'":
                start = self.at + 1
                self.string()
                words.append(self.text[start : self.at - 1])
            else:
                bare = _BARE.match(self.text, self.at)
                words.append(bare.group() if bare else letter)
                self.at = bare.end() if bare else self.at + 1
            self.skip_blank()
            if not self.text.startswith(".", self.at):
                return tuple(words)
            self.at += 1

    def pair(self, table: tuple[str, ...]) -> None:
        path = (*table, *self.key())
        self.note(path)
        self.at += 1  # the equals sign
        self.value(path)

    def value(self, path: tuple[str, ...] | None) -> None:
        self.skip_blank()
        letter = self.text[self.at : self.at + 1]
        if letter == "{":
            self.at += 1
            self.inline(path)
        elif letter == "[":
            self.at += 1
            self.skip_blank(",")
            while not self.text.startswith("]", self.at):
                self.value(None)
                self.skip_blank(",")
            self.at += 1
        elif letter in ("'", '"'):
            self.string()
        else:
            while self.at < len(self.text) and self.text[self.at] not in ",]}#\n":
                self.at += 1

    def inline(self, path: tuple[str, ...] | None) -> None:
        self.skip_blank(",")
        while not self.text.startswith("}", self.at):
            key = self.key()
            whole = None if path is None else (*path, *key)
            if whole is not None:
                self.note(whole)
            self.at += 1  # the equals sign
            self.value(whole)
            self.skip_blank(",")
        self.at += 1

    def string(self) -> None:
        mark = next(mark for mark in _STRINGS if self.text.startswith(mark, self.at))
        self.at += len(mark)
        while not self.text.startswith(mark, self.at):
            self.at += 2 if self.text[self.at] == "\\" and mark[0] == '"' else 1
        self.at += len(mark)
        while len(mark) == 3 and self.text.startswith(mark[0], self.at):
            self.at += 1
