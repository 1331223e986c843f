import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { type Command, type Reply, ReplyResult } from '../../firmware-protocol/messages.ts';
import { inTime } from './in-time.ts';
import { type BoardPort, PortError } from './port.ts';

const REPLY_WITHIN_MS = 1500;
/** A command has 16 bytes at most; a port that has not taken them by then has stopped. */
const WRITTEN_WITHIN_MS = 3000;
/** Commands are idempotent, so one whose answer was lost is simply sent again. */
const TRIES = 3;

type DistributiveOmit<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;

/** A command as it is asked for: its tag is given here. */
export type UntaggedCommand = DistributiveOmit<Command, 'tag'>;

type Waiter = { settle(reply: Reply | null): void };

/** Commands to a board, one at a time, each with its answer. */
export class BoardCommands {
  readonly #port: BoardPort;
  readonly #ended: () => boolean;
  #waiters = new Map<number, Waiter>();
  #tag = 0;
  #commandChain: Promise<unknown> = Promise.resolve();
  /** Raised whenever all that was waited for is given up. */
  #given = 0;

  /** `ended`: whether the board is no longer there. */
  constructor(port: BoardPort, ended: () => boolean) {
    this.#port = port;
    this.#ended = ended;
  }

  /**
   * Sends a command and waits for its answer.
   * @throws PortError when the board does not answer or refuses.
   */
  send(command: UntaggedCommand): Promise<void> {
    const given = this.#given;
    const run = this.#commandChain.then(() => this.#exchange(command, given));
    this.#commandChain = run.catch(() => undefined);
    return run;
  }

  /** The board has answered. */
  take(reply: Reply): void {
    this.#waiters.get(reply.tag)?.settle(reply);
  }

  /** Nothing that is waited for will be answered, and nothing that waits its turn is sent. */
  giveUp(): void {
    this.#given++;
    for (const waiter of [...this.#waiters.values()]) waiter.settle(null);
  }

  async #exchange(command: UntaggedCommand, given: number): Promise<void> {
    this.#tag = (this.#tag + 1) & 0xff;
    const tag = this.#tag;
    for (let attempt = 1; attempt <= TRIES; attempt++) {
      if (this.#ended()) throw new PortError('gone', 'The board is no longer there.');
      if (given !== this.#given) throw new PortError('gone', 'The board has begun anew.');
      const answer = this.#answerTo(tag);
      const written = this.#port.write(encodeCommand({ ...command, tag } as Command));
      await inTime(written, WRITTEN_WITHIN_MS, notTaken);
      const reply = await answer;
      if (reply?.result === ReplyResult.done) return;
      if (reply)
        throw new PortError(
          'failed',
          `The board refused the command '${command.type}' (code ${reply.result}).`,
        );
    }
    throw new PortError('failed', `The board did not answer the command '${command.type}'.`);
  }

  /** The reply with this tag; null when it does not come in time or the session ends. */
  #answerTo(tag: number): Promise<Reply | null> {
    return new Promise((resolve) => {
      const timer = setTimeout(() => settle(null), REPLY_WITHIN_MS);
      const settle = (reply: Reply | null) => {
        clearTimeout(timer);
        this.#waiters.delete(tag);
        resolve(reply);
      };
      this.#waiters.set(tag, { settle });
    });
  }
}

const notTaken = () =>
  new PortError('write failed', 'The board takes no commands: unplug it and plug it in again.');
