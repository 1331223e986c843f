/** Links, cautions, and drawings that show the parts list. */
import { existsSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { NOTES, page, partText, table } from './hardware-notes-pages.ts';

const files = readdirSync(NOTES);
const texts = files.filter((file) => file.endsWith('.md'));
const drawings = files.filter((file) => file.endsWith('.svg'));

describe('links', () => {
  it('finds every page, picture and heading that a page points to', () => {
    /** As Markdown pages are rendered: lower case, spaces to hyphens, punctuation gone. */
    const anchors = (name: string) =>
      [...page(name).matchAll(/^#+ (.+)$/gm)].map(([, heading]) =>
        heading!
          .toLowerCase()
          .replace(/[^\p{L}\p{N} -]/gu, '')
          .replaceAll(' ', '-'),
      );
    let seen = 0;
    for (const name of texts) {
      for (const [, target] of page(name).matchAll(/\]\(([^)\s]+)\)/g)) {
        if (/^[a-z]+:/.test(target!)) continue;
        seen++;
        const [file, anchor] = target!.split('#');
        const at = file || name;
        expect(existsSync(new URL(at, NOTES)), `${name} → ${target}`).toBe(true);
        if (anchor) expect(anchors(at), `${name} → ${target}`).toContain(anchor);
      }
    }
    expect(seen).toBeGreaterThan(30);
  });

  it('leaves no page and no drawing unlinked', () => {
    const all = texts.map(page).join('\n');
    for (const file of files.filter((file) => file !== 'README.md')) expect(all).toContain(`](${file}`);
  });

  it('says on every page that nothing is proven on hardware, and points to the cautions', () => {
    for (const name of texts.filter((name) => name !== 'CAUTIONS.md')) {
      expect(page(name).toLowerCase(), name).toContain('**not proven on hardware');
      expect(page(name), name).toContain('CAUTIONS.md');
    }
  });
});

describe('cautions', () => {
  it('states the voltages found on old flash units, and defers to local rules and licensed practice', () => {
    // Service pages: 200 to 400 V seen, up to 600 V quoted; some cameras stand 6 V only.
    for (const figure of ['200 to 400 V', '600 V', '6 V only']) {
      expect(page('CAUTIONS.md')).toContain(figure);
    }
    expect(page('CAUTIONS.md')).toMatch(/local rules .*licensed/);
    for (const name of ['wiring.svg', 'contact-lead.svg', 'breadboard.svg']) {
      expect(page(name)).toContain('Never connect a flash unit');
    }
  });
});

describe('circuit drawings', () => {
  it('are titled, described, on a background of their own, and legible when printed', () => {
    expect(drawings.length).toBe(9);
    for (const name of drawings) {
      const svg = page(name);
      expect(svg, name).toMatch(/<title id="title">.+<\/title>/);
      expect(svg, name).toMatch(/<desc id="description">.+<\/desc>/);
      const [, width, height] = /viewBox="0 0 (\d+) (\d+)"/.exec(svg)!;
      expect(svg, name).toContain(`<rect class="paper" width="${width}" height="${height}"`);
      // Dark only on a screen: a dark page does not print.
      expect(svg, name).not.toContain('@media (');
      // On a page 170 mm wide the smallest letters are 1.8 mm high or more (about 5 point).
      const sizes = [...svg.matchAll(/font(?:-size)?: (?:700 )?(\d+(?:\.\d+)?)px/g)].map(([, px]) =>
        Number(px),
      );
      const printed = name === 'alignment-sheet.svg' ? 210 : 170;
      expect((Math.min(...sizes) * printed) / Number(width), name).toBeGreaterThan(1.8);
    }
  });

  it('show every pin of the pin table', () => {
    const pins = table('circuits.md', 'pin').map((row) => row.pin!);
    expect(pins).toEqual(['A0', 'A1', 'A2', 'D8', 'D2', 'D9', '5V', 'GND']);
    for (const pin of pins) expect(page('wiring.svg')).toMatch(new RegExp(`class="pin[^>]*>${pin}<`));
  });

  it('show every part with its value', () => {
    const shown = (name: string, ref: string, value?: string) => {
      const svg = page(name);
      expect(svg, `${name} ${ref}`).toMatch(new RegExp(`class="ref[^>]*>${ref}\\b`));
      if (value === undefined) return;
      const beside = new RegExp(`class="ref[^>]*>${ref}(?: ${value}<|</text>\\s*<text[^>]*>${value}<)`);
      expect(svg, `${name} ${ref}`).toMatch(beside);
    };
    const values = (list: 'ref' | 'circuit 1' | 'circuit 2', ref: string) =>
      partText(list, ref).match(/\d+ (?:k?Ω|[µnp]F)/g) ?? [];
    const sheets = [
      ['ref', ['R3', 'R4', 'CL1', 'CL2', 'J1'], 'contact-lead.svg'],
      ['ref', ['R5', 'LED1', 'S1'], 'reference-light.svg'],
      ['circuit 1', ['PH1', 'R1', 'R2', 'C1', 'C2'], 'sensor-resistor.svg'],
      [
        'circuit 2',
        ['PH1', 'U1', 'RF', 'CF', 'R6', 'R7', 'C4', 'C3', 'R8', 'R2', 'C1', 'C2'],
        'sensor-amplifier.svg',
      ],
    ] as const;
    const drawn = { ref: [] as string[], 'circuit 1': [] as string[], 'circuit 2': [] as string[] };
    for (const [list, refs, name] of sheets) {
      for (const ref of refs) {
        drawn[list].push(ref);
        const row = table('README.md', list).find((row) => row[list]!.split(', ').includes(ref))!;
        const of = /^(?:R|C)(?:\d|F)$/.test(ref)
          ? (values(list, ref)[row[list]!.split(', ').indexOf(ref)] ?? values(list, ref)[0])
          : undefined;
        shown(name, ref, of);
      }
    }
    for (const list of ['ref', 'circuit 1', 'circuit 2'] as const) {
      const listed = table('README.md', list).flatMap((row) => row[list]!.split(', '));
      expect([...drawn[list]].sort()).toEqual(listed.filter((ref) => ref !== '–').sort());
    }
  });
});
