#include "sampling.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <stddef.h>
#include <util/atomic.h>

#include "clock.h"
#include "interrupts.h"

/*
 * Times of the ADC (data sheet, "ADC conversion time"): started from disabled, the first conversion takes 25 ADC
 * clocks; in free running mode each following one begins as the one before ends, takes 13, and holds its sample 2
 * after its beginning. The first conversion is not used.
 *
 * The first conversion may begin with the next edge of the ADC clock, so all of them may be one and the same time,
 * one of its periods at most, later than is reckoned here. Differences between samples are exact.
 */
#define CLOCKS_OF_FIRST 25
#define CLOCKS_OF_EACH 13
#define CLOCKS_TO_HOLD 2

struct rate {
    uint8_t prescaler;       /* bits in ADCSRA */
    uint8_t ticks_per_clock; /* of the ADC */
};
static const struct rate normal_rate = {_BV(ADPS2) | _BV(ADPS0), 4}; /* 16 MHz / 32, 38.46 kS/s */
static const struct rate fast_rate = {_BV(ADPS2), 2};                /* 16 MHz / 16, 76.92 kS/s */
static struct rate rate;

struct block sampling_blocks[BLOCKS];
struct block *sampling_filling;
volatile uint8_t sampling_filled;
volatile uint8_t sampling_taken;

_Static_assert(sizeof(struct block) == BLOCK_SIZE && offsetof(struct block, lost_inside) == LOST_INSIDE
                   && BLOCK_VALUES == SAMPLES_PER_BLOCK,
               "as light_interrupt.S has it");

static uint8_t running;
static uint8_t ticks_apart; /* from one conversion to the next */
static uint8_t channel_mask;
static uint8_t channel_count;
static uint8_t channel_of[3]; /* by place in the rotation */
static struct place places[3];
static struct block *next_block;
/* Of the next block, if nothing was lost before it. */
static uint32_t next_index;
static uint32_t next_tick;
static uint8_t next_place;
static uint16_t overruns;

/* The interrupt's own. It counts in 16 bits: the main loop is never away for 65536 conversions, 0.8 s. */
uint16_t sampling_due;
uint8_t sampling_punctual;
uint8_t *sampling_into;
uint8_t sampling_block_ends;
uint8_t sampling_several;
struct place *sampling_place;
uint16_t sampling_lost;
static uint8_t open;             /* whether `filling` takes values */
static volatile uint8_t shut;    /* no block was free: the interrupt is off */
static uint32_t shut_due;        /* tick at which the first conversion ended that is lost by that */
static uint8_t discard;          /* so many of the next conversions are of no use */

#define MULTIPLEXER (_BV(REFS0) | _BV(ADLAR)) /* reference AVcc, upper 8 bits in ADCH */

/*
 * In free running mode a channel written now is used by the conversion after the one under way. If the interrupt
 * comes later than so many ticks before the end of that one, the next may have begun before the write.
 */
#define TICKS_TO_CHANNEL 8

/* More than this before the reckoned end of the conversion, an interrupt tells of the conversion before. */
#define EARLY 4

#define IN_LINE __attribute__((always_inline)) static inline

/* Which calls the interrupt need not pass on. */
IN_LINE void choose_way(void)
{
    uint8_t ends = (uint8_t)(uintptr_t)(sampling_filling->values + SAMPLES_PER_BLOCK);
    sampling_block_ends = ends;
    LOOK_AT = sampling_several ? (uint8_t)((uint8_t)(uintptr_t)sampling_into + 1) : ends;
    if (!open || discard)
        sampling_punctual = 0;
    else
        sampling_punctual = (uint8_t)(sampling_several ? ticks_apart - TICKS_TO_CHANNEL : ticks_apart);
}

IN_LINE void open_block(void)
{
    if ((uint8_t)(sampling_filled - sampling_taken) >= BLOCKS)
        return;
    sampling_filling->lost_before = sampling_lost;
    sampling_lost = 0;
    sampling_into = sampling_filling->values;
    open = 1;
}

/* With no block free, conversions are counted by the time: that leaves the processor to the blocks that wait. */
IN_LINE void shut_out(void)
{
    uint16_t low = TCNT1;
    /* Writing back ADIF as it is read would clear it. */
    ADCSRA &= (uint8_t)~(_BV(ADIE) | _BV(ADIF));
    shut_due = clock_extend(low) + (int16_t)(sampling_due - low);
    shut = 1;
}

IN_LINE void close_block(void)
{
    sampling_filling->lost_inside = sampling_lost;
    sampling_lost = 0;
    sampling_filling++;
    if (sampling_filling == sampling_blocks + BLOCKS)
        sampling_filling = sampling_blocks;
    sampling_filled++;
    open = 0;
}

/* The last free block has been filled, and its numbers are in it. */
CONTINUED(__vector_none_free)
{
    open = 0;
    shut_out();
    choose_way();
}

CONTINUED(__vector_long_way)
{
    uint8_t value = ADCH;
    uint16_t late = TCNT1 - sampling_due;
    uint8_t apart = TICKS_APART;
    uint8_t useless;

    if (late >= 0x8000) {
        /* A conversion ended between this interrupt's call and the reading of ADCH: the call before counted it. */
        if (late < (uint16_t)-EARLY)
            return;
        late = 0;
    }
    useless = discard;
    if (useless)
        discard = (uint8_t)(useless - 1);
    if (late >= apart) {
        do {
            late -= apart;
            sampling_due += apart;
            sampling_place = sampling_place->next;
            sampling_lost++;
        } while (late >= apart);
        /* Neither the next interrupt, which may tell of this conversion again, nor the next channel is sure. */
        discard = 2;
    }
    sampling_due += apart;
    if (sampling_several) {
        ADMUX = sampling_place->multiplexer_after_next;
        sampling_place = sampling_place->next;
        if (late >= (uint8_t)(apart - TICKS_TO_CHANNEL))
            discard = 2;
    }
    if (useless) {
        sampling_lost++;
    } else {
        /* Unless shut out there is a block free. */
        if (!open)
            open_block();
        *sampling_into++ = value;
        if (sampling_into == sampling_filling->values + SAMPLES_PER_BLOCK) {
            close_block();
            open_block();
            if (!open)
                shut_out();
        }
    }
    choose_way();
}

void sampling_begin(void)
{
    DIDR0 = ADC_CHANNELS; /* no digital input on the analog pins */
    sampling_set_rate(0);
    sampling_stop();
}

void sampling_set_rate(uint8_t fast)
{
    rate = fast ? fast_rate : normal_rate;
    ticks_apart = (uint8_t)(CLOCKS_OF_EACH * rate.ticks_per_clock);
}

uint8_t sampling_ticks_per_conversion(void)
{
    return ticks_apart;
}

static void set_rotation(uint8_t mask)
{
    uint8_t channel;
    uint8_t place;
    channel_mask = mask;
    channel_count = 0;
    for (channel = 0; channel < 3; channel++) {
        if (mask & (1 << channel))
            channel_of[channel_count++] = channel;
    }
    for (place = 0; place < channel_count; place++) {
        places[place].next = &places[(place + 1) % channel_count];
        places[place].multiplexer_after_next = MULTIPLEXER | channel_of[(place + 2) % channel_count];
    }
    sampling_several = channel_count > 1;
}

void sampling_start(uint8_t mask)
{
    if (running)
        return;
    set_rotation(mask);
    running = 1;
    sampling_taken = sampling_filled;
    next_block = sampling_filling = sampling_blocks;
    next_index = 0;
    next_place = 0;
    overruns = 0;
    open = 0;
    shut = 0;
    /* The conversion that is not used stands before number 0, on the last channel of the rotation. */
    sampling_lost = (uint16_t)-1;
    sampling_place = &places[channel_count - 1];
    discard = 1;
    TICKS_APART = ticks_apart;
    choose_way();

    ADCSRA = 0;
    ADCSRB = 0; /* free running */
    ADMUX = MULTIPLEXER | channel_of[0];
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        uint16_t low;
        ADCSRA = _BV(ADEN) | _BV(ADSC) | _BV(ADATE) | _BV(ADIE) | _BV(ADIF) | rate.prescaler;
        low = TCNT1;
        sampling_due = low + (uint16_t)(CLOCKS_OF_FIRST * rate.ticks_per_clock);
        next_tick = clock_extend(low) + (uint16_t)((CLOCKS_OF_FIRST + CLOCKS_TO_HOLD) * rate.ticks_per_clock);
    }
}

/* The ADC turns to the band gap reference (input 14), measured against the supply at 125 kHz and 10 bits. */
void sampling_stop(void)
{
    ADCSRA = 0;
    ADMUX = _BV(REFS0) | 14;
    ADCSRA = _BV(ADEN) | _BV(ADIF) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0);
    running = 0;
    sampling_taken = sampling_filled;
}

uint8_t sampling_is_running(void)
{
    return running;
}

uint8_t sampling_block_waits(void)
{
    return sampling_filled != sampling_taken;
}

/* Lets so many conversions go by. */
static void pass(uint16_t conversions)
{
    next_index += conversions;
    next_tick += (uint32_t)conversions * ticks_apart;
    if (sampling_several)
        next_place = (uint8_t)((next_place + conversions % channel_count) % channel_count);
}

void sampling_block(struct samples *samples)
{
    if (next_block->lost_before)
        pass(next_block->lost_before);
    samples->index = next_index;
    samples->tick = next_tick;
    samples->mask = channel_mask;
    samples->first = channel_of[next_place];
    samples->lost = next_block->lost_inside > 255 ? 255 : (uint8_t)next_block->lost_inside;
    samples->count = SAMPLES_PER_BLOCK;
    samples->values = next_block->values;
}

/* A block is free again. The interrupt is off, so what is its own may be touched. */
static void let_in(void)
{
    int32_t since = (int32_t)(clock_now() - shut_due);
    uint16_t missed = since > 0 ? (uint16_t)((uint32_t)since / ticks_apart) : 0;
    uint8_t places_on = (uint8_t)(missed % channel_count);
    sampling_lost += missed;
    sampling_due = (uint16_t)(shut_due + (uint32_t)missed * ticks_apart);
    for (; places_on; places_on--)
        sampling_place = sampling_place->next;
    /* The channels may be out of step by one, and the next call may come for a conversion already counted. */
    discard = 2;
    choose_way();
    shut = 0;
    ADCSRA = (uint8_t)((ADCSRA & ~_BV(ADIF)) | _BV(ADIE));
}

void sampling_release(void)
{
    uint16_t inside = next_block->lost_inside;
    uint32_t lost_here = (uint32_t)next_block->lost_before + inside;
    overruns = lost_here > (uint16_t)(0xffff - overruns) ? 0xffff : (uint16_t)(overruns + lost_here);
    pass(SAMPLES_PER_BLOCK);
    if (inside)
        pass(inside);
    next_block++;
    if (next_block == sampling_blocks + BLOCKS)
        next_block = sampling_blocks;
    sampling_taken++;
    if (shut)
        let_in();
}

uint16_t sampling_overruns(void)
{
    return overruns;
}

uint16_t sampling_supply(void)
{
    /* Data sheet: the band gap is 1.1 V, 1.0 to 1.2 V. The reading is 1024 × 1.1 V / supply. */
    uint16_t reading = 0;
    if (ADCSRA & _BV(ADIF))
        reading = ADC;
    ADCSRA |= _BV(ADSC) | _BV(ADIF);
    return reading < 128 ? 0 : (uint16_t)(1126400UL / reading);
}
