#if defined(__AVR__)

#include "avr_pulses.h"

#include <Arduino.h>
#include <util/atomic.h>

#include "avr_timer.h"
#include "board_kind.h"

namespace {

// The bits have the same places in all 16-bit timers of these chips.
constexpr uint8_t kClockBy8 = 1 << 1;   // CSn1
constexpr uint8_t kInterrupt = 1 << 1;  // OCIEnA

constexpr uint16_t kCountsAUs = 2;
constexpr uint16_t kTick = 250 * kCountsAUs;
constexpr uint8_t kServoTicks = 10;  // one servo after the other, so each of eight every 20 ms
constexpr uint8_t kDimTicks = 32;    // 8 ms
constexpr int16_t kLead = 32;        // the interrupt comes so early and waits for the exact count
constexpr int16_t kSoon = 44;        // what ends so soon is waited for
constexpr uint8_t kNoPin = 0xFF;
constexpr uint8_t kMaxDims = 3;

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
  void turn() const { *port = static_cast<uint8_t>(*port ^ mask); }
};

// A pulse that comes again and again.
struct Pulse : Line {
  uint16_t width = 0;  // counts; 0 = none
  uint16_t end = 0;
  bool on = false;
};

struct Tone : Line {
  uint16_t half = 0;  // counts from turn to turn; 0 = silent
  uint16_t next = 0;
};

Pulse servos[board_kind::kMaxServos];
Pulse dimmed[kMaxDims];
Tone tones[board_kind::kMaxTones];
uint16_t next_tick;
uint8_t servo_tick;
uint8_t next_servo;
uint8_t dim_tick;
bool pulses_used;  // so that the interrupt is short when there are none
uint8_t pulses_on;
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
  return empty;  // none is left over: the set-up holds no more than there are
}

int16_t from(uint16_t earlier, uint16_t later) { return static_cast<int16_t>(later - earlier); }

void begin(Pulse& pulse) {
  if (pulse.width == 0) return;
  if (!pulse.on) ++pulses_on;
  const uint8_t status = SREG;
  cli();  // nothing between the edge and the look at the clock
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
  cli();  // the two halves of the counter must belong together
  const uint16_t now = PULSE_TCNT;
  SREG = status;
  return now;
}

// Ends what is due, and gives when the next end is if that is before `soonest`.
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

uint16_t turnTones(uint16_t soonest) {
  for (Tone& tone : tones) {
    if (tone.half == 0) continue;
    if (from(tone.next, clock()) >= 0) {
      cli();  // the port has other pins
      tone.turn();
      sei();
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

// The serial line must not wait for this one: with its own interrupt masked it lets others in.
ISR(PULSE_VECT) {
  PULSE_TIMSK = static_cast<uint8_t>(PULSE_TIMSK & ~kInterrupt);
  sei();
  uint16_t soonest;
  do {
    if (from(next_tick, clock()) >= 0) {
      next_tick = static_cast<uint16_t>(next_tick + kTick);
      ticked = true;
      if (pulses_used) beginPulses();
    }
    soonest = next_tick;
    if (pulses_on != 0) {
      soonest = endPulses(servos, board_kind::kMaxServos, soonest);
      soonest = endPulses(dimmed, kMaxDims, soonest);
    }
    if (tones_on != 0) soonest = turnTones(soonest);
    cli();
    PULSE_OCR = soonest;
    // Passed already? Then it would not come before the counter has gone all the way round.
    if (from(PULSE_TCNT, soonest) > 4) break;
    sei();
  } while (true);
  PULSE_TIFR = kInterrupt;
  PULSE_TIMSK = static_cast<uint8_t>(PULSE_TIMSK | kInterrupt);
}

namespace pulses {

void start() {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    PULSE_TCCRA = 0;  // counts freely, drives no pin
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
    // Dark and full on are levels; what goes on in this round ends at once.
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
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    Tone* const line = find(tones, pin);
    if (line == nullptr) return;
    silence(*line);
    line->low();
    if (hz == 0) return;
    line->half = static_cast<uint16_t>(1000000UL / hz);
    line->next = static_cast<uint16_t>(PULSE_TCNT + line->half);  // seen at the next tick
    ++tones_on;
  }
}

void servo(uint8_t pin, uint16_t pulse_us) {
  ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
    Pulse* const line = find(servos, pin);
    if (line == nullptr) return;
    pulses_used = true;
    line->width = static_cast<uint16_t>(pulse_us * kCountsAUs);  // from the next pulse on
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
