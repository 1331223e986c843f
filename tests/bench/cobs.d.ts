/** As far as the bench uses it; the package brings no types along. */
declare module 'cobs' {
  const cobs: { decode(frameWithoutDelimiter: Uint8Array): Buffer };
  export default cobs;
}
