import { readFileSync } from 'node:fs';
import type { Command, Message } from '../../firmware-protocol/messages.ts';
import { fromHex } from './hex.ts';

interface MessageVector {
  readonly name: string;
  readonly hex: string;
  readonly message: Message;
  /** False: only another version's board would send it. */
  readonly encodable?: boolean;
}

interface Vectors {
  readonly messages: readonly MessageVector[];
  readonly commands: readonly { readonly name: string; readonly hex: string; readonly command: Command }[];
  readonly damagedFromBoard: readonly {
    readonly name: string;
    readonly hex: string;
    readonly damage: readonly string[];
    readonly unknown: readonly { readonly code: number; readonly sequence: number }[];
    readonly messages: number;
  }[];
  readonly refusedByBoard: readonly {
    readonly name: string;
    readonly hex: string;
    readonly fault?: string;
    readonly refused?: { readonly command: number; readonly tag: number; readonly result: number };
  }[];
}

/** The file's sample values are hex; here they are bytes. */
function load(): Vectors {
  const file = new URL('../../firmware-protocol/vectors.json', import.meta.url);
  return JSON.parse(readFileSync(file, 'utf8'), (key, value) => (key === 'values' ? fromHex(value) : value));
}

export const vectors = load();
