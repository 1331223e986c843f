/*
 * The board's own wire code on a PC, for the tests. Reads a request per line, answers with a line:
 *
 *   content HEX                          → frame as HEX (any content, type byte and body)
 *   hello SEQUENCE BOARD MAJOR MINOR IMAGE SERIAL TICK_HZ TICKS BITS CHANNELS RESET   (texts as HEX of their field)
 *   samples SEQUENCE INDEX TICK MASK FIRST LOST HEX
 *   edge SEQUENCE INPUT CLOSED TICK LOST
 *   status SEQUENCE TICK STREAMING MASK OVERRUNS BYTES REFUSED EDGES MILLIVOLTS
 *   reply SEQUENCE COMMAND TAG RESULT
 *   pulse SEQUENCE RISE FALL REMAINING    → frame as HEX, delimiter included
 *   receive HEX                          → for each frame that ends: 'command TYPE TAG BODY' or the fault, in
 *                                          order, separated by commas; 'nothing' if no frame ends
 */
#include <stdio.h>
#include <string.h>

#include "wire.h"

#define LINE 65536

static size_t from_hex(const char *text, uint8_t *bytes, size_t size)
{
    size_t count = 0;
    unsigned byte;
    while (count < size && sscanf(text + 2 * count, "%2x", &byte) == 1)
        bytes[count++] = (uint8_t)byte;
    return count;
}

static void print_queued(void)
{
    int byte;
    while ((byte = transmit_take()) >= 0)
        printf("%02x", byte);
    printf("\n");
}

static void receive(const char *hex)
{
    static uint8_t bytes[LINE / 2];
    size_t count = from_hex(hex, bytes, sizeof bytes);
    const char *separator = "";
    size_t i;
    for (i = 0; i < count; i++) {
        struct command command;
        uint8_t at;
        switch (receive_byte(bytes[i], &command)) {
        case RECEIVED_NOTHING:
            continue;
        case RECEIVED_COMMAND:
            printf("%scommand %u %u ", separator, command.type, command.tag);
            for (at = 0; at < command.body_length; at++)
                printf("%02x", command.body[at]);
            break;
        case RECEIVED_BAD_LENGTH:
            printf("%slength", separator);
            break;
        case RECEIVED_BAD_CODING:
            printf("%scoding", separator);
            break;
        case RECEIVED_BAD_CRC:
            printf("%scrc", separator);
            break;
        }
        separator = ",";
    }
    printf("%s\n", *separator ? "" : "nothing");
}

/* Returns 0 if the line is no request. */
static int answer(const char *line)
{
    unsigned a[10];
    char word[16];
    char hex[LINE];
    char more[64];
    if (sscanf(line, "%15s", word) != 1)
        return 0;
    if (sscanf(line, "%*s %u", &a[0]) == 1)
        next_sequence = (uint8_t)a[0];

    if (strcmp(word, "receive") == 0 && sscanf(line, "%*s %65535s", hex) == 1) {
        receive(hex);
        return 1;
    }
    if (strcmp(word, "content") == 0 && sscanf(line, "%*s %65535s", hex) == 1) {
        uint8_t content[200];
        send_content(content, (uint8_t)from_hex(hex, content, sizeof content));
    } else if (strcmp(word, "hello") == 0
               && sscanf(line, "%*s %*u %64s %u %u %u %63s %u %u %u %u %u", hex, &a[0], &a[1], &a[2], more, &a[3], &a[4],
                         &a[5], &a[6], &a[7])
                      == 10) {
        struct introduction hello = {.firmware_major = (uint8_t)a[0],
                                     .firmware_minor = (uint8_t)a[1],
                                     .image = a[2],
                                     .tick_hz = a[3],
                                     .ticks_per_conversion = (uint16_t)a[4],
                                     .bits = (uint8_t)a[5],
                                     .channels = (uint8_t)a[6],
                                     .reset_cause = (uint8_t)a[7]};
        from_hex(hex, (uint8_t *)hello.board, BOARD_NAME_SIZE);
        from_hex(more, (uint8_t *)hello.serial, SERIAL_SIZE);
        send_hello(&hello);
    } else if (strcmp(word, "samples") == 0
               && sscanf(line, "%*s %*u %u %u %u %u %u %65535s", &a[0], &a[1], &a[2], &a[3], &a[4], hex) == 6) {
        uint8_t values[SAMPLES_PER_BLOCK];
        struct samples samples = {.index = a[0],
                                  .tick = a[1],
                                  .mask = (uint8_t)a[2],
                                  .first = (uint8_t)a[3],
                                  .lost = (uint8_t)a[4],
                                  .count = (uint8_t)from_hex(hex, values, sizeof values),
                                  .values = values};
        send_samples(&samples);
    } else if (strcmp(word, "edge") == 0
               && sscanf(line, "%*s %*u %u %u %u %u", &a[0], &a[1], &a[2], &a[3]) == 4) {
        struct edge edge = {.input = (uint8_t)a[0], .closed = (uint8_t)a[1], .tick = a[2], .lost = (uint8_t)a[3]};
        send_edge(&edge);
    } else if (strcmp(word, "status") == 0
               && sscanf(line, "%*s %*u %u %u %u %u %u %u %u %u", &a[0], &a[1], &a[2], &a[3], &a[4], &a[5], &a[6], &a[7])
                      == 8) {
        struct status status = {.tick = a[0],
                                .streaming = (uint8_t)a[1],
                                .mask = (uint8_t)a[2],
                                .overruns = (uint16_t)a[3],
                                .command_bytes_lost = (uint16_t)a[4],
                                .commands_refused = (uint16_t)a[5],
                                .edges_lost = (uint16_t)a[6],
                                .supply_millivolts = (uint16_t)a[7]};
        send_status(&status);
    } else if (strcmp(word, "reply") == 0 && sscanf(line, "%*s %*u %u %u %u", &a[0], &a[1], &a[2]) == 3) {
        send_reply((uint8_t)a[0], (uint8_t)a[1], (uint8_t)a[2]);
    } else if (strcmp(word, "pulse") == 0 && sscanf(line, "%*s %*u %u %u %u", &a[0], &a[1], &a[2]) == 3) {
        struct pulse pulse = {.rise = a[0], .fall = a[1], .remaining = (uint8_t)a[2]};
        send_pulse(&pulse);
    } else {
        return 0;
    }
    print_queued();
    return 1;
}

int main(void)
{
    static char line[LINE];
    while (fgets(line, sizeof line, stdin)) {
        if (!answer(line)) {
            fprintf(stderr, "no request: %s", line);
            return 1;
        }
    }
    return 0;
}
