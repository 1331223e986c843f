import { describe, expect, it } from 'vitest';
import { ScheduledEvent } from '../../../app/practice/chip/event-queue.ts';
import { Port } from '../../../app/practice/chip/port.ts';
import { Timer1 } from '../../../app/practice/chip/timer1.ts';
import { coreWith, read, runOn, write } from './small-programs.ts';

const [TIFR1, GTCCR, TIMSK1, TCCR1A, TCCR1B, TCCR1C] = [0x36, 0x43, 0x6f, 0x80, 0x81, 0x82];
const [TCNT1, ICR1, OCR1A, OCR1B] = [0x84, 0x86, 0x88, 0x8a];
const DDRB = 0x24;
const PORTB = 0x25;
const BY_8 = 2;
const [RISING, CANCELLER] = [0x40, 0x80];
const [OVERFLOW, MATCH_A, MATCH_B, CAPTURE] = [0x01, 0x02, 0x04, 0x20];
const [TOGGLE, CLEAR, SET] = [0x40, 0x80, 0xc0];

function timer() {
  const core = coreWith();
  const portB = new Port(core, 0x23);
  new Timer1(core, portB);
  const pulses: [level: boolean, cycle: number][] = [];
  portB.listen((bit, level, cycle) => {
    if (bit === 1) pulses.push([level, cycle]);
  });
  write(core, PORTB, 0x01); // pull-up on the capture pin
  write(core, DDRB, 0x02); // OC1A is an output
  const setWord = (register: number, value: number) => {
    write(core, register + 1, value >> 8);
    write(core, register, value & 0xff);
  };
  const getWord = (register: number) => read(core, register) | (read(core, register + 1) << 8);
  const groundAt = (cycle: number, grounded: boolean) =>
    core.events.schedule(
      new ScheduledEvent((due) => portB.drive(0, grounded ? 'ground' : 'open', due)),
      cycle,
    );
  return { core, pulses, setWord, getWord, groundAt };
}

describe('counter', () => {
  it('counts every eighth cycle of a prescaler that runs from reset (17.1)', () => {
    const { core, getWord } = timer();
    core.run(13);
    write(core, TCCR1B, BY_8);
    expect(getWord(TCNT1)).toBe(0);
    runOn(core, 15);
    expect(getWord(TCNT1)).toBe(0);
    runOn(core, 16); // not 13 + 8: the prescaler doesn't wait for the timer
    expect(getWord(TCNT1)).toBe(1);
    runOn(core, 800);
    expect(getWord(TCNT1)).toBe(99);
  });

  it('keeps its phase when TCCR1B is written without a change of clock', () => {
    const { core, getWord } = timer();
    write(core, TCCR1B, BY_8);
    for (let cycle = 5; cycle < 4000; cycle += 5) {
      runOn(core, cycle);
      write(core, TCCR1B, BY_8 | (cycle % 2 ? RISING : 0));
    }
    runOn(core, 4000);
    expect(getWord(TCNT1)).toBe(500);
  });

  it('stops, holds its count and goes on', () => {
    const { core, getWord } = timer();
    write(core, TCCR1B, BY_8);
    runOn(core, 800);
    write(core, TCCR1B, 0);
    runOn(core, 1600);
    expect(getWord(TCNT1)).toBe(100);
    write(core, TCCR1B, 1);
    runOn(core, 1650);
    expect(getWord(TCNT1)).toBe(150);
  });

  it('sets TOV1 as it becomes zero, every 65536 ticks', () => {
    const { core } = timer();
    write(core, TCCR1B, BY_8);
    for (const turn of [1, 2, 3]) {
      runOn(core, turn * 65_536 * 8 - 1);
      expect(read(core, TIFR1) & OVERFLOW).toBe(0);
      runOn(core, turn * 65_536 * 8);
      expect(read(core, TIFR1) & OVERFLOW).toBe(OVERFLOW);
      write(core, TIFR1, OVERFLOW);
    }
  });

  it('starts its prescaler anew when told to (17.4)', () => {
    const { core, getWord } = timer();
    write(core, TCCR1B, BY_8);
    core.run(804);
    write(core, GTCCR, 1);
    runOn(core, 811);
    expect(getWord(TCNT1)).toBe(100);
    runOn(core, 812);
    expect(getWord(TCNT1)).toBe(101);
  });

  it('reads and writes 16 bits through one temporary byte, shared by all but OCR1x reads (16.3)', () => {
    const { core, setWord, getWord } = timer();
    setWord(TCNT1, 0x1234);
    expect(getWord(TCNT1)).toBe(0x1234);
    setWord(OCR1A, 0xabcd);
    expect(read(core, TCNT1)).toBe(0x34); // the temporary byte is 0x12 now
    expect(read(core, OCR1A)).toBe(0xcd);
    expect(read(core, OCR1A + 1)).toBe(0xab);
    expect(read(core, TCNT1 + 1)).toBe(0x12);
    read(core, TCNT1);
    read(core, ICR1); // an interrupt in between would spoil the reading
    expect(read(core, TCNT1 + 1)).toBe(0);
  });

  it('refuses other waveforms and an external clock', () => {
    const { core } = timer();
    expect(() => write(core, TCCR1A, 0x01)).toThrow(/waveform/);
    expect(() => write(core, TCCR1B, 0x08)).toThrow(/waveform/);
    expect(() => write(core, TCCR1B, 0x07)).toThrow(/clock/);
  });
});

describe('flags', () => {
  it('clears only the flags written as ones, and with SBI only the bit meant', () => {
    const { core, setWord } = timer();
    setWord(OCR1A, 10);
    setWord(OCR1B, 20);
    write(core, TCCR1B, 1);
    runOn(core, 70_000);
    expect(read(core, TIFR1)).toBe(OVERFLOW | MATCH_A | MATCH_B);
    write(core, TIFR1, MATCH_A);
    expect(read(core, TIFR1)).toBe(OVERFLOW | MATCH_B);
    core.writeData(TIFR1, read(core, TIFR1) | OVERFLOW, OVERFLOW); // as SBI does
    expect(read(core, TIFR1)).toBe(MATCH_B);
  });

  it('asks for an interrupt that is enabled after its flag was set', () => {
    const { core } = timer();
    write(core, TCCR1B, 1);
    runOn(core, 70_000);
    expect(core.nextInterrupt).toBe(-1);
    write(core, TIMSK1, OVERFLOW);
    expect(core.nextInterrupt).toBe(0x1a);
  });
});

describe('output compare', () => {
  it('sets and clears OC1A at the tick after the equal one (16.7, figure 16-11)', () => {
    const { core, pulses, setWord } = timer();
    write(core, TCCR1A, SET);
    setWord(OCR1A, 100);
    write(core, TCCR1B, BY_8);
    runOn(core, 1000);
    write(core, TCCR1A, CLEAR);
    setWord(OCR1A, 300);
    runOn(core, 5000);
    expect(pulses).toEqual([
      [true, 101 * 8],
      [false, 301 * 8],
    ]);
  });

  it('toggles once in every turn of the counter', () => {
    const { core, pulses, setWord } = timer();
    write(core, TCCR1A, TOGGLE);
    setWord(OCR1A, 0xffff);
    write(core, TCCR1B, 1);
    runOn(core, 3.5 * 65_536);
    expect(pulses).toEqual([
      [true, 65_536],
      [false, 2 * 65_536],
      [true, 3 * 65_536],
    ]);
  });

  it('changes the pin by a forced compare without setting the flag (16.7.1)', () => {
    const { core, pulses } = timer();
    write(core, TCCR1A, SET);
    core.run(40);
    write(core, TCCR1C, 0x80);
    expect(pulses).toEqual([[true, 40]]);
    expect(read(core, TIFR1)).toBe(0);
  });

  it('misses a match blocked by writing the counter (16.7.2)', () => {
    const { core, setWord } = timer();
    setWord(OCR1A, 500);
    write(core, TCCR1B, BY_8);
    setWord(TCNT1, 500);
    runOn(core, 8000);
    expect(read(core, TIFR1) & MATCH_A).toBe(0);
    runOn(core, (65_536 + 2) * 8);
    expect(read(core, TIFR1) & MATCH_A).toBe(MATCH_A);
  });

  it('gives the pin back to the port when disconnected', () => {
    const { core, pulses, setWord } = timer();
    write(core, TCCR1A, SET);
    setWord(OCR1A, 1);
    write(core, TCCR1B, 1);
    core.run(10);
    write(core, TCCR1A, 0);
    expect(pulses).toEqual([
      [true, 2],
      [false, 10],
    ]);
  });
});

describe('input capture', () => {
  it('latches the counter three cycles after every edge, to the tick (16.6.1, 17.3)', () => {
    const { core, groundAt, getWord } = timer();
    write(core, TCCR1B, BY_8);
    for (let edge = 0; edge < 40; edge++) {
      const at = 1000 + 157 * edge; // every phase of the prescaler
      const falling = edge % 2 === 0;
      write(core, TCCR1B, BY_8 | (falling ? 0 : RISING));
      write(core, TIFR1, CAPTURE);
      groundAt(at, falling);
      runOn(core, at + 2);
      expect(read(core, TIFR1) & CAPTURE).toBe(0);
      runOn(core, at + 3);
      expect(read(core, TIFR1) & CAPTURE).toBe(CAPTURE);
      runOn(core, at + 100); // a late reading changes nothing
      expect(getWord(ICR1)).toBe(Math.floor((at + 3) / 8));
    }
  });

  it('is deaf to the other edge (ICES1, 16.11.2)', () => {
    const { core, groundAt, getWord } = timer();
    write(core, TCCR1B, BY_8 | RISING);
    groundAt(1000, true);
    runOn(core, 2000);
    expect(read(core, TIFR1) & CAPTURE).toBe(0);
    groundAt(3000, false);
    runOn(core, 4000);
    expect(read(core, TIFR1) & CAPTURE).toBe(CAPTURE);
    expect(getWord(ICR1)).toBe(Math.floor(3003 / 8));
  });

  it('with the noise canceller comes four cycles later and ignores what is shorter (16.6.2)', () => {
    const { core, groundAt, getWord } = timer();
    write(core, TCCR1B, BY_8 | CANCELLER);
    runOn(core, 500);
    // The filter has followed the pin since its pull-up came on.
    groundAt(1000, true);
    groundAt(1003, false);
    runOn(core, 2000);
    expect(read(core, TIFR1) & CAPTURE).toBe(0);
    groundAt(3000, true);
    runOn(core, 3006);
    expect(read(core, TIFR1) & CAPTURE).toBe(0);
    runOn(core, 3007);
    expect(read(core, TIFR1) & CAPTURE).toBe(CAPTURE);
    expect(getWord(ICR1)).toBe(Math.floor(3007 / 8));
  });

  it('asks for its interrupt', () => {
    const { core, groundAt } = timer();
    write(core, TIMSK1, CAPTURE);
    write(core, TCCR1B, BY_8);
    groundAt(100, true);
    runOn(core, 120);
    expect(core.nextInterrupt).toBe(0x14);
  });
});
