// Home: what runs on battery now, what needs attention, and the building by floor.
import { Fragment, type JSX } from 'preact';
import type { ControllerStatus } from '../../api/views';
import type { Circuit } from '../../site/model';
import { CircuitCard } from '../parts/circuitCard';
import { Shape } from '../parts/mark';
import { OrderOutcomeNote } from '../parts/order';
import { RiskBand } from '../parts/riskBand';
import { RunningTest } from '../parts/runningTest';
import { TonightList } from '../parts/tonightList';
import { usePage } from '../state/hooks';
import { headline, tally } from '../words/headline';
import { nightTitle } from '../words/night';
import { circuitLink, luminaireLink } from '../words/route';
import { isTesting, standing } from '../words/tone';
import { type Concern, concerns } from '../words/urgency';

interface Pair {
  circuit: Circuit;
  status: ControllerStatus;
}

function ConcernLine({ concern }: { concern: Concern }): JSX.Element {
  const id = concern.luminaire === '' ? concern.circuit : concern.luminaire;
  const link = concern.luminaire === '' ? circuitLink(id) : luminaireLink(id);
  return (
    <li>
      <Shape tone="fault" />
      <span>
        <a href={link}>{id}</a> <strong>{concern.title}.</strong> {concern.detail}
      </span>
    </li>
  );
}

function Attention({ list }: { list: Concern[] }): JSX.Element | null {
  if (list.length === 0) return null;
  return (
    <section aria-labelledby="attention">
      <h2 id="attention">Needs attention</h2>
      <ul class="concerns">
        {list.map((c) => (
          <ConcernLine key={`${c.circuit} ${c.luminaire} ${c.title}`} concern={c} />
        ))}
      </ul>
    </section>
  );
}

function RunningNow({ pairs }: { pairs: Pair[] }): JSX.Element {
  return (
    <section aria-labelledby="running">
      <h2 id="running">Running now</h2>
      <OrderOutcomeNote />
      {pairs.length === 0 ? <p>No test is running.</p> : null}
      <div class="running-list">
        {pairs.map((p) => (
          <RunningTest key={p.circuit.id} {...p} />
        ))}
      </div>
    </section>
  );
}

function Building({ pairs }: { pairs: Pair[] }): JSX.Element {
  const { building } = usePage();
  return (
    <section aria-labelledby="building">
      <h2 id="building">The building</h2>
      {building?.floors.map((floor) => {
        const here = pairs.filter((p) => p.circuit.floor === floor.id);
        return here.length === 0 ? null : (
          <section key={floor.id} aria-labelledby={`floor-${floor.id}`}>
            <h3 id={`floor-${floor.id}`}>{floor.name}</h3>
            <div class="cards">
              {here.map((p) => (
                <CircuitCard key={p.circuit.id} {...p} />
              ))}
            </div>
          </section>
        );
      })}
    </section>
  );
}

/** The page an electrician opens at night. */
export function TonightPage(): JSX.Element {
  const { building, status } = usePage();
  const controllers = status?.controllers ?? [];
  const tests = status?.tonight ?? [];
  const pairs = (building?.circuits ?? []).flatMap((circuit) => {
    const found = controllers.find((c) => c.circuit === circuit.id);
    return found ? [{ circuit, status: found }] : [];
  });
  const verdicts = controllers.flatMap((c) => c.lamps.map((l) => standing(l).verdict));
  return (
    <>
      <h1>
        {headline(controllers)
          .split(/(?<=\.) /)
          .map((sentence) => (
            <Fragment key={sentence}>
              <span>{sentence}</span>{' '}
            </Fragment>
          ))}
      </h1>
      <p class="tally">{tally(verdicts)}</p>
      <RunningNow pairs={pairs.filter((p) => isTesting(p.status))} />
      {status ? <RiskBand notice={status.notice} /> : null}
      <Attention list={concerns(controllers)} />
      <section aria-labelledby="tonight">
        <h2 id="tonight">{nightTitle(tests, status?.now ?? 0, building?.timeZone ?? 'UTC')}</h2>
        <TonightList tests={tests} />
      </section>
      <Building pairs={pairs} />
    </>
  );
}
