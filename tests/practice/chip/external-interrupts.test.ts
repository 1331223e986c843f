import { describe, expect, it } from 'vitest';
import { ExternalInterrupts } from '../../../app/practice/chip/external-interrupts.ts';
import { Port } from '../../../app/practice/chip/port.ts';
import { coreWith, read, write } from './small-programs.ts';

const [PCIFR, EIFR, EIMSK, PCICR, EICRA, PCMSK2] = [0x3b, 0x3c, 0x3d, 0x68, 0x69, 0x6d];
const [PIND, DDRD, PORTD, MCUCR] = [0x29, 0x2a, 0x2b, 0x55];
const INT0_VECTOR = 0x02;
const PCINT2_VECTOR = 0x0a;

function pins() {
  const core = coreWith();
  const [portB, portC, portD] = [new Port(core, 0x23), new Port(core, 0x26), new Port(core, PIND)];
  new ExternalInterrupts(core, portB, portC, portD);
  write(core, PORTD, 0x04);
  return { core, portD };
}

describe('port', () => {
  it('reads an open input high with its pull-up, low when grounded, low without pull-up (14.2)', () => {
    const { core, portD } = pins();
    expect(read(core, PIND)).toBe(0x04);
    portD.drive(2, 'ground', 0);
    expect(read(core, PIND)).toBe(0);
    portD.drive(2, 'open', 0);
    write(core, MCUCR, 0x10); // PUD
    write(core, PORTD, 0x04);
    expect(read(core, PIND)).toBe(0);
  });

  it('drives an output from PORTx, and toggles it by ones written to PINx (14.2.2)', () => {
    const { core } = pins();
    write(core, DDRD, 0xf0);
    write(core, PORTD, 0x50);
    expect(read(core, PIND)).toBe(0x50);
    write(core, PIND, 0x30);
    expect(read(core, PORTD)).toBe(0x60);
    expect(read(core, PIND)).toBe(0x60);
  });

  it('tells of each change with its cycle', () => {
    const { core, portD } = pins();
    const seen: unknown[] = [];
    portD.listen((bit, level, cycle) => seen.push([bit, level, cycle]));
    portD.drive(2, 'ground', 77);
    portD.drive(2, 'ground', 78);
    core.run(90);
    write(core, PORTD, 0x0c);
    expect(seen).toEqual([
      [2, false, 77],
      [3, true, 90],
    ]);
  });
});

describe('INT0', () => {
  it.each([
    ['any change', 1, [true, true]],
    ['falling edge', 2, [true, false]],
    ['rising edge', 3, [false, true]],
  ])('on %s (table 13-2)', (_name, sense, [onFall, onRise]) => {
    const { core, portD } = pins();
    write(core, EICRA, sense);
    write(core, EIFR, 1);
    portD.drive(2, 'ground', 0);
    expect(read(core, EIFR) & 1).toBe(onFall ? 1 : 0);
    write(core, EIFR, 1);
    expect(read(core, EIFR) & 1).toBe(0);
    portD.drive(2, 'open', 0);
    expect(read(core, EIFR) & 1).toBe(onRise ? 1 : 0);
  });

  it('remembers an edge that came while it was masked', () => {
    const { core, portD } = pins();
    write(core, EICRA, 1);
    write(core, EIFR, 1);
    portD.drive(2, 'ground', 0);
    expect(core.nextInterrupt).toBe(-1);
    write(core, EIMSK, 1);
    expect(core.nextInterrupt).toBe(INT0_VECTOR);
  });

  it('asks as long as a low level lasts, and sets no flag (13.2.3)', () => {
    const { core, portD } = pins();
    write(core, EICRA, 0);
    write(core, EIMSK, 1);
    expect(core.nextInterrupt).toBe(-1);
    portD.drive(2, 'ground', 0);
    expect(core.nextInterrupt).toBe(INT0_VECTOR);
    expect(read(core, EIFR)).toBe(0);
    portD.drive(2, 'open', 0);
    expect(core.nextInterrupt).toBe(-1);
  });
});

describe('pin change', () => {
  it('flags a change of any pin in its mask, whether enabled or not (13.2.5)', () => {
    const { core, portD } = pins();
    portD.drive(2, 'ground', 0);
    expect(read(core, PCIFR)).toBe(0);
    write(core, PCMSK2, 0x04);
    portD.drive(2, 'open', 0);
    expect(read(core, PCIFR)).toBe(0x04);
    expect(core.nextInterrupt).toBe(-1);
    write(core, PCICR, 0x04);
    expect(core.nextInterrupt).toBe(PCINT2_VECTOR);
    write(core, PCIFR, 0x04);
    expect(core.nextInterrupt).toBe(-1);
  });
});
