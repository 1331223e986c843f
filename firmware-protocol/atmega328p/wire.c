#include "wire.h"

#include <string.h>

#ifdef __AVR__
#include <avr/io.h>
#endif

/* In the loop over the samples a call costs more than what it does, and -Os would call. */
#define IN_LINE __attribute__((always_inline)) static inline

uint8_t next_sequence;

/*
 * Indexes are 8 bits wide and wrap with the ring. Only the main loop touches it: transmission is polled, which
 * costs less than an interrupt for each byte.
 */
static uint8_t ring[256];
static uint8_t ring_head; /* first byte of the frame being built */
static uint8_t ring_tail; /* next byte to transmit */

/* A frame being written behind ring_head. */
struct writer {
    uint8_t at;
    uint8_t code_at; /* where the length code of the present run belongs */
    uint16_t crc;
};

/*
 * Eight steps of the reflected polynomial 8408 at once. It has bits 0, 5 and 12 (counted from the top), so a byte's
 * feedback folds into itself once, four places up, and is then added at those three places.
 */
IN_LINE uint16_t crc_step(uint16_t crc, uint8_t byte)
{
    uint8_t feedback = (uint8_t)(byte ^ crc);
#ifdef __AVR__
    /* As below in half the cycles: the multiplier shifts by three both ways at once. */
    uint8_t low;
    uint8_t high = (uint8_t)(crc >> 8);
    uint8_t spare;
    __asm__("mov %[spare], %[feedback]\n\t"
            "swap %[spare]\n\t"
            "andi %[spare], 0xf0\n\t"
            "eor %[feedback], %[spare]\n\t"
            "ldi %[spare], 8\n\t"
            "mul %[feedback], %[spare]\n\t"
            "mov %[low], %[high]\n\t"
            "eor %[low], r0\n\t"
            "mov %[high], %[feedback]\n\t"
            "eor %[high], r1\n\t"
            "clr r1\n\t"
            "swap %[feedback]\n\t"
            "andi %[feedback], 0x0f\n\t"
            "eor %[low], %[feedback]"
            : [feedback] "+d"(feedback), [high] "+r"(high), [low] "=&r"(low), [spare] "=&d"(spare)
            :
            : "r0");
    return (uint16_t)high << 8 | low;
#else
    feedback ^= (uint8_t)(feedback << 4);
    return (uint16_t)((crc >> 8) ^ ((uint16_t)feedback << 8) ^ ((uint16_t)feedback << 3) ^ (feedback >> 4));
#endif
}

uint16_t crc16_update(uint16_t crc, uint8_t byte)
{
    return crc_step(crc, byte);
}

uint8_t transmit_room(void)
{
    return (uint8_t)(ring_tail - ring_head - 1);
}

int transmit_take(void)
{
    return ring_tail == ring_head ? -1 : ring[ring_tail++];
}

IN_LINE void transmit_if_ready(void)
{
#ifdef __AVR__
    if ((UCSR0A & _BV(UDRE0)) && ring_tail != ring_head)
        UDR0 = ring[ring_tail++];
#endif
}

void transmit_step(void)
{
    transmit_if_ready();
}

uint8_t transmit_is_idle(void)
{
    return ring_tail == ring_head;
}

void transmit_delimiter(void)
{
    ring[ring_head++] = 0;
}

IN_LINE void stuff(struct writer *writer, uint8_t byte)
{
    uint8_t at = writer->at;
    /* A zero's place gets the length code of the run behind it. */
    ring[at] = byte;
    if (byte == 0) {
        ring[writer->code_at] = (uint8_t)(at - writer->code_at);
        writer->code_at = at;
    }
    writer->at = (uint8_t)(at + 1);
}

static void put8(struct writer *writer, uint8_t byte)
{
    writer->crc = crc_step(writer->crc, byte);
    stuff(writer, byte);
    transmit_if_ready();
}

static void put16(struct writer *writer, uint16_t number)
{
    put8(writer, (uint8_t)number);
    put8(writer, (uint8_t)(number >> 8));
}

static void put32(struct writer *writer, uint32_t number)
{
    put16(writer, (uint16_t)number);
    put16(writer, (uint16_t)(number >> 16));
}

/* The hot loop: what it needs is copied into locals, which the compiler keeps in registers. */
static void put_bytes(struct writer *writer, const uint8_t *bytes, uint8_t count)
{
    struct writer local = *writer;
    for (; count; count--) {
        uint8_t byte = *bytes++;
        local.crc = crc_step(local.crc, byte);
        stuff(&local, byte);
        transmit_if_ready();
    }
    *writer = local;
}

static void begin(struct writer *writer)
{
    writer->code_at = ring_head;
    writer->at = (uint8_t)(ring_head + 1);
    writer->crc = 0xffff;
}

static void begin_message(struct writer *writer, uint8_t type)
{
    begin(writer);
    put8(writer, type);
    put8(writer, next_sequence++);
}

static void end(struct writer *writer)
{
    uint16_t crc = (uint16_t)~writer->crc;
    stuff(writer, (uint8_t)crc);
    stuff(writer, (uint8_t)(crc >> 8));
    ring[writer->code_at] = (uint8_t)(writer->at - writer->code_at);
    ring[writer->at] = 0;
    ring_head = (uint8_t)(writer->at + 1);
}

void send_content(const uint8_t *content, uint8_t length)
{
    struct writer writer;
    begin(&writer);
    put_bytes(&writer, content, length);
    end(&writer);
}

void send_hello(const struct introduction *introduction)
{
    struct writer writer;
    begin_message(&writer, MESSAGE_HELLO);
    put8(&writer, PROTOCOL_VERSION);
    put8(&writer, 1); /* kind: samples */
    put_bytes(&writer, (const uint8_t *)introduction->board, BOARD_NAME_SIZE);
    put8(&writer, introduction->firmware_major);
    put8(&writer, introduction->firmware_minor);
    put32(&writer, introduction->image);
    put_bytes(&writer, (const uint8_t *)introduction->serial, SERIAL_SIZE);
    put32(&writer, introduction->tick_hz);
    put16(&writer, introduction->ticks_per_conversion);
    put8(&writer, introduction->bits);
    put8(&writer, introduction->channels);
    put8(&writer, introduction->reset_cause);
    end(&writer);
}

void send_samples(const struct samples *samples)
{
    struct writer writer;
    begin_message(&writer, MESSAGE_SAMPLES);
    put32(&writer, samples->index);
    put32(&writer, samples->tick);
    put8(&writer, samples->mask);
    put8(&writer, samples->first);
    put8(&writer, samples->lost);
    put_bytes(&writer, samples->values, samples->count);
    end(&writer);
}

void send_edge(const struct edge *edge)
{
    struct writer writer;
    begin_message(&writer, MESSAGE_EDGE);
    put8(&writer, edge->input);
    put8(&writer, edge->closed);
    put32(&writer, edge->tick);
    put8(&writer, edge->lost);
    end(&writer);
}

void send_status(const struct status *status)
{
    struct writer writer;
    begin_message(&writer, MESSAGE_STATUS);
    put32(&writer, status->tick);
    put8(&writer, status->streaming);
    put8(&writer, status->mask);
    put16(&writer, status->overruns);
    put16(&writer, status->command_bytes_lost);
    put16(&writer, status->commands_refused);
    put16(&writer, status->edges_lost);
    put16(&writer, status->supply_millivolts);
    end(&writer);
}

void send_reply(uint8_t command, uint8_t tag, uint8_t result)
{
    struct writer writer;
    begin_message(&writer, MESSAGE_REPLY);
    put8(&writer, command);
    put8(&writer, tag);
    put8(&writer, result);
    end(&writer);
}

void send_pulse(const struct pulse *pulse)
{
    struct writer writer;
    begin_message(&writer, MESSAGE_PULSE);
    put32(&writer, pulse->rise);
    put32(&writer, pulse->fall);
    put8(&writer, pulse->remaining);
    end(&writer);
}

static uint8_t held[LONGEST_COMMAND_FRAME];
static uint8_t held_length;
static uint8_t skipping; /* too long already: nothing counts until the next delimiter */

/* Undoes COBS in place. Returns the length of the content with its CRC, or 0 if the coding is wrong. */
static uint8_t unstuff(uint8_t *bytes, uint8_t length)
{
    uint8_t from = 0;
    uint8_t to = 0;
    while (from < length) {
        uint8_t code = bytes[from++];
        if (code - 1 > length - from)
            return 0;
        while (--code)
            bytes[to++] = bytes[from++];
        if (from < length)
            bytes[to++] = 0;
    }
    return to;
}

static enum received judge(struct command *command)
{
    uint8_t length = unstuff(held, held_length);
    uint16_t crc = 0xffff;
    uint8_t i;
    if (length == 0 && held_length > 1)
        return RECEIVED_BAD_CODING;
    for (i = 0; i < length; i++)
        crc = crc16_update(crc, held[i]);
    /* What the register holds after content and its own CRC, whatever the content. */
    if (length < 3 || crc != 0xf0b8)
        return RECEIVED_BAD_CRC;
    /* Without a tag there is nothing to answer to. */
    if (length < 4)
        return RECEIVED_BAD_LENGTH;
    command->type = held[0];
    command->tag = held[1];
    command->body_length = (uint8_t)(length - 4);
    memcpy(command->body, held + 2, command->body_length);
    return RECEIVED_COMMAND;
}

enum received receive_byte(uint8_t byte, struct command *command)
{
    enum received received = RECEIVED_NOTHING;
    if (byte == 0) {
        if (held_length && !skipping)
            received = judge(command);
        held_length = 0;
        skipping = 0;
    } else if (!skipping) {
        if (held_length < LONGEST_COMMAND_FRAME) {
            held[held_length++] = byte;
        } else {
            skipping = 1;
            received = RECEIVED_BAD_LENGTH;
        }
    }
    return received;
}

void receive_forget(void)
{
    held_length = 0;
    skipping = 0;
}

uint32_t read_u32(const uint8_t *bytes)
{
    return (uint32_t)bytes[0] | (uint32_t)bytes[1] << 8 | (uint32_t)bytes[2] << 16 | (uint32_t)bytes[3] << 24;
}

uint8_t is_text(const uint8_t *bytes, uint8_t size)
{
    uint8_t ended = 0;
    for (; size; size--, bytes++) {
        if (*bytes == 0)
            ended = 1;
        else if (ended || *bytes < 0x20 || *bytes > 0x7e)
            return 0;
    }
    return 1;
}
