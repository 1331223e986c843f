import { describe, expect, it } from 'vitest';
import { EventQueue, ScheduledEvent } from '../../../app/practice/chip/event-queue.ts';

function logged() {
  const log: string[] = [];
  const event = (name: string) => new ScheduledEvent((due) => log.push(`${name}@${due}`));
  return { log, event, queue: new EventQueue() };
}

describe('event queue', () => {
  it('lets events happen in the order of their cycles, and equal ones as they were scheduled', () => {
    const { log, event, queue } = logged();
    const [a, b, c, d] = [event('a'), event('b'), event('c'), event('d')];
    queue.schedule(a, 30);
    queue.schedule(b, 10);
    queue.schedule(c, 10);
    queue.schedule(d, 20);
    expect(queue.nextCycle).toBe(10);
    queue.runDue(25);
    expect(log).toEqual(['b@10', 'c@10', 'd@20']);
    expect(queue.nextCycle).toBe(30);
  });

  it('moves an event that is scheduled again, and forgets a cancelled one', () => {
    const { log, event, queue } = logged();
    const [a, b] = [event('a'), event('b')];
    queue.schedule(a, 10);
    queue.schedule(b, 15);
    queue.schedule(a, 20);
    queue.cancel(b);
    queue.cancel(b);
    expect(queue.nextCycle).toBe(20);
    queue.runDue(100);
    expect(log).toEqual(['a@20']);
    expect(queue.nextCycle).toBe(Number.POSITIVE_INFINITY);
  });

  it('also lets happen what an event schedules within the time asked for', () => {
    const queue = new EventQueue();
    const seen: number[] = [];
    const tick = new ScheduledEvent((due) => {
      seen.push(due);
      queue.schedule(tick, due + 4);
    });
    queue.schedule(tick, 4);
    queue.runDue(13);
    expect(seen).toEqual([4, 8, 12]);
    expect(queue.nextCycle).toBe(16);
  });
});
