/**
 * The transimpedance amplifier of hardware-notes: stability, bandwidth, swing, saturation and noise from its circuit,
 * with complex impedances instead of the formulas on the page. Model: textbook, an op-amp with one pole.
 */
import { describe, expect, it } from 'vitest';
import {
  lowPass,
  lux,
  microamperes,
  page,
  partText,
  partValue,
  quantity,
  RATES,
  SUPPLY,
  table,
  toStandardFrom,
  VOLTS_PER_CODE,
} from './hardware-notes-pages.ts';

type Complex = readonly [re: number, im: number];
const plus = ([a, b]: Complex, [c, d]: Complex): Complex => [a + c, b + d];
const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
const over = ([a, b]: Complex, [c, d]: Complex): Complex => {
  const square = c * c + d * d;
  return [(a * c + b * d) / square, (b * c - a * d) / square];
};
const size = ([a, b]: Complex) => Math.hypot(a, b);

interface Amplifier {
  readonly ohms: number;
  readonly farads: number;
  /** At the inverting input, F. */
  readonly input: number;
  /** Gain-bandwidth product, Hz. */
  readonly gainBandwidth: number;
}

/** Photodiode 70 pF (data sheets), op-amp 10 pF, strays 5 pF (from memory). */
const INPUT = 85e-12;
const GAIN_BANDWIDTH = Number(/GBW (\d+) MHz/.exec(partText('circuit 2', 'U1'))![1]) * 1e6;
const VOLTAGE_NOISE = 10e-9;

const openLoop = (hertz: number, gainBandwidth: number): Complex => [0, -gainBandwidth / hertz];
/** RF beside CF, ohms. */
const feedback = ({ ohms, farads }: Amplifier, hertz: number): Complex =>
  over([1, 0], [1 / ohms, 2 * Math.PI * hertz * farads]);

/** Gain once around: op-amp, then the divider of feedback and input capacitance. */
function loop(amplifier: Amplifier, hertz: number): Complex {
  const toGround: Complex = [0, -1 / (2 * Math.PI * hertz * amplifier.input)];
  const divider = over(toGround, plus(toGround, feedback(amplifier, hertz)));
  return times(openLoop(hertz, amplifier.gainBandwidth), divider);
}

/** Output volts per ampere of light. */
const transimpedance = (amplifier: Amplifier, hertz: number): Complex => {
  const around = loop(amplifier, hertz);
  return times(feedback(amplifier, hertz), over(around, plus([1, 0], around)));
};

/** Frequency at which a falling function of it passes `level`. */
function crossing(value: (hertz: number) => number, level: number): number {
  let low = 1;
  let high = 1e9;
  for (let i = 0; i < 200; i++) {
    const middle = Math.sqrt(low * high);
    if (value(middle) > level) low = middle;
    else high = middle;
  }
  return low;
}

function phaseMargin(amplifier: Amplifier): number {
  const [re, im] = loop(
    amplifier,
    crossing((hertz) => size(loop(amplifier, hertz)), 1),
  );
  return 180 + (Math.atan2(im, re) * 180) / Math.PI;
}

const bandwidth = (amplifier: Amplifier) =>
  crossing((hertz) => size(transimpedance(amplifier, hertz)), amplifier.ohms / Math.SQRT2);

/** Feedback capacitance for a phase margin in degrees. */
function capacitorFor(degrees: number, ohms: number): number {
  let low = 1e-14;
  let high = 1e-9;
  for (let i = 0; i < 100; i++) {
    const farads = Math.sqrt(low * high);
    const margin = phaseMargin({ ohms, farads, input: INPUT, gainBandwidth: GAIN_BANDWIDTH });
    if (margin < degrees) low = farads;
    else high = farads;
  }
  return low;
}

const rows = table('circuits.md', 'RF').map((row) => {
  const amplifier = {
    ohms: quantity(row.RF!),
    farads: quantity(row.take!),
    input: INPUT,
    gainBandwidth: GAIN_BANDWIDTH,
  };
  return { row, amplifier };
});

describe('transimpedance amplifier', () => {
  it('has the printed capacitors for 45° and 65°, with room above 65° in the one to take', () => {
    expect(rows.map(({ row }) => row.RF)).toEqual(['10 kΩ', '22 kΩ', '47 kΩ', '100 kΩ', '220 kΩ', '470 kΩ']);
    for (const { row, amplifier } of rows) {
      const picofarads = (degrees: number) => (capacitorFor(degrees, amplifier.ohms) * 1e12).toFixed(1);
      expect(row['CF for 45°']).toBe(`${picofarads(45)} pF`);
      expect(row['CF for 65°']).toBe(`${picofarads(65)} pF`);
      expect(amplifier.farads).toBeGreaterThan(capacitorFor(65, amplifier.ohms));
    }
  });

  it('lies about the textbook’s design formula, the square root of C over 2π·RF·GBW', () => {
    // Common textbook rule for a sound compromise: CF puts its pole where the noise gain meets the open loop.
    for (const { row, amplifier } of rows) {
      const rule = Math.sqrt(INPUT / (2 * Math.PI * amplifier.ohms * GAIN_BANDWIDTH));
      expect(rule).toBeGreaterThan(quantity(row['CF for 45°']!));
      expect(rule).toBeLessThan(quantity(row['CF for 65°']!));
    }
  });

  it('has the printed phase margins, and 45° at least with a slow op-amp and more capacitance', () => {
    for (const { row, amplifier } of rows) {
      expect(row['phase margin']).toBe(`${phaseMargin(amplifier).toFixed(0)}°`);
      const worst = { ...amplifier, input: INPUT + 20e-12, gainBandwidth: GAIN_BANDWIDTH / 2 };
      expect(row['slow op-amp, more capacitance']).toBe(`${phaseMargin(worst).toFixed(0)}°`);
      expect(phaseMargin(worst)).toBeGreaterThan(45);
    }
  });

  it('has the printed bandwidth, is flat to 3 dB up to it, and to standard at both rates', () => {
    for (const { row, amplifier } of rows) {
      const hertz = bandwidth(amplifier);
      expect(row.bandwidth).toBe(`${(hertz / 1e3).toFixed(0)} kHz`);
      for (let f = 10; f < hertz; f *= 1.05) {
        expect(Math.abs(20 * Math.log10(size(transimpedance(amplifier, f)) / amplifier.ohms))).toBeLessThan(
          3.02,
        );
      }
      expect(row['to standard, normal rate']).toBe(toStandardFrom(RATES.normal, hertz));
      expect(row['fast rate']).toBe(toStandardFrom(RATES.fast, hertz));
      expect(hertz).toBeGreaterThan(RATES.fast / 2);
    }
  });

  it('agrees with the closed formula of the page', () => {
    const { ohms, farads, input, gainBandwidth } = rows[3]!.amplifier;
    const speed = 2 * Math.PI * gainBandwidth;
    const natural = Math.sqrt(speed / (ohms * (input + farads)));
    const damping = (1 + speed * ohms * farads) / (2 * natural * ohms * (input + farads));
    const inner = 1 - 2 * damping ** 2;
    const hertz = (natural / (2 * Math.PI)) * Math.sqrt(inner + Math.sqrt(inner ** 2 + 1));
    expect(hertz / bandwidth(rows[3]!.amplifier)).toBeCloseTo(1, 6);
  });

  it('begins with a pair of the table', () => {
    const chosen = rows.find(({ amplifier }) => amplifier.ohms === partValue('circuit 2', 'RF'));
    expect(chosen?.amplifier.farads).toBe(partValue('circuit 2', 'CF'));
  });
});

const BIAS =
  (SUPPLY * partValue('circuit 2', 'R7')) / (partValue('circuit 2', 'R6') + partValue('circuit 2', 'R7'));
const AT_U1 = SUPPLY - partValue('circuit 2', 'R2') * 1.5e-3;
const TOP = AT_U1 - 0.05;

describe('bias, swing, saturation', () => {
  const result = (start: string) =>
    table('circuits.md', 'bias and swing').find((row) => row['bias and swing']!.startsWith(start))?.result;
  const code = (volts: number) => Math.floor(volts / VOLTS_PER_CODE);

  it('prints dark level and top, in volts and codes, with the figures asked of the op-amp', () => {
    expect(partText('circuit 2', 'U1')).toContain('within 50 mV of the rails');
    expect(partText('circuit 2', 'U1')).toContain('supply 1.5 mA or less');
    expect(result('bias')).toBe(`${BIAS.toFixed(3)} V, code ${code(BIAS)}`);
    expect(result('supply at U1')).toBe(`${AT_U1.toFixed(3)} V`);
    expect(result('highest output')).toBe(`${TOP.toFixed(3)} V, code ${code(TOP)}`);
    expect(BIAS).toBeGreaterThan(0.05);
    expect(code(TOP)).toBeLessThan(255);
    expect(page('circuits.md')).toContain(`**The top is code ${code(TOP)}, not 255.**`);
    expect(page('checks.md')).toContain(`bias ${BIAS.toFixed(3)} V is code ${code(BIAS)}`);
    expect(page('checks.md')).toContain(`stops at about ${code(TOP)}: clipped`);
    for (const figure of [`bias ${BIAS.toFixed(3)} V`, `the top is code ${code(TOP)}`]) {
      expect(page('sensor-amplifier.svg')).toContain(figure);
    }
  });

  it('prints error by input current, slope and the corner at the lead', () => {
    expect(partText('circuit 2', 'U1')).toContain('input current 1 nA or less');
    const error = 1e-9 * 470e3;
    expect(result('error by input current')).toBe(
      `${(error * 1e3).toFixed(1)} mV, ${(error / VOLTS_PER_CODE).toFixed(2)} codes`,
    );
    const slope = SUPPLY * RATES.fast * 1e-6;
    expect(result('slope of full scale')).toBe(`${slope.toFixed(2)} V/µs`);
    expect(slope).toBeLessThan(Number(/slew rate (\d+) V\/µs/.exec(partText('circuit 2', 'U1'))![1]));
    expect(result('output into 1 m')).toBe(
      `${(lowPass(partValue('circuit 2', 'R8'), 115e-12) / 1e6).toFixed(2)} MHz`,
    );
  });

  it('prints the light for 200 steps and at the top', () => {
    const gains = table('circuits.md', 'gain');
    expect(gains.map((row) => row.gain)).toEqual(rows.map(({ row }) => row.RF));
    for (const row of gains) {
      const ohms = quantity(row.gain!);
      const top = (TOP - BIAS) / ohms;
      expect(row['current for 200 steps']).toBe(microamperes((200 * VOLTS_PER_CODE) / ohms));
      expect(row['current at the top']).toBe(microamperes(top));
      expect(row['white LED at the top']).toBe(lux(top, 'white'));
      expect(row['tungsten at the top']).toBe(lux(top, 'tungsten'));
    }
  });
});

describe('noise', () => {
  /** SI, exact since 2019. */
  const BOLTZMANN = 1.380649e-23;
  const CHARGE = 1.602176634e-19;
  const KELVIN = 298.15;

  /** Integral over frequency on a logarithmic scale, 10 Hz to 1 GHz. */
  function integral(density: (hertz: number) => number): number {
    const steps = 4000;
    const span = Math.log(1e9 / 10);
    let sum = 0;
    for (let i = 0; i < steps; i++) {
      const hertz = 10 * Math.exp(((i + 0.5) / steps) * span);
      sum += (density(hertz) * hertz * span) / steps;
    }
    return sum;
  }

  it('is the printed one, far below a code', () => {
    const printed = table('circuits.md', 'noise, rms');
    const microvolts = (volts: number) => `${(volts * 1e6).toFixed(0)} µV`;
    const check = (i: number, shot: number, resistor: number, opAmp: number | null) => {
      const row = printed[i]!;
      expect(row['light (shot)']).toBe(microvolts(shot));
      expect(row.resistor).toBe(microvolts(resistor));
      expect(row['op-amp']).toBe(opAmp === null ? '–' : microvolts(opAmp));
      const codes = Math.hypot(shot, resistor, opAmp ?? 0) / VOLTS_PER_CODE;
      expect(row['together, codes']).toBe(codes.toFixed(3));
      expect(codes).toBeLessThan(0.05);
    };
    const load = 47e3;
    const shotOf = (ohms: number) => 2 * CHARGE * ((200 * VOLTS_PER_CODE) / ohms);
    const square = integral((hertz) => load ** 2 / (1 + (hertz / lowPass(load, 100e-12)) ** 2));
    check(0, Math.sqrt(shotOf(load) * square), Math.sqrt((4 * BOLTZMANN * KELVIN * square) / load), null);
    // The same, as is known of any RC: √(kT/C).
    expect(Math.sqrt((4 * BOLTZMANN * KELVIN * square) / load)).toBeCloseTo(
      Math.sqrt((BOLTZMANN * KELVIN) / 100e-12),
      7,
    );
    [2, 5].forEach((which, i) => {
      const { amplifier } = rows[which]!;
      expect(printed[i + 1]!['noise, rms']).toBe(`circuit 2, RF ${amplifier.ohms / 1e3} kΩ`);
      const current = integral((hertz) => size(transimpedance(amplifier, hertz)) ** 2);
      const voltage = integral((hertz) => {
        const around = loop(amplifier, hertz);
        return size(over(openLoop(hertz, GAIN_BANDWIDTH), plus([1, 0], around))) ** 2;
      });
      check(
        i + 1,
        Math.sqrt(shotOf(amplifier.ohms) * current),
        Math.sqrt(((4 * BOLTZMANN * KELVIN) / amplifier.ohms) * current),
        VOLTAGE_NOISE * Math.sqrt(voltage),
      );
    });
  });
});
