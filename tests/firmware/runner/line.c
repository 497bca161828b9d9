/* The board's line to its host: a UART at its real speed, or USB with a host that can do no more
 * than open a serial port. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "avr_uart.h"
#include "avr_usb.h"
#include "runner.h"

enum { QUEUE = 1 << 20, IN_CHIP = 3 };
/* 32U4: registers and vector of the start of frame, endpoints of the Arduino core's serial port. */
enum { UDINT = 0xE1, UDIEN = 0xE2, SOF_BIT = 2, USB_GEN = 10, EP_OUT = 2, EP_IN = 3 };

DEFINE_FIFO(uint16_t, uart_fifo);

void (*line_sent)(const uint8_t *bytes, size_t number);

static uint8_t queue[QUEUE]; /* on its way to the board */
static unsigned queue_from, queue_to, lost;
static avr_uart_t *uart;
static avr_cycle_count_t next_byte, next_frame, next_poll;
static int is_usb, attached, configured, busy;
static void (*chip_reset)(struct avr_t *chip);

static avr_int_vector_t start_of_frame = {
    .vector = USB_GEN,
    .enable = {.reg = UDIEN, .bit = SOF_BIT, .mask = 1},
    .raised = {.reg = UDINT, .bit = SOF_BIT, .mask = 1},
    .raise_sticky = 1,
};

void line_receive(const uint8_t *bytes, size_t number) {
  for (size_t at = 0; at < number; ++at) queue[queue_to++ % QUEUE] = bytes[at];
  if (queue_to - queue_from > QUEUE) fail("too many bytes for the board");
}

unsigned line_lost(void) { return lost; }

int line_waiting(void) { return (int)(queue_to - queue_from); }

/* Ten bits per byte; the simulator counts eleven. */
static avr_cycle_count_t byte_cycles(void) {
  const unsigned low = avr->data[uart->ubrrl.reg], high = avr->data[uart->ubrrl.reg + 1] & 0x0F;
  const unsigned a_bit = (avr_regbit_get(avr, uart->u2x) ? 8 : 16) * ((high << 8 | low) + 1);
  return uart->cycles_per_byte = 10 * a_bit;
}

static void on_uart(struct avr_irq_t *irq, uint32_t value, void *nothing) {
  (void)irq, (void)nothing;
  const uint8_t byte = (uint8_t)value;
  line_sent(&byte, 1);
}

/* A real UART buffers two bytes and the one being received; the simulated one sixty-four. */
static void give_byte(void) {
  const uint8_t byte = queue[queue_from++ % QUEUE];
  if (uart_fifo_get_read_size(&uart->input) >= IN_CHIP) {
    ++lost;
  } else {
    avr_raise_irq(uart->io.irq + UART_IRQ_INPUT, byte);
  }
}

static void run_us(unsigned us) {
  avr_cycle_count_t end = avr->cycle + us * (avr->frequency / 1000000);
  run_to(end);
}

static int usb_io(uint32_t what, uint8_t pipe, uint8_t *bytes, uint32_t *size) {
  struct avr_io_usb packet = {.pipe = pipe, .sz = *size, .buf = bytes};
  const int result = avr_ioctl(avr, what, &packet);
  *size = packet.sz;
  return result;
}

static void usb_control(uint8_t type, uint8_t request, uint16_t value, uint8_t *data,
                        uint8_t size) {
  uint8_t setup[8] = {type, request, (uint8_t)value, (uint8_t)(value >> 8), 0, 0, size, 0};
  uint8_t answer[64];
  uint32_t number = sizeof setup;
  usb_io(AVR_IOCTL_USB_SETUP, 0, setup, &number);
  run_us(200);
  number = size;
  for (int tries = 0; size != 0 && usb_io(AVR_IOCTL_USB_WRITE, 0, data, &number) != 0; ++tries) {
    if (tries == 1000) fail("USB: no room for a control packet");
    run_us(50);
  }
  run_us(200);
  number = sizeof answer;
  for (int tries = 0; usb_io(AVR_IOCTL_USB_READ, 0, answer, &number) < 0; ++tries) {
    if (tries == 1000) fail("USB: no answer to a control packet");
    number = sizeof answer;
    run_us(50);
  }
  run_us(100);
}

/* What a host does when it finds a new device and opens its serial port. */
static void usb_open(void) {
  uint8_t coding[7] = {0x90, 0xD0, 0x03, 0, 0, 0, 8}; /* 250000 bit/s, 8N1 */
  busy = 1;
  run_us(5000); /* the chip has attached to the bus by then */
  avr_ioctl(avr, AVR_IOCTL_USB_RESET, NULL);
  run_us(2000);
  usb_control(0x00, 5, 1, NULL, 0);              /* SET_ADDRESS */
  usb_control(0x00, 9, 1, NULL, 0);              /* SET_CONFIGURATION */
  usb_control(0x21, 0x20, 0, coding, sizeof coding); /* SET_LINE_CODING */
  usb_control(0x21, 0x22, 1, NULL, 0);           /* SET_CONTROL_LINE_STATE: DTR */
  busy = 0;
  configured = 1;
}

/* After any reset, also by the watchdog: the device leaves the bus and comes back. */
static void on_reset(struct avr_t *chip) {
  chip_reset(chip);
  configured = 0;
  attached = 1;
}

/* How the Arduino IDE starts the boot loader of a 32U4 board. */
void line_touch(void) {
  uint8_t coding[7] = {0xB0, 0x04, 0, 0, 0, 0, 8}; /* 1200 bit/s */
  if (!is_usb) fail("only USB can be touched");
  busy = 1;
  usb_control(0x21, 0x20, 0, coding, sizeof coding);
  usb_control(0x21, 0x22, 0, NULL, 0); /* DTR falls */
  busy = 0;
}

static void on_attach(struct avr_irq_t *irq, uint32_t value, void *nothing) {
  (void)irq, (void)nothing;
  attached = value != 0;
}

static void usb_bulk(void) {
  uint8_t packet[64];
  uint32_t number = sizeof packet;
  while (usb_io(AVR_IOCTL_USB_READ, EP_IN, packet, &number) == 0 && number != 0) {
    line_sent(packet, number);
    number = sizeof packet;
  }
  const unsigned waiting = queue_to - queue_from;
  if (waiting == 0) return;
  number = waiting < sizeof packet ? waiting : sizeof packet;
  for (unsigned at = 0; at < number; ++at) packet[at] = queue[(queue_from + at) % QUEUE];
  const uint32_t asked = number;
  if (usb_io(AVR_IOCTL_USB_WRITE, EP_OUT, packet, &number) == 0) queue_from += asked;
}

void line_begin(int usb) {
  is_usb = usb;
  if (usb) {
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_USB_GETIRQ(), USB_IRQ_ATTACH), on_attach,
                            NULL);
    avr_ioctl(avr, AVR_IOCTL_USB_VBUS, (void *)1);
    chip_reset = avr->reset;
    avr->reset = on_reset;
    return;
  }
  for (avr_io_t *io = avr->io_port; io != NULL; io = io->next) {
    if (strcmp(io->kind, "uart") == 0 && ((avr_uart_t *)io)->name == '0') uart = (avr_uart_t *)io;
  }
  if (uart == NULL) fail("the chip has no UART");
  uint32_t flags = 0;
  avr_ioctl(avr, AVR_IOCTL_UART_GET_FLAGS('0'), &flags);
  flags &= ~(uint32_t)(AVR_UART_FLAG_STDIO | AVR_UART_FLAG_POLL_SLEEP);
  avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
  avr_irq_register_notify(uart->io.irq + UART_IRQ_OUTPUT, on_uart, NULL);
}

avr_cycle_count_t line_next(void) {
  if (is_usb) return next_frame < next_poll ? next_frame : next_poll;
  byte_cycles();
  return queue_from == queue_to ? avr->cycle + 16000 : next_byte;
}

void line_work(void) {
  if (!is_usb) {
    if (queue_from == queue_to || avr->cycle < next_byte) {
      if (queue_from == queue_to && next_byte < avr->cycle) next_byte = avr->cycle;
      return;
    }
    const avr_cycle_count_t late = avr->cycle - next_byte;
    const avr_cycle_count_t each = byte_cycles();
    next_byte = late < each ? next_byte + each : avr->cycle + each;
    give_byte();
    return;
  }
  if (avr->cycle >= next_frame) {
    next_frame = avr->cycle + avr->frequency / 1000;
    avr_raise_interrupt(avr, &start_of_frame);
  }
  if (attached && !configured && !busy) {
    attached = 0;
    usb_open();
  }
  if (avr->cycle >= next_poll) {
    next_poll = avr->cycle + avr->frequency / 10000;
    if (configured) usb_bulk();
  }
}
