# Frames: COBS and CRC-16/IBM-3740 around a message. PROTOCOL.md, section 1.
#
# The loops over bytes are compiled for the chip (viper). Nothing here allocates memory after the
# start: the buffers are used again and again.

import micropython

from array import array

from terms import MAX_ENCODED, MAX_MESSAGE

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


@micropython.viper
def _crc(data: ptr8, count: int, crc: int, table: ptr16) -> int:
    at = 0
    while at < count:
        crc = (crc << 8 & 0xFFFF) ^ table[crc >> 8 ^ data[at]]
        at += 1
    return crc


@micropython.viper
def _gather(data: ptr8, at: int, count: int, frame: ptr8, length: int, most: int) -> int:
    # Copies data[at:count] to the end of the frame, up to a zero; returns how far. Bytes for which
    # the frame has no room are left out.
    while at < count:
        byte = data[at]
        if byte == 0:
            break
        if length < most:
            frame[length] = byte
        length += 1
        at += 1
    return at


@micropython.viper
def _stuff(message: ptr8, count: int, frame: ptr8) -> int:
    # Encodes with COBS and ends the frame; returns its length.
    head = 0  # where the length of this run goes
    end = 1
    at = 0
    while at < count:
        byte = message[at]
        if byte:
            frame[end] = byte
        else:
            frame[head] = end - head
            head = end
        end += 1
        at += 1
    frame[head] = end - head
    frame[end] = 0
    return end + 1


@micropython.viper
def _unstuff(frame: ptr8, count: int) -> int:
    # Decodes COBS in place; returns the length, or -1 if it is not valid.
    at = 0
    end = 0
    while at < count:
        stop = at + frame[at]
        if stop > count:
            return -1
        at += 1
        while at < stop:
            frame[end] = frame[at]
            end += 1
            at += 1
        if at < count:
            frame[end] = 0
            end += 1
    return end


@micropython.viper
def copy(source: ptr8, count: int, target: ptr8, at: int):
    # Like target[at : at + count] = source[:count], without a slice object.
    done = 0
    while done < count:
        target[at + done] = source[done]
        done += 1


def crc16(data, crc=CRC_START):
    return _crc(data, len(data), crc, _TABLE)


class FrameWriter:
    # Write a message into `message`, then `seal` it: `frame` is what goes over the wire.

    def __init__(self):
        self.message = bytearray(MAX_MESSAGE)
        self.frame = bytearray(MAX_ENCODED + 1)

    def seal(self, length):
        # Returns the length of the frame.
        message = self.message
        crc = _crc(message, length, CRC_START, _TABLE)
        message[length] = crc >> 8
        message[length + 1] = crc & 0xFF
        return _stuff(message, length + 2, self.frame)


class FrameReader:
    # Finds the valid messages in a stream of bytes, however it is split.

    def __init__(self):
        self.bad = 0
        self.length = 0
        self.message = bytearray(MAX_ENCODED)
        self._arrived = 0  # bytes of a frame, which are in `message`
        self._skipping = False

    def take(self, data, at, count):
        # Reads data[at:count] as far as a frame ends in it; returns how far. `length` is then that
        # of its message without the CRC, or 0; the next call overwrites `message`.
        self.length = 0
        arrived = self._arrived
        end = _gather(data, at, count, self.message, arrived, MAX_ENCODED)
        if not self._skipping:
            arrived += end - at
            if arrived > MAX_ENCODED:
                arrived = 0
                self._skipping = True
                self.bad += 1
            self._arrived = arrived
        if end == count:
            return end
        self._arrived = 0
        if self._skipping:
            self._skipping = False
        elif arrived:
            length = _unstuff(self.message, arrived)
            if length < 3 or _crc(self.message, length, CRC_START, _TABLE):
                self.bad += 1
            else:
                self.length = length - 2
        return end + 1
