// The 16-bit timer that each chip uses as pulse timer. Its PWM pins are dimmed in software.
#ifndef PANELBRIDGE_AVR_TIMER_H
#define PANELBRIDGE_AVR_TIMER_H

#include <avr/io.h>
#include <stdint.h>

#if defined(__AVR_ATmega328P__)
#define PULSE_TCCRA TCCR1A
#define PULSE_TCCRB TCCR1B
#define PULSE_TCNT TCNT1
#define PULSE_OCR OCR1A
#define PULSE_TIMSK TIMSK1
#define PULSE_TIFR TIFR1
#define PULSE_VECT TIMER1_COMPA_vect
constexpr uint8_t kMaxDims = 2;
inline bool isOnPulseTimer(uint8_t pin) { return pin == 9 || pin == 10; }
#elif defined(__AVR_ATmega2560__)
#define PULSE_TCCRA TCCR5A
#define PULSE_TCCRB TCCR5B
#define PULSE_TCNT TCNT5
#define PULSE_OCR OCR5A
#define PULSE_TIMSK TIMSK5
#define PULSE_TIFR TIFR5
#define PULSE_VECT TIMER5_COMPA_vect
constexpr uint8_t kMaxDims = 3;
inline bool isOnPulseTimer(uint8_t pin) { return pin >= 44 && pin <= 46; }
#elif defined(__AVR_ATmega32U4__)
#define PULSE_TCCRA TCCR3A
#define PULSE_TCCRB TCCR3B
#define PULSE_TCNT TCNT3
#define PULSE_OCR OCR3A
#define PULSE_TIMSK TIMSK3
#define PULSE_TIFR TIFR3
#define PULSE_VECT TIMER3_COMPA_vect
constexpr uint8_t kMaxDims = 1;
inline bool isOnPulseTimer(uint8_t pin) { return pin == 5; }
#else
#error "No pulse timer is defined for this chip: add one here"
#endif

#endif
