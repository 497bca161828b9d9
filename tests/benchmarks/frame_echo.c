/* The floor of the round-trip benchmark: reads frames from a terminal, checks COBS and
 * CRC-16/IBM-3740, and answers each good one with a frame of a given length. Nothing else.
 * Usage: frame_echo TTY REPLY_LENGTH   (length of the reply's message without CRC)
 */
#include <fcntl.h>
#include <poll.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#define MAX_ENCODED 121

static uint16_t crc16(const uint8_t *data, size_t length) {
    uint16_t crc = 0xFFFF;
    for (size_t i = 0; i < length; i++) {
        crc ^= (uint16_t)(data[i] << 8);
        for (int bit = 0; bit < 8; bit++)
            crc = (uint16_t)((crc & 0x8000) ? (crc << 1) ^ 0x1021 : crc << 1);
    }
    return crc;
}

static int cobs_decode(const uint8_t *in, size_t length, uint8_t *out) {
    size_t at = 0, made = 0;
    while (at < length) {
        uint8_t code = in[at++];
        if (code == 0 || at + code - 1 > length) return -1;
        for (int i = 1; i < code; i++) out[made++] = in[at++];
        if (code != 0xFF && at < length) out[made++] = 0;
    }
    return (int)made;
}

static size_t cobs_encode(const uint8_t *in, size_t length, uint8_t *out) {
    size_t mark = 0, made = 1;
    uint8_t code = 1;
    for (size_t i = 0; i < length; i++) {
        if (in[i]) {
            out[made++] = in[i];
            code++;
        } else {
            out[mark] = code;
            mark = made++;
            code = 1;
        }
    }
    out[mark] = code;
    out[made++] = 0;
    return made;
}

int main(int argc, char **argv) {
    if (argc != 3) return 2;
    size_t reply_length = (size_t)atoi(argv[2]);
    int tty = open(argv[1], O_RDWR | O_NOCTTY);
    if (tty < 0) return 1;
    struct termios raw;
    tcgetattr(tty, &raw);
    cfmakeraw(&raw);
    tcsetattr(tty, TCSANOW, &raw);
    uint8_t frame[256], body[256], reply[256], wire[300], chunk[256];
    size_t held = 0;
    uint16_t sequence = 0;
    puts("ready");
    fflush(stdout);
    for (;;) {
        struct pollfd waiting = {tty, POLLIN, 0};
        if (poll(&waiting, 1, 10000) <= 0) return 0;
        ssize_t got = read(tty, chunk, sizeof chunk);
        if (got <= 0) return 0;
        for (ssize_t i = 0; i < got; i++) {
            if (chunk[i]) {
                if (held < MAX_ENCODED) frame[held++] = chunk[i];
                continue;
            }
            int length = cobs_decode(frame, held, body);
            held = 0;
            if (length < 3 || crc16(body, (size_t)length) != 0) continue;
            memset(reply, 0x55, reply_length);
            reply[0] = 0x05;
            reply[2] = (uint8_t)sequence;
            reply[3] = (uint8_t)(sequence >> 8);
            sequence++;
            uint16_t crc = crc16(reply, reply_length);
            reply[reply_length] = (uint8_t)(crc >> 8);
            reply[reply_length + 1] = (uint8_t)crc;
            size_t size = cobs_encode(reply, reply_length + 2, wire);
            if (write(tty, wire, size) != (ssize_t)size) return 1;
        }
    }
}
