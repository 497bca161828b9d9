// The least that a board must do for panelbridge, in one file to read and to port. For simulation
// only.
//
// It has contacts, knobs, lamps (dimmed or not) and one horn. It has no chains of shift registers,
// no servos and no raw capture: it refuses the first two with UNKNOWN_KIND and does not know the
// last. (panelbridge_board has all of it.) PROTOCOL.md is what this sketch does, in words; your
// README says how to port it. What differs from board to board is in your_board.h.
//
// UNPLUG THE BOARD before you change a wire. Every LED needs its own resistor.

#include "frames.h"
#include "your_board.h"

// ---- the numbers of the protocol (PROTOCOL.md, sections 2 and 3) -------------------------------

enum : uint8_t {
  HELLO_REQUEST = 0x01, SETUP_BEGIN, SETUP_ITEM, SETUP_COMMIT, COMMAND, RELEASE,
  HELLO = 0x81, SETUP_REPLY, REPORT
};
enum : uint8_t { CONTACT = 0x01, ANALOGUE = 0x02, LAMP = 0x10, TONE = 0x11 };
enum : uint8_t { PULL_UP = 0x01, ACTIVE_LOW = 0x02, PWM = 0x04, HOLD_AFTER_EDGE = 0x08 };
enum : uint8_t {
  OK, BAD_CHECKSUM, BAD_ORDER, TOO_MANY_ITEMS, UNKNOWN_KIND, NO_SUCH_PIN, PIN_IN_USE, PIN_CANNOT,
  BAD_VALUE, REPORT_TOO_LONG
};
enum : uint8_t { HOST_SILENT = 0x01, EDGES_LOST = 0x02, NOISY_CONTACT = 0x04 };

constexpr uint8_t kMaxEdges = 16;   // in one REPORT
constexpr uint8_t kEdgeQueue = 32;
constexpr uint8_t kItemBody = 9;    // bytes of a SETUP_ITEM from its kind on
constexpr uint16_t kHelloEachMs = 500;
constexpr uint16_t kEdgeRepeatMs = 40;
constexpr uint16_t kAnswerGapMs = 20;
constexpr uint16_t kSettleLeastMs = 10;
constexpr uint16_t kSettleMostMs = 600;

static_assert(kMaxItems <= kEdgeQueue, "an edge of each contact must fit into the queue");

// ---- what the board knows ----------------------------------------------------------------------

struct Item {
  uint8_t kind, pin, flags;
  uint16_t p1, p2, p3;
  // CONTACT, closed = true. A burst begins with a raw change and ends when the contact is quiet.
  bool raw, stable, burst, noisy, holding;
  uint32_t changed_us, burst_us, held_us;
  // ANALOGUE: counts. Outputs: the commanded value, and whether an intermittent tone sounds now.
  uint16_t value;
  bool sounding;
  uint32_t pattern_ms;
};

FrameReader reader;
FrameWriter writer;
uint16_t bootId;
uint32_t hello_ms;  // when the last HELLO was due

// The set-up: none, being sent (begun), or in force (active).
bool begun, active;
uint8_t session, announced, count;
uint16_t checksum, wantedChecksum, hostTimeout_ms, interval_ms;
Item items[kMaxItems];
uint8_t lastBody[kItemBody];

// The session. Edges are numbered from 0; edges[] is a ring, the oldest at `oldest`.
bool settling, commanded, hostSilent, edgesLost, reportWaits;
uint16_t reportSequence, commandSequence, firstEdge;
uint8_t edges[kEdgeQueue], oldest, waiting, reported;
uint32_t committed_ms, heard_ms, report_ms, analogue_ms;

bool isOutput(const Item& item) { return item.kind >= LAMP; }
bool has(const Item& item, uint8_t flag) { return (item.flags & flag) != 0; }
uint16_t read16(const uint8_t* at) { return (uint16_t)(at[0] | (uint16_t)at[1] << 8); }

uint8_t numberOf(uint8_t kind) {
  uint8_t number = 0;
  for (uint8_t at = 0; at < count; ++at) number = (uint8_t)(number + (items[at].kind == kind));
  return number;
}

// ---- pins --------------------------------------------------------------------------------------

// Every pin is an input without pull-up: nothing is driven.
void letGoAll() {
  for (uint8_t at = 0; at < count; ++at) {
    if (active && items[at].kind == TONE) noTone(items[at].pin);
  }
  for (uint8_t pin = 0; pin <= kHighestPin; ++pin) {
    if (!pinIsDigital(pin)) continue;
    pinMode(pin, INPUT);
    digitalWrite(pin, LOW);  // ends analogWrite() as well
  }
}

bool isClosed(const Item& item) { return (digitalRead(item.pin) == HIGH) != has(item, ACTIVE_LOW); }

// To the eye a lamp with half the power looks much more than half as bright, so the time that it is
// lit is the square of its brightness; rounded up, so that it is dark only at 0.
void light(const Item& item) {
  const uint32_t share = ((uint32_t)item.value * item.value + 254) / 255;
  if (has(item, PWM)) {
    analogWrite(item.pin, (int)(has(item, ACTIVE_LOW) ? 255 - share : share));
  } else {
    digitalWrite(item.pin, (item.value != 0) != has(item, ACTIVE_LOW) ? HIGH : LOW);
  }
}

void sound(Item& item, bool on) {
  item.sounding = on;
  if (on) {
    tone(item.pin, item.p1);
  } else {
    noTone(item.pin);
  }
}

// Sets an output. An unchanged tone goes on: COMMANDs repeat it, and its pattern must not restart.
void drive(Item& item, uint16_t value) {
  const bool same = item.value == value;
  item.value = value;
  if (item.kind == LAMP) {
    light(item);
  } else if (!same) {
    item.pattern_ms = millis();
    sound(item, value != 0);
  }
}

uint16_t idleValue(const Item& item) { return item.kind == LAMP ? item.p1 : 0; }

void goIdle() {
  for (uint8_t at = 0; at < count; ++at) {
    if (isOutput(items[at])) drive(items[at], idleValue(items[at]));
  }
}

void playPatterns() {
  for (uint8_t at = 0; at < count; ++at) {
    Item& item = items[at];
    if (item.kind != TONE || item.value != 1) continue;
    const uint16_t part_ms = item.sounding ? item.p2 : item.p3;
    if (millis() - item.pattern_ms < part_ms) continue;
    item.pattern_ms += part_ms;
    sound(item, !item.sounding);
  }
}

// ---- the set-up (section 4.2) ------------------------------------------------------------------

void endSession() {
  letGoAll();
  begun = active = false;
  session = announced = count = 0;
  checksum = 0xFFFF;
  hello_ms = millis();
}

// The checks come in this order: kind, pin, values, numbers of things.
uint8_t judge(const Item& item) {
  if (item.kind != CONTACT && item.kind != ANALOGUE && item.kind != LAMP && item.kind != TONE) {
    return UNKNOWN_KIND;
  }
  if (!pinExists(item.pin)) return NO_SUCH_PIN;
  for (uint8_t at = 0; at < count; ++at) {
    if (items[at].pin == item.pin) return PIN_IN_USE;
  }
  if (item.kind == ANALOGUE ? !pinIsAnalogue(item.pin) : !pinIsDigital(item.pin)) return PIN_CANNOT;
  if (item.kind == LAMP && has(item, PWM) && !pinCanDim(item.pin)) return PIN_CANNOT;

  uint8_t known = 0;
  if (item.kind == CONTACT) known = PULL_UP | ACTIVE_LOW | HOLD_AFTER_EDGE;
  if (item.kind == LAMP) known = ACTIVE_LOW | PWM;
  if ((item.flags & ~known) != 0) return BAD_VALUE;
  if (item.kind != TONE && (item.p2 != 0 || item.p3 != 0)) return BAD_VALUE;
  if (item.kind == CONTACT && (item.p1 < 1 || item.p1 > 500)) return BAD_VALUE;
  if (item.kind == ANALOGUE && item.p1 > kFullScale) return BAD_VALUE;
  if (item.kind == LAMP && item.p1 > 255) return BAD_VALUE;
  if (item.kind == TONE) {
    if (item.p1 < 31 || item.p1 > 10000 || item.p2 == 0 || item.p3 == 0) return BAD_VALUE;
    if (numberOf(TONE) != 0) return TOO_MANY_ITEMS;  // tone() plays one at a time
  }
  const uint16_t analogues = (uint16_t)(numberOf(ANALOGUE) + (item.kind == ANALOGUE));
  if (11 + kMaxItems / 8 + 2 * analogues + kMaxEdges > kMaxMessage - 2) return REPORT_TOO_LONG;
  return OK;
}

uint8_t beginSetup(const uint8_t* message) {
  endSession();
  const uint16_t timeout = read16(message + 5), interval = read16(message + 7);
  if (message[1] == 0 || timeout == 0 || interval == 0) return BAD_VALUE;
  if (message[2] > kMaxItems) return TOO_MANY_ITEMS;
  begun = true;
  session = message[1];
  announced = message[2];
  wantedChecksum = read16(message + 3);
  hostTimeout_ms = timeout;
  interval_ms = interval;
  return OK;
}

uint8_t takeItem(const uint8_t* message) {
  const uint8_t* body = message + 2;
  if (!begun) return BAD_ORDER;
  // Our reply to the last item may have been lost: a repeat of it is fine.
  if (count != 0 && message[1] == count - 1 && memcmp(body, lastBody, kItemBody) == 0) return OK;
  if (message[1] != count || count >= announced) return BAD_ORDER;
  Item item = Item();
  item.kind = body[0];
  item.pin = body[1];
  item.flags = body[2];
  item.p1 = read16(body + 3);
  item.p2 = read16(body + 5);
  item.p3 = read16(body + 7);
  const uint8_t status = judge(item);
  if (status != OK) return status;
  items[count++] = item;
  memcpy(lastBody, body, kItemBody);
  for (uint8_t at = 0; at < kItemBody; ++at) checksum = crc16(checksum, body[at]);
  return OK;
}

uint8_t commit(uint16_t said) {
  if (!begun || count != announced) return BAD_ORDER;
  if (said != wantedChecksum || said != checksum) return BAD_CHECKSUM;
  if (active) return OK;  // a repeat
  const uint32_t now_us = micros();
  for (uint8_t at = 0; at < count; ++at) {
    Item& item = items[at];
    if (item.kind == CONTACT) {
      if (has(item, PULL_UP)) pinMode(item.pin, INPUT_PULLUP);
      item.raw = item.stable = isClosed(item);
      item.burst = true;  // it is not known to be quiet
      item.changed_us = item.burst_us = now_us;
    } else if (item.kind == ANALOGUE) {
      item.value = (uint16_t)analogRead(item.pin);
    } else {
      item.value = idleValue(item);
      const bool lit = item.value != 0;
      // The level first, then the output: a lamp must not flash.
      digitalWrite(item.pin, item.kind == LAMP && lit != has(item, ACTIVE_LOW) ? HIGH : LOW);
      pinMode(item.pin, OUTPUT);
      if (item.kind == LAMP) light(item);
    }
  }
  active = true;
  settling = numberOf(CONTACT) != 0;
  commanded = hostSilent = edgesLost = false;
  reportSequence = commandSequence = firstEdge = 0;
  oldest = waiting = reported = 0;
  committed_ms = heard_ms = report_ms = analogue_ms = millis();
  reportWaits = true;
  return OK;
}

// ---- edges (section 4.5) and debouncing (section 4.9) ------------------------------------------

uint8_t edgeAt(uint8_t place) { return edges[(oldest + place) % kEdgeQueue]; }

void dropEdges(uint8_t number) {
  oldest = (uint8_t)((oldest + number) % kEdgeQueue);
  firstEdge = (uint16_t)(firstEdge + number);
  waiting = (uint8_t)(waiting - number);
  reported = reported > number ? (uint8_t)(reported - number) : 0;
}

void addEdge(uint8_t contact, bool closed) {
  if (waiting == kEdgeQueue) {
    dropEdges(1);
    edgesLost = true;
  }
  edges[(oldest + waiting++) % kEdgeQueue] = (uint8_t)(contact | (closed ? 0x80 : 0));
  reportWaits = true;
}

void acknowledge(uint16_t next) {
  const uint16_t known = (uint16_t)(next - firstEdge);
  if (known == 0 || known > waiting) return;
  dropEdges((uint8_t)known);
  edgesLost = false;
  if (reported < waiting) reportWaits = true;
}

// Returns whether the debounced state has changed.
bool debounce(Item& item) {
  const uint32_t now_us = micros();
  const uint32_t time_us = item.p1 * 1000UL;
  const bool raw = isClosed(item);
  if (raw != item.raw) {
    item.raw = raw;
    item.changed_us = now_us;
    if (!item.burst) {
      item.burst = true;
      item.noisy = false;
      item.burst_us = now_us;
    }
    if (now_us - item.burst_us > 2 * time_us) item.noisy = true;
  }
  const bool quiet = now_us - item.changed_us >= time_us;
  if (quiet) item.burst = false;
  if (has(item, HOLD_AFTER_EDGE)) {
    if (item.holding && now_us - item.held_us < time_us) return false;
    item.holding = item.raw != item.stable;
    if (!item.holding) return false;
    item.held_us = now_us;
  } else if (!quiet || item.raw == item.stable) {
    return false;
  }
  item.stable = item.raw;
  return true;
}

void readContacts() {
  uint8_t place = 0;
  bool quiet = true;
  for (uint8_t at = 0; at < count; ++at) {
    Item& item = items[at];
    if (item.kind != CONTACT) continue;
    if (debounce(item) && !settling) addEdge(place, item.stable);
    if (item.burst) quiet = false;
    ++place;
  }
  if (!settling) return;
  // A pull-up that has just been enabled charges the wire: nothing is reported until it is quiet.
  const uint32_t waited_ms = millis() - committed_ms;
  if (waited_ms < kSettleMostMs && (!quiet || waited_ms <= kSettleLeastMs)) return;
  for (uint8_t at = 0; at < count; ++at) items[at].stable = items[at].raw;
  settling = false;
  reportWaits = true;
}

void readAnalogues() {
  if (millis() - analogue_ms < kAnswerGapMs) return;
  analogue_ms = millis();
  for (uint8_t at = 0; at < count; ++at) {
    Item& item = items[at];
    if (item.kind != ANALOGUE) continue;
    const uint16_t now = (uint16_t)analogRead(item.pin);
    const uint16_t change = (uint16_t)(now > item.value ? now - item.value : item.value - now);
    if (change <= item.p1) continue;  // noise
    item.value = now;
    reportWaits = true;
  }
}

// ---- messages to the host ----------------------------------------------------------------------

void sendHello() {
  writer.begin(HELLO);
  writer.add8(1);  // version of the protocol
  writer.add8(kBoardCode);
  writer.add8(1);  // version of this firmware: 1.0
  writer.add8(0);
  writer.add16(bootId);
  writer.add16(active ? checksum : 0);
  writer.add8(kMaxItems);
  writer.send();
}

void sendReply(uint8_t answers, uint8_t index, uint8_t status) {
  writer.begin(SETUP_REPLY);
  writer.add8(session);
  writer.add8(answers);
  writer.add8(index);
  writer.add8(status);
  writer.add16(checksum);
  writer.send();
}

// The contacts in a REPORT are their state after the last edge in it, so edges that wait for the
// next REPORT are taken back.
void sendReport() {
  uint8_t flags = (uint8_t)((hostSilent ? HOST_SILENT : 0) | (edgesLost ? EDGES_LOST : 0));
  uint8_t bits[(kMaxItems + 7) / 8] = {};
  uint8_t contacts = 0;
  for (uint8_t at = 0; at < count; ++at) {
    if (items[at].kind != CONTACT) continue;
    if (items[at].noisy) flags |= NOISY_CONTACT;
    if (items[at].stable) bits[contacts / 8] |= (uint8_t)(1 << contacts % 8);
    ++contacts;
  }
  const uint8_t sent = waiting < kMaxEdges ? waiting : kMaxEdges;
  for (uint8_t at = sent; at < waiting; ++at) {
    const uint8_t contact = edgeAt(at) & 0x7F;
    bits[contact / 8] ^= (uint8_t)(1 << contact % 8);
  }
  writer.begin(REPORT);
  writer.add8(session);
  writer.add16(reportSequence++);
  writer.add16(commandSequence);
  writer.add8(flags);
  writer.add8(reader.bad);
  writer.add16(firstEdge);
  writer.add8(sent);
  for (uint8_t at = 0; at < (contacts + 7) / 8; ++at) writer.add8(bits[at]);
  for (uint8_t at = 0; at < count; ++at) {
    if (items[at].kind == ANALOGUE) writer.add16(items[at].value);
  }
  for (uint8_t at = 0; at < sent; ++at) writer.add8(edgeAt(at));
  writer.send();
  if (sent > reported) reported = sent;
  reportWaits = false;
  report_ms = millis();
}

// ---- messages from the host --------------------------------------------------------------------

// One that is ignored because it is of another session is no bad frame.
void obey(const uint8_t* message, uint8_t length) {
  if (!active || message[1] != session) return;
  uint8_t wanted = 6;
  bool good = true;
  for (uint8_t at = 0; at < count; ++at) {
    if (!isOutput(items[at])) continue;
    if (items[at].kind == TONE && wanted < length && message[wanted] > 2) good = false;
    ++wanted;
  }
  if (!good || length != wanted) {
    ++reader.bad;
    return;
  }
  const uint16_t sequence = read16(message + 2);
  const uint16_t step = (uint16_t)(sequence - commandSequence);
  if (commanded && (step == 0 || step > 32767)) return;  // not newer
  commanded = true;
  commandSequence = sequence;
  hostSilent = false;
  heard_ms = millis();
  const uint8_t* value = message + 6;
  for (uint8_t at = 0; at < count; ++at) {
    if (isOutput(items[at])) drive(items[at], *value++);
  }
  acknowledge(read16(message + 4));
  if (millis() - report_ms >= kAnswerGapMs) reportWaits = true;
}

void handle(const uint8_t* message, uint8_t length) {
  const uint8_t type = message[0];
  if (type == HELLO_REQUEST && length == 2) {
    sendHello();
  } else if (type == SETUP_BEGIN && length == 9) {
    sendReply(type, 0, beginSetup(message));
  } else if (type == SETUP_ITEM && length == 2 + kItemBody) {
    sendReply(type, message[1], takeItem(message));
  } else if (type == SETUP_COMMIT && length == 3) {
    sendReply(type, 0, commit(read16(message + 1)));
  } else if (type == COMMAND && length >= 6) {
    obey(message, length);
  } else if (type == RELEASE && length == 1) {
    endSession();
    sendHello();
  } else {
    ++reader.bad;
  }
}

// ---- the program -------------------------------------------------------------------------------

void setup() {
  Serial.begin(kBaud);
  bootId = nextBootId();
  reader = FrameReader();
  endSession();
  sendHello();
  startWatchdog();
}

void loop() {
  feedWatchdog();
  for (uint8_t most = 32; most != 0 && Serial.available() > 0; --most) {
    if (reader.take((uint8_t)Serial.read())) handle(reader.bytes, reader.length);
  }
  if (!begun && millis() - hello_ms >= kHelloEachMs) {
    hello_ms += kHelloEachMs;
    sendHello();
  }
  if (!active) return;
  readContacts();
  readAnalogues();
  playPatterns();
  if (!hostSilent && millis() - heard_ms >= hostTimeout_ms) {
    hostSilent = true;
    goIdle();
  }
  const uint32_t quiet_ms = millis() - report_ms;
  if (quiet_ms >= interval_ms || (waiting != 0 && quiet_ms >= kEdgeRepeatMs)) reportWaits = true;
  if (reportWaits && !settling) sendReport();
}
