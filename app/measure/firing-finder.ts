/**
 * The entrance of this folder: the stream goes in, firings come out. What a firing shows is read from it
 * by measure-firing.ts.
 */
import { ticks } from '../../firmware-protocol/units.ts';
import type { ContactEdge, GapCause, SampleRun, StreamEvent, TimedOpening } from '../link/stream.ts';
import { ChannelFinder } from './channel-finder.ts';
import type { Firing, SpoiltCause } from './figures.ts';
import type { FinderEvent, FinderOptions } from './finder-events.ts';

/** A bouncing or chattering contact may send many edges; older ones go first. */
const MOST_CONTACT_EDGES = 4096;
/** Contact edges this long before a timed opening belong to it: an M contact leads by up to 20 ms. */
const CONTACT_LEAD_SECONDS = 0.2;

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
  #contact: Pick<ContactEdge, 'tick' | 'closed'>[] = [];
  #events: FinderEvent[] = [];
  #neverClosesSeconds: number | undefined;

  constructor(options: FinderOptions) {
    this.#options = options;
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
        if (event.cause === 'restarted' || event.cause === 'disconnected') this.#contact = [];
        break;
      case 'contact':
        this.#contact.push({ tick: event.tick, closed: event.closed });
        if (this.#contact.length > MOST_CONTACT_EDGES) this.#contact.splice(0, MOST_CONTACT_EDGES / 2);
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
        contactBetween: (first, last) => this.#contactBetween(first, last),
      },
      ticksPerSample,
    );
  }

  #contactBetween(first: number, last: number): Firing['contact'] {
    return this.#contact.filter(({ tick }) => tick >= first && tick <= last);
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
      contact: this.#contactBetween(open - lead, close),
      timed: { open, close },
      truncated: 'no',
      spoilt: null,
    };
    this.#events.push({ kind: 'firing', firing });
  }
}
