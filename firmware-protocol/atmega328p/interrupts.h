/*
 * What the interrupts that are written in assembler share with the C around them: the converter's (light_interrupt.S,
 * sampling.c), those of receiver, contact, release switch and clock (short_interrupts.S, line.c, edges.c, clock.c). A
 * compiler saves more registers than they need. Read by the assembler as well.
 */
#ifndef INTERRUPTS_H
#define INTERRUPTS_H

#define RECEIVE_RING 64 /* bytes, a power of two */
#define EDGE_QUEUE 32   /* edges */
#define EDGE_SIZE 6     /* bytes of a struct entry */
#define EDGE_CLOSED 0x40
#define INPUT_OF_CONTACT 0
#define INPUT_OF_RELEASE 1
#define BLOCKS 4
#define BLOCK_VALUES 128
#define BLOCK_SIZE (4 + BLOCK_VALUES) /* bytes of a struct block */
#define LOST_INSIDE 2                      /* offset in it */

/* General purpose registers, reached in one cycle. All these interrupts keep the status register in the same one. */
#define KEPT_STATUS GPIOR1
/* Low byte of the address at which sampling_into needs a look: the block's end, or each one where channels take turns. */
#define LOOK_AT GPIOR0
/* Ticks from one conversion to the next. */
#define TICKS_APART GPIOR2

#ifndef __ASSEMBLER__
#include <stdint.h>

/* Where such an interrupt goes on, after it has left everything as it found it. */
#define CONTINUED(name)                                                \
    void name(void) __attribute__((signal, used, externally_visible)); \
    void name(void)

extern uint8_t line_ring[RECEIVE_RING];
extern volatile uint8_t line_received; /* bytes that have come, counted by the interrupt */
extern volatile uint8_t line_taken;    /* bytes taken out, counted by the main loop */
extern volatile uint16_t line_lost;    /* bytes lost or damaged, saturating */
extern volatile uint8_t line_faulty;   /* not 0: a damaged byte has come */
extern uint8_t line_when_full;         /* UCSR0B for a full ring */

/* An edge as the interrupts keep it: the tick in two halves, so that nothing is shifted there. */
struct entry {
    uint16_t low;
    uint16_t high;
    uint8_t what; /* the input, and EDGE_CLOSED */
    uint8_t lost;
};

extern struct entry edges_queue[EDGE_QUEUE];
extern struct entry *edges_into;
extern volatile uint8_t edges_queued; /* counted by the interrupts */
extern volatile uint8_t edges_taken;  /* counted by the main loop */
extern uint8_t edges_closed[2];       /* by input, EDGE_CLOSED or 0: what was last reported */
extern uint8_t edges_lost_before;     /* to be told with the next edge */

/* A place in the rotation of the channels. */
struct place {
    uint8_t multiplexer_after_next; /* ADMUX for the conversion two places on */
    struct place *next;
};

struct block {
    uint16_t lost_before; /* conversions lost between the block before and this one */
    uint16_t lost_inside;
    uint8_t values[BLOCK_VALUES];
};

extern struct block sampling_blocks[BLOCKS];
extern struct block *sampling_filling;
extern volatile uint8_t sampling_filled; /* blocks filled, counted by the interrupt */
extern volatile uint8_t sampling_taken;  /* blocks released, counted by the main loop */
extern uint16_t sampling_lost;           /* conversions lost since the last block was opened or filled */
extern uint16_t sampling_due;        /* low word of the tick at which the next conversion ends */
extern uint8_t sampling_punctual;    /* a call less late than so many ticks goes the short way; 0: none does */
extern uint8_t *sampling_into;       /* where the next value belongs */
extern uint8_t sampling_block_ends;  /* low byte of the address behind the open block */
extern uint8_t sampling_several;     /* whether channels take turns */
extern struct place *sampling_place; /* of the next conversion */
#endif

#endif
