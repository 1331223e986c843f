/*
 * The end of a conversion. The short way keeps a value that is in time: 74 cycles, 103 where channels take turns, and about
 * 70 more at the end of a block, with the 4 of the interrupt's response and the 3 of the vector's jump. What is out of
 * the common goes on in sampling.c: __vector_long_way has still to deal with its conversion.
 */
#define __SFR_OFFSET 0
#include <avr/io.h>

#include "interrupts.h"

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
        lds     r30, sampling_filling
        lds     r31, sampling_filling + 1
        lds     r24, sampling_lost
        lds     r25, sampling_lost + 1
        std     Z + LOST_INSIDE, r24
        std     Z + LOST_INSIDE + 1, r25
        ldi     r24, 0
        sts     sampling_lost, r24
        sts     sampling_lost + 1, r24

        subi    r30, lo8(-BLOCK_SIZE)
        sbci    r31, hi8(-BLOCK_SIZE)
        ldi     r25, hi8(sampling_blocks + BLOCKS * BLOCK_SIZE)
        cpi     r30, lo8(sampling_blocks + BLOCKS * BLOCK_SIZE)
        cpc     r31, r25
        brne    1f
        ldi     r30, lo8(sampling_blocks)
        ldi     r31, hi8(sampling_blocks)
1:
        sts     sampling_filling, r30
        sts     sampling_filling + 1, r31
        lds     r25, sampling_filled
        inc     r25
        sts     sampling_filled, r25
        lds     r23, sampling_taken
        sub     r25, r23
        cpi     r25, BLOCKS
        brcc    .Lnone_free

        st      Z+, r24         ; nothing lost before it
        st      Z+, r24
        adiw    r30, 2          ; to its values
        sts     sampling_into, r30
        sts     sampling_into + 1, r31
        mov     r24, r30
        subi    r30, lo8(-BLOCK_VALUES)
        sts     sampling_block_ends, r30
        lds     r25, sampling_several
        tst     r25
        breq    2f
        inc     r24
        mov     r30, r24
2:
        out     LOOK_AT, r30
        rjmp    .Ldone

.Lnone_free:
        pop     r31
        pop     r30
        pop     r25
        pop     r23
        in      r24, KEPT_STATUS
        out     SREG, r24
        pop     r24
        jmp     __vector_none_free
