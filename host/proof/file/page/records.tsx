// Every record in the file as it was written, and the proof for each alone.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { proofText } from '../../tlogProof';
import type { Checked, ProvenEntry } from '../check';
import { moment } from './words';

/** Records shown at a time. */
const STEP = 50;

function Record({
  checked,
  entry,
  place,
}: {
  checked: Checked;
  entry: ProvenEntry;
  place: number;
}): JSX.Element {
  const [proof, setProof] = useState('');
  const show = () =>
    setProof(
      proofText({
        index: entry.entry - 1,
        hashes: checked.tree.inclusion(place),
        checkpoint: checked.checkpoint,
      }),
    );
  return (
    <li>
      <p>
        <strong>Entry {entry.entry}</strong>, {entry.address}, {moment(entry.at, checked.about.zone)}
      </p>
      <pre>{entry.body}</pre>
      {proof ? <pre class="tlog-proof">{proof}</pre> : null}
      {proof ? null : (
        <button type="button" onClick={show}>
          Proof of this record alone (C2SP tlog-proof)
        </button>
      )}
    </li>
  );
}

/** Closed at first. */
export function Records({ checked }: { checked: Checked }): JSX.Element {
  const [open, setOpen] = useState(false);
  const [count, setCount] = useState(STEP);
  const { entries } = checked;
  return (
    <section>
      <h2>The records as they were written</h2>
      <details onToggle={(event) => setOpen(event.currentTarget.open)}>
        <summary>{entries.length} records</summary>
        {open ? (
          <ol class="records">
            {entries.slice(0, count).map((entry, place) => (
              <Record key={entry.entry} {...{ checked, entry, place }} />
            ))}
          </ol>
        ) : null}
        {open && count < entries.length ? (
          <button type="button" onClick={() => setCount(count + STEP)}>
            Show {Math.min(STEP, entries.length - count)} more
          </button>
        ) : null}
      </details>
    </section>
  );
}
