// The form of one duty, made for a phone in a stairwell: nothing is filled in beforehand, and what has been filled in
// is still there when the browser has thrown the page away.
import type { JSX } from 'preact';
import { useContext, useEffect, useRef, useState } from 'preact/hooks';
import type { DutyView } from '../../api/duties';
import type { BuildingView } from '../../api/views';
import { FromHost } from '../parts/fromHost';
import { Mark } from '../parts/mark';
import { PointField } from '../parts/pointField';
import { entryNow, OutboxContext, usePage, useStore } from '../state/hooks';
import { t } from '../tongues/tongue';
import {
  type Draft,
  draftFrom,
  draftMistake,
  dueLine,
  dutyTone,
  emptyDraft,
  everyLine,
  type KeptDraft,
  lengthMistake,
  luminairesIn,
  NO_ANSWER,
  type PointDraft,
  requestOf,
  restInOrder,
  scopeChoices,
  withScope,
} from '../words/duties';
import { hostWords } from '../words/hostWords';
import { inputOf } from '../words/localInput';

/** Of each account its own: phones are shared. */
function draftKey(site: string, duty: string, account = ''): string {
  return `nightproof draft ${site} ${duty}${account === '' ? '' : ` ${account}`}`;
}

/** A draft kept by this browser; a browser that keeps nothing only loses this comfort. */
function keptDraft(key: string, who: string, now: number): Draft {
  try {
    return draftFrom(localStorage.getItem(key), who, now);
  } catch {
    return emptyDraft(who);
  }
}

function keepDraft(key: string, draft: KeptDraft | null): void {
  try {
    if (draft) localStorage.setItem(key, JSON.stringify(draft));
    else localStorage.removeItem(key);
  } catch {
    // As above.
  }
}

/** Not randomUUID: it is missing where the page comes over plain HTTP. */
function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
}

function useForm(duty: DutyView, building: BuildingView) {
  const store = useStore();
  const outbox = useContext(OutboxContext);
  const key = draftKey(building.id, duty.id, store.state.session?.person?.id);
  const [draft, setDraft] = useState(() => keptDraft(key, store.state.orderedBy, entryNow(store.state)));
  const [mistake, setMistake] = useState('');
  const [storing, setStoring] = useState(false);
  const change = (next: Draft): void => {
    setDraft(next);
    setMistake('');
    keepDraft(key, { ...next, kept: entryNow(store.state) });
  };
  async function enter(event: Event): Promise<void> {
    event.preventDefault();
    const now = entryNow(store.state);
    const zone = building.timeZone;
    const { person } = store.state.session ?? {};
    const signed = person ? { ...draft, who: person.name } : draft;
    const open = draftMistake(signed, duty, zone, now);
    setMistake(open);
    if (open !== '' || !outbox) return;
    const made = requestOf(signed, duty, { id: newId(), zone, now });
    const request = person ? { ...made, account: person.id } : made;
    const long = lengthMistake(request);
    setMistake(long);
    if (long !== '') return;
    setStoring(true);
    try {
      await outbox.add({ title: duty.title, request });
      keepDraft(key, null);
      store.change((s) => ({ ...s, orderedBy: signed.who }));
      location.hash = '#/duties';
    } catch (error) {
      setMistake((error as Error).message);
      setStoring(false);
    }
  }
  return { draft, change, mistake, storing, enter };
}

function When(props: { draft: Draft; change: (next: Draft) => void; zone: string }): JSX.Element {
  const { draft, change, zone } = props;
  const { state } = useStore();
  if (draft.done === '')
    return (
      <p>
        {t.duties.doneNow}{' '}
        <button
          type="button"
          class="plain"
          onClick={() => change({ ...draft, done: inputOf(entryNow(state), zone) })}
        >
          {t.duties.wasEarlier}
        </button>
      </p>
    );
  return (
    <>
      <label for="done">{t.duties.whenDone}</label>
      <input
        id="done"
        type="datetime-local"
        value={draft.done}
        max={inputOf(entryNow(state), zone)}
        onInput={(e) => change({ ...draft, done: e.currentTarget.value })}
      />
    </>
  );
}

function Form({ duty, building }: { duty: DutyView; building: BuildingView }): JSX.Element {
  const { draft, change, mistake, storing, enter } = useForm(duty, building);
  const person = usePage().session?.person;
  const problem = useRef<HTMLParagraphElement>(null);
  useEffect(() => {
    if (mistake !== '') problem.current?.focus();
  }, [mistake]);
  const scopes = scopeChoices(building, duty);
  const lamps = luminairesIn(building, draft.scope);
  const set = (id: string, point: PointDraft) =>
    change({ ...draft, points: { ...draft.points, [id]: point } });
  return (
    <form class="duty-form" onSubmit={enter} noValidate aria-label={hostWords(duty.title)}>
      {scopes.length > 1 ? (
        <>
          <label for="scope">{t.duties.whichPart}</label>
          <select
            id="scope"
            value={draft.scope}
            onChange={(e) => change(withScope(draft, e.currentTarget.value, building))}
          >
            {scopes.map(([value, word]) => (
              <option key={value} value={value}>
                {word}
              </option>
            ))}
          </select>
        </>
      ) : null}
      {duty.points.map((point) => (
        <PointField
          key={point.id}
          point={point}
          draft={draft.points[point.id] ?? NO_ANSWER}
          luminaires={lamps}
          onChange={(next) => set(point.id, next)}
        />
      ))}
      <button type="button" class="plain rest" onClick={() => change(restInOrder(draft, duty))}>
        {t.duties.restInOrder}
      </button>
      <label for="words">{t.duties.anythingElse}</label>
      <textarea
        id="words"
        rows={2}
        value={draft.words}
        onInput={(e) => change({ ...draft, words: e.currentTarget.value })}
      />
      <When draft={draft} change={change} zone={building.timeZone} />
      {person ? (
        <p>{t.signIn.enteredBy(person.name)}</p>
      ) : (
        <>
          <label for="who">{t.orders.yourName}</label>
          <input
            id="who"
            autoComplete="name"
            value={draft.who}
            onInput={(e) => change({ ...draft, who: e.currentTarget.value })}
          />
        </>
      )}
      <p class="mistake" role="alert" tabIndex={-1} ref={problem}>
        {mistake}
      </p>
      <button type="submit" class="big" disabled={storing}>
        {storing ? t.duties.storing : t.duties.enterLog}
      </button>
      <p class="quiet">{t.duties.offline}</p>
    </form>
  );
}

/** Page of one duty. */
export function DutyPage({ id }: { id: string }): JSX.Element {
  const { duties, building } = usePage();
  const duty = duties?.duties.find((one) => one.id === id);
  if (!duties || !building) return <p>{t.frame.loading}</p>;
  if (!duty) return <h1>{t.frame.noDuty(id)}</h1>;
  return (
    <>
      <p class="trail">
        <a href="#/duties">{t.frame.duties}</a>
      </p>
      <h1>
        <FromHost text={duty.title} />
      </h1>
      <p>
        {everyLine(duty)} <Mark tone={dutyTone(duty)} word={dueLine(duty)} />
      </p>
      <details>
        <summary>{t.duties.written}</summary>
        <p>
          <span lang="en">
            “{duty.what}” {duty.source}.
          </span>{' '}
          {t.duties.practice}
        </p>
      </details>
      <Form duty={duty} building={building} />
    </>
  );
}
