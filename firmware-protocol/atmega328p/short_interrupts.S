/*
 * Interrupts that come before the converter's in the chip's order, and may follow each other. At the fast rate a
 * conversion waits 208 cycles at most. So each keeps only the registers it needs, and a conversion that has ended
 * meanwhile is taken at its end (.Llight_next), before another can come: it waits for one of them at most. Cycles are
 * given from the call to the return, with the 4 of the interrupt's response and the 3 of the vector's jump.
 */
#define __SFR_OFFSET 0
#include <avr/io.h>

#include "interrupts.h"

/*
 * A byte from the page: 62 cycles.
 */
        .global USART_RX_vect
USART_RX_vect:
        push    r24
        in      r24, SREG
        out     KEPT_STATUS, r24
        push    r25
        push    r30

        lds     r30, UCSR0A     ; to be read before the byte
        andi    r30, _BV(FE0) | _BV(DOR0)
        brne    .Lfaulty
        lds     r24, UDR0
.Ltake:
        lds     r30, line_received
        lds     r25, line_taken
        sub     r25, r30
        cpi     r25, 256 - RECEIVE_RING
        breq    .Lfull
        push    r31
        andi    r30, RECEIVE_RING - 1
        ldi     r31, 0
        subi    r30, lo8(-(line_ring))
        sbci    r31, hi8(-(line_ring))
        st      Z, r24
        pop     r31
        lds     r24, line_received
        inc     r24
        sts     line_received, r24
        rjmp    .Lreceived

.Lfaulty:
        sts     line_faulty, r30
        lds     r24, UDR0
        sbrc    r30, FE0
        rjmp    .Llost
        ; DOR0: the hardware has lost a byte after this one, which itself is good
        push    r24
        rcall   .Lcount_lost
        pop     r24
        rjmp    .Ltake

.Lfull:
        lds     r24, line_when_full
        sts     UCSR0B, r24
.Llost:
        rcall   .Lcount_lost
.Lreceived:
        pop     r30
.Llight_next:
        lds     r24, ADCSRA
        mov     r25, r24
        andi    r25, _BV(ADIE) | _BV(ADIF)
        cpi     r25, _BV(ADIE) | _BV(ADIF)
        breq    .Llight_waits
        pop     r25
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        reti
.Llight_waits:
        sts     ADCSRA, r24     ; takes the flag back, as the vector does
        pop     r25
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        rjmp    ADC_vect

.Lcount_lost:
        lds     r24, line_lost
        lds     r25, line_lost + 1
        adiw    r24, 1
        breq    1f
        sts     line_lost + 1, r25
        sts     line_lost, r24
1:
        ret

/* The timer has turned: 40 cycles. */
        .global TIMER1_OVF_vect
TIMER1_OVF_vect:
        push    r24
        in      r24, SREG
        out     KEPT_STATUS, r24
        push    r25
        lds     r24, clock_overflows
        lds     r25, clock_overflows + 1
        adiw    r24, 1
        sts     clock_overflows + 1, r25
        sts     clock_overflows, r24
        rjmp    .Llight_next

/* Begins the entry for an edge: Z becomes its address, r25:r24 holds the low word of its tick and is spent. */
        .macro  begin_entry
        lds     r30, edges_into
        lds     r31, edges_into + 1
        st      Z, r24
        std     Z + 1, r25
        ; clock_high_word()
        lsl     r25
        lds     r24, clock_overflows
        lds     r25, clock_overflows + 1
        brcs    1f
        sbic    TIFR1, TOV1
        adiw    r24, 1
1:
        std     Z + 2, r24
        std     Z + 3, r25
        .endm

/* Ends it; r24 is what happened, and stays. */
        .macro  end_entry
        std     Z + 4, r24
        lds     r25, edges_lost_before
        std     Z + 5, r25
        ldi     r25, 0
        sts     edges_lost_before, r25
        adiw    r30, EDGE_SIZE
        ldi     r25, hi8(edges_queue + EDGE_QUEUE * EDGE_SIZE)
        cpi     r30, lo8(edges_queue + EDGE_QUEUE * EDGE_SIZE)
        cpc     r31, r25
        brne    1f
        ldi     r30, lo8(edges_queue)
        ldi     r31, hi8(edges_queue)
1:
        sts     edges_into, r30
        sts     edges_into + 1, r31
        lds     r25, edges_queued
        inc     r25
        sts     edges_queued, r25
        .endm

/*
 * An edge of the contact: 118 cycles. A full queue, and a contact that is back before its next edge could be awaited,
 * go on in edges.c: __vector_contact_full has still to deal with its edge, for __vector_contact_back that is done.
 */
        .global TIMER1_CAPT_vect
TIMER1_CAPT_vect:
        push    r24
        in      r24, SREG
        out     KEPT_STATUS, r24
        push    r25
        push    r30
        push    r31

        lds     r24, edges_queued
        lds     r25, edges_taken
        sub     r24, r25
        cpi     r24, EDGE_QUEUE
        brcs    1f
        rjmp    .Lcontact_full
1:
        lds     r24, ICR1L
        lds     r25, ICR1H
        begin_entry
        ; the edge that ends the present level is the one to wait for; changing the edge may set the flag
        lds     r24, TCCR1B
        ldi     r25, _BV(ICES1)
        eor     r24, r25
        sts     TCCR1B, r24
        ldi     r25, _BV(ICF1)
        out     TIFR1, r25
        andi    r24, EDGE_CLOSED
        sts     edges_closed + INPUT_OF_CONTACT, r24
        end_entry

        sbrs    r24, 6          ; EDGE_CLOSED
        rjmp    .Lopened
        sbic    PINB, PINB0
        rjmp    .Lcontact_back
.Ledge_kept:
        pop     r31
        pop     r30
        rjmp    .Llight_next

.Lopened:
        sbic    PINB, PINB0
        rjmp    .Ledge_kept
.Lcontact_back:
        pop     r31
        pop     r30
        pop     r25
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        jmp     __vector_contact_back

.Lcontact_full:
        pop     r31
        pop     r30
        pop     r25
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        jmp     __vector_contact_full

/*
 * A change of the release switch: 118 cycles. A full queue, and a switch that stands as it was last told, go on in
 * edges.c, where this edge is still to be dealt with.
 */
        .global INT0_vect
INT0_vect:
        push    r24
        in      r24, SREG
        out     KEPT_STATUS, r24
        push    r25
        push    r30
        push    r31

        lds     r24, TCNT1L
        lds     r25, TCNT1H
        lds     r30, edges_queued
        lds     r31, edges_taken
        sub     r30, r31
        cpi     r30, EDGE_QUEUE
        brcc    .Lrelease_else
        ldi     r30, 0
        sbis    PIND, PIND2
        ldi     r30, EDGE_CLOSED
        lds     r31, edges_closed + INPUT_OF_RELEASE
        cp      r30, r31
        breq    .Lrelease_else
        sts     edges_closed + INPUT_OF_RELEASE, r30
        begin_entry
        lds     r24, edges_closed + INPUT_OF_RELEASE
        ori     r24, INPUT_OF_RELEASE
        end_entry
        rjmp    .Ledge_kept

.Lrelease_else:
        pop     r31
        pop     r30
        pop     r25
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        jmp     __vector_release_else
