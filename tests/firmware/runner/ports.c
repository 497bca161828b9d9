/* What is wired to the pins, and what the chip drives. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "../chips.h"
#include "avr_ioport.h"
#include "runner.h"

enum { PORTS = 12, PINS = 8 * PORTS };

static avr_ioport_t *ports[PORTS];
static uint8_t ddr[PORTS], out[PORTS]; /* as last reported */
static uint8_t held[PORTS], held_high[PORTS]; /* pins that something outside drives */
static chain_t chains[MAX_CHAIN_SETS];
static int chain_count;
static double last_load_us, longest_load_us; /* between two loads of a chain of inputs */

int pin_number(const char *name) {
  if (!isupper((unsigned char)name[0]) || !isdigit((unsigned char)name[1])) fail("no such pin");
  const int pin = 8 * (name[0] - 'A') + name[1] - '0';
  if (pin >= PINS || ports[pin / 8] == NULL) fail("no such pin");
  return pin;
}

/* A PORT write would set a pulled-up input again. So the wire's level is given to the simulator as
 * the pin's external level, and the pin's own event is raised only when the wire changes. */
static void drive(int pin, int held_now, int high) {
  const int port = pin / 8;
  const uint8_t mask = (uint8_t)(1 << pin % 8);
  held[port] = (uint8_t)(held_now ? held[port] | mask : held[port] & ~mask);
  held_high[port] = (uint8_t)(high ? held_high[port] | mask : held_high[port] & ~mask);
  avr_ioport_external_t outside = {.name = (unsigned)('A' + port) & 0x7F, .mask = held[port],
                                   .value = held_high[port]};
  avr_ioctl(avr, AVR_IOCTL_IOPORT_SET_EXTERNAL('A' + port), &outside);
  const int is_output = avr->data[ports[port]->r_ddr] & mask;
  const int pulled_up = avr->data[ports[port]->r_port] & mask;
  if (!is_output && (held_now || pulled_up)) {
    avr_raise_irq(ports[port]->io.irq + pin % 8, held_now ? (uint32_t)high : 1);
  }
}

void connect_pin(int pin, char state) { drive(pin, state != 'z', state == '1'); }

static void report_chain(const chain_t *chain) {
  printf("o %.4f %c%d chips ", now_us(), 'A' + chain->data / 8, chain->data % 8);
  for (int chip = 0; chip < chain->chips; ++chip) printf("%02x", chain->outside[chip]);
  printf("\n");
}

/* Whether the pin belongs to a chain: its levels go to the chips and are not reported. */
static int feed_chains(int pin, int driven, int level) {
  int of_chain = 0;
  for (chain_t *chain = chains; chain != chains + chain_count; ++chain) {
    if (!driven || !chain_hears(chain, pin)) continue;
    of_chain = 1;
    if (!chain->is_out && pin == chain->latch && !level) {
      const double gap_us = now_us() - last_load_us;
      if (last_load_us != 0 && gap_us > longest_load_us) longest_load_us = gap_us;
      last_load_us = now_us();
    }
    if (chain_pin(chain, pin, level)) report_chain(chain);
    if (!chain->is_out) drive(chain->data, 1, chain_output(chain));
  }
  return of_chain;
}

static void look(int port, uint8_t new_ddr, uint8_t new_out) {
  const uint8_t changed = (uint8_t)((ddr[port] ^ new_ddr) | (out[port] ^ new_out));
  ddr[port] = new_ddr;
  out[port] = new_out;
  for (int bit = 0; bit < 8; ++bit) {
    if (!(changed >> bit & 1)) continue;
    const int driven = new_ddr >> bit & 1;
    const int level = new_out >> bit & 1;
    if (feed_chains(8 * port + bit, driven, level)) continue;
    printf("o %.4f %c%d ", now_us(), 'A' + port, bit);
    if (driven) {
      printf("level %d\n", level);
    } else {
      printf("%s\n", level ? "pullup" : "free");
    }
  }
}

static void on_write(struct avr_irq_t *irq, uint32_t value, void *port) {
  (void)irq, (void)value;
  avr_ioport_t *const written = ports[(intptr_t)port];
  look((int)(intptr_t)port, avr->data[written->r_ddr], avr->data[written->r_port]);
}

void ports_begin(void) {
  for (avr_io_t *io = avr->io_port; io != NULL; io = io->next) {
    if (strcmp(io->kind, "port") != 0) continue;
    avr_ioport_t *const port = (avr_ioport_t *)io;
    const int number = port->name - 'A';
    if (number < 0 || number >= PORTS) continue;
    ports[number] = port;
    /* On the registers, not the port: the port does not raise its events for each write. */
    const avr_io_addr_t registers[3] = {port->r_ddr, port->r_port, port->r_pin};
    for (int at = 0; at < 3; ++at) {
      avr_irq_t *const irq = avr_iomem_getirq(avr, registers[at], NULL, AVR_IOMEM_IRQ_ALL);
      avr_irq_register_notify(irq, on_write, (void *)(intptr_t)number);
    }
  }
}

void ports_sync(void) {
  for (int port = 0; port < PORTS; ++port) {
    if (ports[port] == NULL) continue;
    look(port, avr->data[ports[port]->r_ddr], avr->data[ports[port]->r_port]);
  }
}

double take_longest_load_us(void) {
  const double longest_us = longest_load_us;
  longest_load_us = 0;
  return longest_us;
}

void add_chain(int is_out, const int pins[3], int chips) {
  if (chain_count == MAX_CHAIN_SETS || chips > MAX_CHAIN) fail("too many chains");
  chains[chain_count++] = chain_make(is_out, pins[0], pins[1], pins[2], chips);
}

void set_chain_bit(int data, unsigned bit, int level) {
  for (chain_t *chain = chains; chain != chains + chain_count; ++chain) {
    if (chain->is_out || chain->data != data || bit >= 8U * (unsigned)chain->chips) continue;
    chain_input(chain, (int)bit, level);
    drive(data, 1, chain_output(chain));
  }
}
