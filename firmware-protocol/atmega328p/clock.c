#include "clock.h"

#include <avr/interrupt.h>
#include <util/atomic.h>

/* Counted by the interrupt in short_interrupts.S. */
volatile uint16_t clock_overflows;

void clock_begin(void)
{
    TCCR1A = 0;
    TCCR1B = _BV(CS11);
    TIMSK1 = _BV(TOIE1);
}

uint32_t clock_now(void)
{
    uint32_t tick;
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        tick = clock_extend(TCNT1);
    }
    return tick;
}
