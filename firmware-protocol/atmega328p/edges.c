#include "edges.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "clock.h"

#define QUEUE 32

/* An edge as the interrupts keep it: the tick in two halves, so that nothing is shifted there. */
struct entry {
    uint16_t low;
    uint16_t high;
    uint8_t input;
    uint8_t closed;
    uint8_t lost;
};

static struct entry queue[QUEUE];
static struct entry *into = queue;
static struct entry *out_of = queue;
static volatile uint8_t queued; /* counted by the interrupts */
static volatile uint8_t taken;  /* counted by the main loop */

static uint8_t closed_before[2]; /* by input: what was last reported; both count as open after a reset */
static uint8_t lost_before;      /* to be told with the next edge */
static volatile uint16_t lost_in_all;
static volatile uint8_t set_aside; /* by input, one bit each: its interrupt is off for the moment */

#define CONTACT_IS_CLOSED ((PINB & _BV(PINB0)) == 0)
#define RELEASE_IS_CLOSED ((PIND & _BV(PIND2)) == 0)

__attribute__((always_inline)) static inline void lose(void)
{
    if (lost_before < 255)
        lost_before++;
    if (lost_in_all < 0xffff)
        lost_in_all++;
}

/* A line that chatters without end must not keep the processor from the light. */
__attribute__((always_inline)) static inline void put_aside(uint8_t input)
{
    if (input == INPUT_CONTACT)
        TIMSK1 &= (uint8_t)~_BV(ICIE1);
    else
        EIMSK = 0;
    set_aside |= (uint8_t)(1 << input);
}

/* Interrupts must be off. Inlined, since an interrupt that calls saves every register. */
__attribute__((always_inline)) static inline void note(uint8_t input, uint8_t closed, uint16_t low)
{
    struct entry *entry = into;
    if ((uint8_t)(queued - taken) >= QUEUE) {
        lose();
        put_aside(input);
        return;
    }
    entry->low = low;
    entry->high = clock_high_word(low);
    entry->input = input;
    entry->closed = closed;
    entry->lost = lost_before;
    closed_before[input] = closed;
    lost_before = 0;
    if (++entry == queue + QUEUE)
        entry = queue;
    into = entry;
    queued++;
}

/* The edge that ends the present level is the one to wait for. Changing the edge may set the flag. */
static inline void await_contact(uint8_t closed)
{
    if (closed)
        TCCR1B |= _BV(ICES1);
    else
        TCCR1B &= (uint8_t)~_BV(ICES1);
    TIFR1 = _BV(ICF1);
}

ISR(TIMER1_CAPT_vect)
{
    uint16_t low = ICR1;
    uint8_t closed = (TCCR1B & _BV(ICES1)) == 0;
    for (;;) {
        uint8_t before = closed;
        note(INPUT_CONTACT, closed, low);
        await_contact(closed);
        closed = CONTACT_IS_CLOSED;
        if (closed == before || (TIFR1 & _BV(ICF1)) || (set_aside & 1 << INPUT_CONTACT))
            return;
        /* A bounce shorter than this routine, whose end could not be captured any more. */
        lose();
        low = TCNT1;
    }
}

ISR(INT0_vect)
{
    uint16_t low = TCNT1;
    uint8_t closed = RELEASE_IS_CLOSED;
    if (closed == closed_before[INPUT_RELEASE]) {
        /* Back already: two edges within this interrupt's delay. */
        lose();
        put_aside(INPUT_RELEASE);
    } else {
        note(INPUT_RELEASE, closed, low);
    }
}

void edges_begin(void)
{
    PORTB |= _BV(PORTB0);
    PORTD |= _BV(PORTD2);
    /* The noise canceller delays a capture by 4 CPU clocks, 0.25 µs: half a tick, and not corrected. */
    TCCR1B |= _BV(ICNC1);
    await_contact(0);
    EICRA = _BV(ISC00); /* INT0: any change */
    EIFR = _BV(INTF0);
    TIMSK1 |= _BV(ICIE1);
    EIMSK = _BV(INT0);
}

uint8_t edges_wait(void)
{
    return queued != taken;
}

void edges_take(struct edge *edge)
{
    const struct entry *entry = out_of;
    edge->tick = (uint32_t)entry->high << 16 | entry->low;
    edge->input = entry->input;
    edge->closed = entry->closed;
    edge->lost = entry->lost;
    out_of = entry + 1 == queue + QUEUE ? queue : out_of + 1;
    taken++;
}

/* Reports a level that no interrupt has told of: its time is that of noticing, and an edge was lost. */
__attribute__((noinline)) static void catch_up(uint8_t input, uint8_t closed)
{
    if (closed == closed_before[input])
        return;
    lose();
    note(input, closed, TCNT1);
}

void edges_resume(void)
{
    if (!set_aside || (uint8_t)(queued - taken) > QUEUE / 2)
        return;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        if (set_aside & 1 << INPUT_CONTACT) {
            uint8_t closed = CONTACT_IS_CLOSED;
            if (TIFR1 & _BV(ICF1))
                lose();
            await_contact(closed);
            catch_up(INPUT_CONTACT, closed);
            TIMSK1 |= _BV(ICIE1);
        }
        if (set_aside & 1 << INPUT_RELEASE) {
            if (EIFR & _BV(INTF0))
                lose();
            EIFR = _BV(INTF0);
            catch_up(INPUT_RELEASE, RELEASE_IS_CLOSED);
            EIMSK = _BV(INT0);
        }
        set_aside = 0;
    }
}

void edges_check(void)
{
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        uint8_t contact = CONTACT_IS_CLOSED;
        /* An edge just now takes 7 clocks through the noise canceller to the flag. */
        _delay_us(1);
        if (!set_aside && !(TIFR1 & _BV(ICF1)) && contact != closed_before[INPUT_CONTACT]) {
            await_contact(contact);
            catch_up(INPUT_CONTACT, contact);
        }
        if (!set_aside && !(EIFR & _BV(INTF0)))
            catch_up(INPUT_RELEASE, RELEASE_IS_CLOSED);
    }
}

uint16_t edges_lost(void)
{
    uint16_t lost;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        lost = lost_in_all;
    }
    return lost;
}
