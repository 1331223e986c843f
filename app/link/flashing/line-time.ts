/** The clock by which answers are waited for, in milliseconds: the page's own, or a test's. */
export interface LineTime {
  now(): number;
  /** Calls back after so many milliseconds; what it returns calls that off. */
  after(milliseconds: number, call: () => void): () => void;
}

export const pageTime: LineTime = {
  now: () => performance.now(),
  after(milliseconds, call) {
    const timer = setTimeout(call, milliseconds);
    return () => clearTimeout(timer);
  },
};
