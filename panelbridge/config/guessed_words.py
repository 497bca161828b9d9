"""Words that a person would guess, and what is written instead: one table a kind of file.

A word is looked up in all tables, and counts when what it stands for may stand at that place.
"""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.file_format import RENAMED

GUESSED_WORDS: Mapping[str, Mapping[str, str]] = {
    "panel": {
        "button": "contact", "toggle": "contact", "push_button": "contact", "switch": "contact",
        "momentary": "contact", "input": "contact inputs", "output": "outputs",
        "knob": "lever", "pot": "lever", "potentiometer": "lever", "slider": "lever",
        "axis": "lever", "analog": "lever", "analogue": "lever", "wheel": "lever",
        "two_contacts": "two_contact", "two_pins": "two_contact", "toggle_switch": "one_contact",
        "type": "form board kind", "model": "board", "arduino": "board", "controller": "board",
        "device": "port board", "com": "port", "serial": "port", "comport": "port", "usb": "port",
        "speed": "baud", "bitrate": "baud", "baudrate": "baud",
        "timeout": "host_timeout_ms", "shift_registers": "chains", "registers": "chains",
        "gpio": "pin", "pins": "pin up_pin", "contact": "pin", "channel": "pin", "bit": "pin",
        "up": "up_pin", "down": "down_pin", "data": "data_pin", "clock": "clock_pin",
        "latch": "latch_pin", "strobe": "latch_pin", "load": "latch_pin",
        "inverted": "normally_closed active_low", "invert": "normally_closed active_low",
        "nc": "normally_closed", "pull_up": "normally_closed", "bounce": "debounce_ms",
        "filter": "debounce_ms noise_gate_counts", "min": "counts_at_0 pulse_at_0_us",
        "max": "counts_at_1 pulse_at_1_us full_scale_psi", "range": "full_scale_psi",
        "label": "legend", "text": "legend", "caption": "legend", "title": "name legend",
        "pwm": "dimmed", "brightness": "dimmed dimmer", "pitch": "frequency_hz",
        "tone": "frequency_hz", "buttons": "switches", "inputs": "switches", "knobs": "switches",
        "leds": "lamps", "lights": "lamps", "annunciators": "lamps", "outputs": "lamps",
        "buzzer": "horn", "speaker": "horn", "sound": "horn", "servos": "gauges",
        "needles": "gauges", "instruments": "gauges", "coils": "solenoids", "relays": "solenoids",
        "missing": "not_fitted", "unused": "not_fitted", "not_wired": "not_fitted",
        "simulator": "feed", "source": "feed", "plane": "aircraft", "airplane": "aircraft",
        "landing_gear": "gear_handle", "gear": "gear_handle", "gear_lever": "gear_handle",
        "mute": "horn_silence", "silence": "horn_silence", "park_brake": "parking_brake",
        "yellow": "amber", "orange": "amber",
    },
    "aircraft": {
        "gears": "legs", "wheels": "legs", "undercarriage": "legs", "struts": "legs",
        "throttles": "engines", "engine_count": "engines", "nosewheel": "steering",
        "squat_switches": "air_ground", "weight_on_wheels": "air_ground", "wow": "air_ground",
        "horn": "gear_warning", "warning": "gear_warning", "pressure": "hydraulics",
        "pumps": "supplies", "pump": "supplies aux_pump", "limits": "speed_limits",
        "speeds": "speed_limits", "vlo": "vlo_kias speed_limits", "vle": "vle_kias speed_limits",
        "lights": "lamps", "my_lamps": "own_lamps", "custom_lamps": "own_lamps",
        "extra_lamps": "own_lamps", "when": "lit_when", "condition": "lit_when", "if": "lit_when",
        "blink": "flashing", "blinking": "flashing", "down_s": "extend_s", "up_s": "retract_s",
        "lower_s": "extend_s", "raise_s": "retract_s", "gravity_s": "free_fall_s",
        "initial": "starts", "start": "starts", "positions": "starts",
        "based_on": "like", "same_as": "like", "extends": "like", "copy": "like", "from": "like",
        "simulator": "feed", "sim": "feed", "program": "model", "own": "model",
    },
    "feed": {
        "type": "source kind", "state": "values", "data": "values", "loop": "repeat",
        "timeout_s": "stale_after_s", "max_age_s": "stale_after_s", "static": "fixed",
        "constant": "fixed", "flight": "demo_flight", "demo": "demo_flight",
        "ias": "airspeed_kias", "speed": "airspeed_kias", "kias": "airspeed_kias",
        "altitude": "altitude_ft", "height": "altitude_ft", "gs": "ground_speed_kt",
        "flaps": "flap_deg", "throttle": "throttles throttle_1", "engine": "engines engine_1",
        "weight_on_wheels": "struts", "wow": "struts", "squat_switches": "struts",
        "on_ground": "struts", "gear": "simulator_handle", "handle": "simulator_handle",
        "power": "bus_power", "battery": "bus_power", "electrics": "bus_power",
        "brakes": "pedals", "brake_pedals": "pedals", "wheels": "wheels_rpm",
        "rudder": "steering_pedal_fraction", "hydraulics": "hydraulic_pressure_psi",
        "ground": "compressed", "air": "extended", "off": "stopped", "on": "running",
    },
    "scenario": {
        "wait": "after_s wait_for", "delay": "after_s", "sleep": "after_s", "pause": "after_s",
        "after": "after_s", "time": "at_s", "at": "at_s", "t": "at_s", "when": "at_s",
        "until": "wait_for", "wait_until": "wait_for", "timeout": "limit_s", "within": "within_s",
        "during": "throughout_s", "for": "for_s throughout_s", "duration": "runs_for_s",
        "check": "expect", "assert": "expect", "verify": "expect", "then": "expect",
        "must_not": "never", "forbid": "never", "order": "in_order", "sequence": "in_order",
        "button": "push press", "click": "push", "tap": "push", "hold": "press",
        "toggle": "move", "switch": "move", "flip": "move", "turn": "move", "put": "move set",
        "break": "fault", "fail": "fault", "failure": "fault", "repair": "clear", "fix": "clear",
        "mend": "clear", "values": "set", "change": "set ramp", "slide": "ramp", "glide": "ramp",
        "over": "over_s", "comment": "note", "description": "note source", "import": "include",
        "run": "include", "initial": "start", "begin": "start", "state": "start",
        "table": "cases", "examples": "cases", "variants": "cases", "title": "name",
        "greater": "above", "more": "above", "min": "at_least", "less": "below", "max": "at_most",
        "or": "any", "and": "all",
    },
}  # fmt: skip


def meant_by(word: str) -> list[str]:
    """What a person who writes ``word`` may mean, in any kind of file; the likeliest first."""
    found = [word_of for table in GUESSED_WORDS.values() for word_of in table.get(word, "").split()]
    found += [new for renamed in RENAMED if renamed.old == word for new in renamed.new]
    return [*dict.fromkeys(found)]
