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
 * Known words that were perhaps meant: those spelled almost the same, as many as are equally near; else those of which
 * one begins with the other.
 */
export function near(word: string, known: readonly string[]): string[] {
  const given = bare(word);
  if (given === '') return [];
  const most = Math.min(2, Math.floor(given.length / 2));
  const alike = known
    .map((candidate) => ({ candidate, far: distance(given, bare(candidate)) }))
    .filter(({ far }) => far <= most);
  const least = Math.min(...alike.map(({ far }) => far));
  if (alike.length > 0) return alike.filter(({ far }) => far === least).map(({ candidate }) => candidate);
  if (given.length < 3) return [];
  return known.filter((candidate) => {
    const other = bare(candidate);
    return other.startsWith(given) || (other.length >= 3 && given.startsWith(other));
  });
}

/** The first of them; undefined if there is none. */
export function nearest(word: string, known: readonly string[]): string | undefined {
  return near(word, known)[0];
}
