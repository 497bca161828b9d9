/* Chains of 74HC165 and 74HC595 chips, modelled on their data sheets; they get each level at their
 * pins. Used by the runner and by the native board. Bit n of a byte is Dn or Qn. */
#ifndef PANELBRIDGE_CHIPS_H
#define PANELBRIDGE_CHIPS_H

#include <stdint.h>
#include <string.h>

enum { MAX_CHAIN = 16, MAX_CHAIN_SETS = 8 };

typedef struct {
  int is_out; /* 74HC595; else 74HC165 */
  int data, clock, latch; /* pin numbers, as the user of this file counts them */
  int chips;
  int clock_level, latch_level, data_level;
  uint8_t shift[MAX_CHAIN];   /* [0] is the chip at the board's data pin */
  uint8_t outside[MAX_CHAIN]; /* 165: the inputs. 595: the outputs. */
} chain_t;

/* Chips with all inputs high, or all outputs low. */
static inline chain_t chain_make(int is_out, int data, int clock, int latch, int chips) {
  chain_t chain;
  memset(&chain, 0, sizeof chain);
  chain.is_out = is_out;
  chain.data = data;
  chain.clock = clock;
  chain.latch = latch;
  chain.chips = chips;
  memset(chain.outside, is_out ? 0 : 0xFF, sizeof chain.outside);
  return chain;
}

/* Whether a pin of the board is wired to an input of the chips. */
static inline int chain_hears(const chain_t *chain, int pin) {
  return pin == chain->clock || pin == chain->latch || (chain->is_out && pin == chain->data);
}

static inline void chain_shift(chain_t *chain, int in) {
  for (int chip = 0; chip < chain->chips; ++chip) {
    if (chain->is_out) { /* from Q0 to Q7, then on to the next chip */
      const int out = chain->shift[chip] >> 7;
      chain->shift[chip] = (uint8_t)(chain->shift[chip] << 1 | in);
      in = out;
    } else { /* from D0 to D7, and out of the first chip */
      const int next = chip + 1 < chain->chips ? chain->shift[chip + 1] >> 7 : 0;
      chain->shift[chip] = (uint8_t)(chain->shift[chip] << 1 | next);
    }
  }
}

/* A pin of the board has a new level; returns 1 if outputs of the chain changed. */
static inline int chain_pin(chain_t *chain, int pin, int level) {
  if (pin == chain->data) chain->data_level = level;
  if (pin == chain->clock && level != chain->clock_level) {
    chain->clock_level = level;
    if (level && (chain->is_out || chain->latch_level)) chain_shift(chain, chain->data_level);
  }
  if (pin == chain->latch && level != chain->latch_level) {
    chain->latch_level = level;
    if (chain->is_out && level && memcmp(chain->outside, chain->shift, MAX_CHAIN) != 0) {
      memcpy(chain->outside, chain->shift, MAX_CHAIN);
      return 1;
    }
  }
  if (!chain->is_out && !chain->latch_level) memcpy(chain->shift, chain->outside, MAX_CHAIN);
  return 0;
}

/* 165: the contact at an input. */
static inline void chain_input(chain_t *chain, int bit, int level) {
  uint8_t *const byte = &chain->outside[bit / 8];
  *byte = (uint8_t)(level ? *byte | 1 << bit % 8 : *byte & ~(1 << bit % 8));
  if (!chain->latch_level) memcpy(chain->shift, chain->outside, MAX_CHAIN);
}

/* 165: what it puts on the board's data pin. */
static inline int chain_output(const chain_t *chain) { return chain->shift[0] >> 7; }

#endif
