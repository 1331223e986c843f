import 'fake-indexeddb/auto';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import type { Firing } from '../../app/measure/figures.ts';
import { measureFiring } from '../../app/measure/measure-firing.ts';
import type { BoardIdentity } from '../../app/record/job.ts';
import { newJob } from '../../app/record/new-job.ts';
import { announceReading } from '../../app/screens/actions/announce.ts';
import { setAside } from '../../app/screens/actions/firing-steps.ts';
import { forgetPresent, lightCame } from '../../app/screens/actions/first-light.ts';
import { dropReference } from '../../app/screens/actions/held-reference.ts';
import { changesWritten } from '../../app/screens/actions/jobs.ts';
import { rowOf } from '../../app/screens/actions/open-rows.ts';
import { adoptReadings, fileFiring, showProvisional } from '../../app/screens/actions/readings.ts';
import { record } from '../../app/screens/actions/record.ts';
import { forgetSteps } from '../../app/screens/actions/undo.ts';
import { addWorkStep } from '../../app/screens/actions/work-steps.ts';
import { view } from '../../app/screens/view.ts';
import { ticks } from '../../firmware-protocol/units.ts';
import { knownFiring } from '../measure/known-firing.ts';
import { openingOf, TICK_HZ } from '../measure/known-light.ts';

vi.mock('../../app/screens/actions/announce.ts', () => ({ announceReading: vi.fn() }));

const board: BoardIdentity = {
  board: 'made for a test',
  serial: 'T-1',
  firmware: '1.0',
  image: '1234abcd',
  protocol: 1,
  practice: false,
};
const jobOf = (id: string) => newJob({ id, number: id, received: '2031-04-02T09:00:00.000Z' });
const clock = (ppm: number) => ({ ppm, uncertainty: 1, observedSeconds: 60 });

let seed = 1;
/** At so many seconds of the board's time. */
function firingAt(time: number, speed: number): Firing {
  const firing = knownFiring(openingOf(1 / speed, 'straight', 0.002), seed++);
  return { ...firing, firstTick: ticks(time * TICK_HZ) };
}

const shown = () => view.getState().readings.at(-1)!;

beforeEach(async () => {
  vi.mocked(announceReading).mockClear();
  forgetPresent();
  dropReference('dropped by the user');
  const job = jobOf(`job ${seed}`);
  await (await record()).saveJob(job);
  adoptReadings(job, []);
  view.setState({
    job,
    stage: 'as found',
    mark: '1/60',
    readings: [],
    clock: null,
    notices: [],
    recordTrouble: null,
  });
});

describe('a firing', () => {
  it('is measured with the bandwidth stated for the sensor of its stage', async () => {
    // 1/60 with 2 ms edges is open for about 18 ms in all: 100 / t0 (ISO 516:2019) asks for 5.5 kHz.
    const state = (bandwidthHz: number | null) =>
      view.setState(({ job }) => {
        const stage = job!.stages['as found'];
        const stages = { ...job!.stages, 'as found': { ...stage, setUp: { ...stage.setUp, bandwidthHz } } };
        return { job: { ...job!, stages } };
      });
    const slowDetector = async (time: number) => {
      await fileFiring(firingAt(time, 60), board);
      return shown().figures.remarks.find(({ code }) => code === 'detector slow')?.value;
    };
    state(4000);
    expect(await slowDetector(1)).toBe(4000);
    state(40_000);
    expect(await slowDetector(3)).toBeUndefined();
    state(null);
    expect(await slowDetector(5)).toBeUndefined();
  });

  it('has the clock that was in force at first light, shown and kept', async () => {
    const firing = firingAt(1, 60);
    view.setState({ clock: clock(4000) });
    lightCame();
    view.setState({ clock: clock(-2000) });
    showProvisional(firing);
    expect(shown().kept).toBe('provisional');
    await fileFiring(firing, board);
    const expected = measureFiring(firing, { reference: null, clock: clock(4000) }).effective;
    expect(shown()).toMatchObject({ kept: 'recorded', figures: { effective: expected } });
    expect(announceReading).toHaveBeenCalledExactlyOnceWith(expect.objectContaining({ kept: 'writing' }));
    expect(view.getState().readings).toHaveLength(1);
    expect(rowOf(shown().id)).toMatchObject({
      clockCorrection: clock(4000),
      figures: { effective: expected },
    });
  });

  it('belongs to job, stage and mark of first light, whatever is turned meanwhile', async () => {
    const { job } = view.getState();
    const other = jobOf(`other ${seed}`);
    lightCame();
    adoptReadings(other, []);
    view.setState({ job: other, stage: 'as left', mark: '1/8', readings: [] });
    await fileFiring(firingAt(1, 60), board);
    expect(view.getState().readings).toEqual([]);
    expect(announceReading).not.toHaveBeenCalled();
    const { firings } = await (await record()).loadFirings(job!.id);
    expect(firings).toMatchObject([{ jobId: job!.id, stage: 'as found', mark: '1/60' }]);
  });

  it('knows how long the shutter had stood', async () => {
    vi.useFakeTimers({ toFake: ['Date'], now: new Date('2031-04-02T10:00:00Z') });
    try {
      await fileFiring(firingAt(1, 60), board);
      vi.setSystemTime(new Date('2031-04-02T10:15:00Z'));
      await fileFiring(firingAt(901, 60), board);
    } finally {
      vi.useRealTimers();
    }
    expect(view.getState().readings.map(({ rest }) => rest)).toEqual([null, 900]);
  });

  it('that is played back is measured and not filed', async () => {
    await fileFiring(firingAt(1, 60), null);
    expect(shown()).toMatchObject({ kept: 'not filed', spoilt: null });
    expect((await (await record()).loadFirings(view.getState().job!.id)).firings).toEqual([]);
    // Its number goes to the next firing, which comes after the work.
    addWorkStep({ kind: 'cleaned', direction: null, amount: null, note: '' });
    await fileFiring(firingAt(2, 60), board);
    expect(view.getState().job!.steps).toMatchObject([{ afterFiring: 0 }]);
    expect(shown()).toMatchObject({ kept: 'recorded', ordinal: 1 });
  });
});

it('a firing that is set aside as another job is opened leaves that one nothing to undo', async () => {
  await fileFiring(firingAt(1, 60), board);
  const { id } = shown();
  const { job } = view.getState();
  setAside(id, 'bumped');
  forgetSteps();
  const other = jobOf(`other ${seed}`);
  adoptReadings(other, []);
  view.setState({ job: other, readings: [] });
  const kept = await record();
  await expect.poll(async () => (await kept.loadFirings(job!.id)).firings[0]!.setAside).toBe('bumped');
  await changesWritten();
  expect(view.getState().undo).toBeNull();
});

describe('the open level', () => {
  it('of a slow firing serves a fast one, and is kept with it', async () => {
    await fileFiring(firingAt(1, 15), board);
    const { held } = view.getState().reference;
    expect(held).toMatchObject({ origin: 'slow firing', firstTick: TICK_HZ });
    view.setState({ mark: '1/500' });
    await fileFiring(firingAt(3, 500), board);
    expect(shown().figures.levels!.openOrigin).toBe('reference');
    expect(rowOf(shown().id)!.reference).toEqual(held);
  });

  it('that ends while the shutter is open still serves that firing, and no later one', async () => {
    await fileFiring(firingAt(1, 15), board);
    lightCame();
    dropReference('set-up changed');
    await fileFiring(firingAt(3, 500), board);
    expect(shown().figures.levels!.openOrigin).toBe('reference');
    expect(view.getState().reference).toMatchObject({ held: null, ended: 'set-up changed' });
    await fileFiring(firingAt(5, 500), board);
    expect(shown().figures.levels!.openOrigin).toBe('peak');
    expect(shown().figures.remarks.map(({ code }) => code)).toContain('no open level');
  });

  it('of a firing whose set-up has ended is not taken up', async () => {
    lightCame();
    dropReference('set-up changed');
    await fileFiring(firingAt(1, 15), board);
    expect(view.getState().reference.held).toBeNull();
  });

  it('is not used once it is half an hour old, nor by a board that has started anew', async () => {
    await fileFiring(firingAt(10, 15), board);
    await fileFiring(firingAt(1900, 500), board);
    expect(shown().figures.levels!.openOrigin).toBe('peak');
    expect(view.getState().reference).toMatchObject({ held: null, ended: 'too old' });
    await fileFiring(firingAt(1901, 15), board);
    await fileFiring(firingAt(2, 500), board);
    expect(shown().figures.levels!.openOrigin).toBe('peak');
    expect(view.getState().reference).toMatchObject({ held: null, ended: 'board restarted' });
  });
});
