/**
 * What the readings of one stage suggest. Each pattern has a file here; this one puts them together, so that a
 * finding which explains others stands alone. Their limits are in thresholds.ts.
 */
import type { Finding, FindingsInput } from '../finding.ts';
import { bulbHangs } from './bulb.ts';
import { driftOver } from './drift.ts';
import { erraticSlowMarks } from './erratic-slow-marks.ts';
import { governorBypassed } from './governor-bypassed.ts';
import { lightAfterClosing } from './light-after-closing.ts';
import { longAfterRest } from './long-after-rest.ts';
import { lowPeak } from './low-peak.ts';
import { measuredMarks } from './measured-marks.ts';
import { benchAgainstBody } from './mountings.ts';
import { neighbourFindings } from './neighbours.ts';
import { patternFindings } from './pattern-findings.ts';
import { FINDING_THRESHOLDS } from './thresholds.ts';

/**
 * The findings for one stage, what concerns all readings first. Empty on a sound shutter, and on too few data.
 *
 * - Where bench and body differ, the other tests look at one of the two states only.
 * - While the readings drift, errors are not compared from mark to mark, since the marks were fired one after the other.
 * - A bypassed governor explains whatever else its marks show, and a mark that equals its neighbour or changed
 *   places with it is not off for a second reason.
 */
export function findingsOf(input: FindingsInput): readonly Finding[] {
  const mountings = benchAgainstBody(input);
  const comparable = mountings?.rest ?? input;
  const drift = driftOver(comparable);
  const marks = measuredMarks(comparable);
  const bypassed = governorBypassed(marks);
  const enough = marks.filter(
    (mark) =>
      mark.readings.length >= FINDING_THRESHOLDS['all marks off'].firings && !(bypassed && mark.governed),
  );
  const neighbours = neighbourFindings(enough);
  const unexplained = enough.filter((mark) => !neighbours.some(({ explained }) => explained === mark));
  const patterns = drift === null ? patternFindings(unexplained) : [];
  return [
    mountings?.finding,
    drift,
    bypassed,
    ...withLowPeak(patterns, lowPeak(input.marks)),
    ...neighbours.map(({ finding }) => finding),
    bypassed === null ? erraticSlowMarks(marks, comparable.marks) : null,
    longAfterRest(marks, comparable.marks),
    ...lightAfterClosing(input.marks),
    bulbHangs(input.marks),
  ].filter((finding) => finding != null);
}

/** Slow fast marks and a low peak are two signs of one thing. */
function withLowPeak(patterns: readonly Finding[], low: Finding | null): readonly Finding[] {
  if (low === null) return patterns;
  const slow = patterns.find(({ code }) => code === 'blade drag');
  if (slow === undefined) return [...patterns, low];
  const both: Finding = {
    ...slow,
    marks: [...new Set([...slow.marks, ...low.marks])],
    seen: `${slow.seen} ${low.seen}`,
    readings: [...new Set([...slow.readings, ...low.readings])],
  };
  return patterns.map((finding) => (finding === slow ? both : finding));
}
