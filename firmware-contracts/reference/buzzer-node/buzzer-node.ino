// The stand-alone buzzer around buzzer.c: sounds while a high alarm stands unacknowledged, or when the watch is silent.
// Put buzzer.c and buzzer.h beside this file. Never run on a board by us; buzzer.c is tested.
// It tells; it is no safety device and switches nothing but its own sounder.
#include "buzzer.h"

swb_state state;
const int SOUNDER = 5;

// yours: keeps the connection; calls onConnected() after each CONNACK, and onMessage() for what arrives
void keepConnected();
// yours: subscribes with QoS 1
void subscribe(const char *filter);

void onConnected() {
  swb_subscribing(&state);
  subscribe("strikewell/1/alarms/+");
  subscribe("strikewell/1/watch/heartbeat");
}

void onMessage(const char *topic, const char *payload, size_t length, bool retained) {
  swb_heard(&state, topic, payload, length, retained, millis());
}

void setup() {
  pinMode(SOUNDER, OUTPUT);
  swb_begin(&state, millis());
}

void loop() {
  keepConnected();  // must not block for longer than a few seconds: below it is decided whether to sound
  digitalWrite(SOUNDER, swb_sounds(&state, millis()) ? HIGH : LOW);
}
