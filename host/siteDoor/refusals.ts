// What the door of the site file says when it saves nothing.
import type { SiteMistake, SiteOutcome, TakingView } from '../api/site';
import type { Refused } from '../site/edit/edit';
import { placeOf, shownData } from '../site/edit/places';

export type Refusal = SiteOutcome & { ok: false };

export const refused = (answer: string, more: Partial<Refusal> = {}): Refusal => ({
  ...{ ok: false, answer, mistakes: [], data: null },
  ...more,
});

export const STALE =
  'Nothing was saved: the site file has been changed since you opened it, in another window or in the file itself. ' +
  'Load the page again and enter your change once more.';

export const TAKING =
  'Nothing was saved: the host is still taking over the last change; save again when it has.';

/** Why nothing is saved while the host does not work with the last change yet. */
export function takingWords(taking: TakingView | null): string {
  const waits = taking?.waits ?? '';
  return waits === '' ? TAKING : `Nothing was saved: the host still waits with the last change: ${waits}.`;
}

export const UNTAKEN =
  'Nothing was saved: the last change was saved, but the host does not work with it yet; start the host again.';

/** With each mistake at its place. */
export function mistaken(made: Refused): Refusal {
  const mistakes = made.mistakes.map(
    ({ path = [], field, message }): SiteMistake => ({
      ...placeOf(made.data, path),
      where: field,
      message,
    }),
  );
  const sentences = mistakes.map(({ where, message }) => (where === '' ? message : `${where}: ${message}`));
  const data = made.data ? shownData(made.data) : null;
  return refused(`Nothing was saved. ${sentences.join(' ')}`, { mistakes, data });
}
