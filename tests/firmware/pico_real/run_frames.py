# The board's frames.py, with its loops compiled for this machine. Each line of standard input is
# bytes in hexadecimal: they are read as they come, and sealed as a message if they are few enough.

import sys

import frames

reader = frames.FrameReader()
writer = frames.FrameWriter()
for line in sys.stdin:
    data = bytes.fromhex(line.strip())
    messages = []
    at = 0
    while at < len(data):
        at = reader.take(data, at, len(data))
        if reader.length:
            messages.append(bytes(reader.message[: reader.length]).hex())
    sealed = ""
    if len(data) <= 118:
        writer.message[: len(data)] = data
        sealed = bytes(writer.frame[: writer.seal(len(data))]).hex()
    print("%d,%s,%s" % (reader.bad, ":".join(messages), sealed))
