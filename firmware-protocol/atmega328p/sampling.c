#include "sampling.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>

#include "clock.h"

/*
 * Times of the ADC (data sheet, "ADC conversion time"): started from disabled, the first conversion takes 25 ADC
 * clocks; in free running mode each following one begins as the one before ends, takes 13, and holds its sample 2
 * after its beginning. An ADC clock at /32 is 4 ticks. The first conversion is not used.
 *
 * The first conversion may begin with the next edge of the ADC clock, so all of them may be one and the same time,
 * 4 ticks at most, later than is reckoned here. Differences between samples are exact.
 */
#define FIRST_CONVERSION_ENDS (25 * 4)
#define FIRST_HOLD (FIRST_CONVERSION_ENDS + 2 * 4)

#define BLOCKS 4

struct block {
    uint16_t lost_before; /* conversions lost between the block before and this one */
    uint16_t lost_inside;
    uint8_t values[SAMPLES_PER_BLOCK];
};

static struct block blocks[BLOCKS];
static volatile uint8_t filled; /* blocks filled, counted by the interrupt */
static volatile uint8_t taken;  /* blocks released, counted by the main loop */

static uint8_t running;
static uint8_t channel_mask;
static uint8_t channel_count;
static uint8_t channel_of[3]; /* by place in the rotation */
static uint32_t first_hold;   /* tick of conversion 0 */
static struct block *next_block;
static uint32_t next_index; /* of the next block, if nothing was lost before it */
static uint16_t overruns;

/* The interrupt's own. It counts in 16 bits: the main loop is never away for 65536 conversions, 1.7 s. */
static uint16_t due;  /* low word of the tick at which the next conversion ends */
static uint16_t lost; /* since the last block was opened or filled */
static struct block *filling;
static uint8_t *into;
static uint8_t room;    /* samples that still fit into the open block; 0: none is open */
static uint8_t discard; /* so many of the next conversions are of no use */
static uint8_t several; /* channels */
static uint8_t slot;    /* place of the next conversion in the rotation */
static uint8_t following[3];
static uint8_t multiplexer_after_next[3];

#define MULTIPLEXER (_BV(REFS0) | _BV(ADLAR)) /* reference AVcc, upper 8 bits in ADCH */

/*
 * In free running mode a channel written now is used by the conversion after the one under way. If the interrupt
 * comes later than this after the end of its conversion, the next one may have begun before the write.
 */
#define TOO_LATE_FOR_CHANNEL (TICKS_PER_CONVERSION - 12)

/* More than this before the reckoned end of the conversion, an interrupt tells of the conversion before. */
#define EARLY 16

ISR(ADC_vect)
{
    uint8_t value = ADCH;
    uint16_t late = TCNT1 - due;
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
    if (late >= TICKS_PER_CONVERSION) {
        do {
            late -= TICKS_PER_CONVERSION;
            due += TICKS_PER_CONVERSION;
            slot = following[slot];
            lost++;
        } while (late >= TICKS_PER_CONVERSION);
        /* Neither the next interrupt, which may tell of this conversion again, nor the next channel is sure. */
        discard = 2;
    }
    due += TICKS_PER_CONVERSION;
    if (several) {
        uint8_t here = slot;
        slot = following[here];
        ADMUX = multiplexer_after_next[here];
        if (late >= TOO_LATE_FOR_CHANNEL)
            discard = 2;
    }
    if (useless) {
        lost++;
        return;
    }
    if (room == 0) {
        if ((uint8_t)(filled - taken) >= BLOCKS) {
            lost++;
            return;
        }
        filling->lost_before = lost;
        lost = 0;
        into = filling->values;
        room = SAMPLES_PER_BLOCK;
    }
    *into++ = value;
    if (--room == 0) {
        filling->lost_inside = lost;
        lost = 0;
        filling++;
        if (filling == blocks + BLOCKS)
            filling = blocks;
        filled++;
    }
}

void sampling_begin(void)
{
    DIDR0 = ADC_CHANNELS; /* no digital input on the analog pins */
    sampling_stop();
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
    for (place = 0; place < channel_count; place++)
        following[place] = (uint8_t)((place + 1) % channel_count);
    for (place = 0; place < channel_count; place++)
        multiplexer_after_next[place] = MULTIPLEXER | channel_of[following[following[place]]];
}

void sampling_start(uint8_t mask)
{
    if (running)
        return;
    set_rotation(mask);
    several = channel_count > 1;
    running = 1;
    taken = filled;
    next_block = filling = blocks;
    next_index = 0;
    overruns = 0;
    room = 0;
    /* The conversion that is not used stands before number 0, on the last channel of the rotation. */
    lost = (uint16_t)-1;
    slot = (uint8_t)(channel_count - 1);
    discard = 1;

    ADCSRA = 0;
    ADCSRB = 0; /* free running */
    ADMUX = MULTIPLEXER | channel_of[0];
    ATOMIC_BLOCK(ATOMIC_RESTORESTATE)
    {
        uint16_t low;
        ADCSRA = _BV(ADEN) | _BV(ADSC) | _BV(ADATE) | _BV(ADIE) | _BV(ADIF) | _BV(ADPS2) | _BV(ADPS0);
        low = TCNT1;
        due = low + FIRST_CONVERSION_ENDS;
        first_hold = clock_extend(low) + FIRST_HOLD;
    }
}

/* The ADC turns to the band gap reference (input 14), measured against the supply at 125 kHz and 10 bits. */
void sampling_stop(void)
{
    ADCSRA = 0;
    ADMUX = _BV(REFS0) | 14;
    ADCSRA = _BV(ADEN) | _BV(ADIF) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0);
    running = 0;
    taken = filled;
}

uint8_t sampling_is_running(void)
{
    return running;
}

uint8_t sampling_block_waits(void)
{
    return filled != taken;
}

void sampling_block(struct samples *samples)
{
    uint32_t index = next_index + next_block->lost_before;
    samples->index = index;
    samples->tick = first_hold + index * TICKS_PER_CONVERSION;
    samples->mask = channel_mask;
    samples->first = channel_of[several ? index % channel_count : 0];
    samples->lost = next_block->lost_inside > 255 ? 255 : (uint8_t)next_block->lost_inside;
    samples->count = SAMPLES_PER_BLOCK;
    samples->values = next_block->values;
}

void sampling_release(void)
{
    uint32_t lost_here = (uint32_t)next_block->lost_before + next_block->lost_inside;
    overruns = lost_here > (uint16_t)(0xffff - overruns) ? 0xffff : (uint16_t)(overruns + lost_here);
    next_index += lost_here + SAMPLES_PER_BLOCK;
    next_block++;
    if (next_block == blocks + BLOCKS)
        next_block = blocks;
    taken++;
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
