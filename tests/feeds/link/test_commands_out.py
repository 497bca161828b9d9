"""What is sent, when, and when nothing is."""

from __future__ import annotations

import json
import struct
from pathlib import Path
from typing import Any

import pytest

from panelbridge.feeds.transports.transport import Arrival
from panelbridge.logic.own.parameters import OwnSwitchParameters
from panelbridge.signals import Commands, GearPosition
from tests.feeds.link.fakes import IN, TWIN_JET, Rig, rig

UP, DOWN = GearPosition.UP, GearPosition.DOWN
DATA = """
stale_after_s: 1
message: { form: names }
values:
  simulator_handle: { at: g, words: { up: 0, down: 1 } }
  airspeed_kias: { at: v }
"""
NO_HANDLE = DATA.replace("  simulator_handle: { at: g, words: { up: 0, down: 1 } }\n", "")
TO = """
targets:
  sim:
    transport: { over: udp, port: 45138 }
    commands:
"""
GEAR = '      gear: { words: { up: "gear 0", down: "gear 1" } }\n'
PARKING = '      parking_brake: { words: { set: "park 1", released: "park 0" } }\n'
BRAKES = (
    '      brakes: { text: "b {left_brake:.2f} {right_brake:.2f}", ends: ENDS, at_most_hz: 10 }\n'
)
BRAKES = BRAKES.replace("ENDS", "{ left_brake: 0, right_brake: -1 }")


def data(link: Rig, now_s: float, text: str = "g=0\nv=100") -> None:
    """Data, in which the simulator's own handle stands up if nothing else is said."""
    link.way_in.put(text)
    link.feed.poll(now_s)


def asks(**changes: Any) -> Commands:
    return Commands(**{"gear": DOWN, "brake_fraction": (0.0,) * 4, **changes})


def agreed(folder: Path, commands: str, read: str = DATA, **more: Any) -> Rig:
    """A link with data, and a panel that commands down, from 0 s on."""
    link = rig(folder, IN + read + TO + commands, **more)
    data(link, 0.0)
    link.feed.send(0.0, asks())
    return link


def test_a_change_is_sent_at_once_and_once(tmp_path: Path) -> None:
    link = agreed(tmp_path, GEAR)
    link.way_out.take_sent()
    link.feed.send(0.5, asks(gear=UP))
    assert link.way_out.take_sent() == ["gear 0"]
    data(link, 0.6)
    link.feed.poll(0.9)
    assert link.way_out.take_sent() == []


def test_nothing_before_panel_and_simulator_agree(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + DATA + TO + GEAR + BRAKES)
    data(link, 0.0, "g=1\nv=100")
    link.feed.send(0.0, asks(gear=None, brake_fraction=(0.5,) * 4))
    assert link.way_out.take_sent() == []
    link.feed.send(0.5, asks(gear=UP, brake_fraction=(0.5,) * 4))
    assert link.way_out.take_sent() == ["gear 0", "b 0.50 0.50"]
    # Once agreed, a broken handle stops the gear alone.
    link.feed.send(0.7, asks(gear=None, brake_fraction=(0.6,) * 4))
    assert link.way_out.take_sent() == ["b 0.60 0.60"]


def test_a_panel_without_a_handle_waits_for_nothing(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + DATA + TO + BRAKES, needs_agreement=False)
    data(link, 0.0)
    link.feed.send(0.0, asks(gear=None))
    assert link.way_out.take_sent() == ["b 0.00 0.00"]


def test_a_position_that_is_found_is_no_command(tmp_path: Path) -> None:
    link = agreed(tmp_path, PARKING)
    link.feed.send(0.1, asks(parking_brake=False))
    assert link.way_out.take_sent() == []
    link.feed.send(0.2, asks(parking_brake=True))
    assert link.way_out.take_sent() == ["park 1"]
    link.feed.send(0.3, asks(parking_brake=False))
    assert link.way_out.take_sent() == ["park 0"]


def test_it_is_sent_when_the_file_says_so(tmp_path: Path) -> None:
    link = agreed(tmp_path, PARKING.replace(" } }", " }, at_start: send }"))
    assert link.way_out.take_sent() == ["park 0"]


def test_a_gear_that_could_not_be_compared_is_found_too(tmp_path: Path) -> None:
    link = agreed(tmp_path, GEAR, NO_HANDLE)
    assert link.way_out.take_sent() == []
    link.feed.send(0.5, asks(gear=UP))
    assert link.way_out.take_sent() == ["gear 0"]
    compared = agreed(tmp_path, GEAR)
    assert compared.way_out.take_sent() == ["gear 1"]


def test_a_position_on_which_both_agree_is_no_command(tmp_path: Path) -> None:
    """At the start, and after an outage: a simulator that toggles would move its gear."""
    link = rig(tmp_path, IN + DATA + TO + GEAR)
    data(link, 0.0, "g=1\nv=100")
    link.feed.send(0.0, asks())
    assert link.way_out.take_sent() == []
    link.feed.send(0.2, asks(gear=UP))
    data(link, 0.3, "g=0\nv=100")
    assert link.way_out.take_sent() == ["gear 0"]
    link.feed.poll(2.0)  # the data are stale
    data(link, 3.0, "g=0\nv=100")
    link.feed.send(3.0, asks(gear=None))  # they disagree
    link.feed.send(3.1, asks(gear=UP))
    data(link, 3.2, "g=0\nv=100")
    assert link.way_out.take_sent() == []
    link.feed.send(3.3, asks(gear=DOWN))
    assert link.way_out.take_sent() == ["gear 1"]


def test_stale_data_ends_what_is_held_and_nothing_else_is_sent(tmp_path: Path) -> None:
    link = agreed(tmp_path, GEAR + PARKING + BRAKES)
    link.feed.send(0.5, asks(gear=UP, parking_brake=True, brake_fraction=(0.5,) * 4))
    link.way_out.take_sent()
    link.feed.poll(0.9)
    assert link.way_out.take_sent() == []
    link.feed.poll(1.1)
    assert link.way_out.take_sent() == ["b 0.00 -1.00"]
    link.feed.send(1.2, asks(gear=DOWN, brake_fraction=(0.9,) * 4))
    link.feed.poll(2.0)
    link.feed.close(2.1)
    assert link.way_out.take_sent() == []


def test_back_again_only_what_the_logic_says_then(tmp_path: Path) -> None:
    link = agreed(tmp_path, GEAR + PARKING + BRAKES)
    link.feed.send(0.5, asks(gear=UP, parking_brake=True, brake_fraction=(0.5,) * 4))
    link.feed.poll(2.0)
    link.way_out.take_sent()
    data(link, 3.0)  # the logic has not been asked yet
    assert link.way_out.take_sent() == []
    link.feed.send(3.0, asks(gear=None, parking_brake=True, brake_fraction=(0.5,) * 4))
    assert link.way_out.take_sent() == []
    link.feed.send(3.1, asks(gear=DOWN, parking_brake=True, brake_fraction=(0.5,) * 4))
    assert link.way_out.take_sent() == ["gear 1", "b 0.50 0.50"]


def test_at_the_end_of_the_run_what_is_held_ends(tmp_path: Path) -> None:
    link = agreed(tmp_path, GEAR + BRAKES)
    link.way_out.take_sent()
    link.feed.close(0.5)
    assert link.way_out.take_sent() == ["b 0.00 -1.00"]
    assert all(one.is_closed for one in link.transports)
    link.feed.close(0.6)
    assert link.way_out.take_sent() == []


def test_what_was_never_sent_need_not_end(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + DATA + TO + BRAKES)
    data(link, 0.0)
    link.feed.close(0.5)
    assert link.way_out.take_sent() == []


def test_rate_and_refresh(tmp_path: Path) -> None:
    link = agreed(tmp_path, BRAKES.replace("at_most_hz: 10", "at_most_hz: 10, every_s: 0.5"))
    assert link.way_out.take_sent() == ["b 0.00 0.00"]
    for step in range(1, 11):
        link.feed.send(step / 100, asks(brake_fraction=(step / 10,) * 4))
    assert link.way_out.take_sent() == ["b 1.00 1.00"]
    data(link, 0.5)
    assert link.way_out.take_sent() == []
    data(link, 0.61)
    assert link.way_out.take_sent() == ["b 1.00 1.00"]


def test_nothing_is_late(tmp_path: Path) -> None:
    """While nobody is there commands are dropped; what counts is how it is when he is back."""
    link = agreed(tmp_path, GEAR + BRAKES)
    link.way_out.take_sent()
    link.way_out.is_open = False
    link.feed.send(0.2, asks(gear=UP, brake_fraction=(0.5,) * 4))
    data(link, 0.5)
    assert link.way_out.take_sent() == []
    assert link.feed.health().targets[0].refused == {}
    link.feed.send(0.8, asks(gear=DOWN, brake_fraction=(0.25,) * 4))
    link.way_out.is_open, link.way_out.connections = True, 2
    data(link, 1.0)
    assert link.way_out.take_sent() == ["gear 1", "b 0.25 0.25"]


def test_a_reconnect_between_two_looks_is_seen(tmp_path: Path) -> None:
    link = agreed(tmp_path, PARKING + BRAKES)
    link.feed.send(0.1, asks(parking_brake=True, brake_fraction=(0.5,) * 4))
    link.way_out.take_sent()
    link.way_out.connections = 2
    data(link, 0.5)
    assert link.way_out.take_sent() == ["b 0.50 0.50"]


def test_what_cannot_be_sent_is_tried_again_as_it_is_then(tmp_path: Path) -> None:
    link = agreed(tmp_path, GEAR)
    link.way_out.take_sent()
    link.way_out.takes = False
    link.feed.send(0.1, asks(gear=UP))
    (target,) = link.feed.health().targets
    assert target.refused == {"gear: could not be sent": 1}
    link.way_out.takes = True
    data(link, 0.5)
    assert link.way_out.take_sent() == ["gear 0"]


ALWAYS = TO.replace("    commands", "    needs_data: false\n    commands")


def test_a_target_that_needs_no_data(tmp_path: Path) -> None:
    link = rig(tmp_path, IN + DATA + ALWAYS + PARKING)
    link.feed.send(0.0, asks(gear=None))
    link.feed.send(0.1, asks(gear=None, parking_brake=True))
    assert link.way_out.take_sent() == ["park 1"]


def test_a_feed_that_only_sends(tmp_path: Path) -> None:
    link = rig(tmp_path, TO + PARKING + BRAKES)
    link.feed.send(0.0, asks(gear=None))
    assert link.way_out.take_sent() == ["b 0.00 0.00"]
    assert not link.feed.read(0.0).fresh
    link.feed.send(50.0, asks(gear=None, parking_brake=True))
    assert link.way_out.take_sent() == ["park 1"]


def test_several_targets_at_once(tmp_path: Path) -> None:
    second = TO.replace("\ntargets:\n", "").replace("sim:", "other:").replace("45138", "45137")
    link = agreed(tmp_path, GEAR + second + PARKING)
    link.feed.send(0.1, asks(gear=UP, parking_brake=True))
    assert link.transports[1].take_sent() == ["gear 1", "gear 0"]
    assert link.transports[2].take_sent() == ["park 1"]


WRITTEN = TO.replace(
    "    commands",
    "    written:\n"
    "      gear: { words: { up: 0, down: 1 } }\n"
    "      left_brake: { unit: percent }\n"
    "      steering_deg: { scale: -0.5, offset: 1 }\n"
    "    commands",
)


def test_json_is_filled_in_with_numbers_and_words(tmp_path: Path) -> None:
    tree = (
        '      m: { json_text: { g: "{gear}", brakes: ["{left_brake}", "{right_brake:.1f}"],'
        ' s: "{steering_deg}", id: 7, who: "me {{", p: "{parking_brake}" },'
        " ends: { left_brake: 0, right_brake: 0, steering_deg: 0 } }\n"
    )
    link = rig(tmp_path, IN + DATA + WRITTEN + tree)
    data(link, 0.0)
    link.feed.send(0.0, asks(gear=UP, brake_fraction=(0.5,) * 4, steering_deg=10.0))
    assert [json.loads(text) for text in link.way_out.take_sent()] == [
        {
            "g": 0,
            "brakes": [50, "0.5"],
            "s": -4,
            "id": 7,
            "who": "me {",
            "p": "released",
        }
    ]


def test_binary_has_its_numbers_in_their_order(tmp_path: Path) -> None:
    parts = (
        "      m:\n        binary:\n          order: big\n          starts_with: CMD1\n"
        "          parts: [{ type: uint8, value: gear }, { type: float32, value: left_brake },"
        " { type: int16, number: -2 }]\n        ends: { left_brake: 0 }\n"
    )
    link = rig(tmp_path, IN + DATA + WRITTEN + parts)
    data(link, 0.0)
    link.feed.send(0.0, asks(brake_fraction=(0.25,) * 4))
    assert link.way_out.sent == [b"CMD1" + struct.pack(">Bfh", 1, 25.0, -2)]


def test_a_stamp_grows_and_is_no_change(tmp_path: Path) -> None:
    text = '      m: { text: "{wall_clock_s:.1f},{gear}" }\n'
    link = agreed(tmp_path, text)
    link.way_out.take_sent()
    link.wall_clock_s += 5.0
    data(link, 0.5)
    assert link.way_out.take_sent() == []
    link.feed.send(0.6, asks(gear=UP))
    assert link.way_out.take_sent() == ["1700000005.0,up"]


def test_values_of_the_aircraft_can_be_told_to_another(tmp_path: Path) -> None:
    link = agreed(tmp_path, '      state: { text: "{airspeed_kias:.1f} {simulator_handle}" }\n')
    assert link.way_out.take_sent() == ["100.0 up"]
    data(link, 0.5, "g=1\nv=90")
    link.feed.poll(0.5)
    assert link.way_out.take_sent() == ["90.0 down"]
    data(link, 0.7, "v=fast")
    link.feed.poll(0.7)
    assert link.way_out.take_sent() == []


ASKED = """
    answer: { holds: done, ends_with: "> ", within_s: 0.5, retries: 1, greets: GREETS }
"""


@pytest.fixture
def asked(tmp_path: Path) -> Rig:
    to = TO.replace("udp, port", "tcp, port")
    answer = ASKED.replace("GREETS", "true")
    link = rig(tmp_path, IN + DATA + to + GEAR + PARKING + answer)
    data(link, 0.0)
    link.feed.send(0.0, asks())
    return link


def test_a_message_waits_for_the_greeting_and_for_the_answer_before(asked: Rig) -> None:
    out = asked.way_out
    assert out.take_sent() == []
    out.put("hello\r\n", "> ")
    asked.feed.poll(0.1)
    assert out.take_sent() == ["gear 1"]
    asked.feed.send(0.2, asks(gear=UP, parking_brake=True))
    assert out.take_sent() == []
    out.put("don", "e\r\n> ")
    data(asked, 0.3)
    assert out.take_sent() == ["park 1"]  # the one that went out the longer ago
    out.put("done\r\n> ")
    data(asked, 0.4)
    assert out.take_sent() == ["gear 0"]
    assert asked.feed.health().targets[0].refused == {}


def test_a_wrong_answer_and_none_are_tried_again_as_it_is_then(asked: Rig) -> None:
    out = asked.way_out
    out.put("> ")
    asked.feed.poll(0.0)
    assert out.take_sent() == ["gear 1"]
    out.put("unknown property\r\n> ")
    data(asked, 0.1)
    assert out.take_sent() == ["gear 1"]
    asked.feed.send(0.2, asks(gear=UP))
    data(asked, 0.6)  # no answer in time: what holds now is sent
    assert out.take_sent() == ["gear 0"]
    (target,) = asked.feed.health().targets
    assert target.refused == {"gear: refused by the simulator": 1, "gear: no answer": 1}
    assert "unknown property" in target.last_refused or "no answer" in target.last_refused


def test_a_new_connection_has_a_greeting_of_its_own(asked: Rig) -> None:
    out = asked.way_out
    out.put("> ")
    asked.feed.poll(0.0)
    assert out.take_sent() == ["gear 1"]
    out.is_open = False
    data(asked, 0.1)
    out.is_open, out.connections = True, 2
    data(asked, 0.2)
    assert out.take_sent() == []
    out.put("hello again\n> ")
    data(asked, 0.3)
    assert out.take_sent() == ["gear 1"]
    assert asked.feed.health().targets[0].refused == {}


def test_an_empty_line_is_no_answer(tmp_path: Path) -> None:
    answer = ASKED.replace("GREETS", "false").replace('ends_with: "> "', 'ends_with: "\\n"')
    link = rig(tmp_path, IN + DATA + TO.replace("udp, port", "tcp, port") + GEAR + answer)
    data(link, 0.0)
    link.feed.send(0.0, asks())
    assert link.way_out.take_sent() == ["gear 1"]
    link.way_out.put("\r\n")
    data(link, 0.1)
    link.way_out.put("done\r\n")
    data(link, 0.2)
    assert link.way_out.take_sent() == []
    assert link.feed.health().targets[0].refused == {}


def test_retries_end(asked: Rig) -> None:
    out = asked.way_out
    out.put("> ")
    asked.feed.poll(0.0)
    for step in range(1, 9):
        out.put("no\r\n> ")
        data(asked, step / 10)
    assert out.take_sent() == ["gear 1", "gear 1"]


def test_answers_over_the_way_of_the_data(tmp_path: Path) -> None:
    to = TO.replace("    transport: { over: udp, port: 45138 }\n", "")
    ask = 'ask: { text: "get v\\n", every_s: 0.5, prompt: "> " }\n'
    receive = "receive: { over: tcp, port: 45139 }\n"
    answer = ASKED.replace("GREETS", "false").replace('ends_with: "> "', 'ends_with: "\\n"')
    link = rig(tmp_path, receive + DATA + ask + to + GEAR + answer)
    link.feed.poll(0.0)
    assert link.way_in.take_sent() == ["get v\n"]
    link.way_in.put("hello\n> v=100\ng=0\n")
    link.feed.poll(0.1)
    link.feed.send(0.1, asks())
    assert link.way_in.take_sent() == ["gear 1"]
    assert link.feed.read(0.1).aircraft.airspeed_kias == 100.0
    link.way_in.put("> done\n> v=90\n")
    link.feed.poll(0.2)
    link.feed.send(0.3, asks(gear=UP))
    assert link.way_in.take_sent() == ["gear 0"]
    link.way_in.put("> v=90\n")  # data is no answer
    link.feed.poll(0.35)
    assert link.feed.health().targets[0].refused == {}
    link.way_in.put("> no\n")
    link.feed.poll(0.4)
    assert link.way_in.take_sent() == ["gear 0"]
    assert link.feed.health().targets[0].refused == {"gear: refused by the simulator": 1}
    assert link.feed.health().refused == {}
    link.way_in.put("> done\n")
    link.feed.poll(0.41)
    link.way_in.put("> rubbish\n")  # nobody waits for it
    link.feed.poll(0.42)
    assert link.feed.health().refused == {"no name and value": 1}


OWN = TWIN_JET.model_copy(
    update={
        "own_switches": {
            "beacon": OwnSwitchParameters(label="Beacon"),
            "rudder_trim": OwnSwitchParameters(label="Rudder trim", kind="lever"),
        }
    }
)


def test_switches_of_ones_own_go_the_same_way(tmp_path: Path) -> None:
    own = (
        '      beacon: { words: { on: "beacon 1", off: "beacon 0" } }\n'
        '      trim: { text: "trim {rudder_trim:.2f}" }\n'
    )
    link = agreed(tmp_path, own, aircraft=OWN)
    link.feed.send(0.1, asks(own_switches=(("beacon", "off"), ("rudder_trim", 0.5))))
    assert link.way_out.take_sent() == []
    link.feed.send(0.2, asks(own_switches=(("beacon", "on"), ("rudder_trim", 0.5))))
    assert link.way_out.take_sent() == ["beacon 1"]
    link.feed.send(0.3, asks(own_switches=(("rudder_trim", 0.75),)))  # the other board is lost
    assert link.way_out.take_sent() == ["trim 0.75"]
    # It is back: where it stands now is found, not commanded.
    link.feed.send(0.4, asks(own_switches=(("beacon", "off"), ("rudder_trim", 0.75))))
    assert link.way_out.take_sent() == []


def test_a_shared_connection_that_is_new_has_a_greeting_of_its_own(tmp_path: Path) -> None:
    to = TO.replace("    transport: { over: udp, port: 45138 }\n", "")
    receive = "receive: { over: tcp, port: 45139 }\n"
    answer = ASKED.replace("GREETS", "true").replace('ends_with: "> "', "ends_with: ready")
    link = rig(tmp_path, receive + DATA + to + GEAR + answer)
    link.way_in.put("x\nready\nv=100\ng=0\n")
    link.feed.poll(0.0)
    link.feed.send(0.0, asks())
    assert link.way_in.take_sent() == ["gear 1"]
    link.way_in.connections = 2
    link.way_in.arrivals.append(Arrival(b"x\nv=90\n", restarts=True))
    link.feed.poll(0.1)
    assert link.way_in.take_sent() == []
    link.way_in.put("ready\n")
    link.feed.poll(0.2)
    assert link.way_in.take_sent() == ["gear 1"]
