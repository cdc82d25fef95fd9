#include "buzzer.h"

#include <string.h>

static const char ALARMS[] = "strikewell/1/alarms/";
static const char HEARTBEAT[] = "strikewell/1/watch/heartbeat";

/* 32-bit FNV-1a. */
static uint32_t hash_of(const char *text) {
    uint32_t hash = UINT32_C(2166136261);
    while (*text != '\0') hash = (hash ^ (uint32_t)(unsigned char)*text++) * UINT32_C(16777619);
    return hash;
}

/* The daemon writes its JSON without blanks, and a quote inside a text is escaped: so `"state":"x"` found is the
 * member itself, never part of a name. */
static bool holds(const char *payload, size_t length, const char *member) {
    size_t size = strlen(member);
    size_t at;
    for (at = 0; size <= length && at <= length - size; at++) {
        if (memcmp(payload + at, member, size) == 0) return true;
    }
    return false;
}

static void forget(swb_state *state, uint32_t alarm) {
    uint16_t at;
    for (at = 0; at < state->count; at++) {
        if (state->standing[at] != alarm) continue;
        state->standing[at] = state->standing[--state->count];
        return;
    }
}

void swb_begin(swb_state *state, uint32_t now_ms) {
    memset(state, 0, sizeof *state);
    state->alive_at_ms = now_ms;
}

void swb_subscribing(swb_state *state) { state->count = 0; }

void swb_heard(swb_state *state, const char *topic, const char *payload, size_t length, bool retained,
               uint32_t now_ms) {
    if (strcmp(topic, HEARTBEAT) == 0) {
        if (holds(payload, length, "\"state\":\"offline\"")) state->silent = true;
        else if (!retained) {
            state->alive_at_ms = now_ms;
            state->silent = false;
        }
        return;
    }
    if (strncmp(topic, ALARMS, sizeof ALARMS - 1) != 0) return;
    forget(state, hash_of(topic));
    if (!holds(payload, length, "\"priority\":\"high\"")) return;
    if (!holds(payload, length, "\"state\":\"unacknowledged\"")) return;
    if (!holds(payload, length, "\"suppression\":\"none\"")) return;
    if (state->count < SWB_MAX_ALARMS) state->standing[state->count++] = hash_of(topic);
}

bool swb_sounds(swb_state *state, uint32_t now_ms) {
    if ((uint32_t)(now_ms - state->alive_at_ms) >= SWB_HEARTBEAT_LIMIT_MS) state->silent = true;
    return state->silent || state->count > 0;
}
