import { describe, expect, it } from 'vitest';
import { Usart } from '../../../app/practice/chip/usart.ts';
import { coreWith, read, runOn, SREG, write } from './small-programs.ts';

const [UCSR0A, UCSR0B, UBRR0L, UDR0] = [0xc0, 0xc1, 0xc4, 0xc6];
const [RXC, TXC, UDRE, FE, DOR, U2X] = [0x80, 0x40, 0x20, 0x10, 0x08, 0x02];
const [RXEN, TXEN, RXCIE, UDRIE] = [0x10, 0x08, 0x80, 0x20];
/** 500 kbaud at 16 MHz: 32 cycles a bit, 10 bits a frame. */
const FRAME = 320;

function usart(enable = RXEN | TXEN) {
  const core = coreWith();
  const sent: { byte: number; cycle: number }[] = [];
  const part = new Usart(core, 16_000_000, (byte, cycle) => sent.push({ byte, cycle }));
  write(core, UCSR0A, U2X);
  write(core, UBRR0L, 3);
  write(core, UCSR0B, enable);
  return { core, sent, part };
}

describe('transmitter', () => {
  it('holds one byte while another leaves, and sends them without a gap (20.6)', () => {
    const { core, sent } = usart();
    write(core, UDR0, 0xa1);
    expect(read(core, UCSR0A) & UDRE).toBe(UDRE); // it went into the shift register
    core.run(10);
    write(core, UDR0, 0xb2);
    expect(read(core, UCSR0A) & UDRE).toBe(0);
    runOn(core, FRAME - 1);
    expect(read(core, UCSR0A) & UDRE).toBe(0);
    runOn(core, FRAME);
    expect(read(core, UCSR0A) & UDRE).toBe(UDRE);
    write(core, UDR0, 0xc3);
    runOn(core, 4 * FRAME);
    expect(sent).toEqual([
      { byte: 0xa1, cycle: FRAME },
      { byte: 0xb2, cycle: 2 * FRAME },
      { byte: 0xc3, cycle: 3 * FRAME },
    ]);
  });

  it('ignores a byte written while UDRE is zero, or with the transmitter off (20.11.1)', () => {
    const { core, sent } = usart();
    for (const byte of [1, 2, 3]) write(core, UDR0, byte);
    runOn(core, 4 * FRAME);
    expect(sent.map(({ byte }) => byte)).toEqual([1, 2]);
    const off = usart(RXEN);
    write(off.core, UDR0, 9);
    runOn(off.core, 2 * FRAME);
    expect(off.sent).toEqual([]);
  });

  it('sets TXC only when nothing is left to send, and keeps UDRE when UCSR0A is written (20.6.3, 20.11.2)', () => {
    const { core } = usart();
    write(core, UDR0, 1);
    write(core, UDR0, 2);
    runOn(core, FRAME);
    expect(read(core, UCSR0A) & TXC).toBe(0);
    runOn(core, 2 * FRAME);
    expect(read(core, UCSR0A)).toBe(TXC | UDRE | U2X);
    write(core, UCSR0A, TXC | U2X);
    expect(read(core, UCSR0A)).toBe(UDRE | U2X);
  });

  it('asks for the data register interrupt as long as UDRE is set: a level (20.6.3)', () => {
    const { core } = usart(TXEN | UDRIE);
    expect(core.nextInterrupt).toBe(0x26);
    core.data[SREG] = 0x80;
    core.run(1);
    expect(core.pc).toBe(0x26);
    expect(core.nextInterrupt).toBe(0x26); // entering the interrupt doesn't end the request
    write(core, UDR0, 1);
    expect(core.nextInterrupt).toBe(0x26); // still: the byte went straight into the shift register
    write(core, UDR0, 2);
    expect(core.nextInterrupt).toBe(-1);
    runOn(core, 2 * FRAME);
    expect(core.nextInterrupt).toBe(0x26);
    write(core, UCSR0B, TXEN);
    expect(core.nextInterrupt).toBe(-1);
  });

  it('sends with two stop bits when USBS is set, and refuses other frames', () => {
    const { core, sent } = usart();
    write(core, 0xc2, 0x0e);
    write(core, UDR0, 1);
    runOn(core, 2 * FRAME);
    expect(sent[0]!.cycle).toBe(11 * 32);
    write(core, 0xc2, 0x26); // even parity
    expect(() => write(core, UDR0, 1)).toThrow(/parity/);
  });
});

describe('receiver', () => {
  it('takes bytes at the baud rate, one frame after another', () => {
    const { core, part } = usart();
    part.receive(Uint8Array.of(0x11, 0x22));
    runOn(core, FRAME - 1);
    expect(read(core, UCSR0A) & RXC).toBe(0);
    runOn(core, FRAME);
    expect(read(core, UCSR0A) & RXC).toBe(RXC);
    expect(read(core, UDR0)).toBe(0x11);
    expect(read(core, UCSR0A) & RXC).toBe(0);
    runOn(core, 2 * FRAME - 1);
    expect(read(core, UCSR0A) & RXC).toBe(0);
    runOn(core, 2 * FRAME);
    expect(read(core, UDR0)).toBe(0x22);
  });

  it('keeps three frames and loses the third to the start bit of a fourth, with DOR (20.7.4)', () => {
    const { core, part } = usart();
    part.receive(Uint8Array.of(1, 2, 3));
    runOn(core, 4 * FRAME);
    expect(read(core, UCSR0A) & DOR).toBe(0);
    part.receive(Uint8Array.of(4));
    runOn(core, 4 * FRAME + 10); // the start bit has come
    expect(read(core, UCSR0A) & DOR).toBe(DOR);
    runOn(core, 6 * FRAME);
    expect([read(core, UDR0), read(core, UDR0), read(core, UDR0)]).toEqual([1, 2, 4]);
    expect(read(core, UCSR0A) & (RXC | DOR)).toBe(0);
  });

  it('keeps all three when they are read before the fourth begins', () => {
    const { core, part } = usart();
    part.receive(Uint8Array.of(1, 2, 3));
    runOn(core, 4 * FRAME);
    expect([read(core, UDR0), read(core, UDR0), read(core, UDR0)]).toEqual([1, 2, 3]);
    part.receive(Uint8Array.of(4));
    runOn(core, 6 * FRAME);
    expect(read(core, UCSR0A) & DOR).toBe(0);
    expect(read(core, UDR0)).toBe(4);
  });

  it('asks for its interrupt as long as a byte is unread (20.7.3), and is emptied when disabled (20.7.7)', () => {
    const { core, part } = usart(RXEN | TXEN | RXCIE);
    part.receive(Uint8Array.of(1, 2));
    runOn(core, 3 * FRAME);
    expect(core.nextInterrupt).toBe(0x24);
    read(core, UDR0);
    expect(core.nextInterrupt).toBe(0x24);
    write(core, UCSR0B, TXEN | RXCIE);
    expect(core.nextInterrupt).toBe(-1);
    expect(read(core, UCSR0A) & RXC).toBe(0);
  });

  it('hears nothing while disabled, though the line goes on', () => {
    const { core, part } = usart(TXEN);
    part.receive(Uint8Array.of(1, 2));
    runOn(core, FRAME + 10);
    write(core, UCSR0B, TXEN | RXEN);
    runOn(core, 3 * FRAME);
    expect(read(core, UDR0)).toBe(2);
    expect(read(core, UCSR0A) & RXC).toBe(0);
  });

  it('tells a framing error with the byte it belongs to, until that is read (20.11.2)', () => {
    const { core, part } = usart();
    part.receive(Uint8Array.of(0x41));
    part.receive(Uint8Array.of(0x00), 250_000); // low for 18 bits of this receiver: 00 without a stop bit
    part.receive(Uint8Array.of(0x42), 500_000);
    runOn(core, 4 * FRAME);
    expect(read(core, UCSR0A) & FE).toBe(0);
    expect(read(core, UDR0)).toBe(0x41);
    expect(read(core, UCSR0A) & (RXC | FE)).toBe(RXC | FE);
    expect(read(core, UDR0)).toBe(0x00);
    expect(read(core, UCSR0A) & (RXC | FE)).toBe(RXC);
    expect(read(core, UDR0)).toBe(0x42);
    expect(read(core, UCSR0A) & (RXC | FE)).toBe(0);
  });

  it('hears what is still on its way at the speed it has by then', () => {
    const { core, part } = usart();
    part.receive(new Uint8Array(128).fill(0xff), 1_000_000); // too short for this receiver: no byte at all
    runOn(core, 2 * FRAME);
    expect(read(core, UCSR0A) & RXC).toBe(0);
    write(core, UBRR0L, 1);
    part.receive(Uint8Array.of(0x17), 1_000_000);
    runOn(core, 4 * FRAME);
    expect(read(core, UCSR0A) & (RXC | FE)).toBe(RXC);
    expect(read(core, UDR0)).toBe(0x17);
  });
});
