// The place for a root that someone noted or printed.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { Checked } from '../check';
import { compareNoted, NOTED_MIN, type Noted } from '../noted';

const WORDS: Record<Noted['answer'], string> = {
  'too short': `Type at least the first ${NOTED_MIN} characters. Capital and small letters matter; spaces do not.`,
  this: 'Yes: it is the root of the log book in this file. The records are those that stood in it when that root was printed.',
  earlier:
    'Yes: the log book in this file begins with the one whose root was printed. Nothing written before then was changed; what came later rests on the host and the witnesses.',
  other:
    'No: this root does not belong to this file. Look for a mistake in typing. If there is none, ask for a proof made with this root (logbook proof --noted); if that cannot be made, the log book was changed.',
};

/** The field, and its answer at every keystroke. */
export function Paper({ checked }: { checked: Checked }): JSX.Element {
  const [typed, setTyped] = useState('');
  const { answer } = compareNoted(checked, typed);
  const tone = answer === 'other' ? 'bad' : answer === 'too short' ? '' : 'good';
  return (
    <section>
      <h2>Compare with paper</h2>
      <p>
        Take a notice or report that was printed and kept <em>before</em> any doubt arose, and type the root
        that stands on it. This needs no trust in the host, its owner or any witness.
      </p>
      <label for="noted">Root on paper</label>
      <input
        id="noted"
        autocomplete="off"
        autocapitalize="off"
        spellcheck={false}
        value={typed}
        onInput={(event) => setTyped(event.currentTarget.value)}
      />
      <p class={`answer ${tone}`} role="status">
        {WORDS[answer]}
      </p>
    </section>
  );
}
