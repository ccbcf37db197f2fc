// The choice of the page's language: each is written in its own.
import type { JSX } from 'preact';
import { usePage, useStore } from '../state/hooks';
import { chooseTongue } from '../state/tongueChoice';
import { NAMES, type Tongue } from '../tongues/names';
import { t } from '../tongues/tongue';

/** A small field in the frame of every page. */
export function TongueField(): JSX.Element {
  const store = useStore();
  const { tongue } = usePage();
  return (
    <p class="tongue">
      <label class="unseen" for="tongue">
        {t.frame.language}
      </label>
      <select
        id="tongue"
        value={tongue}
        onChange={(e) => void chooseTongue(store, e.currentTarget.value as Tongue)}
      >
        {Object.entries(NAMES).map(([tag, name]) => (
          <option key={tag} value={tag} lang={tag}>
            {name}
          </option>
        ))}
      </select>
    </p>
  );
}
