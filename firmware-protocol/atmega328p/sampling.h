/*
 * The light: the ADC runs freely and its interrupt fills blocks of samples. Each conversion is counted, whether
 * or not its value could be kept, and each sample's time follows from its number.
 */
#ifndef SAMPLING_H
#define SAMPLING_H

#include <stdint.h>

#include "wire.h"

#define ADC_CHANNELS 0x07 /* A0, A1, A2 */

/* At the normal rate. */
void sampling_begin(void);
/* 38.46 kS/s, or the fast rate, 76.92 kS/s. Not while running. */
void sampling_set_rate(uint8_t fast);
uint8_t sampling_ticks_per_conversion(void);
/* Starts from conversion 0; `mask` is not zero. Does nothing while running. */
void sampling_start(uint8_t mask);
void sampling_stop(void);
uint8_t sampling_is_running(void);

/* The oldest full block, of which there must be one; it stays as it is until sampling_release(). */
uint8_t sampling_block_waits(void);
void sampling_block(struct samples *samples);
void sampling_release(void);

/* Conversions lost since the start, as far as blocks have been released; saturating. */
uint16_t sampling_overruns(void);

/*
 * Supply in millivolts, 0 if not yet known. To be called while stopped, at least 1 ms apart: each call reads the
 * conversion that the call before began.
 */
uint16_t sampling_supply(void);

#endif
