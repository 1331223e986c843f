#include "edges.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "clock.h"
#include "interrupts.h"

#define IN_LINE __attribute__((always_inline)) static inline

struct entry edges_queue[EDGE_QUEUE];
struct entry *edges_into = edges_queue;
static struct entry *out_of = edges_queue;
volatile uint8_t edges_queued;
volatile uint8_t edges_taken;
uint8_t edges_closed[2]; /* both count as open after a reset */
uint8_t edges_lost_before;

_Static_assert(sizeof(struct entry) == EDGE_SIZE && EDGE_CLOSED == _BV(ICES1) && INPUT_CONTACT == INPUT_OF_CONTACT
                   && INPUT_RELEASE == INPUT_OF_RELEASE,
               "as short_interrupts.S has it");

static uint16_t lost_in_all;
static volatile uint8_t set_aside; /* by input, one bit each: its interrupt is off for the moment */

#define CONTACT_IS_CLOSED ((PINB & _BV(PINB0)) ? 0 : EDGE_CLOSED)
#define RELEASE_IS_CLOSED ((PIND & _BV(PIND2)) ? 0 : EDGE_CLOSED)

IN_LINE void lose(void)
{
    if (edges_lost_before < 255)
        edges_lost_before++;
    if (lost_in_all < 0xffff)
        lost_in_all++;
}

/* A line that chatters without end must not keep the processor from the light. */
IN_LINE void put_aside(uint8_t input)
{
    if (input == INPUT_CONTACT)
        TIMSK1 &= (uint8_t)~_BV(ICIE1);
    else
        EIMSK = 0;
    set_aside |= (uint8_t)(1 << input);
}

/* Interrupts must be off. Inlined, since an interrupt that calls saves every register. */
IN_LINE void note(uint8_t input, uint8_t closed, uint16_t low)
{
    struct entry *entry = edges_into;
    if ((uint8_t)(edges_queued - edges_taken) >= EDGE_QUEUE) {
        lose();
        put_aside(input);
        return;
    }
    entry->low = low;
    entry->high = clock_high_word(low);
    entry->what = input | closed;
    entry->lost = edges_lost_before;
    edges_closed[input] = closed;
    edges_lost_before = 0;
    if (++entry == edges_queue + EDGE_QUEUE)
        entry = edges_queue;
    edges_into = entry;
    edges_queued++;
}

/* The edge that ends the present level is the one to wait for. Changing the edge may set the flag. */
IN_LINE void await_contact(uint8_t closed)
{
    if (closed)
        TCCR1B |= _BV(ICES1);
    else
        TCCR1B &= (uint8_t)~_BV(ICES1);
    TIFR1 = _BV(ICF1);
}

/* A captured edge finds no room in the queue. */
CONTINUED(__vector_contact_full)
{
    lose();
    put_aside(INPUT_CONTACT);
    await_contact(TCCR1B & _BV(ICES1) ? 0 : EDGE_CLOSED);
}

/* The contact has left the level just noted, perhaps before it could be told to wait for that. */
CONTINUED(__vector_contact_back)
{
    for (;;) {
        uint8_t closed = CONTACT_IS_CLOSED;
        if (closed == edges_closed[INPUT_CONTACT] || (TIFR1 & _BV(ICF1)) || (set_aside & 1 << INPUT_CONTACT))
            return;
        /* A bounce shorter than the interrupt, whose end could not be captured any more. */
        lose();
        note(INPUT_CONTACT, closed, TCNT1);
        await_contact(closed);
    }
}

/* A change of the release switch that can't simply be noted. */
CONTINUED(__vector_release_else)
{
    uint16_t low = TCNT1;
    uint8_t closed = RELEASE_IS_CLOSED;
    if (closed == edges_closed[INPUT_RELEASE]) {
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
    return edges_queued != edges_taken;
}

void edges_take(struct edge *edge)
{
    const struct entry *entry = out_of;
    edge->tick = (uint32_t)entry->high << 16 | entry->low;
    edge->input = entry->what & 1;
    edge->closed = (entry->what & EDGE_CLOSED) != 0;
    edge->lost = entry->lost;
    out_of = entry + 1 == edges_queue + EDGE_QUEUE ? edges_queue : out_of + 1;
    edges_taken++;
}

/* Reports a level that no interrupt has told of: its time is that of noticing, and an edge was lost. */
__attribute__((noinline)) static void catch_up(uint8_t input, uint8_t closed)
{
    if (closed == edges_closed[input])
        return;
    lose();
    note(input, closed, TCNT1);
}

void edges_resume(void)
{
    if (!set_aside || (uint8_t)(edges_queued - edges_taken) > EDGE_QUEUE / 2)
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
        if (!set_aside && !(TIFR1 & _BV(ICF1)) && contact != edges_closed[INPUT_CONTACT]) {
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
