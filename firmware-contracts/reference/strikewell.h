/* Writes strikewell readings (a SenML pack, RFC 8428) into a buffer of yours. C99; allocates nothing,
 * uses no floating point and no stdio. A record it refuses leaves the pack as it was. MIT licence. */
#ifndef STRIKEWELL_H
#define STRIKEWELL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    SW_MAX_PAYLOAD_BYTES = 65535,
    SW_MAX_RECORDS = 500,
    SW_MAX_PROBE_NAME_CHARS = 96,
    SW_MAX_DEVICE_NAME_CHARS = 64
};

/* What the daemon would refuse a pack for, by its fault code, or what keeps the encoder from going on. */
typedef enum {
    SW_OK = 0,
    SW_FULL,             /* no room in the buffer: end this pack, send it, begin the next */
    SW_TOO_MANY_RECORDS, /* too-many-records: likewise */
    SW_BAD_NAME,         /* bad-name */
    SW_OTHER_DEVICE,     /* other-device */
    SW_UNIT_UNKNOWN,     /* unit-unknown */
    SW_UNIT_UNFIT,       /* unit-unfit or unit-missing */
    SW_OUT_OF_RANGE,     /* out-of-range: a failed sensor; leave the record out */
    SW_BAD_TIME,         /* bad-time, time-in-future */
    SW_UNSUPPORTED_VALUE,/* unsupported-value: on or off for a probe that measures */
    SW_NO_VALUE          /* no-value: nothing to send */
} sw_result;

/* Time of a reading: ms since 1970 UTC when above 0; ms before arrival when negative; or now. */
#define SW_ON_ARRIVAL ((int64_t)0)

typedef struct {
    char *out;
    size_t size;
    size_t length;
    int64_t t_ms;
    uint16_t records;
} sw_pack;

/* Begins a pack in a buffer of `size` bytes. */
void sw_begin(sw_pack *pack, char *buffer, size_t size);

/* A measured value in thousandths of `unit` (23.4 Cel is 23400). For a well-known probe the unit is the one the
 * record keeps (Cel, %RH, lx, umol/m2/s, / or %EL); for a name of your own any registered unit, or NULL.
 * `within_s`: the most seconds until its next reading, 0 to say nothing. */
sw_result sw_measured(sw_pack *pack, const char *probe, const char *unit, int32_t thousandths, int64_t t_ms,
                      uint16_t within_s);

/* On or off, for mist/valve and names of your own. */
sw_result sw_switched(sw_pack *pack, const char *probe, bool on, int64_t t_ms, uint16_t within_s);

/* Closes the pack: buffer[0..length) is the payload, and a NUL follows it. */
sw_result sw_end(sw_pack *pack, size_t *length);

/* "strikewell/1/<device>/readings" (or "status") with a NUL. */
sw_result sw_topic(char *buffer, size_t size, const char *device, const char *kind);

#ifdef __cplusplus
}
#endif
#endif
