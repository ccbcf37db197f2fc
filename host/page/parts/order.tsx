// Orders a person can give from this page. Two steps each; the page says what will happen before the second.
import type { JSX, Ref } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { OrderName } from '../../api/views';
import type { Circuit } from '../../site/model';
import { capital } from '../../words/capital';
import { useAsked, useNow, usePage, useStore } from '../state/hooks';
import { askLogbook, giveOrder, newestEntry } from '../state/host';
import { isJustRestored, REPEAT_MS, siteNow, withOutcome, withPress } from '../state/pageState';
import { prove } from '../state/session';
import type { PageStore } from '../state/store';
import { t } from '../tongues/tongue';
import { lengthSentence, type OrderField, orderName, orderRequest, orderWords } from '../words/order';
import {
  type Followed,
  headlineOf,
  newestBefore,
  progressWords,
  supplyState,
  supplyWords,
} from '../words/progress';
import { isTesting } from '../words/tone';
import { FromHost } from './fromHost';
import type { Reported } from './reported';
import { SecretField } from './secretField';
import { Signature } from './signature';

/** Newest entries of a circuit in which the end of an order is sought. */
const FOLLOWED_ENTRIES = 30;

function Choice(props: {
  field: OrderField;
  id: string;
  value: string;
  onChange: (value: string) => void;
  select: Ref<HTMLSelectElement>;
}): JSX.Element {
  const { field, id, value, onChange, select } = props;
  return (
    <>
      <label for={id}>{field.label}</label>
      <select id={id} ref={select} value={value} onChange={(e) => onChange(e.currentTarget.value)}>
        {field.mustChoose ? <option value="">{t.orders.choose}</option> : null}
        {field.choices.map(([choice, word]) => (
          <option key={choice} value={choice}>
            {word}
          </option>
        ))}
      </select>
    </>
  );
}

interface Closing {
  /** After the order was sent. */
  onClose: () => void;
  onCancel: () => void;
}

interface OrderProps {
  order: OrderName;
  circuit: string;
  /** Set if the order is for one luminaire. */
  luminaire?: string;
}

/** What is typed and chosen in a form, and how it is sent. */
function useOrder({ order, circuit, luminaire = '' }: OrderProps, onClose: () => void) {
  const store = useStore();
  const field = useRef<HTMLInputElement>(null);
  const choice = useRef<HTMLSelectElement>(null);
  const words = orderWords(order, luminaire);
  const [value, setValue] = useState(words.field?.mustChoose ? '' : (words.field?.choices[0][0] ?? ''));
  const [name, setName] = useState(store.state.orderedBy);
  const [mistake, setMistake] = useState('');
  const [sending, setSending] = useState(false);
  /** Asked for once more where the order takes the supply away. */
  const [password, setPassword] = useState<string | undefined>();
  const secret = useRef<HTMLInputElement>(null);
  const isAsked = password !== undefined;
  // The first field that must be filled in.
  useEffect(() => (value === '' ? choice : field).current?.focus(), []);
  useEffect(() => secret.current?.focus(), [isAsked]);
  async function send(event: Event): Promise<void> {
    event.preventDefault();
    const checked = orderName(name);
    const unchosen = value === '' ? (words.field?.mustChoose ?? '') : '';
    setMistake(unchosen || checked.mistake);
    if (unchosen !== '') return choice.current?.focus();
    if (checked.mistake !== '') return field.current?.focus();
    if (order === 'restore') {
      // Nothing may hold it up, no question to the log book either.
      store.change((s) => ({ ...s, orderedBy: name }));
      onClose();
      return restoreNow(store, circuit, checked.who);
    }
    setSending(true);
    const proved = password === undefined ? null : await prove({ password });
    if (proved?.ok === false) {
      setSending(false);
      setMistake(proved.answer);
      return secret.current?.focus();
    }
    const after = await newestEntry().catch(() => Number.POSITIVE_INFINITY);
    const givenMs = performance.now();
    const given = await giveOrder(circuit, orderRequest(order, value, checked.who, luminaire));
    const { ok, unanswered = false, nothingToDo = false, askPassword = false, answer } = given;
    if (askPassword) {
      setSending(false);
      return setPassword('');
    }
    const kind = order === 'test' ? (value as Followed['kind']) : '';
    const followed = { circuit, order, luminaire, kind, who: checked.who, after };
    const outcome = { ...followed, ok, unanswered, nothingToDo, answer, givenMs };
    store.change((s) => withOutcome({ ...s, orderedBy: name }, outcome));
    onClose();
  }
  return {
    field,
    choice,
    secret,
    value,
    setValue,
    name,
    setName,
    password,
    setPassword,
    mistake,
    sending,
    send,
  };
}

function ConfirmForm({ onClose, onCancel, ...props }: OrderProps & Closing): JSX.Element {
  const { order, circuit, luminaire } = props;
  const { building } = usePage();
  const words = orderWords(order, luminaire);
  const form = useOrder(props, onClose);
  const id = `${order.replace(' ', '-')}-${circuit}`;
  const cost = order === 'test' ? lengthSentence(form.value, building?.lengths[circuit]) : '';
  return (
    <form
      class="confirm"
      onSubmit={form.send}
      onKeyDown={(e) => e.key === 'Escape' && !form.sending && onCancel()}
      aria-label={`${words.button}: ${circuit}`}
      noValidate
    >
      <p>
        <strong>{words.consequence}</strong>
      </p>
      {words.caution === '' ? null : <p>{words.caution}</p>}
      {words.field ? (
        <Choice
          field={words.field}
          id={`${id}-choice`}
          value={form.value}
          onChange={form.setValue}
          select={form.choice}
        />
      ) : null}
      <p role="status">{cost}</p>
      {form.password === undefined ? null : (
        <>
          <p role="alert">{t.signIn.onceMore}</p>
          <SecretField
            id={`${id}-password`}
            label={t.signIn.password}
            value={form.password}
            autoComplete="current-password"
            onValue={form.setPassword}
            field={form.secret}
          />
        </>
      )}
      <Signature id={id} name={form.name} onName={form.setName} mistake={form.mistake} field={form.field} />
      <div class="buttons">
        <button type="submit" class={words.urgent ? 'big' : 'sure'} disabled={form.sending}>
          {form.sending ? t.orders.sending : words.yes}
        </button>
        <button type="button" class="plain" onClick={onCancel} disabled={form.sending}>
          {words.no}
        </button>
      </div>
    </form>
  );
}

/** The button of one order on one circuit, and its confirm step; after a cancel the button has the focus again. */
export function OrderButton(props: OrderProps & { label?: JSX.Element }): JSX.Element {
  const { order, luminaire, label } = props;
  const [step, setStep] = useState<'' | 'asking' | 'cancelled'>('');
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (step === 'cancelled') button.current?.focus();
  }, [step]);
  if (step === 'asking')
    return <ConfirmForm {...props} onClose={() => setStep('')} onCancel={() => setStep('cancelled')} />;
  return (
    <button
      type="button"
      ref={button}
      class={orderWords(order, luminaire).urgent ? 'big order' : 'plain order'}
      onClick={() => setStep('asking')}
    >
      {label ?? orderWords(order, luminaire).button}
    </button>
  );
}

/** Clocks of page and host agree no better, s. */
const CLOCK_SEC = 2;

/** Gives the order to restore a supply, and shows what comes of it; without a session it is given after signing in. */
export async function restoreNow(store: PageStore, circuit: string, who: string): Promise<void> {
  // The order first: what follows it in the log book can wait.
  const givenMs = performance.now();
  const since = Math.floor(siteNow(store.state, givenMs)) - CLOCK_SEC;
  const giving = giveOrder(circuit, { do: 'restore', who });
  store.changeAtOnce((s) => withPress(s, circuit, givenMs));
  let after = Number.POSITIVE_INFINITY;
  const asked = askLogbook({ circuit, kind: '', before: 0, limit: FOLLOWED_ENTRIES }).then(
    ({ entries }) => {
      after = newestBefore(entries, who, since);
    },
    () => {},
  );
  const { ok, unanswered = false, nothingToDo = false, signedOut = false, answer } = await giving;
  if (signedOut) return store.change((s) => ({ ...s, owedRestore: circuit }));
  const outcome = (): Followed => ({
    ...{ circuit, order: 'restore', luminaire: '', kind: '', who, after },
    ...{ ok, unanswered, nothingToDo, answer, givenMs },
  });
  store.change((s) => withOutcome({ ...s, owedRestore: '' }, outcome()));
  if (after !== Number.POSITIVE_INFINITY) return;
  await asked;
  store.change((s) => (s.outcome?.givenMs === givenMs ? withOutcome(s, outcome()) : s));
}

/** Says which circuit: after a restore, the card of another one may come to the same place. */
function RestoreWords({ circuit }: { circuit: Circuit }): JSX.Element {
  const { linkUp } = usePage();
  return (
    <>
      {linkUp ? orderWords('restore').button : t.running.tryRestore}: <span class="of">{circuit.name}</span>
    </>
  );
}

/** Somebody who has signed in need not say who it is: one press. */
function RestoreAtOnce({ circuit, who }: { circuit: Circuit; who: string }): JSX.Element {
  const store = useStore();
  return (
    <button type="button" class="big order" onClick={() => restoreNow(store, circuit.id, who)}>
      <RestoreWords circuit={circuit} />
    </button>
  );
}

/** "Restore supply" of one test, and in its place what comes of it. */
export function Restore({ circuit, status, isAlone }: Reported & { isAlone: boolean }): JSX.Element {
  useNow();
  const page = usePage();
  const { person } = page.session ?? {};
  const { linkUp } = page;
  const isJust = isJustRestored(page, circuit.id, REPEAT_MS, performance.now());
  // Without the host nobody knows how far the supply is: the button stays.
  if (!isTesting(status) || (linkUp && (status.phase === 'restoring' || isJust)))
    return (
      <p class="restoring">
        {status.phase === 'restoring' ? t.running.restoring : capital(supplyState(status))}
      </p>
    );
  return (
    <div class={linkUp ? '' : 'doubtful'}>
      {person ? (
        <RestoreAtOnce circuit={circuit} who={person.name} />
      ) : (
        <OrderButton order="restore" circuit={circuit.id} label={<RestoreWords circuit={circuit} />} />
      )}
      {linkUp || !isAlone ? null : <p class="host-lost">{t.running.hostLost}</p>}
    </div>
  );
}

/** What has become of an order so far; asks the log book whenever it may have grown. */
function Outcome({ followed, isSmall }: { followed: Followed; isSmall: boolean }): JSX.Element {
  const store = useStore();
  const { building, status, entriesHeard } = usePage();
  const now = useNow();
  const { circuit, order, answer } = followed;
  const ask = () => askLogbook({ circuit, kind: '', before: 0, limit: FOLLOWED_ENTRIES });
  const asked = useAsked(ask, `${circuit} ${followed.after}`, entriesHeard);
  const entries = asked.value?.entries ?? [];
  const controller = status?.controllers.find((one) => one.circuit === circuit);
  const { words, tone } = headlineOf(followed, controller, entries);
  const name = building?.circuits.find(({ id }) => id === circuit)?.name ?? circuit;
  const isSupply = order === 'restore';
  const more = controller
    ? [
        progressWords(followed, controller, entries, now, building?.timeZone ?? 'UTC'),
        supplyWords(followed, controller),
      ]
    : [];
  return (
    <div class={`outcome ${tone} ${isSmall ? 'small' : ''}`}>
      <p>
        <strong>
          {isSupply ? name : circuit}: {words}
        </strong>{' '}
        {isSupply && tone !== 'busy' && tone !== 'fault' ? null : <FromHost text={answer} />}
      </p>
      {more.map((line) => (line === '' ? null : <p key={line}>{line}</p>))}
      <button
        type="button"
        class="plain"
        aria-label={t.orders.dismiss}
        onClick={() => store.change((s) => ({ ...s, outcome: null }))}
      >
        {isSmall ? '×' : t.orders.dismiss}
      </button>
    </div>
  );
}

/**
 * The last order and what became of it; stays after the test's card has gone. Takes the focus when it appears.
 */
export function OrderOutcomeNote({ only }: { only?: string }): JSX.Element {
  const { outcome } = usePage();
  return <Note shown={outcome && (only === undefined || outcome.circuit === only) ? outcome : null} />;
}

/** The same in a small form, for the last order if it was to restore a supply. */
export function SupplyOutcomeNote(): JSX.Element {
  const { outcome } = usePage();
  return <Note shown={outcome?.order === 'restore' ? outcome : null} isSmall />;
}

function Note({ shown, isSmall = false }: { shown: Followed | null; isSmall?: boolean }): JSX.Element {
  const note = useRef<HTMLDivElement>(null);
  const given = shown?.givenMs;
  useEffect(() => {
    // Where the supply was ordered back its card says so: nothing may move under the finger.
    if (shown) note.current?.focus({ preventScroll: shown.order === 'restore' });
  }, [given]);
  return (
    <div role="status" tabIndex={-1} ref={note}>
      {shown ? <Outcome followed={shown} isSmall={isSmall} /> : null}
    </div>
  );
}
