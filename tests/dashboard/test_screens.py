"""Whole screens, word by word, and what stands out in them."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from panelbridge.dashboard.app import DashboardApp
from panelbridge.dashboard.text.lines import Line, TextStyle
from panelbridge.dashboard.widgets import LinesWidget
from tests.dashboard import scenes
from tests.dashboard.fakes import FakeControls, FakeSource, app_for, app_of, full_app
from tests.dashboard.text import text_of

START = """\
 bench panel ─ twin trainer                 ● board live          parked   0:00
 Horn    ○ silent

 Faults  ○ none
 Leg ─ Up-lock  Down-lock  State ───────────── Green ──── Red ────── Squat ────
 nose  ○───────────────█●  ● locked down       ● LIT 70%  ○ dark     ● ground
 left  ○───────────────█●  ● locked down       ● LIT 70%  ○ dark     ● ground
 right ○───────────────█●  ● locked down       ● LIT 70%  ○ dark     ● ground
 Lamps   handle knob  ○ dark      steering on  ○ dark
 Switch ───── Key  Move ────── Reported  Aircraft ─ ● fresh ───────────────────
 Gear handle  g     up [DOWN]  ▼ down    ▼ on ground  ○ steering off
 Horn silence h    ( push )    ○ off     Gear      ▼ selected down
 Lamp test    t    ( push )    ○ off     Airspeed      0 kt  Altitude    620 ft
 Warning test w    ( push )    ○ off     Flaps         0 deg
 Steering     s    ( push )    ○ off     Throttle     5%    5%
 Dimmer       - +  ████████░░░  70%      Pressure    285 psi  █░░░░░░░░░░░░░░░░
 Link ────── State ─────  Frames in ─── out Errors Trip ms Reconnects Edges lost
 gear_panel  ● live              21      19      0     2.3          0          0
 Log ──────────────────────────────────────────────────────────────────────────
  0:00.1  · info    board gear is live on simboard://gear



 1 panel 2 switches 3 systems 4 lamps 5  overview   ?   l log  q quit  F6 why"""

CRUISE_IN_60 = """\
 bench panel            ● board live          cruise   1:26
 Horn    ○ silent
 Faults  ○ none
 Leg ─ Up  ─ Down  State ─────── Green  Red ── Squat ──────
 nose  ●█───────○  ● locked up   ○ dark ○ dark ○ air
 left  ●█───────○  ● locked up   ○ dark ○ dark ○ air
 right ●█───────○  ● locked up   ○ dark ○ dark ○ air
 Lamps   handle knob  ○ dark  steering on  ○ dark
 Switch ───── Key  Reported ──  Aircraft ─ ● fresh ────────
 Gear handle  g    ▲ up         ▲ in air     ○ steering off
 Horn silence h    ○ off        Airspeed    228 kt
 Lamp test    t    ○ off        Altitude   6400 ft
 Warning test w    ○ off        Flaps         0 deg
 Steering     s    ○ off        Throttle    68%   68%
 Dimmer       - +   70%         Pressure   2850 psi  ████░░
 Link ────── State ─────  Frames in  Errors  Trip ms
 gear_panel  ● live            4184       0      2.3
  0:52.4  · info    right leg locked up
  0:53.0  · info    nose leg locked up
 1  2  3  4  5  overview   ? help  l log  q quit  F6 why"""

REFUSED_IN_60 = """\
 bench panel        ! board NOT live          parked   0:03
 Horn    ? no link; commanded silent
 Faults  ! not live: gear_panel; see Link below
 Leg ─ Up  ─ Down  State ─────── Green  Red ── Squat ──────
 nose  ○───────█●  ● locked down ?      ?      ● ground
 left  ○───────█●  ● locked down ?      ?      ● ground
 right ○───────█●  ● locked down ?      ?      ● ground
 Lamps   handle knob  ?       steering on  ?
 Switch ───── Key  Reported ──  Aircraft ─ ● fresh ────────
 Gear handle  g    ? unknown    ▼ on ground  ○ steering off
 Horn silence h    ? unknown    Airspeed      0 kt
 Lamp test    t    ? unknown    Altitude    620 ft
 Warning test w    ? unknown    Flaps         0 deg
 ▼ 2 more lines: make the window taller
 gear_panel  X REFUSED            2       0        ?
   COM5: the board is a mega2560 and the panel file says
   uno
   write 'board: mega2560' under 'boards: gear:' in the
   panel file, or plug in the right board
 1  2  3  4  5  overview   ? help  l log  q quit  F6 why"""

HORN_IN_20 = """\
 ● 1/1 live   1:37
 Horn ● ON, interm…
 nose  ● up     ○ ▲
 left  ● up     ○ ▲
 right ● up     ○ ▲"""

LARGE_LOG = """\
 bench panel ─ twin trainer                 ● board live    idle descent   1:37
 Horn    ● ON, intermittent: throttle of engine 1 is closed (8 %) and the gear
         is not locked down; flaps are set for landing and the gear is not loc…
 Log ──── Up and Down scroll, l makes it small ────────────────────────────────
  0:00.1  · info    board gear is live on simboard://gear
  0:02.0  · info    lamp test began
  0:04.0  · info    lamp test ended
  0:09.0  · info    nose-wheel steering engaged
  0:19.0  · info    nose-wheel steering released
  0:47.0  · info    gear handle moved up
  0:52.1  · info    left leg locked up
  0:52.4  · info    right leg locked up
  0:53.0  · info    nose leg locked up
  1:35.0  ▲ WARNING horn sounds: throttle of engine 1 is closed and the gear is
                    not locked down








 1  2  3  4  5   ? help  l small log  q quit  F6 why  F7 log"""

REAL_SWITCHES = """\
 Switch ────────────────── Reported ───
 Gear handle               ▼ down
 Horn silence              ○ off
 Lamp test                 ○ off
 Warning test              ○ off
 Steering                  ○ off
 Dimmer                     70%
 Operate them on the panel"""

FEW_LAMPS = """\
 nose   ● locked up           ? no link     – not fitted  ○ air
 left   ● locked up           ? no link     – not fitted  ○ air
 right  ● locked up           ? no link     – not fitted  ○ air"""

LAST_SWITCHES = """\
 Switch ───── Key  Move ────── Reported  Switch ───── Key  Move ────── Reported
 Gear handle  g     up [DOWN]  ▼ down    Emerg. gear  e    ( stowed )  ○ stowed
 Horn silence h    ( push )    ○ off     Hand pump    m    ( push )    ○ off
 Lamp test    t    ( push )    ● pressed Anti-skid    a    ( off )     ● on
 Warning test w    ( push )    ○ off     Cold weather c    ( off )     ○ off
 Steering     s    ( push )    ○ off     Night        n    ( off )     ● on
 Dimmer       - +  ████████░░░  70%      Fluid test   b    ( push )    ○ off
 Horn (lever) o    ( push )    ○ off     Park. brake  p <> ░░░░░░░░░░░  35%
 Steering 2   i    ( push )    ○ off     Emerg. brake y    ( off )     ○ off
 Lock release d    ( push )    ○ off     Left brake   k () ░░░░░░░░░░░  20%
 Gear reset   r    ( push )    ○ off     Right brake  j ,. ░░░░░░░░░░░  25%
 Aux pump     u    ( off )     ● on      Tiller       v /* ██████░░░░░ L  20%"""

LAST_SYSTEMS = """\
 right brake pedal             ?
 wheel left outer              0 rpm
 wheel left inner             12 rpm"""

REAL_FULL_SWITCHES = """\
 Switch ────────────────── Reported ───  Switch ────────────────── Reported ───
 Gear handle               ▼ down        Emerg. gear               ○ stowed
 Horn silence              ○ off         Hand pump                 ○ off
 Lamp test                 ● pressed     Anti-skid                 ● on
 Warning test              ○ off         Cold-weather routine      ○ off
 Steering                  ○ off         Night lighting            ● on
 Dimmer                     70%          Low-fluid test            ○ off
 Horn (lever)              ○ off         Parking brake              35%
 Second steering button    ○ off         Emergency brake           ○ off
 Down-lock release         ○ off         Left brake pedal           20%
 Gear reset                ○ off         Right brake pedal          25%
 Auxiliary pump            ● on          Steering tiller           L  20%"""


async def lines_of(
    app: DashboardApp, size: tuple[int, int] = (80, 24), keys: tuple[str, ...] = ()
) -> list[Line]:
    async with app.run_test(size=size) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
        parts = ("board", "links", "log", "keys")
        return [line for part in parts for line in app.query_one(f"#{part}", LinesWidget).lines]


def words(lines: list[Line]) -> str:
    return "\n".join(text_of(line).rstrip() for line in lines)


@pytest.mark.parametrize(
    ("name", "size", "keys", "text"),
    [
        ("start", (80, 24), (), START),
        ("cruise", (60, 20), (), CRUISE_IN_60),
        ("refused", (60, 20), (), REFUSED_IN_60),
        ("horn", (20, 5), (), HORN_IN_20),
        ("horn", (80, 24), ("l",), LARGE_LOG),
    ],
)
async def test_a_whole_screen(
    name: str, size: tuple[int, int], keys: tuple[str, ...], text: str
) -> None:
    assert words(await lines_of(app_of(name), size, keys)) == text


async def test_the_switches_of_a_real_panel_have_no_keys() -> None:
    lines = await lines_of(app_of("start", real=True))
    left = [text_of(line)[:40].rstrip() for line in lines[9:17]]
    assert "\n".join(left) == REAL_SWITCHES
    whole = words(await lines_of(full_app(real=True), keys=("2",)))
    assert REAL_FULL_SWITCHES in whole


async def test_lamps_that_are_not_fitted_while_the_board_of_the_others_is_away() -> None:
    snapshot = replace(scenes.HORN, boards=scenes.LOST.boards)
    app = app_for(FakeSource(snapshot), FakeControls(), looks=scenes.FEW_LAMPS)
    lines = await lines_of(app, (120, 40))
    whole = words(lines)
    legs = [f"{text_of(line)[:7]}{text_of(line)[49:].rstrip()}" for line in lines[6:9]]
    assert "\n".join(legs) == FEW_LAMPS
    assert "– none fitted" in whole
    assert " Horn    ? no link; commanded intermittent: throttle of engine 1" in whole


@pytest.mark.parametrize(
    ("next_page", "text"), [("3", LAST_SWITCHES), ("4", LAST_SYSTEMS)], ids=["switches", "systems"]
)
async def test_the_last_part_of_a_page(next_page: str, text: str) -> None:
    assert text in words(await lines_of(full_app(), keys=(next_page, "left")))


@pytest.mark.parametrize(
    ("name", "text", "style"),
    [
        ("start", "● board live", TextStyle.GOOD),
        ("start", "● locked down", TextStyle.GOOD),
        ("start", "● LIT 70%", TextStyle.LIT_GREEN),
        ("start", "○ dark", TextStyle.DARK),
        ("start", "[DOWN]", TextStyle.HELD),
        ("start", "( push )", TextStyle.GRIP),
        ("start", "○ silent", TextStyle.QUIET),
        ("start", "● fresh", TextStyle.GOOD),
        ("cruise", "● locked up", TextStyle.TEXT),
        ("transit", "▼ leaving up-lock", TextStyle.CAUTION),
        ("transit", "▼ extending", TextStyle.CAUTION),
        ("transit", "! disagrees", TextStyle.CAUTION),
        ("horn", "▲ LIT 100%", TextStyle.LIT_RED),
        ("horn", "● ON, intermittent: throttle of engine 1", TextStyle.ALARM),
        ("horn", "▲ WARNING", TextStyle.ALARM),
        ("lost", "! 1 of 2 boards live", TextStyle.ALARM),
        ("lost", "X the gear handle is unknown", TextStyle.ALARM),
        ("lost", "! WAITING", TextStyle.ALARM),
        ("lost", "COM5: the port went away", TextStyle.CAUTION),
        ("lost", "? no link; commanded silent", TextStyle.CAUTION),
        ("refused", "! board NOT live", TextStyle.ALARM),
        ("refused", "X REFUSED", TextStyle.ALARM),
        ("refused", "COM5: the board is a mega2560", TextStyle.ALARM),
        ("refused", "? unknown", TextStyle.QUIET),
    ],
)
async def test_what_stands_out(name: str, text: str, style: TextStyle) -> None:
    lines = await lines_of(app_of(name))
    styles = {span.style for line in lines for span in line if span.text.strip().startswith(text)}
    assert styles == {style}
