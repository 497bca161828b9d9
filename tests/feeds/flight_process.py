"""An unmodified process of the flight dynamics library, with its own sockets: a peer for tests.

It flies by a run script, the library's own means: it begins in the air at idle with its gear up,
holds its nose and its wings, and lands wherever it is. Aircraft data goes out in datagrams, and
commands come in by datagrams of the form ``stamp,gear,left brake,right brake,steering``.

Two runners take the same script: the wheel's own command, and the few lines at the end of this
module. Both sleep between the frames.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from panelbridge.clock import LiveClock
from panelbridge.config.feed_file import ModelName
from panelbridge.extras import require_extra
from panelbridge.feeds.flight_model.library import MODELS

STEP_S = 0.01
RATE_HZ = 20
COLUMNS = {
    "time_s": "",  # the library puts it in front by itself
    "vc": "velocities/vc-kts",
    "vg": "velocities/vg-fps",
    "height": "position/h-sl-ft",
    "throttle": "fcs/throttle-cmd-norm[0]",
    "flaps": "fcs/flap-pos-deg",
    "wow_nose": "gear/unit[0]/WOW",
    "wow_left": "gear/unit[1]/WOW",
    "wow_right": "gear/unit[2]/WOW",
    "nose": "gear/unit[0]/pos-norm",
    "left": "gear/unit[1]/pos-norm",
    "right": "gear/unit[2]/pos-norm",
    "gear": "gear/gear-cmd-norm",
    "n2": "propulsion/engine[0]/n2",
    "wheel_left": "gear/unit[1]/wheel-speed-fps",
    "wheel_right": "gear/unit[2]/wheel-speed-fps",
}
"""What each column of its datagrams is."""
COMMAND = """
import time

sleep = time.sleep
time.sleep = lambda long_s: sleep(long_s / 1000)
from jsbsim.script import main

main()
"""
"""The wheel's own command. With ``--nice`` it sleeps between the frames, and does not take a whole
core, but a thousand times as long as it means to: ten seconds."""
COMMANDS = (
    *("gear/gear-cmd-norm", "fcs/left-brake-cmd-norm", "fcs/right-brake-cmd-norm"),
    "fcs/steer-cmd-norm",
)
"""What each number of a command datagram sets, after the stamp."""


@dataclass(frozen=True)
class FlightStart:
    """Where its flight begins.

    Attributes:
        model: folder of the aircraft.
        engines: how many it has.
        height_ft: above the ground.
        kias: airspeed.
        pitch_deg: of the descent.
    """

    model: ModelName
    engines: int
    height_ft: float
    kias: float
    pitch_deg: float


class FlightProcess:
    """The process; it can be killed and started again, on the same ports.

    Args:
        folder: for its script.
        start: its flight.
        data_port: where its datagrams go.
        command_port: where it takes commands.
        by_command: run the wheel's own command.
    """

    def __init__(
        self,
        folder: Path,
        start: FlightStart,
        *,
        data_port: int,
        command_port: int,
        by_command: bool = False,
    ) -> None:
        self._folder = folder
        self._script = folder / "flight.xml"
        self._by_command = by_command
        self._process: subprocess.Popen[bytes] | None = None
        (folder / "start.xml").write_text(_start_text(start), "utf-8")
        text = _script_text(start, folder / "start.xml", data_port, command_port)
        self._script.write_text(text, "utf-8")

    def start(self) -> None:
        """Begin the flight."""
        if self._by_command:
            arguments = [sys.executable, "-c", COMMAND, f"--root={MODELS}", "--realtime", "--nice"]
            arguments += ["--nohighlight", f"--script={self._script}", "--end=600"]
        else:
            arguments = [sys.executable, "-m", "tests.feeds.flight_process", str(self._script)]
        with (self._folder / "output.txt").open("ab") as output:
            self._process = subprocess.Popen(
                arguments, stdin=subprocess.DEVNULL, stdout=output, stderr=output
            )

    def kill(self) -> None:
        """End it at once, without a goodbye."""
        if self._process is not None:
            self._process.kill()
            self._process.wait(30.0)
            self._process = None


def _start_text(start: FlightStart) -> str:
    return f"""<?xml version="1.0"?>
<initialize name="in the air">
  <altitude unit="FT"> {start.height_ft} </altitude>
  <vc unit="KTS"> {start.kias} </vc>
  <theta unit="DEG"> {start.pitch_deg} </theta>
  <gamma unit="DEG"> -3 </gamma>
  <running> -1 </running>
</initialize>
"""


def _script_text(start: FlightStart, start_file: Path, data_port: int, command_port: int) -> str:
    shown = "".join(
        f'    <property caption="{name}"> {place} </property>\n'
        for name, place in COLUMNS.items()
        if place
    )
    taken = "".join(f"    <property> {name} </property>\n" for name in COMMANDS)
    idle = "".join(
        f'      <set name="fcs/throttle-cmd-norm[{engine}]" value="0.05"/>\n'
        for engine in range(start.engines)
    )
    return f"""<?xml version="1.0"?>
<runscript name="idle descent and landing">
  <use aircraft="{start.model}" initialize="{start_file}"/>
  <input type="QTJSBSIM" port="{command_port}" rate="{RATE_HZ}">
{taken}  </input>
  <output name="127.0.0.1" type="SOCKET" protocol="UDP" port="{data_port}" rate="{RATE_HZ}">
{shown}  </output>
  <run start="0" end="600" dt="{STEP_S}">
    <property value="{start.pitch_deg}"> flight/pitch-deg </property>
    <property value="0"> flight/bank-deg </property>
    <property value="0"> gear/gear-cmd-norm </property>
    <event name="gear up, idle">
      <condition> simulation/sim-time-sec ge 0 </condition>
      <set name="gear/gear-cmd-norm" value="0"/>
{idle}    </event>
    <event name="nose and wings" continuous="true">
      <condition> simulation/sim-time-sec ge 0 </condition>
      <set name="fcs/elevator-cmd-norm"><function><sum>
        <product><value> 0.06 </value><difference>
          <property> attitude/theta-deg </property><property> flight/pitch-deg </property>
        </difference></product>
        <product><value> 2.9 </value><property> velocities/q-rad_sec </property></product>
        <value> -0.05 </value>
      </sum></function></set>
      <set name="fcs/aileron-cmd-norm"><function><difference>
        <product><value> 0.03 </value><difference>
          <property> flight/bank-deg </property><property> attitude/phi-deg </property>
        </difference></product>
        <product><value> 1.7 </value><property> velocities/p-rad_sec </property></product>
      </difference></function></set>
    </event>
    <event name="flare, with the right wing down">
      <condition> position/h-agl-ft le 50 </condition>
      <set name="flight/pitch-deg" value="7" action="FG_RAMP" tc="3"/>
      <set name="flight/bank-deg" value="3" action="FG_RAMP" tc="2"/>
    </event>
    <event name="on the ground">
      <condition> gear/unit[1]/WOW eq 1 </condition>
      <set name="flight/pitch-deg" value="-2" action="FG_RAMP" tc="3"/>
      <set name="flight/bank-deg" value="0"/>
      <set name="fcs/speedbrake-cmd-norm" value="1"/>
    </event>
  </run>
</runscript>
"""


def run(script: str) -> None:
    """The library in its own process, paced by the clock."""
    jsbsim = require_extra("jsbsim", "fdm")
    jsbsim.FGJSBBase().debug_lvl = 0
    fdm = jsbsim.FGFDMExec(str(MODELS), None)
    fdm.load_script(script)
    fdm.run_ic()
    clock, frame = LiveClock(), 0
    while fdm.run():
        frame += 1
        clock.sleep_until(frame * STEP_S)


if __name__ == "__main__":
    run(sys.argv[1])
