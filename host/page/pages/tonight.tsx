// Home: what runs on battery now, what needs attention, and the building by floor.
import { Fragment, type JSX } from 'preact';
import type { ControllerStatus } from '../../api/views';
import { Attention } from '../parts/attention';
import { CircuitCard } from '../parts/circuitCard';
import { CircuitLine, isQuiet } from '../parts/circuitLine';
import { OrderOutcomeNote, SupplyOutcomeNote } from '../parts/order';
import type { Reported } from '../parts/reported';
import { RiskBand } from '../parts/riskBand';
import { RestoredLine, RunningTest, TestSoFar } from '../parts/runningTest';
import { TonightList } from '../parts/tonightList';
import { useNow, usePage } from '../state/hooks';
import { runningNow } from '../state/runningNow';
import { t } from '../tongues/tongue';
import { peopleLines, unknownLine } from '../words/duties';
import { headline, tally } from '../words/headline';
import { nightTitle } from '../words/night';
import { floorLink } from '../words/route';
import { takingWords } from '../words/site';
import { standing } from '../words/tone';
import { concerns } from '../words/urgency';

function RunningNow({ all }: { all: Reported[] }): JSX.Element {
  const page = usePage();
  useNow();
  const statuses = all.map(({ status }) => status);
  const { cards, below, lines, isStill } = runningNow(page, statuses, performance.now());
  const pairOf = (status: ControllerStatus) => all.find((one) => one.status === status)!;
  const told = page.outcome?.order === 'restore' ? page.outcome.circuit : '';
  return (
    <section class="running-now" aria-label={t.tonight.running}>
      {/* Small and above the cards, or nobody sees it. Only for ears while it would push a button under the finger. */}
      <div class={isStill ? 'unseen' : ''}>
        <SupplyOutcomeNote />
      </div>
      {cards.length > 0 ? <h2>{t.tonight.running}</h2> : null}
      {/* Once, or it pushes the second button off the screen of a phone. */}
      {cards.length > 1 && !page.linkUp ? <p class="host-lost">{t.running.hostLost}</p> : null}
      <div class="running-list">
        {cards.map((status) => (
          <RunningTest key={status.circuit} {...pairOf(status)} isSmall={cards.length > 1} />
        ))}
      </div>
      {lines.map((status) =>
        status.circuit === told ? null : <RestoredLine key={status.circuit} {...pairOf(status)} />,
      )}
      {/* Below: it must not push the button of another test off the screen. */}
      {told === '' ? <OrderOutcomeNote /> : null}
      <div class="running-list so-far">
        {below.map((status) => (
          <TestSoFar key={status.circuit} {...pairOf(status)} />
        ))}
      </div>
    </section>
  );
}

/** Where the luminaires are. */
function OnThePlan(): JSX.Element | null {
  const plans = usePage().building?.floorPlans ?? [];
  if (plans.length === 0) return null;
  return (
    <p class="plan-links">
      {t.floor.onPlan}:{' '}
      {plans.map(({ id, name }) => (
        <a key={id} href={floorLink(id)}>
          {name}
        </a>
      ))}
    </p>
  );
}

function Building({ pairs }: { pairs: Reported[] }): JSX.Element {
  const { building } = usePage();
  return (
    <section aria-labelledby="building">
      <h2 id="building">{t.tonight.building}</h2>
      <OnThePlan />
      {building?.floors.map((floor) => {
        const here = pairs.filter((p) => p.circuit.floor === floor.id);
        return here.length === 0 ? null : (
          <section class="floor" key={floor.id} aria-labelledby={`floor-${floor.id}`}>
            <h3 id={`floor-${floor.id}`}>{floor.name}</h3>
            <ul class="lines">
              {here.filter(isQuiet).map((p) => (
                <CircuitLine key={p.circuit.id} {...p} />
              ))}
            </ul>
            <div class="cards floor-cards">
              {here
                .filter((p) => !isQuiet(p))
                .map((p) => (
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
  const { building, status, duties, dutiesFailed } = usePage();
  const known = duties && peopleLines(duties);
  const people = known ?? (dutiesFailed ? [unknownLine()] : null);
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
        {headline(controllers, people)
          .split(/(?<=\.) /)
          .map((sentence) => (
            <Fragment key={sentence}>
              <span>{sentence}</span>{' '}
            </Fragment>
          ))}
      </h1>
      <p class="tally">{tally(verdicts)}</p>
      {status?.taking ? <p class="note">{takingWords(status.taking)}</p> : null}
      {/* First on a phone too: here is the button that restores the supply. */}
      <RunningNow all={pairs} />
      <Attention list={concerns(controllers)} people={people ?? []} />
      {status ? <RiskBand notice={status.notice} /> : null}
      <section aria-labelledby="tonight">
        <h2 id="tonight">{nightTitle(tests, status?.now ?? 0, building?.timeZone ?? 'UTC')}</h2>
        <TonightList tests={tests} />
      </section>
      <Building pairs={pairs} />
    </>
  );
}
