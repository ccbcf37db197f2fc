// "Restore supply": the one order this page can give. Two steps, because it voids a test.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { usePage, useStore } from '../state/hooks';
import { orderRestore } from '../state/host';
import { orderName } from '../words/order';

function ConfirmForm({ circuit, onClose }: { circuit: string; onClose: () => void }): JSX.Element {
  const store = useStore();
  const field = useRef<HTMLInputElement>(null);
  const [name, setName] = useState(store.state.orderedBy);
  const [mistake, setMistake] = useState('');
  const [sending, setSending] = useState(false);
  useEffect(() => field.current?.focus(), []);
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const checked = orderName(name);
    setMistake(checked.mistake);
    if (checked.mistake !== '') return field.current?.focus();
    setSending(true);
    const { ok, answer } = await orderRestore(circuit, checked.who);
    store.change((s) => ({ ...s, orderedBy: name, outcome: { circuit, ok, answer } }));
    onClose();
  }
  const id = `name-${circuit}`;
  return (
    <form class="confirm" onSubmit={send} aria-label={`Restore supply to ${circuit}`} noValidate>
      <p>
        <strong>Mains comes back now; this test will be void and tried again.</strong>
      </p>
      <label for={id}>Your name</label>
      <input
        id={id}
        ref={field}
        name="who"
        autoComplete="name"
        value={name}
        aria-invalid={mistake !== ''}
        aria-describedby={`${id}-mistake`}
        onInput={(e) => setName(e.currentTarget.value)}
      />
      <p id={`${id}-mistake`} class="mistake">
        {mistake}
      </p>
      <div class="buttons">
        <button type="submit" class="big" disabled={sending}>
          {sending ? 'Sending the order…' : 'Yes, restore supply'}
        </button>
        <button type="button" class="plain" onClick={onClose} disabled={sending}>
          No, let the test run
        </button>
      </div>
    </form>
  );
}

/** The big button of one running test, and its confirm step. */
export function Restore({ circuit, restoring }: { circuit: string; restoring: boolean }): JSX.Element {
  const [asking, setAsking] = useState(false);
  if (restoring) return <p class="restoring">Mains is being brought back.</p>;
  if (asking) return <ConfirmForm circuit={circuit} onClose={() => setAsking(false)} />;
  return (
    <button type="button" class="big restore" onClick={() => setAsking(true)}>
      Restore supply
    </button>
  );
}

/** What came of the last order; stays after the test's own card has gone. Takes the focus when it appears. */
export function OrderOutcomeNote({ only }: { only?: string }): JSX.Element {
  const store = useStore();
  const { outcome, status } = usePage();
  const note = useRef<HTMLDivElement>(null);
  const shown = outcome && (only === undefined || outcome.circuit === only) ? outcome : null;
  useEffect(() => {
    if (shown) note.current?.focus();
  }, [shown]);
  const circuit = status?.controllers.find((c) => c.circuit === shown?.circuit);
  return (
    <div role="status" tabIndex={-1} ref={note} class={shown ? `outcome ${shown.ok ? 'good' : 'fault'}` : ''}>
      {shown ? (
        <>
          <p>
            <strong>
              {shown.circuit}: {shown.ok ? 'order accepted.' : 'order not carried out.'}
            </strong>{' '}
            {shown.answer}
          </p>
          {circuit ? (
            <p>
              Supply behind the relay: {circuit.supplyAfter ? 'present' : 'gone'}. Relay:{' '}
              {circuit.relayOpen ? 'open' : 'closed'}.
            </p>
          ) : null}
          <button type="button" class="plain" onClick={() => store.change((s) => ({ ...s, outcome: null }))}>
            Dismiss
          </button>
        </>
      ) : null}
    </div>
  );
}
