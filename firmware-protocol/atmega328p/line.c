#include "line.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "clock.h"
#include "interrupts.h"

/* Bytes from the page; filled by the interrupt in short_interrupts.S. */
uint8_t line_ring[RECEIVE_RING];
volatile uint8_t line_received;
volatile uint8_t line_taken;
volatile uint16_t line_lost;
volatile uint8_t line_faulty;
uint8_t line_when_full;

static uint8_t fast;
static uint8_t settled;

/*
 * Times are counted in turns of the timer, 32.8 ms. What is heard has one to two turns to become a command: the
 * longest takes 0.3 ms, and a page that waits for its answer sends no more than one. Between two changes lie at
 * least four turns, so that a page that asks every 250 ms is heard by its next question but one.
 */
#define TURNS_TO_LISTEN 2
#define TURNS_TO_STAY 4

static uint8_t last_turn;
static uint8_t heard;          /* something, since the last change */
static uint8_t turns_heard;    /* since then */
static uint8_t turns_standing; /* since the last change, saturating */

/*
 * At the fast speed a line that never pauses would cost the light a third of the processor, so there a full ring turns
 * the interrupt off until half of it is taken.
 */
#define LISTENING (_BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0))
#define RESTING (_BV(RXEN0) | _BV(TXEN0))

/* UBRR for 16 MHz / (8 × (UBRR + 1)), exact at both speeds. */
#define UBRR_NORMAL 3 /* 500 kbaud */
#define UBRR_FAST 1   /* 1 Mbaud */

void line_begin(void)
{
    /* Some emulators want the mode set before the rate. */
    UCSR0A = _BV(U2X0);
    UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
    UBRR0 = UBRR_NORMAL;
    line_when_full = LISTENING;
    UCSR0B = LISTENING;
    turns_standing = TURNS_TO_STAY;
}

uint8_t line_is_fast(void)
{
    return fast;
}

uint8_t line_byte_waits(void)
{
    return line_received != line_taken;
}

uint8_t line_take(void)
{
    uint8_t byte = line_ring[line_taken % RECEIVE_RING];
    line_taken++;
    if ((uint8_t)(line_received - line_taken) == RECEIVE_RING / 2)
        UCSR0B = LISTENING;
    heard = 1;
    return byte;
}

uint16_t line_bytes_lost(void)
{
    uint16_t lost;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        lost = line_lost;
    }
    return lost;
}

void line_settle(void)
{
    settled = 1;
}

static void change_over(void)
{
    /* The last byte may still be in the shift register, for 20 µs at most. */
    _delay_us(25);
    fast = !fast;
    /* Turning the receiver off empties it, also of a frame that has half come. */
    UCSR0B = _BV(TXEN0);
    UBRR0 = fast ? UBRR_FAST : UBRR_NORMAL;
    line_when_full = fast ? RESTING : LISTENING;
    UCSR0B = LISTENING;
    line_taken = line_received;
    line_faulty = 0;
    heard = 0;
    turns_heard = 0;
    turns_standing = 0;
}

uint8_t line_follow(void)
{
    uint8_t turn = (uint8_t)clock_overflows;
    if (settled)
        return 0;
    if (line_faulty)
        heard = 1;
    if (turn != last_turn) {
        last_turn = turn;
        if (turns_standing < TURNS_TO_STAY)
            turns_standing++;
        if (heard)
            turns_heard++;
    }
    if (turns_heard < TURNS_TO_LISTEN || turns_standing < TURNS_TO_STAY)
        return 0;
    change_over();
    return 1;
}
