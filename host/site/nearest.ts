/** Number of characters to insert, delete or change between two words. */
export function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = row[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(change, row[j] + 1, next[j - 1] + 1));
    }
    row = next;
  }
  return row[b.length];
}

const bare = (word: string) => word.toLowerCase().replace(/[^a-z0-9]/g, '');

/**
 * The word that was probably meant: spelled almost the same, or one is a prefix of the other; else undefined.
 */
export function nearest(word: string, known: readonly string[]): string | undefined {
  const given = bare(word);
  if (given === '') return undefined;
  const ranked = known
    .map((candidate) => ({ candidate, far: distance(given, bare(candidate)) }))
    .sort((a, b) => a.far - b.far);
  if (ranked[0] && ranked[0].far <= Math.min(2, Math.floor(given.length / 2))) return ranked[0].candidate;
  if (given.length < 3) return undefined;
  return known.find((candidate) => {
    const other = bare(candidate);
    return other.startsWith(given) || (other.length >= 3 && given.startsWith(other));
  });
}
