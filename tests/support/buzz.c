/* Drives the buzzer's logic from standard input, fields parted by tabs: <now_ms> <retained> <topic> <payload>,
 * <now_ms> subscribing, or <now_ms> alone, and prints whether it sounds after each. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "buzzer.h"

int main(int argc, char **argv) {
    static char line[4096];
    swb_state state;
    swb_begin(&state, argc > 1 ? (uint32_t)strtoul(argv[1], NULL, 10) : 0);
    while (fgets(line, sizeof line, stdin) != NULL) {
        uint32_t now_ms;
        const char *word;
        line[strcspn(line, "\n")] = '\0';
        now_ms = (uint32_t)strtoul(strtok(line, "\t"), NULL, 10);
        word = strtok(NULL, "\t");
        if (word != NULL && strcmp(word, "subscribing") == 0) swb_subscribing(&state);
        else if (word != NULL) {
            const char *topic = strtok(NULL, "\t");
            const char *payload = strtok(NULL, "\t");
            if (payload == NULL) payload = "";
            swb_heard(&state, topic, payload, strlen(payload), word[0] == '1', now_ms);
        }
        printf("%d\n", swb_sounds(&state, now_ms) ? 1 : 0);
    }
    return 0;
}
