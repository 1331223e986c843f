/**
 * What `promise` comes to, if it does within `ms`; else rejects with what `late` makes. The promise itself is left
 * to run: a browser can't be told to give up opening, writing or closing a port.
 */
export function inTime<Value>(promise: Promise<Value>, ms: number, late: () => Error): Promise<Value> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(late()), ms);
    promise.then(resolve, reject).finally(() => clearTimeout(timer));
  });
}
