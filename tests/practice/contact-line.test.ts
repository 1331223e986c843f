import { beforeEach, describe, expect, it } from 'vitest';
import { ContactLine } from '../../app/practice/contact-line.ts';

/** The board's contact input, with what is still to come. */
class Input {
  cycle = 0;
  closed = false;
  #coming: { cycle: number; closed: boolean }[] = [];

  setContact(closed: boolean, cycle = this.cycle): void {
    if (cycle < this.cycle) throw new RangeError('past');
    this.#coming.push({ cycle, closed });
  }

  forgetContact(): void {
    this.#coming = [];
  }

  /** Levels told from one cycle to the next change. */
  run(until: number): { cycle: number; closed: boolean }[] {
    const due = this.#coming.filter(({ cycle }) => cycle <= until).sort((a, b) => a.cycle - b.cycle);
    this.#coming = this.#coming.filter(({ cycle }) => cycle > until);
    this.cycle = until;
    const edges: { cycle: number; closed: boolean }[] = [];
    for (const change of due) {
      if (change.closed === this.closed) continue;
      this.closed = change.closed;
      edges.push(change);
    }
    return edges;
  }
}

describe('the line from contact to board', () => {
  let input: Input;
  let line: ContactLine;
  beforeEach(() => {
    input = new Input();
    line = new ContactLine(input);
  });
  const firing = [
    { cycle: 100.4, closed: true },
    { cycle: 200, closed: false },
  ];

  it('carries what the shutter does when the lead is plugged in', () => {
    line.shutterWill(firing);
    expect(input.run(300)).toEqual([
      { cycle: 100, closed: true },
      { cycle: 200, closed: false },
    ]);
  });

  it('carries nothing when it isn’t, and takes up the state it finds when it is plugged in', () => {
    line.setLead('not plugged in');
    line.shutterWill(firing);
    expect(input.run(150)).toEqual([]);
    line.setLead('plugged in');
    expect(input.run(300)).toEqual([
      { cycle: 150, closed: true },
      { cycle: 200, closed: false },
    ]);
  });

  it('stands closed for as long as the lead has a short circuit', () => {
    line.setLead('short circuit');
    line.shutterWill(firing);
    expect(input.run(300)).toEqual([{ cycle: 0, closed: true }]);
    line.setLead('plugged in');
    expect(input.run(400)).toEqual([{ cycle: 300, closed: false }]);
  });

  it('changes more than once at the same cycle without losing the last word', () => {
    line.setLead('short circuit');
    line.touch(1, 100_000);
    line.setLead('not plugged in');
    line.setLead('short circuit');
    expect(input.run(50)).toEqual([{ cycle: 0, closed: true }]);
  });

  it('opens no earlier than the last of shutter and hand', () => {
    line.touch(0.001, 100_000); // closed from 100, open 160 to 190, then closed to 290
    line.shutterWill([
      { cycle: 150, closed: true },
      { cycle: 400, closed: false },
    ]);
    expect(input.run(500)).toEqual([
      { cycle: 100, closed: true },
      { cycle: 400, closed: false },
    ]);
  });

  it('bounces once when touched by hand', () => {
    line.touch(0.5, 100_000);
    expect(input.run(100_000).map(({ closed }) => closed)).toEqual([true, false, true, false]);
    expect(() => line.touch(0, 1)).toThrow(RangeError);
    expect(() => line.touch(Number.NaN, 1)).toThrow(RangeError);
  });

  it('goes on with what was to come when more is added', () => {
    line.shutterWill(firing);
    input.run(100);
    line.shutterWill([
      { cycle: 180, closed: false },
      { cycle: 190, closed: true },
    ]);
    expect(input.run(300)).toEqual([
      { cycle: 180, closed: false },
      { cycle: 190, closed: true },
      { cycle: 200, closed: false },
    ]);
  });
});
