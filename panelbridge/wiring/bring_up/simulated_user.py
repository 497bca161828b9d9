"""A user who does what the screen asks on a simulated panel, and answers what he sees there."""

from __future__ import annotations

from collections.abc import Callable

from panelbridge.simboard.board.outputs import ToneOrder
from panelbridge.simboard.sim_panel import SimPanel
from panelbridge.wiring.bring_up.flow import BringUpFlow
from panelbridge.wiring.bring_up.prompts import Ask, Prompt

PAUSE_S = 0.1
"""Between a question and what he does, s."""
STROKE_S = 0.5
"""The rest at each end of a switch, s."""
PATIENCE_S = 4.0
"""The wait for something to come of it, s."""
_LIT = 16
"""A lamp that is brighter than this is seen, of 255."""


class SimulatedUser:
    """Hands and eyes for one bring-up."""

    def __init__(self, sim_panel: SimPanel, flow: BringUpFlow) -> None:
        self._sim_panel = sim_panel
        self._flow = flow
        self._ask: Ask | None = None
        self._begun_s = 0.0
        self._moves: list[tuple[float, str, str | float]] = []
        self._acted = False

    def turn(self, now_s: float) -> None:
        """Do what is due."""
        prompt = self._flow.prompt
        if prompt.ask != self._ask:
            self._ask, self._begun_s, self._acted = prompt.ask, now_s, False
            if prompt.ask.kind != "strokes":
                self._moves.clear()
        while self._moves and self._moves[0][0] <= now_s:
            _, name, position = self._moves.pop(0)
            self._sim_panel.move(now_s, name, position)
        if not self._flow.is_ready:
            self._begun_s, self._acted = now_s, False
        elif now_s >= self._begun_s + PAUSE_S:
            self.do_it(now_s, prompt)

    def do_once(self, now_s: float) -> None:
        """Do, or answer, what is asked at this moment, for a person at the keyboard."""
        prompt = self._flow.prompt
        self._acted = False
        if prompt.ask.kind == "strokes":
            name, here = prompt.ask.name, self._sim_panel.positions(now_s)
            self._sim_panel.move(now_s, name, self._other_end(name, here[name]))
            return
        self.do_it(now_s, prompt)

    def do_it(self, now_s: float, prompt: Prompt) -> None:
        """Do, or answer, what is asked."""
        kind = prompt.ask.kind
        if kind in ("switch", "strokes", "lever"):
            self._operate(now_s, prompt)
            return
        if self._acted:
            return
        self._acted = True
        answers: dict[str, Callable[[float, Prompt], None]] = {
            "dark": self._answer_dark,
            "lamp": self._answer_lamp,
            "horn": self._answer_horn,
            "gauge": self._answer_gauge,
        }
        if kind in answers:
            answers[kind](now_s, prompt)
        elif kind != "finished":
            self._flow.key(now_s, "enter")

    def _operate(self, now_s: float, prompt: Prompt) -> None:
        ask, sim = prompt.ask, self._sim_panel
        if ask.kind == "strokes":
            if not self._moves:
                other = self._other_end(ask.name, sim.positions(now_s)[ask.name])
                self._moves.append((now_s + STROKE_S, ask.name, other))
            return
        if self._acted:
            if ask.kind == "switch" and now_s >= self._begun_s + PATIENCE_S and not self._moves:
                self._flow.key(now_s, "n")
            return
        self._acted = True
        if ask.kind == "lever":
            sim.move(now_s, ask.name, ask.position)
            self._flow.key(now_s, "enter")
            return
        if sim.positions(now_s)[ask.name] == ask.position:  # it is there already: off, and back
            sim.move(now_s, ask.name, self._other_end(ask.name, ask.position))
            self._moves.append((now_s + 2 * STROKE_S, ask.name, ask.position))
        else:
            sim.move(now_s, ask.name, ask.position)

    def _other_end(self, name: str, position: str | float) -> str:
        first, *_, last = self._sim_panel.choices[name]
        return first if position == last else last

    def _seen(self) -> list[str]:
        return [name for name, light in self._sim_panel.lit().items() if light > _LIT]

    def _answer_dark(self, now_s: float, prompt: Prompt) -> None:
        names = [*self._sim_panel.panel.lamps]
        for name in self._seen():
            self._flow.choose_number(now_s, names.index(name) + 1)
        self._flow.key(now_s, "enter")

    def _answer_lamp(self, now_s: float, prompt: Prompt) -> None:
        names, seen = [*self._sim_panel.panel.lamps], self._seen()
        if seen == [prompt.ask.name]:
            self._flow.key(now_s, "enter")
        elif len(seen) == 1:
            self._flow.choose_number(now_s, names.index(seen[0]) + 1)
        else:
            self._flow.key(now_s, "m" if seen else "0")

    def _answer_horn(self, now_s: float, prompt: Prompt) -> None:
        turn, tone = prompt.ask.turn, self._sim_panel.horn()
        wanted = (None, ToneOrder.CONTINUOUS, ToneOrder.INTERMITTENT)[turn]
        heard = tone is not None and tone.order is wanted
        self._flow.key(now_s, "enter" if turn == 0 or heard else "n")

    def _answer_gauge(self, now_s: float, prompt: Prompt) -> None:
        at, wanted = self._sim_panel.needles().get(prompt.ask.name), float(prompt.ask.position)
        key = "e"
        if at is None:
            key = "n"
        elif abs(at - wanted) < 0.1:
            key = "enter"
        elif abs(at - (1.0 - wanted)) < 0.1:
            key = "o"
        self._flow.key(now_s, key)
