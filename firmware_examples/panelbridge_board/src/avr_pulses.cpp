#if defined(__AVR__)

#pragma GCC optimize("O2")  // tones make the interrupt come 20000 times a second

#include "avr_pulses.h"

#include <Arduino.h>
#include <util/atomic.h>

#include "avr_timer.h"
#include "board_kind.h"

namespace {

// The bit positions are the same in all 16-bit timers of these chips.
constexpr uint8_t kClockBy8 = 1 << 1;   // CSn1
constexpr uint8_t kInterrupt = 1 << 1;  // OCIEnA

constexpr uint16_t kCountsPerUs = 2;
constexpr uint16_t kTick = 250 * kCountsPerUs;
constexpr uint8_t kServoTicks = 10;  // servos take turns, 2.5 ms each: eight make 20 ms
constexpr uint8_t kDimTicks = 32;    // 8 ms
constexpr int16_t kLead = 32;        // the interrupt comes this early and waits for the count
constexpr int16_t kSoon = 44;        // wait for a pulse that ends within this many counts
constexpr uint8_t kNoPin = 0xFF;

struct Line {
  uint8_t pin = kNoPin;
  uint8_t mask = 0;
  volatile uint8_t* port = nullptr;

  void take(uint8_t number) {
    port = portOutputRegister(digitalPinToPort(number));
    mask = digitalPinToBitMask(number);
    pin = number;
  }
  void high() const { *port = static_cast<uint8_t>(*port | mask); }
  void low() const { *port = static_cast<uint8_t>(*port & ~mask); }
};

// A repeated pulse.
struct Pulse : Line {
  uint16_t width = 0;  // counts; 0 = none
  uint16_t end = 0;
  bool on = false;
};

struct Tone : Line {
  // A one written to PINx turns the output, in one instruction. PINx is two before PORTx.
  void turn() const { *(port - 2) = mask; }

  uint16_t half = 0;  // counts in half a period; 0 = silent
  uint16_t next = 0;
};

Pulse servos[board_kind::kMaxServos];
Pulse dimmed[kMaxDims];
Tone tones[board_kind::kMaxTones];
uint16_t next_tick;
uint8_t servo_tick;
uint8_t next_servo;
uint8_t dim_tick;
bool pulses_used;  // keeps the interrupt short when there are none
uint8_t pulses_on;
uint16_t pulse_wake;  // when the interrupt must look for pulses that end; if there are any
uint8_t tones_on;
volatile bool ticked;

template <typename Kind, uint8_t kSize>
Kind* find(Kind (&lines)[kSize], uint8_t pin) {
  Kind* empty = nullptr;
  for (Kind& line : lines) {
    if (line.pin == pin) return &line;
    if (line.pin == kNoPin && empty == nullptr) empty = &line;
  }
  if (empty != nullptr && pin != kNoPin) empty->take(pin);
  return empty;  // never null for a new pin: the set-up accepts no more pins than there are slots
}

int16_t from(uint16_t earlier, uint16_t later) { return static_cast<int16_t>(later - earlier); }

void begin(Pulse& pulse) {
  if (pulse.width == 0) return;
  if (!pulse.on) ++pulses_on;
  const uint8_t status = SREG;
  cli();  // no interrupt between the edge and reading the clock
  pulse.high();
  pulse.end = static_cast<uint16_t>(PULSE_TCNT + pulse.width);
  SREG = status;
  pulse.on = true;
}

void beginPulses() {
  if (++servo_tick == kServoTicks) {
    servo_tick = 0;
    if (++next_servo == board_kind::kMaxServos) next_servo = 0;
    begin(servos[next_servo]);
  }
  if (++dim_tick == kDimTicks) {
    dim_tick = 0;
    for (Pulse& lamp : dimmed) begin(lamp);
  }
}

uint16_t clock() {
  const uint8_t status = SREG;
  cli();  // both bytes of the counter must belong to the same count
  const uint16_t now = PULSE_TCNT;
  SREG = status;
  return now;
}

// Ends the pulses that are due; returns when the next one ends, or `soonest` if that is earlier.
uint16_t endPulses(Pulse* first, uint8_t number, uint16_t soonest) {
  for (Pulse* pulse = first; pulse != first + number; ++pulse) {
    if (!pulse->on) continue;
    if (from(clock(), pulse->end) <= kSoon) {
      cli();
      while (from(PULSE_TCNT, pulse->end) > 0) {
      }
      pulse->low();
      sei();
      pulse->on = false;
      --pulses_on;
    } else {
      const uint16_t wake = static_cast<uint16_t>(pulse->end - kLead);
      if (from(soonest, wake) < 0) soonest = wake;
    }
  }
  return soonest;
}

uint16_t turnTones(uint16_t now, uint16_t soonest) {
  for (Tone& tone : tones) {
    if (tone.half == 0) continue;
    if (from(tone.next, now) >= 0) {
      tone.turn();
      tone.next = static_cast<uint16_t>(tone.next + tone.half);
    }
    if (from(soonest, tone.next) < 0) soonest = tone.next;
  }
  return soonest;
}

void silence(Tone& tone) {
  if (tone.half != 0) --tones_on;
  tone.half = 0;
}

void drop(Pulse* first, uint8_t number, uint8_t pin) {
  for (Pulse* pulse = first; pulse != first + number; ++pulse) {
    if (pulse->pin != pin) continue;
    if (pulse->on) --pulses_on;
    *pulse = Pulse();
  }
}

template <typename Kind, uint8_t kSize>
bool anyUsed(const Kind (&lines)[kSize]) {
  for (const Kind& line : lines) {
    if (line.pin != kNoPin) return true;
  }
  return false;
}

}  // namespace

// Masks its own interrupt and enables all others, so that the UART never waits and loses bytes. Tones
// make it come 20000 times a second: it looks at the pulses only when one is due.
ISR(PULSE_VECT) {
  PULSE_TIMSK = static_cast<uint8_t>(PULSE_TIMSK & ~kInterrupt);
  sei();
  uint16_t soonest;
  do {
    const uint16_t now = clock();
    if (from(next_tick, now) >= 0) {
      next_tick = static_cast<uint16_t>(next_tick + kTick);
      ticked = true;
      if (pulses_used) beginPulses();
      pulse_wake = now;
    }
    soonest = next_tick;
    if (pulses_on != 0) {
      if (from(pulse_wake, now) >= 0) {
        pulse_wake = endPulses(servos, board_kind::kMaxServos, soonest);
        pulse_wake = endPulses(dimmed, kMaxDims, pulse_wake);
      }
      if (from(soonest, pulse_wake) < 0) soonest = pulse_wake;
    }
    if (tones_on != 0) soonest = turnTones(now, soonest);
    cli();
    PULSE_OCR = soonest;
    // If this count has passed already, the interrupt would not come until the counter wraps.
    if (from(PULSE_TCNT, soonest) > 4) break;
    sei();
  } while (true);
  PULSE_TIFR = kInterrupt;
  PULSE_TIMSK = static_cast<uint8_t>(PULSE_TIMSK | kInterrupt);
}

namespace pulses {

void start() {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    PULSE_TCCRA = 0;  // free-running, no pin driven
    PULSE_TCCRB = kClockBy8;
    PULSE_TCNT = 0;
    next_tick = kTick;
    PULSE_OCR = kTick;
    PULSE_TIFR = kInterrupt;
    PULSE_TIMSK = kInterrupt;
  }
}

bool takeTick() {
  const bool was = ticked;
  ticked = false;
  return was;
}

bool dims(uint8_t pin) { return isOnPulseTimer(pin); }

void dim(uint8_t pin, uint8_t share) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    Pulse* const lamp = find(dimmed, pin);
    if (lamp == nullptr) return;
    pulses_used = true;
    // Off and full on are steady levels; a pulse in progress ends at once.
    const bool level = share == 0 || share == 255;
    lamp->width = level ? 0 : static_cast<uint16_t>(share * 62U + share * 3U / 4U);
    if (!level) return;
    if (lamp->on) --pulses_on;
    lamp->on = false;
    if (share == 0) {
      lamp->low();
    } else {
      lamp->high();
    }
  }
}

void tone(uint8_t pin, uint16_t hz) {
  // Before the interrupts are off: a division takes longer than a byte on the line.
  const uint16_t half = hz == 0 ? 0 : static_cast<uint16_t>(1000000UL / hz);
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    Tone* const line = find(tones, pin);
    if (line == nullptr) return;
    silence(*line);
    line->low();
    if (half == 0) return;
    line->half = half;
    line->next = static_cast<uint16_t>(PULSE_TCNT + half);  // from the next tick on
    ++tones_on;
  }
}

void servo(uint8_t pin, uint16_t pulse_us) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    Pulse* const line = find(servos, pin);
    if (line == nullptr) return;
    pulses_used = true;
    line->width = static_cast<uint16_t>(pulse_us * kCountsPerUs);  // from the next pulse on
  }
}

void letGo(uint8_t pin) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    drop(servos, board_kind::kMaxServos, pin);
    drop(dimmed, kMaxDims, pin);
    for (Tone& line : tones) {
      if (line.pin != pin) continue;
      silence(line);
      line = Tone();
    }
    pulses_used = anyUsed(servos) || anyUsed(dimmed);
  }
}

}  // namespace pulses

#endif
