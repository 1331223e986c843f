import 'fake-indexeddb/auto';
import { beforeEach, expect, it } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import { changeJob } from '../../app/screens/actions/jobs.ts';
import { view } from '../../app/screens/view.ts';
import { ticks } from '../../firmware-protocol/units.ts';

const held = { height: 180, uncertainty: 0.1, firstTick: ticks(0), origin: 'slow firing' as const };

beforeEach(() =>
  view.setState({
    job: newJob({ id: 'A-1', number: 'A-1', received: '2031-04-02T09:00:00.000Z' }),
    stage: 'as found',
    reference: { held, since: 1, ended: null },
  }),
);

function change(stage: 'as found' | 'as left', part: object): void {
  changeJob(
    (job) => ({ ...job, stages: { ...job.stages, [stage]: { ...job.stages[stage], ...part } } }),
    'set-up',
  );
}

const stageOf = () => view.getState().job!.stages['as found'];

it('another light, or another state of assembly, ends the open level', () => {
  change('as found', { setUp: { ...stageOf().setUp, light: 'broad and even' } });
  expect(view.getState().reference).toEqual({ held: null, since: null, ended: 'set-up changed' });
  view.setState({ reference: { held, since: 1, ended: null } });
  change('as found', { assembly: { ...stageOf().assembly, iris: 'f/8' } });
  expect(view.getState().reference.held).toBeNull();
});

it('what changes no light leaves the open level: a note, linearity, bandwidth, temperature, the other stage', () => {
  change('as found', {
    setUp: { ...stageOf().setUp, note: 'opal disc', linearity: 0.005, bandwidthHz: 48_400 },
  });
  change('as found', { assembly: { ...stageOf().assembly, temperature: 21 } });
  change('as left', { assembly: { ...stageOf().assembly, mounting: 'in the body' } });
  expect(view.getState().reference.held).toEqual(held);
});
