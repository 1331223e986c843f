/*
 * The board's time: Timer1 at 16 MHz / 8 counts ticks of 0.5 µs, and its overflows extend it to 32 bits. The
 * same timer captures the contact and makes the reference pulses, so all three share one time.
 */
#ifndef CLOCK_H
#define CLOCK_H

#include <avr/io.h>
#include <stdint.h>

#if defined(F_CPU) && F_CPU != 16000000
#error "All times and rates here are for a 16 MHz board."
#endif

#define TICK_HZ 2000000UL

/* High word of the tick. Its low byte alone is read without locking. */
extern volatile uint16_t clock_overflows;

void clock_begin(void);

/* High word of the tick at which the timer last read `low`, within half a wrap (16 ms). Interrupts must be off. */
__attribute__((always_inline)) static inline uint16_t clock_high_word(uint16_t low)
{
    uint16_t high = clock_overflows;
    /* An overflow that has not been counted yet belongs to a low word from behind it, and to no other. */
    if ((TIFR1 & _BV(TOV1)) && low < 0x8000)
        high++;
    return high;
}

static inline uint32_t clock_extend(uint16_t low)
{
    return (uint32_t)clock_high_word(low) << 16 | low;
}

/* The tick now. Locks interrupts by itself. */
uint32_t clock_now(void);

#endif
