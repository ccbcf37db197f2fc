// What the inspector sees: one verdict, what it rests on, a place for the root on paper, and the records.
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { FormatError } from '../../bytes';
import { type Checked, checkProof } from '../check';
import { type Story, storyOf } from '../story';
import { takingTurns } from '../turns';
import { Claims } from './claims';
import { browserCrypto, TooOld } from './crypto';
import { linesIn, linesOfFile, piecesOf } from './lines';
import { Paper } from './paper';
import { Records } from './records';
import { Results } from './results';

type State =
  | { at: 'work'; done: number; all: number }
  | { at: 'end'; checked: Checked; story: Story }
  | { at: 'refused'; why: string };

const TOO_OLD =
  'This browser cannot check Ed25519 signatures. Open the file in a newer one (Chrome or Edge 137, Firefox 129, Safari 17), or use the recipe below.';

function whyOf(error: unknown): string {
  if (error instanceof TooOld) return TOO_OLD;
  return error instanceof FormatError ? error.message : `The check failed: ${error}.`;
}

async function verdictOn(
  lines: readonly string[],
  onProgress: (done: number, all: number) => void,
): Promise<State> {
  const turns = takingTurns();
  const crypto = await browserCrypto();
  const checked = await checkProof(lines, crypto, { turns, onProgress });
  return { at: 'end', checked, story: await storyOf(checked, crypto.linkOf, turns) };
}

function useCheck(lines: readonly string[]): State {
  const [state, setState] = useState<State>({ at: 'work', done: 0, all: 0 });
  useEffect(() => {
    let current = true;
    const show = (next: State) => current && setState(next);
    show({ at: 'work', done: 0, all: 0 });
    verdictOn(lines, (done, all) => show({ at: 'work', done, all }))
      .catch((error: unknown): State => ({ at: 'refused', why: whyOf(error) }))
      .then(show);
    return () => {
      current = false;
    };
  }, [lines]);
  return state;
}

function Proof({ checked, story }: { checked: Checked; story: Story }): JSX.Element {
  const { about } = checked;
  return (
    <>
      <h1>
        Luminaire {about.luminaire}
        <span class="sub">
          {about.building}, {about.from} to {about.to}
        </span>
      </h1>
      <p class="verdict good" role="status">
        <strong>Sound.</strong> Nothing in this file was changed since the host of the log book “
        {checked.origin}” signed it. Whether the host could have written something else before, a root on
        paper or a witness tells: see below.
      </p>
      <Claims checked={checked} story={story} />
      <Paper checked={checked} />
      <Results story={story} zone={about.zone} />
      <Records checked={checked} />
    </>
  );
}

function Refused({ why }: { why: string }): JSX.Element {
  return (
    <>
      <h1>Proof from a log book</h1>
      <p class="verdict bad" role="alert">
        <strong>Refused.</strong> {why}
      </p>
      <p>Nothing in this file is shown, because nothing in it can be relied on. Ask for a new one.</p>
    </>
  );
}

function Other({ onFile }: { onFile(name: string, lines: readonly string[]): void }): JSX.Element {
  return (
    <section>
      <h2>Check another file with this page</h2>
      <p>
        Keep a copy of this page that you trust. It checks the proof in any other such file, and runs nothing
        of that file’s own.
      </p>
      <input
        type="file"
        aria-label="Another proof file"
        accept=".html"
        onChange={async (event) => {
          const file = event.currentTarget.files?.[0];
          if (file) onFile(file.name, linesOfFile(linesIn(await piecesOf(file))));
        }}
      />
    </section>
  );
}

/** The check of one proof from its beginning to its verdict. */
function Check({ lines, children }: { lines: readonly string[]; children: ComponentChildren }): JSX.Element {
  const state = useCheck(lines);
  if (state.at === 'work')
    return (
      <>
        <h1>Proof from a log book</h1>
        <p role="status">Checking… {state.all > 0 ? `${state.done} of ${state.all} records` : ''}</p>
      </>
    );
  return (
    <>
      {state.at === 'refused' ? (
        <Refused why={state.why} />
      ) : (
        <Proof checked={state.checked} story={state.story} />
      )}
      {children}
    </>
  );
}

/** The whole page. */
export function App({ lines }: { lines: readonly string[] }): JSX.Element {
  const [shown, setShown] = useState({ count: 0, name: '', lines });
  return (
    <>
      {shown.name ? <p class="other">Checked here: the file “{shown.name}”.</p> : null}
      {/* A new key: the verdict on one file must never stand under the name of another. */}
      <Check key={shown.count} lines={shown.lines}>
        <Other
          onFile={(name, other) => setShown(({ count }) => ({ count: count + 1, name, lines: other }))}
        />
      </Check>
    </>
  );
}
