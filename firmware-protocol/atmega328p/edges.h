/*
 * Edges of the flash contact (D8, timed by the timer's input capture) and of the release switch (D2, timed by its
 * interrupt), both closing to ground against a pull-up.
 */
#ifndef EDGES_H
#define EDGES_H

#include <stdint.h>

#include "wire.h"

void edges_begin(void);
uint8_t edges_wait(void);
/* Takes the oldest edge out of the queue, which must not be empty. */
void edges_take(struct edge *edge);
/* Takes up inputs again that were set aside because the queue was full. To be called all the time. */
void edges_resume(void);
/* Compares what was reported with the pins. To be called a few times a second. */
void edges_check(void);
/* Edges lost since the reset, saturating. */
uint16_t edges_lost(void);

#endif
