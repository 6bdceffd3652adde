// Words of a radio text that would be heard as a digit.
const NUMBER_WORDS = new Set(
  'zero one two three four five six seven eight niner nine hundred thousand decimal'.split(' '),
);
const ALIKE = new Set(['to', 'too', 'for', 'fore', 'ate', 'won', 'oh', 'o', 'sex', 'tree']);

/**
 * Words next to a number that would be heard as one more digit of it: "to two", "for eight". Empty for what may be read
 * aloud. ref: radio.md §1, mark F ("to" and "for" before a number); the further ones by sound.
 */
export function soundAlikes(text: string): string[] {
  const words = text
    .toLowerCase()
    .split(/[^\p{L}\p{N}'’]+/u)
    .filter((word) => word !== '');
  const found: string[] = [];
  words.forEach((word, k) => {
    if (!ALIKE.has(word)) return;
    const before = words[k - 1] ?? '';
    const after = words[k + 1] ?? '';
    if (NUMBER_WORDS.has(before) || NUMBER_WORDS.has(after)) found.push(`${before} ${word} ${after}`.trim());
  });
  return found;
}
