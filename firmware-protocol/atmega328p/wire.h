/*
 * The wire, as in ../README.md: frames, the messages this board sends and the commands it takes. Knows no
 * registers except, on the board itself, the transmitter's; host/wire_host.c builds the same source on a PC.
 */
#ifndef WIRE_H
#define WIRE_H

#include <stdint.h>

#define PROTOCOL_VERSION 1
#define SAMPLES_PER_BLOCK 128

enum message { MESSAGE_HELLO = 1, MESSAGE_SAMPLES, MESSAGE_EDGE, MESSAGE_STATUS, MESSAGE_REPLY, MESSAGE_PULSE };

enum command_type {
    COMMAND_HELLO = 0x10,
    COMMAND_START,
    COMMAND_STOP,
    COMMAND_CHANNELS,
    COMMAND_PULSES,
    COMMAND_SERIAL
};

enum result { RESULT_DONE, RESULT_UNKNOWN_COMMAND, RESULT_WRONG_LENGTH, RESULT_BAD_VALUE, RESULT_BUSY };

#define BOARD_NAME_SIZE 16
#define SERIAL_SIZE 8

struct introduction {
    char board[BOARD_NAME_SIZE];
    uint8_t firmware_major;
    uint8_t firmware_minor;
    uint32_t image;
    char serial[SERIAL_SIZE];
    uint32_t tick_hz;
    uint16_t ticks_per_conversion;
    uint8_t bits;
    uint8_t channels;
    uint8_t reset_cause;
};

struct samples {
    uint32_t index;
    uint32_t tick;
    uint8_t mask;
    uint8_t first;
    uint8_t lost;
    uint8_t count; /* 1 to SAMPLES_PER_BLOCK */
    const uint8_t *values;
};

enum input { INPUT_CONTACT, INPUT_RELEASE };

struct edge {
    uint32_t tick;
    uint8_t input;
    uint8_t closed;
    uint8_t lost;
};

struct status {
    uint32_t tick;
    uint8_t streaming;
    uint8_t mask;
    uint16_t overruns;
    uint16_t command_bytes_lost;
    uint16_t commands_refused;
    uint16_t edges_lost;
    uint16_t supply_millivolts;
};

struct pulse {
    uint32_t rise;
    uint32_t fall;
    uint8_t remaining;
};

/* Encoded length with delimiter: content, two bytes of CRC, one of COBS, the delimiter. */
#define ENCODED(content) ((content) + 4)
#define ENCODED_HELLO ENCODED(43)
#define ENCODED_SAMPLES ENCODED(13 + SAMPLES_PER_BLOCK)
#define ENCODED_STATUS ENCODED(18)
#define ENCODED_REPLY ENCODED(5)

/* Number of bytes that can be queued now. Each send_ function below needs room for its whole frame. */
uint8_t transmit_room(void);
/* Queues a lone delimiter, which ends whatever stands unfinished at the other end. */
void transmit_delimiter(void);
/* Hands the next queued byte to the transmitter if it can take one. To be called all the time. */
void transmit_step(void);
/* Whether the transmitter has been given all there was. */
uint8_t transmit_is_idle(void);
/* The next queued byte, or −1 if there is none: for the host build, which has no transmitter. */
int transmit_take(void);

extern uint8_t next_sequence;

void send_hello(const struct introduction *introduction);
void send_samples(const struct samples *samples);
void send_edge(const struct edge *edge);
void send_status(const struct status *status);
void send_reply(uint8_t command, uint8_t tag, uint8_t result);
void send_pulse(const struct pulse *pulse);
/* Any content: type byte and body as they stand. For the host build. */
void send_content(const uint8_t *content, uint8_t length);

/* Encoded, delimiter not counted. */
#define LONGEST_COMMAND_FRAME 15

struct command {
    uint8_t type;
    uint8_t tag;
    uint8_t body_length;
    uint8_t body[LONGEST_COMMAND_FRAME];
};

enum received {
    RECEIVED_NOTHING, /* no frame ends here */
    RECEIVED_COMMAND, /* a frame with a good CRC: fields are filled in */
    RECEIVED_BAD_LENGTH,
    RECEIVED_BAD_CODING,
    RECEIVED_BAD_CRC
};

/*
 * Takes one byte from the page. A frame that is too long is reported at its first byte too many, and what
 * follows is skipped up to the next delimiter.
 */
enum received receive_byte(uint8_t byte, struct command *command);
/* Drops what has come of a frame: the line runs at another speed now. */
void receive_forget(void);

/* Little-endian number out of a command's body. */
uint32_t read_u32(const uint8_t *bytes);
/* Whether a text field holds nothing but printable ASCII and then zeros. */
uint8_t is_text(const uint8_t *bytes, uint8_t size);

/* CRC-16/X-25 without the final inversion: start with 0xFFFF. */
uint16_t crc16_update(uint16_t crc, uint8_t byte);

#endif
