/* Drives the reference encoder from standard input, one call a line, fields parted by tabs:
 * m <probe> <unit> <thousandths> <t_ms> <within_s> | s <probe> <0|1> <t_ms> <within_s> | e
 * and prints the result of each call; the pack follows an "e". The buffer has the bytes of the first argument. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "strikewell.h"

static char *field(char **rest) {
    char *start = *rest;
    char *tab = strchr(start, '\t');
    if (tab == NULL) {
        *rest = start + strlen(start);
        return start;
    }
    *tab = '\0';
    *rest = tab + 1;
    return start;
}

static sw_result call(sw_pack *pack, char *line) {
    char *rest = line;
    const char *kind = field(&rest);
    const char *probe = field(&rest);
    const char *unit = kind[0] == 'm' ? field(&rest) : NULL;
    long value = strtol(field(&rest), NULL, 10);
    int64_t t_ms = (int64_t)strtoll(field(&rest), NULL, 10);
    uint16_t within_s = (uint16_t)strtol(field(&rest), NULL, 10);
    if (kind[0] == 's') return sw_switched(pack, probe, value != 0, t_ms, within_s);
    return sw_measured(pack, probe, unit[0] == '\0' ? NULL : unit, (int32_t)value, t_ms, within_s);
}

int main(int argc, char **argv) {
    static char line[512];
    size_t size = argc > 1 ? (size_t)strtoul(argv[1], NULL, 10) : 0;
    char *buffer = malloc(size == 0 ? 1 : size);
    sw_pack pack;
    if (buffer == NULL) return 1;
    sw_begin(&pack, buffer, size);
    while (fgets(line, sizeof line, stdin) != NULL) {
        size_t length;
        sw_result result;
        line[strcspn(line, "\n")] = '\0';
        if (line[0] != 'e') {
            printf("%d\n", (int)call(&pack, line));
            continue;
        }
        result = sw_end(&pack, &length);
        printf("%d %s\n", (int)result, result == SW_OK ? buffer : "");
        sw_begin(&pack, buffer, size);
    }
    free(buffer);
    return 0;
}
