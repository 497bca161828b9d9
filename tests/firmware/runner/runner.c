/* Runs the binary of an AVR board instruction by instruction.
 *
 *   runner MCU ELF [--usb] [--pty LINK [--reset-on-open]]
 *
 * Without --pty it runs in lock-step: commands on standard input, events on standard output. A pin
 * is named by its port and bit: B5.
 *
 *   run US            run for this time; answers with the events, then "= now"
 *   rx HEX            bytes from the host, at the speed of the line
 *   in PIN 0|1|z      connect a pin to ground, to the supply, or to nothing
 *   adc CHANNEL MV    voltage at an analogue input
 *   chain in|out DATA CLOCK LATCH CHIPS, bit DATA BIT 0|1   shift registers on these pins
 *   reset             press the reset button
 *   brownout MS       no power for this time: all but flash and EEPROM is lost
 *   hang              the program enters an endless loop
 *   touch             USB: the port is opened at 1200 bit/s and closed
 *   peek ADDRESS      a byte of the chip's memory: "peek HEX", then "= now"
 *   lost              bytes that the chip did not read in time: "lost N", then "= now"
 *
 *   tx TIME HEX       bytes to the host
 *   o TIME PIN STATE  a pin is: free, pullup, level L; outputs of a chain: chips HEX
 *
 * With --pty it runs in real time (paced.c) and takes the same commands except run, each answered
 * with "done TIME COMMAND".
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "avr_adc.h"
#include "paced.h"
#include "runner.h"
#include "sim_elf.h"

avr_t *avr;
static avr_flashaddr_t endless_loop;

double now_us(void) { return (double)avr->cycle * 1e6 / avr->frequency; }

void fail(const char *what) {
  fflush(stdout);
  fprintf(stderr, "runner: %s\n", what);
  exit(1);
}

static void no_sleep(avr_t *chip, avr_cycle_count_t cycles) { (void)chip, (void)cycles; }

static void no_log(avr_t *chip, const int level, const char *format, va_list values) {
  (void)chip;
  if (level <= LOG_ERROR) vfprintf(stderr, format, values);
}

/* Makes the simulator stop there. */
static avr_cycle_count_t stop_here(avr_t *chip, avr_cycle_count_t when, void *nothing) {
  (void)chip, (void)when, (void)nothing;
  return 0;
}

void run_to(avr_cycle_count_t target) {
  while (avr->cycle < target) {
    avr_cycle_count_t next = line_next();
    if (next > target) next = target;
    if (next > avr->cycle) {
      avr_cycle_timer_register(avr, next - avr->cycle, stop_here, NULL);
      while (avr->cycle < next) {
        const int state = avr_run(avr);
        if (state == cpu_Done || state == cpu_Crashed) fail("the program on the chip has crashed");
      }
    }
    ports_sync();
    line_work();
  }
}

static void to_output(const uint8_t *bytes, size_t number) {
  printf("tx %.4f ", now_us());
  for (size_t at = 0; at < number; ++at) printf("%02x", bytes[at]);
  printf("\n");
}

static void receive(const char *hex) {
  unsigned byte;
  for (; sscanf(hex, "%2x", &byte) == 1 && strlen(hex) >= 2; hex += 2) {
    const uint8_t value = (uint8_t)byte;
    line_receive(&value, 1);
  }
}

static void peek(unsigned address) {
  if (address > avr->ramend) fail("peek beyond the memory");
  printf("peek %02x\n", avr->data[address]);
}

/* Writes to each byte of the EEPROM. */
static unsigned eeprom_writes[4096];

static void on_eeprom(struct avr_irq_t *irq, uint32_t value, void *nothing) {
  (void)irq, (void)nothing;
  enum { EEARL = 0x41, EEPE = 1 << 1 }; /* the same on these chips */
  if (!(value & EEPE)) return;
  ++eeprom_writes[(avr->data[EEARL] | avr->data[EEARL + 1] << 8) % 4096];
}

static void tell_eeprom(void) {
  unsigned all = 0, most = 0;
  for (int at = 0; at < 4096; ++at) {
    all += eeprom_writes[at];
    if (eeprom_writes[at] > most) most = eeprom_writes[at];
  }
  printf("eeprom %u %u\n", all, most);
}

enum { PAINT = 0xC5 };

/* Bytes from an address on that have not been written since they were painted. */
static void tell_untouched(unsigned from) {
  unsigned number = 0;
  while (from + number <= avr->ramend && avr->data[from + number] == PAINT) ++number;
  printf("untouched %u %u\n", number, avr->ramend + 1 - from - number);
}

static void answer(void) {
  printf("= %.4f\n", now_us());
  fflush(stdout);
}

void restart(void) {
  avr_reset(avr);
  ports_sync();
}

static void lose_power(unsigned ms) {
  avr_reset(avr);
  ports_sync();
  memset(avr->data + avr->ioend + 1, 0xA5, avr->ramend - avr->ioend); /* random at power-on */
  avr->cycle += ms * (avr->frequency / 1000);
  avr_reset(avr);
  ports_sync();
}

void obey(const char *line) {
  unsigned a = 0, b = 0, level = 0;
  char way[4], names[3][4], state;
  if (sscanf(line, "run %u", &a) == 1) {
    run_to(avr->cycle + (avr_cycle_count_t)a * (avr->frequency / 1000000));
    answer();
  } else if (strncmp(line, "rx ", 3) == 0) {
    receive(line + 3);
  } else if (sscanf(line, "in %3s %c", names[0], &state) == 2) {
    connect_pin(pin_number(names[0]), state);
  } else if (sscanf(line, "adc %u %u", &a, &b) == 2 && a < 16) {
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, (int)a), b);
  } else if (sscanf(line, "chain %3s %3s %3s %3s %u", way, names[0], names[1], names[2], &a) == 5) {
    const int pins[3] = {pin_number(names[0]), pin_number(names[1]), pin_number(names[2])};
    add_chain(strcmp(way, "out") == 0, pins, (int)a);
  } else if (sscanf(line, "bit %3s %u %u", names[0], &a, &level) == 3) {
    set_chain_bit(pin_number(names[0]), a, level != 0);
  } else if (sscanf(line, "peek %u", &a) == 1) {
    peek(a);
    answer();
  } else if (strncmp(line, "lost", 4) == 0) {
    printf("lost %u\n", line_lost());
    answer();
  } else if (sscanf(line, "paint %u", &a) == 1) {
    restart();
    memset(avr->data + a, PAINT, avr->ramend + 1 - a);
  } else if (sscanf(line, "untouched %u", &a) == 1) {
    tell_untouched(a);
    answer();
  } else if (strncmp(line, "eeprom", 6) == 0) {
    tell_eeprom();
    answer();
  } else if (strncmp(line, "loads", 5) == 0) {
    printf("loads %.0f\n", take_longest_load_us());
    answer();
  } else if (strncmp(line, "touch", 5) == 0) {
    line_touch();
  } else if (strncmp(line, "reset", 5) == 0) {
    restart();
  } else if (sscanf(line, "brownout %u", &a) == 1) {
    lose_power(a);
  } else if (strncmp(line, "hang", 4) == 0) {
    avr->pc = endless_loop;
    avr->state = cpu_Running;
  } else {
    fail(line);
  }
}

/* How the C library ends a program: an instruction that jumps to itself. */
static avr_flashaddr_t find_endless_loop(void) {
  for (avr_flashaddr_t at = 0; at + 1 < avr->codeend; at += 2) {
    if (avr->flash[at] == 0xFF && avr->flash[at + 1] == 0xCF) return at;
  }
  fail("no endless loop in the program");
}

int main(int count, char **words) {
  static char line[70000];
  int usb = 0, reset_on_open = 0;
  const char *link = NULL;
  if (count < 3) fail("which chip, which program?");
  for (int at = 3; at < count; ++at) {
    if (strcmp(words[at], "--usb") == 0) usb = 1;
    if (strcmp(words[at], "--reset-on-open") == 0) reset_on_open = 1;
    if (strcmp(words[at], "--pty") == 0 && at + 1 < count) link = words[++at];
  }
  avr_global_logger_set(no_log);
  elf_firmware_t program;
  memset(&program, 0, sizeof program);
  if (elf_read_firmware(words[2], &program) != 0) fail("the program cannot be read");
  avr = avr_make_mcu_by_name(words[1]);
  if (avr == NULL) fail("the chip is not known");
  avr_init(avr);
  avr_load_firmware(avr, &program);
  avr->frequency = 16000000;
  avr->vcc = avr->avcc = avr->aref = 5000;
  avr->run_cycle_limit = 2000;
  avr->sleep = no_sleep;
  endless_loop = find_endless_loop();
  enum { EECR = 0x3F };
  avr_irq_register_notify(avr_iomem_getirq(avr, EECR, NULL, AVR_IOMEM_IRQ_ALL), on_eeprom, NULL);
  ports_begin();
  line_sent = to_output;
  line_begin(usb);
  if (link != NULL) return live(link, reset_on_open);
  while (fgets(line, sizeof line, stdin) != NULL) obey(line);
  return 0;
}
