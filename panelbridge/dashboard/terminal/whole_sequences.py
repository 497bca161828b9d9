"""Control sequences from the terminal, joined again when they come in pieces.

A terminal answers what the screen's library asks it (ECMA-48, control sequences of xterm). On a
busy computer or a slow connection an answer comes in pieces; the library waits 0.1 s for the rest
and then takes it for keys: the ``?`` of ``ESC [ ? 2026 ; 2 $ y`` opens the help, which takes no
other keys. Here the pieces wait for each other, and answers that the library does not read are
dropped.
"""

from __future__ import annotations

import re

ESCAPE_S = 0.1
"""An escape after which nothing comes for this time is the key, s."""
REST_S = 5.0
"""The rest of a sequence that has begun comes within this time, or never, s."""
_ESC = "\x1b"
_WHOLE = re.compile(
    r"\x1b(?:\[[0-?]*[ -/]*[@-~]|O[0-9;]*[A-Za-z~]|[P\]^_X][^\x07\x1b]*(?:\x07|\x1b\\))"
)
_BEGUN = re.compile(r"\x1b(?:\[[0-?]*[ -/]*|O[0-9;]*|[P\]^_X][^\x07\x1b]*\x1b?)?")
_UNREAD = re.compile(r"\x1b(?:\[[<=>?][0-?]*[ -/]*[@-~]|\[[0-?]*n|[P\]^_X])")
"""Private sequences and strings: answers, but for those that the library reads."""
_READ = re.compile(r"\x1b\[(?:\?[0-9;]*\$y|<[0-9;-]*[mM])")
"""Reports of a mode, and of the mouse."""


class WholeSequences:
    """Passes on what the terminal sends, sequences whole."""

    def __init__(self) -> None:
        self._held = ""
        self._since_s = 0.0
        self._escaped_s = -REST_S
        """When an escape was passed on as a key: its sequence may still come."""

    def take(self, text: str, now_s: float) -> str:
        """What of all that has come can be passed on.

        Args:
            text: what has come; empty to ask what does not wait any longer.
            now_s: seconds of a clock that never goes back.
        """
        if not text:
            return self._after_a_while(now_s)
        if not self._held and text[0] == "[" and now_s - self._escaped_s < REST_S:
            text = _ESC + text
        self._escaped_s = -REST_S
        text, self._held = self._held + text, ""
        self._since_s = now_s
        passed = []
        at = 0
        while at < len(text):
            if text[at] != _ESC:
                end = text.find(_ESC, at)
                end = len(text) if end < 0 else end
                passed.append(text[at:end])
            elif whole := _WHOLE.match(text, at):
                end = whole.end()
                if _READ.match(whole[0]) or not _UNREAD.match(whole[0]):
                    passed.append(whole[0])
            elif _BEGUN.fullmatch(text, at):
                self._held = text[at:]
                break
            else:
                end = at + 1
                passed.append(_ESC)
            at = end
        return "".join(passed)

    def _after_a_while(self, now_s: float) -> str:
        waited_s = now_s - self._since_s
        if self._held == _ESC and waited_s >= ESCAPE_S:
            self._held, self._escaped_s = "", now_s
            return _ESC
        if waited_s >= REST_S:
            self._held = ""  # the beginning of a sequence is no key
        return ""
