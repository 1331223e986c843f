#include "pulses.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "clock.h"

#define QUEUE 4 /* a power of two */

static struct pulse queue[QUEUE];
static volatile uint8_t queued; /* counted by the interrupt */
static volatile uint8_t taken;  /* counted by the main loop */

static volatile uint8_t running;
static volatile uint8_t high;
static volatile uint8_t remaining;
static uint8_t stopping;
static volatile uint32_t edge; /* tick of the edge that comes next */
static uint32_t rise;

/*
 * A distance of more than one turn of the timer is covered in hops of half a turn and a last step of more than
 * half a turn, which is never too short to be set in time.
 */
struct distance {
    uint32_t ticks;
    uint16_t hops;
    uint16_t last_step; /* 0 stands for a whole turn */
};
static struct distance pulse_width;
static struct distance pulse_gap;
static volatile uint16_t hops; /* still to go before the last step */
static volatile uint8_t armed; /* the compare now set moves the pin */

/* What the pin does at a compare. Repeating its level is how a compare passes without effect. */
#define FALL _BV(COM1A1)
#define RISE (_BV(COM1A1) | _BV(COM1A0))

/*
 * A compare moves the pin one tick after the timer has reached its value (data sheet, "Compare match output
 * unit"), so the value for an edge is one less than its tick.
 *
 * Longer than the light can wait at the fast rate, so others may come in between. It doesn't come again itself before
 * it has set the next compare.
 */
ISR(TIMER1_COMPA_vect, ISR_NOBLOCK)
{
    const struct distance *next = high ? &pulse_width : &pulse_gap;
    if (armed) {
        uint32_t now = edge;
        if (high) {
            uint8_t left = (uint8_t)(remaining - 1);
            /* If the line is so busy that the queue is full, the gap shows in `remaining`. */
            if ((uint8_t)(queued - taken) < QUEUE) {
                struct pulse *pulse = &queue[queued % QUEUE];
                pulse->rise = rise;
                pulse->fall = now;
                pulse->remaining = left;
                queued++;
            }
            remaining = left;
            high = 0;
            armed = 0;
            if (left == 0) {
                cli();
                running = 0;
                TCCR1A = FALL;
                TIMSK1 &= (uint8_t)~_BV(OCIE1A);
                return;
            }
            next = &pulse_gap;
        } else {
            rise = now;
            high = 1;
            armed = 0;
            next = &pulse_width;
        }
        hops = next->hops;
        edge = now + next->ticks;
    }
    /* Value and action belong together, and the other interrupts use the timer's byte for 16-bit access as well. */
    cli();
    if (hops) {
        hops--;
        OCR1A += 0x8000;
        TCCR1A = high ? RISE : FALL;
    } else {
        armed = 1;
        OCR1A += next->last_step;
        TCCR1A = high ? FALL : RISE;
    }
    sei();
}

static void set_distance(struct distance *distance, uint32_t ticks)
{
    distance->ticks = ticks;
    distance->hops = ticks > 0x10000UL ? (uint16_t)((ticks - 0x8001UL) >> 15) : 0;
    distance->last_step = (uint16_t)(ticks - ((uint32_t)distance->hops << 15));
}

void pulses_begin(void)
{
    TCCR1A = FALL;
    DDRB |= _BV(DDB1);
}

uint8_t pulses_are_running(void)
{
    return running;
}

void pulses_start(uint32_t width, uint32_t gap, uint8_t count)
{
    set_distance(&pulse_width, width);
    set_distance(&pulse_gap, gap);
    remaining = count;
    stopping = 0;
    running = 1;
    high = 0;
    armed = 1;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        uint16_t low = TCNT1;
        edge = clock_extend(low) + SHORTEST_PULSE;
        OCR1A = (uint16_t)(edge - 1);
        TCCR1A = RISE;
        TIFR1 = _BV(OCF1A);
        TIMSK1 |= _BV(OCIE1A);
    }
}

void pulses_stop(void)
{
    stopping = running;
}

void pulses_step(void)
{
    if (!stopping)
        return;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        uint16_t low = TCNT1;
        uint8_t soon = armed && (uint16_t)(OCR1A - low) < 2 * SHORTEST_PULSE;
        if (!running) {
            stopping = 0;
        } else if (!(TIFR1 & _BV(OCF1A)) && !soon) {
            if (high) {
                edge = clock_extend(low) + SHORTEST_PULSE;
                OCR1A = (uint16_t)(edge - 1);
                TCCR1A = FALL;
                armed = 1;
                remaining = 1;
            } else {
                TCCR1A = FALL;
                TIMSK1 &= (uint8_t)~_BV(OCIE1A);
                running = 0;
            }
            stopping = 0;
        }
    }
}

uint8_t pulses_wait(void)
{
    return queued != taken;
}

void pulses_take(struct pulse *pulse)
{
    *pulse = queue[taken % QUEUE];
    taken++;
}
