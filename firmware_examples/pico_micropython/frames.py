# Frames: COBS and CRC-16/IBM-3740 around a message. PROTOCOL.md, section 1.

from array import array

from terms import MAX_ENCODED

CRC_START = 0xFFFF


def _table():
    words = array("H")
    for byte in range(256):
        crc = byte << 8
        for _ in range(8):
            crc = (crc << 1 ^ 0x1021) & 0xFFFF if crc & 0x8000 else crc << 1
        words.append(crc)
    return words


_TABLE = _table()


def crc16(data, crc=CRC_START):
    table = _TABLE
    for byte in data:
        crc = (crc << 8 & 0xFFFF) ^ table[crc >> 8 ^ byte]
    return crc


def encode_frame(message):
    crc = crc16(message)
    body = bytes(message) + bytes((crc >> 8, crc & 0xFF))
    frame = bytearray(1)
    for run in body.split(b"\0"):
        frame[-1] = len(run) + 1
        frame.extend(run)
        frame.append(0)
    return bytes(frame)


def decode_cobs(frame):
    # Returns None if it is not valid COBS.
    body = bytearray()
    at = 0
    while at < len(frame):
        end = at + frame[at]
        if end > len(frame):
            return None
        body.extend(frame[at + 1 : end])
        at = end
        if at < len(frame):
            body.append(0)
    return body


class FrameReader:
    # Finds the valid messages in a stream of bytes, however it is split.

    def __init__(self):
        self.bad = 0
        self._rest = bytearray()
        self._skipping = False

    def take(self, byte):
        # Returns the message that this byte completes, without its CRC, or None.
        if byte:
            if self._skipping:
                return None
            self._rest.append(byte)
            if len(self._rest) > MAX_ENCODED:
                self._skipping = True
                self.bad += 1
                self._rest = bytearray()
            return None
        frame, self._rest = self._rest, bytearray()
        if self._skipping:
            self._skipping = False
            return None
        if not frame:
            return None
        body = decode_cobs(frame)
        if body is None or len(body) < 3 or crc16(body):
            self.bad += 1
            return None
        return bytes(body[:-2])
