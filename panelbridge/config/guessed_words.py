"""What is written in each kind of file, and the words that a person would guess instead.

A word is looked up in all tables, and counts when what it stands for may stand at that place. A key
that is a likelier meaning stands before the others.
"""

from __future__ import annotations

from collections.abc import Mapping

from panelbridge.config.file_format import RENAMED

GUESSED_WORDS: Mapping[str, Mapping[str, str]] = {
    "panel": {
        "contact": "button toggle push_button switch momentary input", "inputs": "input",
        "outputs": "output", "lever": "knob pot potentiometer slider axis analog analogue wheel",
        "two_contact": "two_contacts two_pins", "one_contact": "toggle_switch", "form": "type",
        "port": "device com serial comport usb", "board": "type model arduino controller device",
        "kind": "type", "baud": "speed bitrate baudrate", "host_timeout_ms": "timeout",
        "chains": "shift_registers registers", "pin": "gpio pins contact channel bit",
        "up_pin": "pins up", "down_pin": "down", "data_pin": "data", "clock_pin": "clock",
        "latch_pin": "latch strobe load", "normally_closed": "inverted invert nc",
        "pull_up_ohm": "pull_up pullup",
        "active_low": "inverted invert", "debounce_ms": "bounce filter",
        "noise_gate_counts": "filter", "counts_at_0": "min", "pulse_at_0_us": "min",
        "counts_at_1": "max", "pulse_at_1_us": "max",
        "full_scale_psi": "max range full_scale_applications",
        "name": "title", "legend": "label text caption title", "dimmed": "pwm brightness",
        "dimmer": "brightness", "frequency_hz": "pitch tone", "switches": "buttons inputs knobs",
        "lamps": "leds lights annunciators outputs", "horn": "buzzer speaker sound",
        "gauges": "servos needles instruments", "solenoids": "coils relays",
        "not_fitted": "missing unused not_wired", "feed": "simulator source",
        "aircraft": "plane airplane", "gear_handle": "landing_gear gear gear_lever",
        "horn_silence": "mute silence", "parking_brake": "park_brake", "amber": "yellow orange",
        "resistor_ohm": "resistor resistance ohm ohms", "series_ohm": "resistor series_resistor",
        "forward_v": "vf forward_voltage led_voltage", "current_ma": "current ma milliamps",
        "voltage_v": "voltage volts", "capacitor_nf": "capacitor capacitance", "supply": "power",
        "driver": "transistor mosfet npn", "sounder": "buzzer type", "flyback_diode": "diode",
        "limit_ma": "limit max_ma", "powered_by": "power supply", "light": "type", "leds": "count",
        "electrics": "electrical electricity", "supplies": "power psu",
    },
    "aircraft": {
        "application_l": "full_applications", "accumulator": "recharge_s",
        "legs": "gears wheels undercarriage struts", "engines": "throttles engine_count",
        "steering": "nosewheel", "air_ground": "squat_switches weight_on_wheels wow",
        "gear_warning": "horn warning", "hydraulics": "pressure", "supplies": "pumps pump",
        "aux_pump": "pump", "vlo_kias": "vlo", "vle_kias": "vle",
        "speed_limits": "limits speeds vlo vle", "lamps": "lights",
        "own_lamps": "my_lamps custom_lamps extra_lamps", "lit_when": "when condition if",
        "flashing": "blink blinking", "extend_s": "down_s lower_s", "retract_s": "up_s raise_s",
        "free_fall_s": "gravity_s", "starts": "initial start positions",
        "like": "based_on same_as extends copy from", "feed": "simulator sim",
        "model": "program own",
    },
    "feed": {
        "source": "type", "kind": "type", "values": "state data", "repeat": "loop",
        "stale_after_s": "timeout_s max_age_s", "fixed": "static constant",
        "link": "simulator network udp tcp serial mqtt", "receive": "input listen from",
        "message": "format decode", "targets": "outputs send destinations",
        "commands": "messages", "at": "path field column key", "above": "threshold",
        "inverted": "invert reverse reversed", "smooth_s": "filter_s smoothing",
        "words": "map lookup values", "scale": "factor gain multiply",
        "every_s": "interval_s period_s",
        "demo_flight": "flight demo", "airspeed_kias": "ias speed kias",
        "altitude_ft": "altitude height", "ground_speed_kt": "gs", "flap_deg": "flaps",
        "throttles": "throttle", "throttle_1": "throttle", "engines": "engine",
        "engine_1": "engine", "struts": "weight_on_wheels wow squat_switches on_ground",
        "simulator_handle": "gear handle", "bus_power": "power battery electrics",
        "pedals": "brakes brake_pedals", "wheels_rpm": "wheels",
        "steering_pedal_fraction": "rudder", "hydraulic_pressure_psi": "hydraulics",
        "compressed": "ground", "extended": "air", "stopped": "off", "running": "on",
    },
    "scenario": {
        "after_s": "wait delay sleep pause after", "wait_for": "wait until wait_until",
        "at_s": "time at t when", "limit_s": "timeout", "within_s": "within", "for_s": "for",
        "throughout_s": "during for", "runs_for_s": "duration",
        "expect": "check assert verify then", "never": "must_not forbid",
        "in_order": "order sequence", "push": "button click tap", "press": "button hold",
        "move": "toggle switch flip turn put", "set": "put values change",
        "fault": "break fail failure", "clear": "repair fix mend", "ramp": "change slide glide",
        "noise": "jitter random", "repeat": "loop rounds", "exactly": "count how_often",
        "over_s": "over", "note": "comment description", "source": "description",
        "include": "import run", "start": "initial begin state",
        "cases": "table examples variants", "name": "title", "above": "greater more",
        "at_least": "min", "below": "less", "at_most": "max", "any": "or", "all": "and",
    },
}  # fmt: skip
_MEANT: dict[str, dict[str, None]] = {}
for _table in GUESSED_WORDS.values():
    for _key, _guesses in _table.items():
        for _guess in _guesses.split():
            _MEANT.setdefault(_guess, {})[_key] = None
for _renamed in RENAMED:
    _MEANT.setdefault(_renamed.old, {}).update(dict.fromkeys(_renamed.new))


def meant_by(word: str) -> list[str]:
    """What a person who writes ``word`` may mean, in any kind of file; the likeliest first."""
    return [*_MEANT.get(word, ())]
