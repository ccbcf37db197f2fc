// A floor plan: every luminaire where it is, with its state, and the same as a list.
import type { ComponentChildren, JSX } from 'preact';
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { FloorPlan } from '../../site/model';
import { CircuitLine, isQuiet } from '../parts/circuitLine';
import { Marks, Picture } from '../parts/floorPicture';
import { FromHost } from '../parts/fromHost';
import { Shape } from '../parts/mark';
import { Placing } from '../parts/placing';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { counts, lampsOf, type PlanLamps, planWords, type Shown, withStates } from '../words/floor';
import { type Draft, withDraft } from '../words/placing';
import { floorLink, luminaireLink } from '../words/route';

function StateMark({ state, words }: { state: Shown['state']; words: string }): JSX.Element {
  return (
    <span class={`mark ${state.tone}`}>
      <Shape tone={state.tone} figure={state.figure} />
      {words}
    </span>
  );
}

/** How many are in each state: also the key to the marks. */
function Key({ shown }: { shown: Shown[] }): JSX.Element {
  return (
    <ul class="plan-key" aria-label={t.floor.states}>
      {counts(shown).map(({ state, words }) => (
        <li key={state.word}>
          <StateMark state={state} words={words} />
        </li>
      ))}
    </ul>
  );
}

function LampLine({ shown, sought }: { shown: Shown; sought: string }): JSX.Element {
  const { luminaire, state } = shown;
  return (
    <li class={luminaire.id === sought ? 'sought' : undefined}>
      <a href={luminaireLink(luminaire.id)}>{luminaire.id}</a> {luminaire.place}
      <span class="plan-state">
        <StateMark state={state} words={state.word} />
        {state.reason === '' ? null : <span class="quiet"> {state.reason}</span>}
      </span>
    </li>
  );
}

function LampList(props: { title: string; id: string; shown: Shown[]; sought: string }): JSX.Element | null {
  const { title, id, shown, sought } = props;
  if (shown.length === 0) return null;
  return (
    <section aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ul class="plan-list">
        {shown.map((one) => (
          <LampLine key={one.luminaire.id} shown={one} sought={sought} />
        ))}
      </ul>
    </section>
  );
}

/** Circuits with luminaires here whose supply, tester or contact is in trouble. */
function Trouble({ lamps }: { lamps: PlanLamps }): JSX.Element | null {
  const { status } = usePage();
  const here = new Map([...lamps.placed, ...lamps.unplaced].map(({ circuit }) => [circuit.id, circuit]));
  const pairs = (status?.controllers ?? []).flatMap((controller) => {
    const circuit = here.get(controller.circuit);
    return circuit ? [{ circuit, status: controller }] : [];
  });
  const loud = pairs.filter((pair) => !isQuiet(pair));
  if (loud.length === 0) return null;
  return (
    <ul class="lines plan-trouble" aria-label={t.floor.trouble}>
      {loud.map((pair) => (
        <CircuitLine key={pair.circuit.id} {...pair} />
      ))}
    </ul>
  );
}

/** The other plans of the building. */
function Plans({ plans, current }: { plans: FloorPlan[]; current: string }): JSX.Element | null {
  if (plans.length < 2) return null;
  return (
    <nav class="plans" aria-label={t.floor.plans}>
      {plans.map(({ id, name }) => (
        <a key={id} href={floorLink(id)} aria-current={id === current ? 'page' : undefined}>
          {name}
        </a>
      ))}
    </nav>
  );
}

/** The luminaires of a plan as the site has them, and as they would be with places that are not yet saved or taken over. */
function useDraft(plan: FloorPlan | undefined, isPlacing: boolean) {
  const { building, status } = usePage();
  const [draft, setDraft] = useState<Draft>(NO_DRAFT);
  const lamps = useMemo(
    () => (building && plan ? lampsOf(plan, building) : { placed: [], unplaced: [] }),
    [building, plan],
  );
  // What was saved comes back with the building.
  useEffect(() => {
    if (!isPlacing) setDraft(NO_DRAFT);
  }, [building]);
  const would = withDraft(lamps, draft);
  const controllers = status?.controllers ?? [];
  const [placed, unplaced] = [would.placed, would.unplaced].map((list) => withStates(list, controllers));
  return { draft, setDraft, lamps, would, placed, unplaced };
}

const NO_DRAFT: Draft = new Map();

/** The marks on the picture, and the same as lists. */
function Viewing(props: {
  plan: FloorPlan;
  placed: Shown[];
  unplaced: Shown[];
  sought: string;
  children: ComponentChildren;
}): JSX.Element {
  const { plan, placed, unplaced, sought, children } = props;
  const first = placed.find((one) => one.luminaire.id === sought) ?? placed[0];
  return (
    <>
      <Picture plan={plan} towards={first?.luminaire.spot}>
        <Marks shown={placed} sought={sought} />
      </Picture>
      <div>
        <LampList title={t.floor.onPlan} id="on-plan" shown={placed} sought={sought} />
        <LampList title={t.floor.notPlaced} id="not-placed" shown={unplaced} sought={sought} />
        {children}
      </div>
    </>
  );
}

function Plan({ plan, luminaire }: { plan: FloorPlan; luminaire: string }): JSX.Element {
  const [isPlacing, setPlacing] = useState(false);
  const [answer, setAnswer] = useState('');
  const button = useRef<HTMLButtonElement>(null);
  const wasPlacing = useRef(false);
  useEffect(() => {
    if (wasPlacing.current && !isPlacing) button.current?.focus();
    wasPlacing.current = isPlacing;
  }, [isPlacing]);
  const { draft, setDraft, lamps, would, placed, unplaced } = useDraft(plan, isPlacing);
  const place = (on: boolean, said = '') => {
    setPlacing(on);
    setAnswer(said);
  };
  return (
    <>
      <h1>{plan.name}</h1>
      <p class="tally">{planWords(would)}</p>
      <Key shown={[...placed, ...unplaced]} />
      <Trouble lamps={lamps} />
      <p role="status">
        <FromHost text={answer} />
      </p>
      <div class="plan-page">
        {isPlacing ? (
          <Placing
            {...{ plan, lamps, shown: placed, unplaced, draft, onDraft: setDraft }}
            onDone={(said) => place(false, said)}
            onStop={() => {
              setDraft(NO_DRAFT);
              place(false);
            }}
          />
        ) : (
          <Viewing {...{ plan, placed, unplaced, sought: luminaire }}>
            <button ref={button} type="button" class="place" onClick={() => place(true)}>
              {t.placing.start}
            </button>
          </Viewing>
        )}
      </div>
    </>
  );
}

/** Page of one floor plan, the first if none is named; a luminaire that is sought stands out. */
export function FloorPage({ id, luminaire }: { id: string; luminaire: string }): JSX.Element {
  const plans = usePage().building?.floorPlans ?? [];
  const plan = id === '' ? plans[0] : plans.find((one) => one.id === id);
  if (plan)
    return (
      <>
        <Plans plans={plans} current={plan.id} />
        <Plan key={plan.id} plan={plan} luminaire={luminaire} />
      </>
    );
  if (id !== '') return <h1>{t.floor.noPlan(id)}</h1>;
  return (
    <>
      <h1>{t.floor.none}</h1>
      <p>{t.floor.noneMore}</p>
    </>
  );
}
