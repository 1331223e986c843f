/**
 * Vitest's side of a mutation run: once the tests are collected, they are kept and run again for each mutant
 * asked for, without loading anything anew. No test here has hooks, and measure and judge keep no state.
 */
import { BroadcastChannel } from 'node:worker_threads';
import { type RunnerTask, type RunnerTestCase, type RunnerTestFile, TestRunner } from 'vitest';
import {
  type Answer,
  CHANNEL,
  type Coverage,
  NAMESPACE,
  type Request,
  type TestToRun,
  type TimedTest,
} from './mutant-requests.ts';

/** What the planted switches look at. */
interface Switches {
  activeMutant?: string | undefined;
  currentTestId?: string | undefined;
  /** Ends the counting of what is run through. */
  counted?: boolean;
  hitCount?: number | undefined;
  hitLimit?: number | undefined;
  mutantCoverage?: Coverage;
}

const globals = globalThis as unknown as Record<string, Switches | undefined>;
globals[NAMESPACE] ??= {};
const switches = globals[NAMESPACE];

function testsIn(tasks: readonly RunnerTask[], above = ''): [string, RunnerTestCase][] {
  return tasks.flatMap((task): [string, RunnerTestCase][] => {
    const name = above === '' ? task.name : `${above} > ${task.name}`;
    return task.type === 'suite' ? testsIn(task.tasks, name) : [[name, task]];
  });
}

export default class KeptTests extends TestRunner {
  private readonly tests = new Map<string, RunnerTestCase>();

  async onBeforeRunFiles(files: readonly RunnerTestFile[]): Promise<void> {
    for (const [name, task] of testsIn(files.flatMap(({ tasks }) => tasks))) {
      let id = name;
      for (let n = 2; this.tests.has(id); n++) id = `${name} (${n})`;
      this.tests.set(id, task);
      task.mode = 'skip'; // They are run here, not by Vitest.
    }
    const channel = new BroadcastChannel(CHANNEL);
    const failed = files.flatMap(({ result }) => result?.errors ?? []);
    await new Promise<void>((done) => {
      const say = (answer: Answer) => channel.postMessage(answer);
      channel.onmessage = async (event) => {
        const request = (event as { data: Request }).data;
        if (request.kind === 'end') return done();
        say(await this.answer(request));
      };
      say({ kind: 'ready', problem: failed[0]?.message ?? null, tests: this.tests.size });
    });
    channel.close();
  }

  private answer(request: Exclude<Request, { kind: 'end' }>): Promise<Answer> {
    if (request.kind === 'count') return this.count();
    return request.kind === 'time' ? this.time() : this.mutantRun(request.mutant, request.tests);
  }

  /** Null when it passes, else why not. */
  private async failureOf(id: string): Promise<string | null> {
    try {
      await TestRunner.getTestFn(this.tests.get(id)!)();
      return null;
    } catch (error) {
      return String(error);
    }
  }

  private async count(): Promise<Answer> {
    for (const id of this.tests.keys()) {
      switches.currentTestId = id;
      // What fails now fails again when it is timed, and is told then.
      await this.failureOf(id);
      switches.currentTestId = undefined;
    }
    return { kind: 'counted', coverage: switches.mutantCoverage ?? { static: {}, perTest: {} } };
  }

  private async time(): Promise<Answer> {
    switches.counted = true;
    const results: TimedTest[] = [];
    for (const id of this.tests.keys()) {
      const begun = performance.now();
      const failure = await this.failureOf(id);
      results.push({ id, failure, milliseconds: performance.now() - begun });
    }
    return { kind: 'timed', results };
  }

  private async mutantRun(mutant: string, tests: readonly TestToRun[]): Promise<Answer> {
    switches.counted = true;
    let count = 0;
    for (const { id, mostHits } of tests) {
      Object.assign(switches, { activeMutant: mutant, hitCount: 0, hitLimit: mostHits });
      const failure = await this.failureOf(id);
      const endless = switches.hitCount! > mostHits;
      Object.assign(switches, { activeMutant: undefined, hitCount: undefined });
      count++;
      if (endless) return { kind: 'endless' };
      if (failure === null) continue;
      // Without the mutant the same test must pass, or what noticed it is not the test.
      const otherwise = await this.failureOf(id);
      if (otherwise !== null) return { kind: 'unfit', problem: otherwise };
      return { kind: 'noticed', by: id, failure, count };
    }
    return { kind: 'missed', count };
  }
}
