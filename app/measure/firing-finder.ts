/**
 * The entrance of this folder: the stream goes in, firings come out. What a firing shows is read from it
 * by measure-firing.ts.
 */
import { ticks } from '../../firmware-protocol/units.ts';
import type { GapCause, SampleRun, StreamEvent, TimedOpening } from '../link/stream.ts';
import { ChannelFinder } from './channel-finder.ts';
import { ContactHistory } from './contact-history.ts';
import type { Firing, SpoiltCause } from './figures.ts';
import type { FinderEvent, FinderOptions } from './finder-events.ts';
import { CONTACT_LEAD_SECONDS } from './flash-contact.ts';

const SPOILT_BY: Record<GapCause, SpoiltCause> = {
  damaged: 'data damaged',
  missing: 'data missing',
  overrun: 'board overrun',
  'read error': 'read error',
  restarted: 'board restarted',
  disconnected: 'disconnected',
  silence: 'silence',
};

/**
 * Cuts firings out of one session's stream. It arms itself when a channel has been dark and steady for
 * 100 ms; the next light is a firing, recorded with up to 220 ms before it and 115 ms after it. Light that
 * is there before that (a reflex shutter standing open, light while cocking) never is one. A gap spoils a
 * firing in progress, and one that begins before it has been dark for long enough again. Make a new finder for every session.
 */
export class FiringFinder {
  readonly #options: FinderOptions;
  readonly #channels = new Map<number, ChannelFinder>();
  readonly #contact: ContactHistory;
  #events: FinderEvent[] = [];
  #neverClosesSeconds: number | undefined;

  constructor(options: FinderOptions) {
    this.#options = options;
    this.#contact = new ContactHistory(options.contactClosed ?? null);
    this.#neverClosesSeconds = options.neverClosesSeconds;
  }

  /** Takes effect at once, on a firing in progress too. */
  setNeverCloses(time: number): void {
    this.#neverClosesSeconds = time;
    for (const finder of this.#channels.values()) finder.neverClosesSeconds = time;
  }

  /** What the event brings about, in order. Samples are copied; the caller may reuse its arrays. */
  push(event: StreamEvent): readonly FinderEvent[] {
    this.#events = [];
    switch (event.kind) {
      case 'run':
        this.#run(event);
        break;
      case 'gap':
        for (const finder of this.#channels.values()) finder.gap(SPOILT_BY[event.cause]);
        this.#contact.gap(event.cause);
        break;
      case 'contact':
        this.#contact.add(event);
        break;
      case 'timed opening':
        this.#timedOpening(event);
        break;
      case 'release':
      case 'pulse':
        break;
    }
    return this.#events;
  }

  #run({ channel, firstTick, ticksPerSample, values }: SampleRun): void {
    const { channels } = this.#options;
    if (channels !== undefined && !channels.includes(channel)) return;
    let finder = this.#channels.get(channel);
    if (finder !== undefined && finder.ticksPerSample !== ticksPerSample) {
      finder.gap('board restarted');
      finder = undefined;
    }
    if (finder === undefined) {
      finder = this.#newChannel(channel, ticksPerSample);
      this.#channels.set(channel, finder);
    }
    // The link reports every gap; should one slip through, the ticks still tell.
    const expected = finder.expectedTick;
    if (expected !== null && Math.abs(firstTick - expected) > ticksPerSample / 2) finder.gap('data missing');
    finder.run(values, firstTick);
  }

  #newChannel(channel: number, ticksPerSample: number): ChannelFinder {
    const options =
      this.#neverClosesSeconds === undefined
        ? this.#options
        : { ...this.#options, neverClosesSeconds: this.#neverClosesSeconds };
    return new ChannelFinder(
      {
        channel,
        options,
        emit: (event) => this.#events.push(event),
        contactBetween: (first, last) => this.#contact.between(first, last),
      },
      ticksPerSample,
    );
  }

  #timedOpening({ channel, open, close }: TimedOpening): void {
    const { tickHz, fullScale, channels } = this.#options;
    if (channels !== undefined && !channels.includes(channel)) return;
    const lead = CONTACT_LEAD_SECONDS * tickHz;
    const firing: Firing = {
      channel,
      tickHz,
      firstTick: ticks(open),
      ticksPerSample: 0,
      samples: new Uint8Array(0),
      fullScale,
      ...this.#contact.between(open - lead, close),
      timed: { open, close },
      truncated: 'no',
      spoilt: null,
    };
    this.#events.push({ kind: 'firing', firing });
  }
}
