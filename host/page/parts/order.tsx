// Orders a person can give from this page. Two steps each; the page says what will happen before the second.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { OrderName } from '../../api/views';
import { usePage, useStore } from '../state/hooks';
import { giveOrder } from '../state/host';
import { sensed } from '../words/contact';
import { ORDERS, type OrderField, orderName, orderRequest } from '../words/order';

function Choice(props: {
  field: OrderField;
  id: string;
  value: string;
  onChange: (value: string) => void;
}): JSX.Element {
  const { field, id, value, onChange } = props;
  return (
    <>
      <label for={id}>{field.label}</label>
      <select id={id} value={value} onChange={(e) => onChange(e.currentTarget.value)}>
        {field.choices.map(([choice, word]) => (
          <option key={choice} value={choice}>
            {word}
          </option>
        ))}
      </select>
    </>
  );
}

interface OrderProps {
  order: OrderName;
  circuit: string;
  /** Set if the order is for one luminaire. */
  luminaire?: string;
}

function ConfirmForm({
  order,
  circuit,
  luminaire,
  onClose,
}: OrderProps & { onClose: () => void }): JSX.Element {
  const store = useStore();
  const field = useRef<HTMLInputElement>(null);
  const words = ORDERS[order];
  const [value, setValue] = useState(words.field?.choices[0][0] ?? '');
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
    const { ok, answer } = await giveOrder(circuit, orderRequest(order, value, checked.who, luminaire));
    store.change((s) => ({ ...s, orderedBy: name, outcome: { circuit, ok, answer } }));
    onClose();
  }
  const id = `${order.replace(' ', '-')}-${circuit}`;
  return (
    <form class="confirm" onSubmit={send} aria-label={`${words.button}: ${circuit}`} noValidate>
      <p>
        <strong>{words.consequence}</strong>
      </p>
      {words.caution ? <p>{words.caution}</p> : null}
      {words.field ? (
        <Choice field={words.field} id={`${id}-choice`} value={value} onChange={setValue} />
      ) : null}
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
        <button type="submit" class={words.urgent ? 'big' : 'sure'} disabled={sending}>
          {sending ? 'Sending…' : words.yes}
        </button>
        <button type="button" class="plain" onClick={onClose} disabled={sending}>
          {words.no}
        </button>
      </div>
    </form>
  );
}

/** The button of one order on one circuit, and its confirm step. */
export function OrderButton(props: OrderProps): JSX.Element {
  const { order } = props;
  const [asking, setAsking] = useState(false);
  if (asking) return <ConfirmForm {...props} onClose={() => setAsking(false)} />;
  return (
    <button
      type="button"
      class={ORDERS[order].urgent ? 'big order' : 'plain order'}
      onClick={() => setAsking(true)}
    >
      {ORDERS[order].button}
    </button>
  );
}

/** "Restore supply" of one running test. */
export function Restore({ circuit, restoring }: { circuit: string; restoring: boolean }): JSX.Element {
  if (restoring) return <p class="restoring">Restoring mains…</p>;
  return <OrderButton order="restore" circuit={circuit} />;
}

/** The outcome of the last order; stays after the test's card has gone. Takes the focus when it appears. */
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
              {shown.circuit}: {shown.ok ? 'order accepted.' : 'order not accepted.'}
            </strong>{' '}
            {shown.answer}
          </p>
          {circuit ? (
            <p>
              Supply after relay: {sensed(circuit.supplyAfter, ['on', 'off'], circuit)}. Relay:{' '}
              {sensed(circuit.relayOpen, ['open', 'closed'], circuit)}.
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
