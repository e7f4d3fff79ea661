/**
 * Where the log ended when this browser last saw it. A record that does not have that any more was
 * put back from an older copy, or cut off. Pure.
 *
 * `seen` and `head` are `{ began, seq, hash }`; `began`, the hash of entry 1, tells records apart.
 */

const isSameRecord = (seen, head) => seen?.began === head.began;

/**
 * Whether the server must be asked if it still has what was seen: it did not say so since it was
 * last away (`isTrusted`), or what it tells now cannot follow.
 */
export function mustAsk(seen, head, isTrusted) {
  if (!isSameRecord(seen, head)) return false;
  const isBehind = head.seq < seen.seq || (head.seq === seen.seq && head.hash !== seen.hash);
  return isBehind || !isTrusted;
}

export const seenHeadEvents = {
  'older-record-found': (state, { seq }) => ({ ...state, olderRecord: { seq } }),
  'record-is-whole': (state) => (state.olderRecord ? { ...state, olderRecord: null } : state),
};
