// A sensor node around strikewell.c: a digital humidity chip, a one-wire probe and a light chip.
// Fill in the four functions marked "yours" with the library of your chips and your network; put strikewell.c and
// strikewell.h beside this file. Never run on a board by us: the encoder and the buzzer's logic are tested, this is not.
#include "settings.h"  // host, port, TLS, device and secret, as the page Devices shows them
#include "strikewell.h"

const char DEVICE[] = STRIKEWELL_DEVICE;
const uint16_t EVERY_S = 30;
const size_t KEEP = 240;  // two hours; 24 bytes each, 5.6 KiB

struct Sample {
  int64_t tMs;         // since 1970 UTC
  int32_t rootMilli;   // °C × 1000; NONE when the probe failed
  int32_t airMilli;
  int32_t humidityMilli;
  int32_t lux;
};
const int32_t NONE = INT32_MIN;

Sample kept[KEEP];
size_t first = 0, count = 0;
char payload[1024];
char readingsTopic[96];

// yours: each returns false when the chip did not answer or its checksum was wrong
bool readHumidityChip(int32_t *airMilli, int32_t *humidityMilli);
bool readOneWire(int32_t *rootMilli);
bool readLightChip(int32_t *lux);
// yours: 0 while the clock is not set
int64_t utcMs();
// yours: connects if need be (user and client id DEVICE, password STRIKEWELL_SECRET, TLS where STRIKEWELL_TLS is 1;
// Will: status, offline, QoS 1, retained; then status online, retained),
// publishes with QoS 1 and waits for the PUBACK; false when it did not come
bool publishAcknowledged(const char *topic, const char *payload, size_t length);

Sample takeSample() {
  Sample s = {utcMs(), NONE, NONE, NONE, NONE};
  if (!readHumidityChip(&s.airMilli, &s.humidityMilli)) s.airMilli = s.humidityMilli = NONE;
  // 85.000 °C is what such a probe says before its first conversion, -127 what libraries say for "absent".
  if (!readOneWire(&s.rootMilli) || s.rootMilli == 85000 || s.rootMilli == -127000) s.rootMilli = NONE;
  if (!readLightChip(&s.lux)) s.lux = NONE;
  return s;
}

// SW_OUT_OF_RANGE and the like leave the one record out; SW_FULL ends the pack.
bool writeSample(sw_pack *pack, const Sample &s) {
  const sw_pack before = *pack;
  sw_result r = SW_OK;
  if (s.rootMilli != NONE) r = sw_measured(pack, "root/temperature", "Cel", s.rootMilli, s.tMs, EVERY_S);
  if (r != SW_FULL && s.airMilli != NONE) r = sw_measured(pack, "air/temperature", "Cel", s.airMilli, s.tMs, EVERY_S);
  if (r != SW_FULL && s.humidityMilli != NONE)
    r = sw_measured(pack, "air/humidity", "%RH", s.humidityMilli, s.tMs, EVERY_S);
  if (r != SW_FULL && s.lux != NONE) r = sw_measured(pack, "light/illuminance", "lx", s.lux * 1000, s.tMs, EVERY_S);
  if (r != SW_FULL) return true;
  *pack = before;
  return false;
}

void sendKept() {
  while (count > 0) {
    sw_pack pack;
    size_t length, taken = 0;
    sw_begin(&pack, payload, sizeof payload);
    while (taken < count && writeSample(&pack, kept[(first + taken) % KEEP])) taken++;
    if (sw_end(&pack, &length) == SW_OK && !publishAcknowledged(readingsTopic, payload, length)) return;
    first = (first + taken) % KEEP;
    count -= taken;
  }
}

void setup() {
  sw_topic(readingsTopic, sizeof readingsTopic, DEVICE, "readings");
}

void loop() {
  static uint32_t lastMs = 0;
  if (millis() - lastMs < EVERY_S * 1000UL) return;
  lastMs = millis();
  Sample s = takeSample();
  if (s.tMs == 0) return;  // no clock yet: a reading without its time cannot be kept
  if (count == KEEP) {     // full: the oldest goes
    first = (first + 1) % KEEP;
    count--;
  }
  kept[(first + count++) % KEEP] = s;
  sendKept();
}
