#include "strikewell.h"

#include <string.h>

/* Ranges in thousandths, inclusive. */
typedef struct {
    const char *name;
    const char *unit;
    int32_t low;
    int32_t high;
} known_probe;

#include "known-probes.h"

/* Each between blanks, so that a search for " Cel " finds a whole unit. */
static const char UNITS[] =
    " m kg g s A K cd mol Hz rad sr N Pa J W C V F Ohm S Wb T H Cel lm lx Bq Gy Sv kat m2 m3 l m/s m/s2 m3/s"
    " l/s W/m2 cd/m2 bit bit/s lat lon pH dB dBW Bspl count / % %RH %EL EL 1/s 1/min beat/min beats S/m"
    " B VA VAs var vars J/m kg/m3 deg NTU ms min h MHz kW kVA kvar Ah Wh kWh varh kvarh kVAh Wh/km KiB GB"
    " Mbit/s B/s MB/s mV mA dBm ug/m3 mm/h m/h ppm /100 /1000 hPa mm cm km km/h ppb ppt VAh mg/l ug/l g/l"
    " umol/m2/s degF ";

/* 2^28 s, the first absolute time of SenML; and the year 5138, where only a mistaken unit leads. */
static const int64_t FIRST_ABSOLUTE_MS = INT64_C(268435456000);
static const int64_t LAST_ABSOLUTE_MS = INT64_C(99999999999999);
static const int64_t OLDEST_RELATIVE_MS = INT64_C(-1000000000000);

static bool is_alphanumeric(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

/* Past the end it only counts: what did not fit is taken back by close_record. */
static void put(sw_pack *pack, char c) {
    if (pack->length < pack->size) pack->out[pack->length] = c;
    if (pack->length < SIZE_MAX) pack->length++;
}

static void put_text(sw_pack *pack, const char *text) {
    while (*text != '\0') put(pack, *text++);
}

static void put_digits(sw_pack *pack, uint64_t number, unsigned at_least) {
    char digits[20];
    unsigned count = 0;
    do {
        digits[count++] = (char)('0' + (char)(number % 10));
        number /= 10;
    } while (number > 0 || count < at_least);
    while (count > 0) put(pack, digits[--count]);
}

/* A number given in thousandths, without zeros at its end. */
static void put_thousandths(sw_pack *pack, int64_t thousandths) {
    uint64_t size = thousandths < 0 ? (uint64_t)0 - (uint64_t)thousandths : (uint64_t)thousandths;
    unsigned fraction = (unsigned)(size % 1000);
    unsigned places = 3;
    if (thousandths < 0) put(pack, '-');
    put_digits(pack, size / 1000, 1);
    if (fraction == 0) return;
    while (fraction % 10 == 0) {
        fraction /= 10;
        places--;
    }
    put(pack, '.');
    put_digits(pack, fraction, places);
}

/* "/<number>" of 1 to 9 digits, the first not 0, or nothing. */
static bool is_number_or_end(const char *rest) {
    size_t digits = 0;
    if (*rest == '\0') return true;
    if (rest[0] != '/' || rest[1] < '1' || rest[1] > '9') return false;
    while (rest[1 + digits] >= '0' && rest[1 + digits] <= '9') digits++;
    return digits <= 9 && rest[1 + digits] == '\0';
}

static const known_probe *find_known(const char *name) {
    size_t at;
    for (at = 0; at < sizeof KNOWN / sizeof KNOWN[0]; at++) {
        size_t length = strlen(KNOWN[at].name);
        if (strncmp(name, KNOWN[at].name, length) == 0 && is_number_or_end(name + length)) return &KNOWN[at];
    }
    return NULL;
}

static sw_result check_name(const char *name) {
    size_t at;
    const char *slash;
    if (name == NULL || !is_alphanumeric(name[0])) return SW_BAD_NAME;
    for (at = 0; name[at] != '\0'; at++) {
        if (at >= SW_MAX_PROBE_NAME_CHARS) return SW_BAD_NAME;
        if (!is_alphanumeric(name[at]) && strchr("-:./_", name[at]) == NULL) return SW_BAD_NAME;
    }
    slash = strchr(name, '/');
    if (find_known(name) == NULL && slash != NULL && find_known(slash + 1) != NULL) return SW_OTHER_DEVICE;
    return SW_OK;
}

static bool is_registered(const char *unit) {
    const char *at = UNITS;
    size_t length = strlen(unit);
    if (length == 0 || strchr(unit, ' ') != NULL) return false;
    while ((at = strstr(at, unit)) != NULL) {
        if (at[-1] == ' ' && at[length] == ' ') return true;
        at++;
    }
    return false;
}

static sw_result check_time(int64_t t_ms) {
    if (t_ms <= 0) return t_ms < OLDEST_RELATIVE_MS ? SW_BAD_TIME : SW_OK;
    return t_ms < FIRST_ABSOLUTE_MS || t_ms > LAST_ABSOLUTE_MS ? SW_BAD_TIME : SW_OK;
}

/* Name and time; `unit` and what follows are the caller's. */
static void open_record(sw_pack *pack, const char *probe, int64_t t_ms) {
    put_text(pack, pack->records == 0 ? "{" : ",{");
    if (t_ms != pack->t_ms) {
        put_text(pack, "\"bt\":");
        put_thousandths(pack, t_ms);
        put(pack, ',');
    }
    put_text(pack, "\"n\":\"");
    put_text(pack, probe);
    put(pack, '"');
}

static sw_result close_record(sw_pack *pack, const sw_pack *before, int64_t t_ms, uint16_t within_s) {
    if (within_s > 0) {
        put_text(pack, ",\"ut\":");
        put_digits(pack, within_s, 1);
    }
    put(pack, '}');
    if (pack->length + 2 > pack->size) {
        *pack = *before;
        return SW_FULL;
    }
    pack->t_ms = t_ms;
    pack->records++;
    return SW_OK;
}

static sw_result check_common(const sw_pack *pack, const char *probe, int64_t t_ms) {
    sw_result named = check_name(probe);
    if (named != SW_OK) return named;
    if (check_time(t_ms) != SW_OK) return SW_BAD_TIME;
    return pack->records >= SW_MAX_RECORDS ? SW_TOO_MANY_RECORDS : SW_OK;
}

void sw_begin(sw_pack *pack, char *buffer, size_t size) {
    pack->out = buffer;
    pack->size = size > SW_MAX_PAYLOAD_BYTES ? SW_MAX_PAYLOAD_BYTES : size;
    pack->length = 0;
    pack->t_ms = SW_ON_ARRIVAL;
    pack->records = 0;
    put(pack, '[');
}

sw_result sw_measured(sw_pack *pack, const char *probe, const char *unit, int32_t thousandths, int64_t t_ms,
                      uint16_t within_s) {
    const sw_pack before = *pack;
    const known_probe *known;
    sw_result sound = check_common(pack, probe, t_ms);
    if (sound != SW_OK) return sound;
    if (unit != NULL && !is_registered(unit)) return SW_UNIT_UNKNOWN;
    known = find_known(probe);
    if (known != NULL) {
        if (unit == NULL || strcmp(unit, known->unit) != 0) return SW_UNIT_UNFIT;
        if (thousandths < known->low || thousandths > known->high) return SW_OUT_OF_RANGE;
    }
    open_record(pack, probe, t_ms);
    if (unit != NULL) {
        put_text(pack, ",\"u\":\"");
        put_text(pack, unit);
        put(pack, '"');
    }
    put_text(pack, ",\"v\":");
    put_thousandths(pack, thousandths);
    return close_record(pack, &before, t_ms, within_s);
}

sw_result sw_switched(sw_pack *pack, const char *probe, bool on, int64_t t_ms, uint16_t within_s) {
    const sw_pack before = *pack;
    const known_probe *known;
    sw_result sound = check_common(pack, probe, t_ms);
    if (sound != SW_OK) return sound;
    known = find_known(probe);
    if (known != NULL && strcmp(known->name, "mist/valve") != 0) return SW_UNSUPPORTED_VALUE;
    open_record(pack, probe, t_ms);
    put_text(pack, on ? ",\"vb\":true" : ",\"vb\":false");
    return close_record(pack, &before, t_ms, within_s);
}

sw_result sw_end(sw_pack *pack, size_t *length) {
    *length = 0;
    if (pack->records == 0) return SW_NO_VALUE;
    put(pack, ']');
    pack->out[pack->length] = '\0';
    *length = pack->length;
    return SW_OK;
}

sw_result sw_topic(char *buffer, size_t size, const char *device, const char *kind) {
    sw_pack text = {0};
    size_t length = device == NULL ? 0 : strlen(device);
    size_t at;
    if (length == 0 || length > SW_MAX_DEVICE_NAME_CHARS) return SW_BAD_NAME;
    if (strcmp(device, ".") == 0 || strcmp(device, "..") == 0) return SW_BAD_NAME;
    for (at = 0; at < length; at++) {
        if (!is_alphanumeric(device[at]) && strchr("-_.", device[at]) == NULL) return SW_BAD_NAME;
    }
    text.out = buffer;
    text.size = size;
    put_text(&text, "strikewell/1/");
    put_text(&text, device);
    put(&text, '/');
    put_text(&text, kind);
    put(&text, '\0');
    return text.length > size ? SW_FULL : SW_OK;
}
