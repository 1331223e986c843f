/*
 * The line's speed, and the bytes that come from the page. The speed is the rate of sampling as well: one carries
 * just the other.
 */
#ifndef LINE_H
#define LINE_H

#include <stdint.h>

/* Begins at the normal speed, 500 kbaud. */
void line_begin(void);
/* Whether the line runs at 1 Mbaud. */
uint8_t line_is_fast(void);

uint8_t line_byte_waits(void);
/* The oldest byte from the page, of which there must be one. */
uint8_t line_take(void);
/* Bytes from the page that were lost or damaged since the reset, saturating. */
uint16_t line_bytes_lost(void);

/* A good command has come: the speed is the page's, and stays until the next reset. */
void line_settle(void);
/*
 * To be called all the time while nothing is being sent. Returns 1 if the line has changed over to its other speed,
 * since what it hears makes no command; bytes that had come are then forgotten.
 */
uint8_t line_follow(void);

#endif
