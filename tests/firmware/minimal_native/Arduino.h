// What the minimal sketch uses of the Arduino core, on the simulated pins of ../native.
#ifndef ARDUINO_H
#define ARDUINO_H

#include <cstddef>
#include <cstdint>
#include <cstring>

enum : uint8_t { LOW, HIGH };
enum : uint8_t { INPUT, OUTPUT, INPUT_PULLUP };

void pinMode(uint8_t pin, uint8_t mode);
void digitalWrite(uint8_t pin, uint8_t level);
int digitalRead(uint8_t pin);
int analogRead(uint8_t pin);
void analogWrite(uint8_t pin, int share);
void tone(uint8_t pin, unsigned int hz);
void noTone(uint8_t pin);
uint32_t millis();
uint32_t micros();

struct SerialLine {
  void begin(unsigned long baud);
  int available();
  int read();
  size_t write(const uint8_t* bytes, size_t number);
};
extern SerialLine Serial;

void setup();
void loop();

#endif
