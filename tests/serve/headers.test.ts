/** The headers that the page is served with, and hosting.md, which tells others to send the same. */
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { cacheControl, pageHeaders, pagePolicy } from '../../app/headers.ts';
import { type PageServer, serveFolder } from '../rig/page-server.ts';

const NO_CACHE = 'no-cache';
const FOR_EVER = 'public, max-age=31536000, immutable';

describe('the page is served', () => {
  let folder: string;
  let server: PageServer;
  beforeAll(async () => {
    folder = fs.mkdtempSync(path.join(os.tmpdir(), 'leafclock-headers-'));
    fs.mkdirSync(path.join(folder, 'assets'));
    for (const name of [
      'index.html',
      'sw.js',
      'manifest.webmanifest',
      'icon-192.png',
      'assets/worker-1234.js',
    ])
      fs.writeFileSync(path.join(folder, name), '<title>page</title>');
    server = await serveFolder(folder);
  });
  afterAll(async () => {
    await server.close();
    fs.rmSync(folder, { recursive: true });
  });

  it.each([
    ['/', 200, NO_CACHE],
    ['/index.html', 200, NO_CACHE],
    ['/sw.js', 200, NO_CACHE],
    ['/manifest.webmanifest', 200, NO_CACHE],
    ['/icon-192.png', 200, NO_CACHE],
    ['/assets/worker-1234.js', 200, FOR_EVER],
    ['/nothing-here', 404, NO_CACHE],
  ])('%s with all of them', async (address, status, caching) => {
    const response = await fetch(server.origin + address, { headers: { Origin: 'http://localhost:1' } });
    expect(response.status).toBe(status);
    for (const [name, value] of Object.entries(pageHeaders))
      expect(response.headers.get(name), name).toBe(value);
    expect(response.headers.get('Cache-Control')).toBe(caching);
    expect(response.headers.get('Access-Control-Allow-Origin')).toBeNull();
  });
});

describe('the policy', () => {
  const rules = new Map(
    pageHeaders['Content-Security-Policy']!.split('; ').map((rule) => {
      const [name, ...values] = rule.split(' ');
      return [name!, values] as const;
    }),
  );

  it('knows no source but the page itself, and pictures that the page made', () => {
    const sources = [...rules].filter(([name]) => name.endsWith('-src')).flatMap(([, values]) => values);
    expect(new Set(sources)).toEqual(new Set(["'none'", "'self'", 'blob:']));
    expect([...rules].filter(([, values]) => values.includes('blob:')).map(([name]) => name)).toEqual([
      'img-src',
    ]);
    expect(rules.get('default-src')).toEqual(["'none'"]);
  });

  it('forbids frames, other bases and forms, and text that becomes a script', () => {
    for (const name of ['frame-ancestors', 'base-uri', 'form-action'])
      expect(rules.get(name)).toEqual(["'none'"]);
    expect(rules.get('require-trusted-types-for')).toEqual(["'script'"]);
    expect(pageHeaders['X-Frame-Options']).toBe('DENY');
  });

  it('in the page is the same but for frames, of which a browser takes no word from there', () => {
    expect(`${pagePolicy}; frame-ancestors 'none'`).toBe(pageHeaders['Content-Security-Policy']);
  });

  it('grants the page itself what it uses, and nobody anything else', () => {
    const granted = pageHeaders['Permissions-Policy']!.split(', ').map(
      (rule) => rule.split('=') as [string, string],
    );
    const to = (whom: string) => granted.filter(([, who]) => who === whom).map(([feature]) => feature);
    expect(to('(self)')).toEqual([
      'autoplay',
      'camera',
      'cross-origin-isolated',
      'screen-wake-lock',
      'serial',
      'usb',
    ]);
    expect(to('(self)').length + to('()').length).toBe(granted.length);
    expect(to('()')).toEqual(expect.arrayContaining(['microphone', 'geolocation', 'payment', 'hid', 'midi']));
  });
});

describe('hosting.md', () => {
  const text = fs.readFileSync(path.join(import.meta.dirname, '../../app/hosting.md'), 'utf8');
  const block = (language: string) =>
    new RegExp(`\`\`\`${language}\n(.*?)\n\`\`\``, 's').exec(text)?.[1] ?? '';
  const found = (language: string, line: RegExp) =>
    [...block(language).matchAll(line)].map(([, name, value]) => [name, value]);
  const wanted = Object.entries(pageHeaders);

  it.each([
    ['a host with a file of headers', 'headers', /^ {2}([\w-]+): (.*)$/gm],
    ['nginx', 'nginx', /^ {2}add_header ([\w-]+) "(.*)" always;$/gm],
    ['Apache', 'apache', /^Header always set ([\w-]+) "([^"]*)"$/gm],
  ])('tells %s the same as headers.ts', (_, language, line) => {
    expect(found(language, line).filter(([name]) => name !== 'Cache-Control')).toEqual(wanted);
  });

  it('tells each of them to keep what carries a hash, and to ask for the rest anew', () => {
    expect([cacheControl('/sw.js'), cacheControl('/tools/leafclock/')]).toEqual([NO_CACHE, NO_CACHE]);
    expect(cacheControl('/tools/leafclock/assets/a-1.js')).toBe(FOR_EVER);
    for (const language of ['headers', 'nginx', 'apache']) {
      const values = [...block(language).matchAll(/no-cache|public,[^"\n]*/g)].map(([value]) => value);
      expect(values, language).toEqual([NO_CACHE, FOR_EVER]);
    }
  });
});
