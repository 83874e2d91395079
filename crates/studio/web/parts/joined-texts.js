// What two windows made of the same text, in one.

/** @typedef {{ from: number, to: number, text: string }} Changed which part of a text has become another */

/** What was changed, from its first letter to its last. @param {string} before @param {string} after @returns {Changed} */
function changed(before, after) {
  const most = Math.min(before.length, after.length);
  let from = 0;
  while (from < most && before[from] === after[from]) from += 1;
  let end = 0;
  while (end < most - from && before[before.length - 1 - end] === after[after.length - 1 - end]) end += 1;
  return { from, to: before.length - end, text: after.slice(from, after.length - end) };
}

/**
 * The text with what was changed here and what was changed elsewhere; where both changed the same part, both stand there, what was written
 * elsewhere first.
 * @param {string} before @param {string} here @param {string} elsewhere
 */
export function joined(before, here, elsewhere) {
  if (elsewhere === before || elsewhere === here) return here;
  if (here === before) return elsewhere;
  const [other, own] = [changed(before, elsewhere), changed(before, here)];
  const [first, second] = own.from < other.from ? [own, other] : [other, own];
  if (first.to <= second.from) {
    return before.slice(0, first.from) + first.text + before.slice(first.to, second.from) + second.text + before.slice(second.to);
  }
  const [from, to] = [Math.min(own.from, other.from), Math.max(own.to, other.to)];
  const part = (/** @type {Changed} */ change) => before.slice(from, change.from) + change.text + before.slice(change.to, to);
  return `${before.slice(0, from)}${part(other)}\n${part(own)}${before.slice(to)}`;
}
