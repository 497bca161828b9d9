"""Colour differences as eyes see them, for the palette's tests; each from its published source.

sRGB: IEC 61966-2-1. Colour vision deficiencies: the matrices of Machado, Oliveira and Fernandes,
"A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009,
severity 1.0, for linear RGB. Difference: CIEDE2000 (CIE 142-2001), as in Sharma, Wu and Dalal,
"The CIEDE2000 Color-Difference Formula", Color Research and Application 30(1), 2005. Contrast:
WCAG 2.1.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

Triple = tuple[float, float, float]
_WHITE: Triple = (0.95047, 1.0, 1.08883)
"""D65, 2 degree observer."""
_TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
MACHADO: Mapping[str, tuple[Triple, Triple, Triple]] = {
    "normal": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def _times(matrix: tuple[Triple, Triple, Triple], vector: Triple) -> Triple:
    first, second, third = (
        sum(a * b for a, b in zip(line, vector, strict=True)) for line in matrix
    )
    return first, second, third


def linear(colour: str) -> Triple:
    """``#rrggbb`` as linear RGB, 0 to 1."""
    red, green, blue = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return _linear(red), _linear(green), _linear(blue)


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


def seen(colour: str, vision: str) -> Triple:
    """Linear RGB as an eye with this vision sees it."""
    red, green, blue = (min(max(one, 0.0), 1.0) for one in _times(MACHADO[vision], linear(colour)))
    return red, green, blue


def lab(rgb: Triple) -> Triple:
    """CIELAB of linear RGB."""
    x, y, z = (_f(a / w) for a, w in zip(_times(_TO_XYZ, rgb), _WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _f(value: float) -> float:
    if value > (6 / 29) ** 3:
        return float(value ** (1 / 3))
    return value / (3 * (6 / 29) ** 2) + 4 / 29


def _hue(a: float, b: float) -> float:
    return degrees(atan2(b, a)) % 360 if a or b else 0.0


def ciede2000(one: Triple, other: Triple) -> float:
    """The difference of two colours in CIELAB."""
    light_1, a_1, b_1 = one
    light_2, a_2, b_2 = other
    chroma = (hypot(a_1, b_1) + hypot(a_2, b_2)) / 2
    more = 1.5 - 0.5 * sqrt(chroma**7 / (chroma**7 + 25**7))
    a_1, a_2 = a_1 * more, a_2 * more
    c_1, c_2 = hypot(a_1, b_1), hypot(a_2, b_2)
    h_1, h_2 = _hue(a_1, b_1), _hue(a_2, b_2)
    turn = h_2 - h_1
    if not c_1 * c_2:
        turn = 0.0
    elif turn > 180:
        turn -= 360
    elif turn < -180:
        turn += 360
    d_light, d_chroma = light_2 - light_1, c_2 - c_1
    d_hue = 2 * sqrt(c_1 * c_2) * sin(radians(turn / 2))
    light, c = (light_1 + light_2) / 2, (c_1 + c_2) / 2
    h = h_1 + h_2
    if c_1 * c_2:
        if abs(h_1 - h_2) > 180:
            h += 360 if h < 360 else -360
        h /= 2
    t = (
        1
        - 0.17 * cos(radians(h - 30))
        + 0.24 * cos(radians(2 * h))
        + 0.32 * cos(radians(3 * h + 6))
        - 0.20 * cos(radians(4 * h - 63))
    )
    s_light = 1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2)
    s_chroma, s_hue = 1 + 0.045 * c, 1 + 0.015 * c * t
    rotation = -2 * sqrt(c**7 / (c**7 + 25**7)) * sin(radians(60 * exp(-(((h - 275) / 25) ** 2))))
    return sqrt(
        (d_light / s_light) ** 2
        + (d_chroma / s_chroma) ** 2
        + (d_hue / s_hue) ** 2
        + rotation * (d_chroma / s_chroma) * (d_hue / s_hue)
    )


def difference(one: str, other: str, vision: str = "normal") -> float:
    """CIEDE2000 of two colours for a vision."""
    return ciede2000(lab(seen(one, vision)), lab(seen(other, vision)))


def luminance(rgb: Triple) -> float:
    """Relative luminance of linear RGB."""
    return _times(_TO_XYZ, rgb)[1]


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21."""
    dark, light = sorted((luminance(linear(one)), luminance(linear(other))))
    return (light + 0.05) / (dark + 0.05)
