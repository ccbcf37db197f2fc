// Ids in a site file: each is its own, and whatever names one names one that is there.
import { nearest } from './nearest';
import type { Note, Path } from './note';

/** Notes every id that is there twice. @param pathOf path of the item at an index */
export function checkUnique(
  items: readonly { id: string }[],
  pathOf: (i: number) => Path,
  what: string,
  note: Note,
  seen = new Set<string>(),
): void {
  items.forEach(({ id }, i) => {
    if (seen.has(id))
      note([...pathOf(i), 'id'], `there is another ${what} "${id}"; give each one its own id`);
    seen.add(id);
  });
}

/** Notes an id that is not `known`. */
export function checkKnown(id: string, known: Set<string>, what: string, path: Path, note: Note): void {
  if (known.has(id)) return;
  const near = nearest(id, [...known]);
  const hint = near
    ? `did you mean "${near}"?`
    : `write the id of ${what === 'area' ? 'an' : 'a'} ${what} listed in this file`;
  note(path, `there is no ${what} "${id}"; ${hint}`);
}
