/** What `npm test` counts: nothing that failed, was skipped or never ran may look like success. */
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { readTestReport } from './test-report.ts';

const file = (name: string, ...statuses: string[]) => ({
  name: path.join(import.meta.dirname, name),
  status: statuses.includes('failed') ? 'failed' : 'passed',
  assertionResults: statuses.map((status, index) => ({ status, fullName: `test ${index}` })),
});
const count = (files: object[], exitStatus = 0, groups = ['outside', 'unit']) =>
  readTestReport(JSON.stringify({ testResults: files }), exitStatus, groups).tally;

const outside = file('outside-world/a.test.ts', 'passed');

describe('counting a test run', () => {
  it('counts each test once, whatever its folder', () => {
    const files = [
      outside,
      file('measure/deep/b.test.ts', 'passed', 'passed'),
      file('judge/c.test.ts', 'passed'),
    ];
    expect(count(files)).toEqual({ passed: 4, failed: 0 });
    expect(count([...files, file('judge/d.test.ts', 'passed', 'failed')], 1)).toEqual({
      passed: 5,
      failed: 1,
    });
  });

  it.each(['skipped', 'pending', 'todo', 'disabled'])('takes a test that is %s for failed', (status) => {
    expect(count([outside, file('judge/a.test.ts', 'passed', status)])).toEqual({ passed: 2, failed: 1 });
  });

  it('takes a file without tests, and one that broke outside of its tests, for failed', () => {
    expect(count([outside, file('judge/a.test.ts', 'passed'), file('judge/empty.test.ts')])).toMatchObject({
      failed: 1,
    });
    const broken = { ...file('judge/b.test.ts', 'passed'), status: 'failed' };
    expect(count([outside, broken], 1)).toMatchObject({ failed: 1 });
  });

  it('takes a group without tests for failed', () => {
    expect(count([file('judge/a.test.ts', 'passed')])).toEqual({ passed: 1, failed: 1 });
    expect(count([])).toEqual({ passed: 0, failed: 2 });
  });

  it('takes a run that ended badly, or left no report, for failed', () => {
    expect(count([outside, file('judge/a.test.ts', 'passed')], 1)).toEqual({ passed: 2, failed: 1 });
    expect(readTestReport(null, 1, ['unit']).tally).toEqual({ passed: 0, failed: 1 });
  });
});
