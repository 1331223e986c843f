/** Breadboard and strip board make the circuits of the drawings: nets found from holes, strips, links and cuts. */
import { describe, expect, it } from 'vitest';
import { elements, page } from './hardware-notes-pages.ts';

type Attributes = Readonly<Record<string, string>>;
const attributesOf = (name: string): Attributes[] => elements(page(name)).map(({ attributes }) => attributes);

/** What a layout joins: sorted nets, each a sorted list of ends. `strip` names what is joined inside the board. */
function nets(layout: readonly Attributes[], strip: (hole: string) => string): string[] {
  const joined = new Map<string, string>();
  const root = (name: string): string => {
    const next = joined.get(name);
    return next === undefined ? name : root(next);
  };
  const join = (a: string, b: string) => {
    if (root(a) !== root(b)) joined.set(root(a), root(b));
  };
  const ends: string[] = [];
  const put = (end: string, hole: string) => {
    ends.push(end);
    join(end, strip(hole));
  };
  for (const at of layout) {
    if (at['data-jumper'] !== undefined) join(strip(at['data-a']!), strip(at['data-b']!));
    if (at['data-lead']) put(at['data-lead'], at['data-hole']!);
    if (at['data-part']) {
      put(`${at['data-part']}.${at['data-a-end']}`, at['data-a']!);
      put(`${at['data-part']}.${at['data-b-end']}`, at['data-b']!);
    }
  }
  const found = new Map<string, string[]>();
  for (const end of ends) found.set(root(end), [...(found.get(root(end)) ?? []), end]);
  return sorted([...found.values()]);
}

const sorted = (lists: readonly (readonly string[])[]) =>
  lists.map((net) => [...net].sort().join(' ')).sort();

/** One wire in a hole, no cut through a used one, no part with both ends in one strip. */
function expectSound(layout: readonly Attributes[], strip: (hole: string) => string): void {
  const holes = layout.flatMap((at) =>
    at['data-hole'] ? [at['data-hole']] : at['data-a'] && at['data-b'] ? [at['data-a'], at['data-b']] : [],
  );
  const cuts = layout.flatMap((at) => (at['data-cut'] ? [at['data-cut']] : []));
  expect(holes.length).toBeGreaterThan(30);
  expect(new Set([...holes, ...cuts]).size).toBe(holes.length + cuts.length);
  for (const at of layout) {
    if (at['data-part']) expect(strip(at['data-a']!)).not.toBe(strip(at['data-b']!));
  }
}

const placed = (layout: readonly Attributes[]) =>
  layout.flatMap((at) => (at['data-part'] ? [at['data-part']] : [])).sort();

describe('breadboard', () => {
  const layout = attributesOf('breadboard.svg');

  /** A rail from end to end, rows a to e and f to j of a column. */
  function strip(hole: string): string {
    const rail = /^([+-][tb])(\d+)$/.exec(hole);
    if (rail && Number(rail[2]) >= 1 && Number(rail[2]) <= 30) return rail[1]!;
    const inner = /^([a-j])(\d+)$/.exec(hole);
    if (!inner || Number(inner[2]) < 1 || Number(inner[2]) > 30) throw new Error(`no hole ${hole}`);
    return `${inner[1]! <= 'e' ? 'upper' : 'lower'} ${inner[2]}`;
  }

  it('makes the circuit of the drawings, no more and no less', () => {
    expect(nets(layout, strip)).toEqual(
      sorted([
        ['5V', 'R2.1', 'R3.2', 'CL2.cathode'],
        ['R2.2', 'C1.+', 'C2.1', 'PH1.cathode'],
        ['A0', 'PH1.anode', 'R1.1'],
        ['GND', 'R1.2', 'C1.−', 'C2.2', 'screen', 'LED1.cathode', 'S1.2', 'CL1.anode', 'J1.outside'],
        ['D9', 'R5.1'],
        ['R5.2', 'LED1.anode'],
        ['D2', 'S1.1'],
        ['D8', 'CL1.cathode', 'CL2.anode', 'R4.1'],
        ['R4.2', 'R3.1', 'J1.centre'],
      ]),
    );
  });

  it('can be put together', () => {
    expectSound(layout, strip);
    expect(placed(layout)).toEqual(['C1', 'C2', 'CL1', 'CL2', 'R1', 'R2', 'R3', 'R4', 'R5']);
  });
});

describe('strip board', () => {
  const layout = attributesOf('strip-board.svg');
  const cuts = layout.flatMap((at) => (at['data-cut'] ? [at['data-cut']] : []));

  /** A strip between two cuts. */
  function strip(hole: string): string {
    const [, row, column] = /^([A-H])(\d+)$/.exec(hole) ?? [];
    if (!row || Number(column) < 1 || Number(column) > 16) throw new Error(`no hole ${hole}`);
    const before = cuts.filter((cut) => cut[0] === row && Number(cut.slice(1)) < Number(column));
    return `${row} after ${before.length}`;
  }

  it('makes circuit 2, with the pins of an ordinary dual op-amp', () => {
    // From memory, common to dual op-amps of 8 pins: 1 out, 2 −, 3 +, 4 V−, 5 +, 6 −, 7 out, 8 V+.
    expect(nets(layout, strip)).toEqual(
      sorted([
        ['U1.1', 'RF.1', 'CF.1', 'R8.2'],
        ['U1.2', 'RF.2', 'CF.2', 'PH1.cathode'],
        ['U1.3', 'U1.5', 'R6.2', 'R7.2', 'C4.2'],
        ['GND', 'U1.4', 'PH1.anode', 'R7.1', 'C4.1', 'C3.2'],
        ['U1.6', 'U1.7'],
        ['supply', 'U1.8', 'R6.1', 'C3.1'],
        ['A0', 'R8.1'],
      ]),
    );
  });

  it('can be put together, and the op-amp fits: two rows of four, 7.62 mm apart', () => {
    expectSound(layout, strip);
    expect(placed(layout)).toEqual(['C3', 'C4', 'CF', 'R6', 'R7', 'R8', 'RF']);
    const pins = layout.filter((at) => at['data-lead']?.startsWith('U1.')).map((at) => at['data-hole']!);
    expect(pins).toEqual(['C8', 'D8', 'E8', 'F8', 'F11', 'E11', 'D11', 'C11']);
    expect((11 - 8) * 2.54).toBeCloseTo(7.62, 9);
    const [long, wide] = [16 * 2.54, 8 * 2.54].map((size) => size.toFixed(0));
    expect(page('circuits.md')).toContain(`16 by 8 holes (${long} by ${wide} mm)`);
  });
});
