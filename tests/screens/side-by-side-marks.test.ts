import { describe, expect, it } from 'vitest';
import { newJob } from '../../app/record/new-job.ts';
import { marksSideBySide } from '../../app/screens/side-by-side-marks.ts';

const job = newJob({ id: 'a', number: '0001', received: '2026-03-02T09:00:00Z' });

describe('marks side by side', () => {
  it('begin with the dial’s mark between its neighbours', () => {
    expect(marksSideBySide(job, [], '1/60')).toEqual(['1/30', '1/60', '1/125']);
  });

  it('are three at the ends of the ring as well, and with a dial at B', () => {
    expect(marksSideBySide(job, [], '1')).toEqual(['1', '1/2', '1/4']);
    expect(marksSideBySide(job, [], '1/500')).toEqual(['1/125', '1/250', '1/500']);
    expect(marksSideBySide(job, [], 'B')).toEqual(['1', '1/2', '1/4']);
  });

  it('stand in the order of the ring, four at most', () => {
    expect(marksSideBySide(job, ['1/250', '1/8'], '1/60')).toEqual(['1/8', '1/250']);
    expect(marksSideBySide(job, ['1', '1/2', '1/4', '1/8', '1/15'], '1/60')).toHaveLength(4);
  });

  it('are chosen anew where the job has other marks than those chosen', () => {
    expect(marksSideBySide(job, ['1/50', '1/100'], '1/60')).toEqual(['1/30', '1/60', '1/125']);
  });
});
