/* The parts of the runner: the chip, its ports, its line to the host. */
#ifndef PANELBRIDGE_RUNNER_H
#define PANELBRIDGE_RUNNER_H

#include <stddef.h>
#include <stdint.h>

#include "sim_avr.h"

extern avr_t *avr;

double now_us(void);
/* Runs the chip up to a cycle, and does what becomes due meanwhile. */
void run_to(avr_cycle_count_t target);
void fail(const char *what) __attribute__((noreturn));

/* ports.c: pins are numbered 8 * (letter - 'A') + bit. */
int pin_number(const char *name);
void ports_begin(void);
void ports_sync(void); /* after a reset, which raises no events */
void connect_pin(int pin, char state);
void add_chain(int is_out, const int pins[3], int chips);
/* The longest time between two loads of the (only) chain of inputs, since the last call. */
double take_longest_load_us(void);
void set_chain_bit(int data, unsigned bit, int level);

/* line.c: bytes to and from the host, at the speed of the line. */
extern void (*line_sent)(const uint8_t *bytes, size_t number);
void line_receive(const uint8_t *bytes, size_t number);
void line_begin(int usb);
/* When something is due next, and does it. */
avr_cycle_count_t line_next(void);
void line_work(void);
unsigned line_lost(void); /* bytes that the chip did not read in time */
void line_touch(void);    /* USB: opened and closed at 1200 bit/s */
int line_waiting(void);   /* bytes still on their way to the board */

#endif
