// One circuit: what it does now and the state of each of its luminaires.
import type { JSX } from 'preact';
import type { ControllerStatus, LampStatus } from '../../api/views';
import type { Circuit, Luminaire } from '../../site/model';
import { lengthWord } from '../../words/length';
import { PeopleNotice, RechargeNotice, Senses } from '../parts/circuitCard';
import { FromHost } from '../parts/fromHost';
import { Mark } from '../parts/mark';
import { OrderButton, OrderOutcomeNote } from '../parts/order';
import { RunningTest } from '../parts/runningTest';
import { useNow, usePage } from '../state/hooks';
import { isRunningHere } from '../state/pageState';
import { t } from '../tongues/tongue';
import { attemptWords, fullWords, provenWords } from '../words/lamp';
import { logLink, luminaireLink } from '../words/route';
import { dayOf } from '../words/time';
import { circuitState, isTesting, standing, verdictName, verdictTone } from '../words/tone';

function LampRow(props: { luminaire: Luminaire; lamp: LampStatus | undefined; zone: string }): JSX.Element {
  const { luminaire, lamp, zone } = props;
  const { verdict, reason } = lamp ? standing(lamp) : { verdict: 'untested' as const, reason: '' };
  return (
    <tr>
      <th scope="row">
        <a href={luminaireLink(luminaire.id)}>{luminaire.id}</a>
      </th>
      <td class="wide" data-label={t.circuit.place}>
        {luminaire.place}
      </td>
      <td data-label={t.circuit.mode}>{t.modes[luminaire.mode]}</td>
      <td class="wide" data-label={t.circuit.state}>
        <Mark tone={verdictTone(verdict)} word={verdictName(verdict)} /> {reason}
      </td>
      <td class="wide" data-label={t.circuit.lastProven}>
        {provenWords(lamp, zone)}
      </td>
      <td class="wide" data-label={t.circuit.lastAttempt}>
        {attemptWords(lamp, zone)}
      </td>
      <td class="wide" data-label={t.circuit.lastFull}>
        {fullWords(lamp, zone)}
      </td>
    </tr>
  );
}

function LampTable({ circuit, lamps }: { circuit: Circuit; lamps: LampStatus[] }): JSX.Element {
  const { building } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  return (
    <table class="stacking">
      <thead>
        <tr>
          <th scope="col">{t.circuit.luminaire}</th>
          <th scope="col">{t.circuit.place}</th>
          <th scope="col">{t.circuit.mode}</th>
          <th scope="col">{t.circuit.state}</th>
          <th scope="col">{t.circuit.lastProven}</th>
          <th scope="col">{t.circuit.lastAttempt}</th>
          <th scope="col">{t.circuit.lastFull}</th>
        </tr>
      </thead>
      <tbody>
        {circuit.luminaires.map((l) => (
          <LampRow key={l.id} luminaire={l} lamp={lamps.find((x) => x.luminaire === l.id)} zone={zone} />
        ))}
      </tbody>
    </table>
  );
}

function Facts({ circuit }: { circuit: Circuit }): JSX.Element {
  const { building } = usePage();
  const floor = building?.floors.find((f) => f.id === circuit.floor)?.name ?? circuit.floor;
  const areas = circuit.areas.map((id) => building?.areas.find((a) => a.id === id)?.name ?? id);
  return (
    <p class="facts">
      {t.circuit.facts(floor, areas.join(', '), lengthWord(circuit.ratedSec))}
      {circuit.shared ? ` ${t.circuit.shared}` : ''}
    </p>
  );
}

/** If only limited tests are planned: that, and since when a full test has been owed. */
function FullTestOwed(props: {
  circuit: Circuit;
  status: ControllerStatus;
  zone: string;
}): JSX.Element | null {
  const { circuit, status, zone } = props;
  if (!circuit.alwaysOccupied) return null;
  const last =
    status.fullAt > 0
      ? t.circuit.lastFullOn(dayOf(status.fullAt, zone), dayOf(status.fullDueAt, zone))
      : t.circuit.noFull;
  return (
    <p class="owed">
      <strong>{t.circuit.limited}</strong> {t.circuit.limitedMore} {last}
    </p>
  );
}

/** What else a person may ask of the controller; it decides by its own rules. */
function Orders({ circuit, status }: { circuit: Circuit; status: ControllerStatus }): JSX.Element | null {
  if (status.contact === 'never heard') return null;
  return (
    <section aria-labelledby="orders">
      <h2 id="orders">{t.circuit.orders}</h2>
      <div class="orders">
        {status.phase === 'held' ? <OrderButton order="release" circuit={status.circuit} /> : null}
        <OrderButton order="hold" circuit={status.circuit} />
        <OrderButton order={status.attended ? 'leave' : 'attend'} circuit={status.circuit} />
        {isTesting(status) || status.phase === 'held' ? null : (
          <OrderButton order="test" circuit={status.circuit} />
        )}
        {circuit.luminaires.some(({ isExpected }) => isExpected) ? (
          <OrderButton order="accept" circuit={status.circuit} />
        ) : null}
      </div>
    </section>
  );
}

/** Page of one circuit. */
export function CircuitPage({ id }: { id: string }): JSX.Element {
  const page = usePage();
  useNow();
  const { building, status } = page;
  const circuit = building?.circuits.find((c) => c.id === id);
  const controller = status?.controllers.find((c) => c.circuit === id);
  if (!circuit || !controller) return <h1>{t.frame.noCircuit(id)}</h1>;
  const { word, tone } = circuitState(controller);
  return (
    <>
      <p class="trail">
        <a href="#/">{t.frame.tonight}</a>
      </p>
      <h1>
        {circuit.id} {circuit.name}
      </h1>
      <Facts circuit={circuit} />
      <FullTestOwed circuit={circuit} status={controller} zone={building?.timeZone ?? 'UTC'} />
      <section aria-label={t.circuit.now} class={`card ${tone}`}>
        <p class="now">
          <Mark tone={tone} word={word} /> <FromHost text={controller.sentence} />
        </p>
        <PeopleNotice status={controller} />
        <RechargeNotice status={controller} />
        <Senses status={controller} />
        {controller.phase === 'fault' ? <OrderButton order="clear fault" circuit={id} /> : null}
      </section>
      {isRunningHere(page, controller, performance.now()) ? (
        <section aria-labelledby="running">
          <h2 id="running">{t.tonight.running}</h2>
          <RunningTest circuit={circuit} status={controller} />
        </section>
      ) : null}
      <OrderOutcomeNote only={id} />
      <Orders circuit={circuit} status={controller} />
      <section aria-labelledby="luminaires">
        <h2 id="luminaires">{t.circuit.luminaires}</h2>
        <LampTable circuit={circuit} lamps={controller.lamps} />
      </section>
      <p>
        <a href={logLink(id, '')}>{t.circuit.log}</a>
      </p>
    </>
  );
}
