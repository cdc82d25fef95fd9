/* A node on Linux: takes one reading a minute into its buffer, sends all of it when a broker answers, and forgets a
 * pack only after its PUBACK. Time runs by the argument, so that an hour takes a moment.
 * cc -std=c99 -I. linux-node.c strikewell.c -lmosquitto -o linux-node
 * linux-node HOST PORT DEVICE FIRST_SECOND_SINCE_1970 MINUTES */
#define _POSIX_C_SOURCE 199309L
#include <mosquitto.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "strikewell.h"

enum { KEPT_MAX = 1440, EVERY_S = 60, PACK_BYTES = 1024, ATTEMPTS = 400, WAIT_MS = 50, STATUS_BYTES = 96 };

typedef struct {
    int64_t t_ms;
    int32_t root_thousandths;
    int32_t humidity_thousandths;
} sample;

static sample kept[KEPT_MAX];
static size_t kept_count = 0;
static size_t dropped = 0;
static int acknowledged_id = -1;
static bool joined = false;

static void on_publish(struct mosquitto *client, void *context, int id) {
    (void)client;
    (void)context;
    acknowledged_id = id;
}

static void on_connect(struct mosquitto *client, void *context, int code) {
    (void)client;
    (void)context;
    joined = code == 0;
}

/* Sends and waits for the PUBACK; false when the connection broke before it came. */
static bool publish(struct mosquitto *client, const char *topic, const char *payload, size_t length, bool retain) {
    int id = 0;
    int left = ATTEMPTS;
    if (mosquitto_publish(client, &id, topic, (int)length, payload, 1, retain) != MOSQ_ERR_SUCCESS) return false;
    while (acknowledged_id != id && left-- > 0) {
        if (mosquitto_loop(client, WAIT_MS, 1) != MOSQ_ERR_SUCCESS) return false;
    }
    return acknowledged_id == id;
}

/* As many of the oldest samples as fit; how many is returned. A sample goes in whole or not at all. */
static size_t write_pack(char *buffer, size_t from, size_t *length) {
    sw_pack pack;
    size_t at;
    sw_begin(&pack, buffer, PACK_BYTES);
    for (at = from; at < kept_count; at++) {
        const sw_pack before = pack;
        sw_result wrote = sw_measured(&pack, "root/temperature", "Cel", kept[at].root_thousandths, kept[at].t_ms,
                                      EVERY_S);
        if (wrote == SW_OK)
            wrote = sw_measured(&pack, "air/humidity", "%RH", kept[at].humidity_thousandths, kept[at].t_ms, EVERY_S);
        if (wrote == SW_OK) continue;
        pack = before;
        break;
    }
    sw_end(&pack, length);
    return at - from;
}

/* What is said of the node, by itself and, once it is gone, by its Will: what it lost stands in both. */
static size_t write_status(char *buffer, size_t size, const char *state) {
    int wrote = snprintf(buffer, size, "{\"state\":\"%s\",\"dropped\":%u,\"firmware\":\"linux-node-2\"}", state,
                         (unsigned)dropped);
    return wrote > 0 && (size_t)wrote < size ? (size_t)wrote : 0;
}

static bool say(struct mosquitto *client, const char *status) {
    char online[STATUS_BYTES];
    size_t length = write_status(online, sizeof online, "online");
    return publish(client, status, online, length, true);
}

static bool connect_and_send(struct mosquitto *client, const char *readings, const char *status, size_t *sent) {
    static char buffer[PACK_BYTES];
    int left = ATTEMPTS;
    joined = false;
    while (!joined && left-- > 0) {
        if (mosquitto_loop(client, WAIT_MS, 1) != MOSQ_ERR_SUCCESS) return false;
    }
    if (!joined || !say(client, status)) return false;
    while (*sent < kept_count) {
        size_t length = 0;
        size_t count = write_pack(buffer, *sent, &length);
        if (count == 0 || !publish(client, readings, buffer, length, false)) return false;
        printf("sent %u in %u bytes\n", (unsigned)count, (unsigned)length);
        fflush(stdout);
        *sent += count;
    }
    return true;
}

static void take_samples(long first_s, size_t minutes) {
    for (kept_count = 0; kept_count < minutes && kept_count < KEPT_MAX; kept_count++) {
        kept[kept_count].t_ms = ((int64_t)first_s + (int64_t)EVERY_S * (int64_t)kept_count) * 1000;
        kept[kept_count].root_thousandths = 22000 + 10 * (int32_t)kept_count;
        kept[kept_count].humidity_thousandths = 90000 + 50 * (int32_t)kept_count;
    }
    dropped = minutes - kept_count;
}

int main(int argc, char **argv) {
    char offline[STATUS_BYTES];
    size_t offline_length;
    char readings[96];
    char status[96];
    size_t sent = 0;
    int left = ATTEMPTS;
    struct mosquitto *client;
    if (argc != 6) return 2;
    if (sw_topic(readings, sizeof readings, argv[3], "readings") != SW_OK) return 2;
    if (sw_topic(status, sizeof status, argv[3], "status") != SW_OK) return 2;
    take_samples(strtol(argv[4], NULL, 10), (size_t)strtoul(argv[5], NULL, 10));
    mosquitto_lib_init();
    client = mosquitto_new(argv[3], true, NULL);
    if (client == NULL) return 1;
    mosquitto_publish_callback_set(client, on_publish);
    mosquitto_connect_callback_set(client, on_connect);
    offline_length = write_status(offline, sizeof offline, "offline");
    mosquitto_will_set(client, status, (int)offline_length, offline, 1, true);
    while (sent < kept_count && left-- > 0) {
        int joined_code = mosquitto_connect(client, argv[1], (int)strtol(argv[2], NULL, 10), 30);
        if (joined_code == MOSQ_ERR_SUCCESS && connect_and_send(client, readings, status, &sent)) break;
        printf("offline, %u kept\n", (unsigned)(kept_count - sent));
        fflush(stdout);
        mosquitto_disconnect(client);
        {
            struct timespec pause = {0, 100000000};
            nanosleep(&pause, NULL);
        }
    }
    mosquitto_disconnect(client);
    mosquitto_destroy(client);
    mosquitto_lib_cleanup();
    return sent == kept_count ? 0 : 1;
}
