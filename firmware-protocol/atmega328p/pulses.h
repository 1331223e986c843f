/*
 * Reference light on D9 (OC1A): the timer's output compare moves the pin, so that widths and gaps are exact to the
 * CPU clock, whatever the processor is doing.
 */
#ifndef PULSES_H
#define PULSES_H

#include <stdint.h>

#include "wire.h"

#define SHORTEST_PULSE 200UL
#define LONGEST_PULSE 0x7fffffffUL

void pulses_begin(void);
uint8_t pulses_are_running(void);
/* Width and gap in ticks, SHORTEST_PULSE to LONGEST_PULSE; count 1 to 255. Not while others run. */
void pulses_start(uint32_t width, uint32_t gap, uint8_t count);
/* Ends a pulse that is under way and drops those to come. */
void pulses_stop(void);
/* To be called all the time. */
void pulses_step(void);

uint8_t pulses_wait(void);
/* Takes the oldest finished pulse out of the queue, which must not be empty. */
void pulses_take(struct pulse *pulse);

#endif
