/**
 * A test runner for Stryker that loads the tests once and runs them again for each mutant. The runner that
 * comes with it has Vitest load all of them anew each time, which takes longer than the tests themselves.
 */
import fs from 'node:fs';
import path from 'node:path';
import { BroadcastChannel } from 'node:worker_threads';
import { createVitest, type Vitest } from 'vitest/node';
import { type Answer, CHANNEL, type Coverage, type Request, type TimedTest } from './mutant-requests.ts';

/** What the first run told, for runners begun later. */
const FIRST_RUN = 'first-run.json';

/** What Stryker asks of a runner (TestRunner of its plugin interface), as far as it is used here. */
interface MutantRun {
  readonly activeMutant: {
    readonly id: string;
    readonly fileName: string;
    readonly location: { readonly start: { readonly line: number; readonly column: number } };
    readonly replacement: string;
  };
  readonly testFilter?: readonly string[];
}

/**
 * Time of tests spent on a mutant at most (ms, as they took in the first run), the quickest tests first. What
 * only the slowest would notice counts as missed, so that the score is a lower bound.
 */
const MOST_TIME = 2500;
/** A mutant that is run through ten times as often as without it, and so often besides, is endless. */
const MORE_HITS = 10_000;

class OneLoadRunner {
  private readonly channel = new BroadcastChannel(CHANNEL);
  private vitest: Vitest | null = null;
  private coverage: Coverage = { static: {}, perTest: {} };
  private times: Record<string, number> = {};

  capabilities() {
    // It can't load them anew, but only mutants that are at work while they are loaded would need it (ignoreStatic).
    return { reloadEnvironment: true };
  }

  async init() {
    const ready = this.answer();
    this.vitest = await createVitest('test', {
      config: path.resolve('tests/mutation/vitest.config.ts'),
      watch: false,
      reporters: [{}],
    });
    void this.vitest.start();
    const answer = await ready;
    if (answer.kind !== 'ready' || answer.problem !== null || answer.tests === 0) {
      throw new Error(`The tests could not be loaded: ${JSON.stringify(answer)}`);
    }
    if (fs.existsSync(FIRST_RUN)) {
      ({ coverage: this.coverage, times: this.times } = JSON.parse(fs.readFileSync(FIRST_RUN, 'utf8')));
    } else {
      // Not in dryRun, whose duration Stryker takes for what each run of a mutant needs.
      this.coverage = (await this.ask({ kind: 'count' }, 'counted')).coverage;
    }
  }

  async dryRun() {
    const { results } = await this.ask({ kind: 'time' }, 'timed');
    this.times = Object.fromEntries(results.map(({ id, milliseconds }) => [id, milliseconds]));
    fs.writeFileSync(FIRST_RUN, JSON.stringify({ coverage: this.coverage, times: this.times }));
    return { status: 'complete', tests: results.map(testResult), mutantCoverage: this.coverage };
  }

  async mutantRun({ activeMutant, testFilter = [] }: MutantRun) {
    if (!inSample(activeMutant)) return { status: 'error', errorMessage: 'not in the sample' };
    // The quickest first: most mutants are noticed by the first few.
    const byTime = [...testFilter].sort((a, b) => this.time(a) - this.time(b));
    let time = 0;
    const tests = byTime
      .filter((id, n) => {
        time += this.time(id);
        return n === 0 || time <= MOST_TIME;
      })
      .map((id) => ({ id, mostHits: 10 * (this.coverage.perTest[id]?.[activeMutant.id] ?? 0) + MORE_HITS }));
    return resultOf(await this.ask({ kind: 'mutant', mutant: activeMutant.id, tests }));
  }

  async dispose() {
    const request: Request = { kind: 'end' };
    this.channel.postMessage(request);
    await this.vitest?.close();
    this.channel.close();
  }

  private time(id: string): number {
    return this.times[id] ?? 0;
  }

  private async ask<Kind extends Answer['kind'] = Answer['kind']>(request: Request, wanted?: Kind) {
    const answered = this.answer();
    this.channel.postMessage(request);
    const answer = await answered;
    if (wanted !== undefined && answer.kind !== wanted) throw new Error(`Unexpected: ${answer.kind}`);
    return answer as Extract<Answer, { kind: Kind }>;
  }

  private answer(): Promise<Answer> {
    return new Promise((done) => {
      this.channel.onmessage = (event) => done((event as { data: Answer }).data);
    });
  }
}

const testResult = ({ id, failure, milliseconds }: TimedTest) => {
  const test = { id, name: id, timeSpentMs: milliseconds };
  return failure === null ? { ...test, status: 0 } : { ...test, status: 1, failureMessage: failure };
};

/** Share of the mutants to run, 0 to 1; which ones hangs on a hash of file, place and change alone. */
const SHARE = Number(process.env.MUTATION_SHARE ?? 1);

function inSample({ fileName, location, replacement }: MutantRun['activeMutant']): boolean {
  const { line, column } = location.start;
  // FNV-1a, 32 bits; mixed once more, since its upper bits are slow to change.
  let hash = 0x811c9dc5;
  for (const char of `${path.basename(fileName)} ${line} ${column} ${replacement}`) {
    hash = Math.imul(hash ^ char.codePointAt(0)!, 0x01000193);
  }
  hash = Math.imul(hash ^ (hash >>> 15), 0x2c1b3c6d);
  return ((hash ^ (hash >>> 13)) >>> 0) / 2 ** 32 < SHARE;
}

function resultOf(answer: Answer) {
  switch (answer.kind) {
    case 'noticed':
      return {
        status: 'killed',
        killedBy: [answer.by],
        failureMessage: answer.failure,
        nrOfTests: answer.count,
      };
    case 'missed':
      return { status: 'survived', nrOfTests: answer.count };
    case 'endless':
      return { status: 'timeout', reason: 'run through far more often than without the mutant' };
    default:
      // Thrown, it makes Stryker begin a new process and try again.
      throw new Error(`The runner is not fit any more: ${JSON.stringify(answer)}`);
  }
}

function create() {
  return new OneLoadRunner();
}
create.inject = [] as const;

export const strykerPlugins = [{ kind: 'TestRunner', name: 'one-load', factory: create }];
