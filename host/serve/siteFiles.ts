// The site files of several buildings: which were named, and that each is about a building of its own.
import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';

/** Also false for what cannot even be looked at: whoever reads it as a file says why, and other buildings are served. */
export function isFolder(path: string): boolean {
  try {
    return statSync(path).isDirectory();
  } catch {
    return false;
  }
}

/** The site files that were named: of a folder all in it. @throws Error with one sentence if it has none */
export function siteFilesOf(paths: readonly string[]): string[] {
  return paths.flatMap((path) => {
    if (!isFolder(path)) return [path];
    const files = readdirSync(path)
      .filter((name) => /\.ya?ml$/.test(name))
      .sort();
    if (files.length === 0)
      throw new Error(`There is no site file in the folder ${path}; they end in .yaml.`);
    return files.map((name) => join(path, name));
  });
}

/**
 * Two buildings with one id would share topics and log book.
 * @param all with the id '' where the file could not be read
 * @throws Error with one sentence
 */
export function expectDistinct(all: readonly { id: string; file: string }[]): void {
  for (const [n, { id, file }] of all.entries()) {
    const other = all.slice(0, n).find((one) => one.id !== '' && one.id === id);
    if (other)
      throw new Error(
        `${other.file} and ${file} have the same id "${id}", and so the same controller addresses; give one of them another id.`,
      );
  }
}
