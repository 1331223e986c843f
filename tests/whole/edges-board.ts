/**
 * A simpler board, as firmware-protocol/README.md allows it: comparators time when light comes and goes, no
 * light curve is sent. It knows no port: command bytes go in, message bytes come out, and time passes only
 * when `advance` says so.
 */
import { decodeCommand } from '../../firmware-protocol/commands.ts';
import { encodeMessage } from '../../firmware-protocol/encode.ts';
import { FrameDecoder, LONGEST_COMMAND_FRAME } from '../../firmware-protocol/frames.ts';
import {
  CommandType,
  type Hello,
  type Message,
  PROTOCOL_VERSION,
  ReplyResult,
} from '../../firmware-protocol/messages.ts';
import { ticks } from '../../firmware-protocol/units.ts';

const STATUS_PER_SECOND = 4;
const FIRST_MASK = 1;
const BYTE_MOST = 0xff;
const WORD_MOST = 0xffff;
const POWER_ON = 1;
const EXTERNAL_RESET = 2;

export interface EdgesBoardOptions {
  /** Ticks a second; 250 000 (4 µs) when left out. */
  readonly tickHz?: number;
  /** Bit n set: channel n exists. Channels 0 and 1 when left out. */
  readonly channels?: number;
  /** Tick at power-on; 0 when left out. Boards begin near zero; a test of the wrap begins elsewhere. */
  readonly firstTick?: number;
}

type Change =
  | { readonly kind: 'light'; readonly at: number; readonly channel: number; readonly lit: boolean }
  | {
      readonly kind: 'input';
      readonly at: number;
      readonly input: 'contact' | 'release';
      readonly closed: boolean;
    };

export class EdgesBoard {
  /** Its memory for openings is full: those that end now are lost, and counted. */
  full = false;
  readonly tickHz: number;
  readonly #channels: number;
  readonly #firstTick: number;
  #serial = '';
  #now: number;
  #nextStatus = 0;
  #sequence = 0;
  #streaming = false;
  #mask = FIRST_MASK;
  #openSince = new Map<number, number>();
  #lostBefore = 0;
  #openingsLost = 0;
  #commandsRefused = 0;
  #resetCause = POWER_ON;
  #commands = new FrameDecoder(LONGEST_COMMAND_FRAME);
  #changes: Change[] = [];
  #sent: number[] = [];

  constructor({ tickHz = 250_000, channels = 0b11, firstTick = 0 }: EdgesBoardOptions = {}) {
    this.tickHz = tickHz;
    this.#channels = channels;
    this.#firstTick = firstTick;
    this.#now = firstTick;
    this.#begin();
  }

  /** Ticks since power-on or reset, not wrapped. */
  get now(): number {
    return this.#now;
  }

  get streaming(): boolean {
    return this.#streaming;
  }

  /** Channels whose openings are sent. */
  get mask(): number {
    return this.#mask;
  }

  /** The reset line, as when a port is opened. */
  reset(): void {
    this.#now = this.#firstTick;
    this.#changes = [];
    this.#resetCause = EXTERNAL_RESET;
    this.#begin();
  }

  /** Bytes from the page. Of any kind and number: what is no command is counted. */
  receive(bytes: Uint8Array): void {
    this.#commands.push(
      bytes,
      (content) => this.#obey(content),
      () => this.#refuse(),
    );
  }

  /** What the board has said since the last call. */
  takeBytes(): Uint8Array {
    return Uint8Array.from(this.#sent.splice(0));
  }

  /** Light on a channel from now + `after` on, for `length` ticks. */
  expose(channel: number, after: number, length: number): void {
    this.#plan({ kind: 'light', at: this.#now + after, channel, lit: true });
    this.#plan({ kind: 'light', at: this.#now + after + length, channel, lit: false });
  }

  /** The flash contact, or the release switch, changes at now + `after`. */
  change(input: 'contact' | 'release', after: number, closed: boolean): void {
    this.#plan({ kind: 'input', at: this.#now + after, input, closed });
  }

  /** So many ticks go by. */
  advance(length: number): void {
    const end = this.#now + length;
    for (;;) {
      const next = this.#changes[0];
      const at = Math.min(next?.at ?? Number.POSITIVE_INFINITY, this.#nextStatus);
      if (at > end) break;
      this.#now = at;
      if (next && next.at === at) {
        this.#changes.shift();
        this.#happen(next);
      } else this.#reportStatus();
    }
    this.#now = end;
  }

  #begin(): void {
    this.#sequence = 0;
    this.#streaming = false;
    this.#mask = FIRST_MASK;
    this.#openSince.clear();
    this.#lostBefore = 0;
    this.#openingsLost = 0;
    this.#commandsRefused = 0;
    this.#commands = new FrameDecoder(LONGEST_COMMAND_FRAME);
    this.#nextStatus = this.#now + this.tickHz / STATUS_PER_SECOND;
    this.#sent.push(0); // ends whatever a reset cut off
    this.#introduce();
  }

  #plan(change: Change): void {
    this.#changes.push(change);
    this.#changes.sort((a, b) => a.at - b.at);
  }

  #happen(change: Change): void {
    if (change.kind === 'input') {
      const { input, closed } = change;
      this.#say({ type: 'edge', sequence: 0, input, closed, tick: this.#tick(this.#now), lost: 0 });
      return;
    }
    const { channel, lit } = change;
    const open = this.#openSince.get(channel);
    this.#openSince.delete(channel);
    if (!this.#streaming || !((this.#mask >> channel) & 1)) return;
    if (lit) this.#openSince.set(channel, this.#now);
    // Light that was there before the start was never seen coming: that is no opening.
    else if (open !== undefined) this.#reportOpening(channel, open);
  }

  #reportOpening(channel: number, open: number): void {
    if (this.full) {
      this.#lostBefore = Math.min(this.#lostBefore + 1, BYTE_MOST);
      this.#openingsLost = Math.min(this.#openingsLost + 1, WORD_MOST);
      return;
    }
    this.#say({
      type: 'shutter',
      sequence: 0,
      channel,
      open: this.#tick(open),
      close: this.#tick(this.#now),
      lost: this.#lostBefore,
    });
    this.#lostBefore = 0;
  }

  #reportStatus(): void {
    this.#nextStatus += this.tickHz / STATUS_PER_SECOND;
    this.#say({
      type: 'status',
      sequence: 0,
      tick: this.#tick(this.#now),
      streaming: this.#streaming,
      mask: this.#mask,
      overruns: this.#openingsLost,
      commandBytesLost: 0,
      commandsRefused: this.#commandsRefused,
      edgesLost: 0,
      supplyMillivolts: 0,
    });
  }

  #obey(content: Uint8Array): void {
    const command = decodeCommand(content);
    if (command === null) {
      this.#refuse();
      return;
    }
    if (command.type === 'refused') {
      this.#answer(command.command, command.tag, command.result);
      return;
    }
    const { type, tag } = command;
    let result: number = ReplyResult.done;
    switch (type) {
      case 'hello':
        this.#introduce();
        break;
      case 'start':
        if (this.#streaming) break;
        this.#openSince.clear();
        this.#openingsLost = 0;
        this.#lostBefore = 0;
        this.#streaming = true;
        break;
      case 'stop':
        this.#streaming = false;
        this.#openSince.clear();
        break;
      case 'channels':
        if (command.mask === 0 || (command.mask & ~this.#channels) !== 0) result = ReplyResult.badValue;
        else if (this.#streaming && command.mask !== this.#mask) result = ReplyResult.busy;
        else this.#mask = command.mask;
        break;
      case 'pulses': // it has no reference light
        result = ReplyResult.unknownCommand;
        break;
      case 'serial':
        this.#serial = command.serial;
        break;
    }
    this.#answer(CommandType[type], tag, result);
  }

  #answer(command: number, tag: number, result: number): void {
    if (result !== ReplyResult.done && result !== ReplyResult.busy) this.#refuse();
    this.#say({ type: 'reply', sequence: 0, command, tag, result });
  }

  #refuse(): void {
    this.#commandsRefused = Math.min(this.#commandsRefused + 1, WORD_MOST);
  }

  #introduce(): void {
    const hello: Hello = {
      type: 'hello',
      sequence: 0,
      protocol: PROTOCOL_VERSION,
      kind: 'edges',
      board: 'two comparators',
      firmware: '0.1',
      image: 0,
      serial: this.#serial,
      tickHz: this.tickHz,
      ticksPerConversion: 0,
      bits: 0,
      channels: this.#channels,
      resetCause: this.#resetCause,
    };
    this.#say(hello);
  }

  #say(message: Message): void {
    this.#sent.push(...encodeMessage({ ...message, sequence: this.#sequence }));
    this.#sequence = (this.#sequence + 1) & BYTE_MOST;
  }

  #tick(now: number) {
    return ticks(now % 2 ** 32);
  }
}
