/*
 * Firmware for an ATmega328P at 16 MHz (Uno and Nano class). Streams the light, times flash contact and release
 * switch, makes reference pulses. It neither triggers nor judges: that is the page's work. Pins:
 *
 *   A0, A1, A2  light, 0 to 5 V      D8 (ICP1)  flash contact to ground
 *   D9 (OC1A)   reference light      D2 (INT0)  release switch to ground
 *
 * Build: make (see Makefile), or open atmega328p.ino in the usual IDE.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/wdt.h>
#include <string.h>

#include "clock.h"
#include "edges.h"
#include "identity.h"
#include "line.h"
#include "pulses.h"
#include "sampling.h"
#include "wire.h"

#define FIRMWARE_MAJOR 1
#define FIRMWARE_MINOR 1

/* 8 turns of the timer, 262 ms: about 4 status messages a second. */
#define STATUS_OVERFLOWS 8

static struct introduction introduction = {
    .board = "ATmega328P",
    .firmware_major = FIRMWARE_MAJOR,
    .firmware_minor = FIRMWARE_MINOR,
    .tick_hz = TICK_HZ,
    .bits = 8,
    .channels = ADC_CHANNELS,
};

static uint8_t channel_mask = 1;
static uint8_t pulses_tag;
static uint16_t commands_refused;

static uint8_t set_channels(uint8_t mask)
{
    if (mask == 0 || (mask & ~ADC_CHANNELS))
        return RESULT_BAD_VALUE;
    /* Channels in turns would need more than the whole processor at the fast rate. */
    if (line_is_fast() && (mask & (mask - 1)))
        return RESULT_BAD_VALUE;
    if (mask != channel_mask && sampling_is_running())
        return RESULT_BUSY;
    channel_mask = mask;
    return RESULT_DONE;
}

static uint8_t set_pulses(const struct command *command)
{
    uint32_t width = read_u32(command->body);
    uint32_t gap = read_u32(command->body + 4);
    uint8_t count = command->body[8];
    if (count == 0) {
        pulses_stop();
        return RESULT_DONE;
    }
    if (width < SHORTEST_PULSE || width > LONGEST_PULSE || gap < SHORTEST_PULSE || gap > LONGEST_PULSE)
        return RESULT_BAD_VALUE;
    /* The same command again, because its answer got lost: what it asked for is under way. */
    if (pulses_are_running())
        return command->tag == pulses_tag ? RESULT_DONE : RESULT_BUSY;
    pulses_tag = command->tag;
    pulses_start(width, gap, count);
    return RESULT_DONE;
}

/* Length of the body of each command, from COMMAND_HELLO on. */
static const uint8_t body_lengths[] = {0, 0, 0, 1, 9, SERIAL_SIZE};

/* A serial number is answered when it has been stored; until then no other command is taken. */
static uint8_t storing;
static uint8_t storing_tag;

static void refuse(void)
{
    if (commands_refused < 0xffff)
        commands_refused++;
}

static void carry_out(const struct command *command)
{
    uint8_t number = (uint8_t)(command->type - COMMAND_HELLO);
    uint8_t result = RESULT_DONE;
    if (number >= sizeof body_lengths) {
        result = RESULT_UNKNOWN_COMMAND;
    } else if (command->body_length != body_lengths[number]) {
        result = RESULT_WRONG_LENGTH;
    } else {
        switch (command->type) {
        case COMMAND_HELLO:
            send_hello(&introduction);
            break;
        case COMMAND_START:
            sampling_start(channel_mask);
            break;
        case COMMAND_STOP:
            sampling_stop();
            break;
        case COMMAND_CHANNELS:
            result = set_channels(command->body[0]);
            break;
        case COMMAND_PULSES:
            result = set_pulses(command);
            break;
        case COMMAND_SERIAL:
            if (is_text(command->body, SERIAL_SIZE)) {
                memcpy(introduction.serial, command->body, SERIAL_SIZE);
                identity_store_serial(introduction.serial);
                storing = 1;
                storing_tag = command->tag;
                return;
            }
            result = RESULT_BAD_VALUE;
            break;
        }
    }
    if (result != RESULT_DONE && result != RESULT_BUSY)
        refuse();
    send_reply(command->type, command->tag, result);
}

/* Up to one command's worth of bytes, and one command. */
static void take_received(void)
{
    uint8_t bytes = LONGEST_COMMAND_FRAME + 1;
    for (; bytes && line_byte_waits(); bytes--) {
        struct command command;
        enum received what = receive_byte(line_take(), &command);
        transmit_step();
        if (what == RECEIVED_COMMAND) {
            line_settle();
            carry_out(&command);
            return;
        }
        if (what != RECEIVED_NOTHING)
            refuse();
    }
}

static void report_status(void)
{
    struct status status;
    edges_check();
    status.tick = clock_now();
    status.streaming = sampling_is_running();
    status.mask = channel_mask;
    status.overruns = sampling_overruns();
    status.command_bytes_lost = line_bytes_lost();
    status.commands_refused = commands_refused;
    status.edges_lost = edges_lost();
    status.supply_millivolts = status.streaming ? 0 : sampling_supply();
    send_status(&status);
}

/* What can wait while no samples do, in turns, so that none keeps out another. There is room to send it. */
static void attend(void)
{
    static uint8_t turn;
    static uint8_t last_status;
    uint8_t overflows = (uint8_t)clock_overflows;
    switch (turn++ % 4) {
    case 0:
        if (edges_wait()) {
            struct edge edge;
            edges_take(&edge);
            send_edge(&edge);
        }
        break;
    case 1:
        if (pulses_wait()) {
            struct pulse pulse;
            pulses_take(&pulse);
            send_pulse(&pulse);
        }
        break;
    case 2:
        if ((uint8_t)(overflows - last_status) >= STATUS_OVERFLOWS) {
            last_status = overflows;
            report_status();
        }
        break;
    case 3:
        if (!storing) {
            take_received();
        } else if (identity_step()) {
            storing = 0;
            send_reply(COMMAND_SERIAL, storing_tag, RESULT_DONE);
        }
        break;
    }
}

/* Each speed of the line has its rate of sampling. */
static void take_rate(void)
{
    sampling_set_rate(line_is_fast());
    introduction.ticks_per_conversion = sampling_ticks_per_conversion();
}

static void follow_line(void)
{
    if (!transmit_is_idle() || !line_follow())
        return;
    receive_forget();
    take_rate();
    transmit_delimiter();
}

static void send_block(void)
{
    struct samples samples;
    sampling_block(&samples);
    send_samples(&samples);
    sampling_release();
}

int main(void)
{
    introduction.reset_cause = MCUSR & 0x0f;
    MCUSR = 0;
    wdt_disable();

    clock_begin();
    line_begin();
    edges_begin();
    pulses_begin();
    sampling_begin();
    take_rate();
    sei();
    introduction.image = identity_image();
    identity_read_serial(introduction.serial);

    transmit_delimiter();
    send_hello(&introduction);
    for (;;) {
        transmit_step();
        edges_resume();
        pulses_step();
        /* Samples come first; the line carries them in 87 % of the time. */
        if (sampling_block_waits()) {
            if (transmit_room() >= ENCODED_SAMPLES)
                send_block();
        } else if (transmit_room() >= ENCODED_HELLO + ENCODED_REPLY) {
            attend();
            follow_line();
        }
    }
}
