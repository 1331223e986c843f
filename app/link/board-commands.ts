import { encodeCommand } from '../../firmware-protocol/commands.ts';
import { type Command, type Reply, ReplyResult } from '../../firmware-protocol/messages.ts';
import { type BoardPort, PortError } from './port.ts';

const REPLY_WITHIN_MS = 1500;
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
    const run = this.#commandChain.then(() => this.#exchange(command));
    this.#commandChain = run.catch(() => undefined);
    return run;
  }

  /** The board has answered. */
  take(reply: Reply): void {
    this.#waiters.get(reply.tag)?.settle(reply);
  }

  /** Nothing that is waited for will be answered. */
  giveUp(): void {
    for (const waiter of [...this.#waiters.values()]) waiter.settle(null);
  }

  async #exchange(command: UntaggedCommand): Promise<void> {
    this.#tag = (this.#tag + 1) & 0xff;
    const tag = this.#tag;
    for (let attempt = 1; attempt <= TRIES; attempt++) {
      if (this.#ended()) throw new PortError('gone', 'The board is no longer there.');
      const answer = this.#answerTo(tag);
      await this.#port.write(encodeCommand({ ...command, tag } as Command));
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
