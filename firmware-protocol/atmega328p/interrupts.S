/*
 * Interrupts whose length counts at the fast rate. Each keeps only the registers it needs. Cycles are given from the call to
 * the return, with the 4 of the interrupt's response and the 3 of the vector's jump.
 *
 * The converter's comes last in the chip's order. A conversion that ended meanwhile is therefore taken at the end of the
 * two others (.Llight_next), before either can come again: it waits for one of them at most.
 */
#define __SFR_OFFSET 0
#include <avr/io.h>

#include "interrupts.h"

/*
 * The end of a conversion. The short way keeps a value that is in time: 76 cycles, 97 where channels take turns. What
 * is out of the common goes on in sampling.c: __vector_long_way has still to deal with its conversion, for
 * __vector_block_filled that is done.
 */
        .global ADC_vect
ADC_vect:
        push    r24
        in      r24, SREG
        out     KEPT_STATUS, r24
        push    r23
        lds     r23, ADCH       ; before the time: if that is early enough, the value is this conversion's
        push    r25
        push    r30
        push    r31

        ; how late this call is, in ticks
        lds     r24, sampling_due
        lds     r25, sampling_due + 1
        lds     r30, TCNT1L
        lds     r31, TCNT1H
        sub     r30, r24
        sbc     r31, r25
        tst     r31
        brne    .Llong_way
        lds     r31, sampling_punctual
        cp      r30, r31
        brcc    .Llong_way

        ; when the next conversion will end
        in      r31, TICKS_APART
        add     r24, r31
        brcc    1f
        inc     r25
1:
        sts     sampling_due, r24
        sts     sampling_due + 1, r25

        lds     r30, sampling_into
        lds     r31, sampling_into + 1
        st      Z+, r23
        sts     sampling_into, r30
        sts     sampling_into + 1, r31
        in      r24, LOOK_AT
        cp      r30, r24
        breq    .Llook
.Ldone:
        pop     r31
        pop     r30
        pop     r25
        pop     r23
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        reti

.Llong_way:
        pop     r31
        pop     r30
        pop     r25
        pop     r23
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        jmp     __vector_long_way

.Llook:
        lds     r25, sampling_several
        tst     r25
        breq    .Lblock_filled
        ; the multiplexer acts one conversion late
        mov     r25, r30
        inc     r30
        out     LOOK_AT, r30
        lds     r30, sampling_place
        lds     r31, sampling_place + 1
        ld      r24, Z+
        sts     ADMUX, r24
        ld      r24, Z+
        ld      r31, Z
        sts     sampling_place, r24
        sts     sampling_place + 1, r31
        lds     r24, sampling_block_ends
        cp      r25, r24
        brne    .Ldone

.Lblock_filled:
        pop     r31
        pop     r30
        pop     r25
        pop     r23
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        jmp     __vector_block_filled

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

/*
 * An edge of the contact: 119 cycles. A full queue, and a contact that is back before its next edge could be awaited,
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
        lds     r30, edges_into
        lds     r31, edges_into + 1

        lds     r24, ICR1L
        lds     r25, ICR1H
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

        ; the edge that ends the present level is the one to wait for; changing the edge may set the flag
        lds     r24, TCCR1B
        ldi     r25, _BV(ICES1)
        eor     r24, r25
        sts     TCCR1B, r24
        ldi     r25, _BV(ICF1)
        out     TIFR1, r25

        andi    r24, EDGE_CLOSED
        std     Z + 4, r24
        sts     edges_closed, r24
        lds     r25, edges_lost_before
        std     Z + 5, r25
        ldi     r25, 0
        sts     edges_lost_before, r25

        adiw    r30, EDGE_SIZE
        ldi     r25, hi8(edges_queue + EDGE_QUEUE * EDGE_SIZE)
        cpi     r30, lo8(edges_queue + EDGE_QUEUE * EDGE_SIZE)
        cpc     r31, r25
        brne    2f
        ldi     r30, lo8(edges_queue)
        ldi     r31, hi8(edges_queue)
2:
        sts     edges_into, r30
        sts     edges_into + 1, r31
        lds     r25, edges_queued
        inc     r25
        sts     edges_queued, r25

        sbrs    r24, 6          ; EDGE_CLOSED
        rjmp    .Lopened
        sbic    PINB, PINB0
        rjmp    .Lcontact_back
.Lcontact_kept:
        pop     r31
        pop     r30
        rjmp    .Llight_next

.Lopened:
        sbic    PINB, PINB0
        rjmp    .Lcontact_kept
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
