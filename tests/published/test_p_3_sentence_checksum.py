"""P-3 and P-4: the checksum of sentences as in NMEA 0183.

P-3: an 8-bit exclusive or of all characters between ``$`` (or ``!``) and ``*``, as two upper-case
hexadecimal digits, high first: easymanua.ls/ixblue/gaps/manual?p=176 and
mx.vaultbbs.com/forum/code/132316/1, both read; the sentences below were recomputed. P-4: a web page
prints one with a wrong checksum, and two characters that change places keep it.
"""

from __future__ import annotations

import pytest

from panelbridge.feeds.formats.checksums import checked_sentence
from panelbridge.feeds.formats.format import Refused


@pytest.mark.parametrize(
    "sentence",
    [
        "$GPRMC,000004,V,3714.6284,N,12146.9181,W,0.000,0.0,290697,15.4,E*4C",
        "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
        "$PGEAR,1,0,0.75,3000*5F",
        "$*00",
    ],
)
def test_right_ones(sentence: str) -> None:
    assert checked_sentence(sentence) == sentence[1:-3]
    for wrong in ("00", "FF", "5E"):
        if not sentence.endswith(wrong):
            with pytest.raises(Refused, match="it is"):
                checked_sentence(sentence[:-2] + wrong)


def test_the_wrong_one_of_a_web_page() -> None:
    with pytest.raises(Refused, match="it is 22"):
        checked_sentence("$HEHDT,178.3,T*1E")
    assert checked_sentence("$HEHDT,178.3,T*22") == "HEHDT,178.3,T"


def test_every_single_changed_bit_is_found() -> None:
    sentence = "$PGEAR,1,0,0.75,3000*5F"
    for place in range(1, sentence.index("*")):
        for bit in range(7):
            changed = chr(ord(sentence[place]) ^ 1 << bit)
            with pytest.raises(Refused):
                checked_sentence(sentence[:place] + changed + sentence[place + 1 :])


def test_two_characters_that_change_places_are_not_found() -> None:
    """So this checksum alone is weak, and the documents say so."""
    assert checked_sentence("$PGEAR,0,1,0.75,3000*5F") == "PGEAR,0,1,0.75,3000"
