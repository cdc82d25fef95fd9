/* The stand-alone buzzer node: what it has received, and whether it sounds. C99, no allocation. MIT licence. */
#ifndef STRIKEWELL_BUZZER_H
#define STRIKEWELL_BUZZER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum { SWB_MAX_ALARMS = 32, SWB_HEARTBEAT_LIMIT_MS = 90000 };

typedef struct {
    uint32_t alive_at_ms; /* when a heartbeat last came, or since when one is waited for */
    bool silent;          /* no heartbeat within the limit, until the next */
    uint16_t count;
    uint32_t standing[SWB_MAX_ALARMS]; /* alarms that call, by a hash of their topic */
} swb_state;

/* `now_ms`: a counter of ms that may wrap, as small boards have. */
void swb_begin(swb_state *state, uint32_t now_ms);

/* Everything that arrives on strikewell/1/alarms/+ and strikewell/1/watch/heartbeat goes in here. `retained`: the
 * broker's own copy, handed out on subscribing; an old heartbeat proves nothing. */
void swb_heard(swb_state *state, const char *topic, const char *payload, size_t length, bool retained,
               uint32_t now_ms);

/* Forgets the alarms, before each new subscription: the retained ones come again. */
void swb_subscribing(swb_state *state);

/* To be asked at least once a minute. */
bool swb_sounds(swb_state *state, uint32_t now_ms);

#ifdef __cplusplus
}
#endif
#endif
