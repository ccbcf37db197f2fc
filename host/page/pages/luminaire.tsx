// One luminaire over the years: what is wrong, how its battery ages, every result.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { BaselineView, LuminaireHistory } from '../../api/views';
import type { Circuit, Luminaire } from '../../site/model';
import { lengthAtMost, lengthWord } from '../../words/length';
import { CurveChart, dashOf } from '../parts/curveChart';
import { DefectCard } from '../parts/defectCard';
import { Found } from '../parts/found';
import { FromHost } from '../parts/fromHost';
import { useMaking } from '../parts/making';
import { Mark } from '../parts/mark';
import { OrderButton, OrderOutcomeNote } from '../parts/order';
import { useAsked, useFloorPercent, useNow, usePage } from '../state/hooks';
import { askDefectsOf, askLuminaire } from '../state/host';
import { t } from '../tongues/tongue';
import { minutesLit, type StoredCurve } from '../words/curves';
import { retestNews } from '../words/defects';
import { kindName } from '../words/kinds';
import { attemptWords, milliampsWord, provenWords, sourceWords } from '../words/lamp';
import { lastYear } from '../words/report';
import { circuitLink, floorLink } from '../words/route';
import { dateIn, dateWord, dayAndTime, dayOf } from '../words/time';
import { standing, verdictName, verdictTone } from '../words/tone';

const CURVES_SHOWN = 4;

type Result = LuminaireHistory['results'][number];

/** How long the lamp was lit in the test of a curve, by the same result as everywhere else. */
function litWords(curve: StoredCurve, results: Result[], floorPercent: number): string {
  const result = results.find(({ at }) => at === curve.at);
  if (result?.verdict === 'fail' && result.seconds > 0)
    return t.luminaire.litFor(lengthAtMost(result.seconds));
  const lit = minutesLit(curve, floorPercent);
  return lit === null ? t.luminaire.litToEnd : t.luminaire.below(floorPercent, lengthWord(60 * lit));
}

function CurveKey(props: { curves: StoredCurve[]; results: Result[]; zone: string }): JSX.Element {
  const { curves, results, zone } = props;
  const floorPercent = useFloorPercent();
  return (
    <ul class="curve-key">
      {curves.map((curve, i) => {
        return (
          <li key={curve.at}>
            <svg viewBox="0 0 44 6" aria-hidden="true">
              <line
                x1="0"
                x2="44"
                y1="3"
                y2="3"
                stroke-dasharray={dashOf(i)}
                class={i === 0 ? 'newest' : 'older'}
              />
            </svg>
            {t.luminaire.curveKey(dayOf(curve.at, zone), litWords(curve, results, floorPercent), curve.bound)}
          </li>
        );
      })}
      <li>
        <svg viewBox="0 0 44 6" aria-hidden="true">
          <line x1="0" x2="44" y1="3" y2="3" stroke-dasharray="6 6" class="floor" />
        </svg>
        {t.luminaire.minimum(floorPercent)}
      </li>
    </ul>
  );
}

function Curves(props: { history: LuminaireHistory; luminaire: Luminaire; zone: string }): JSX.Element {
  const floorPercent = useFloorPercent();
  const curves = props.history.curves.slice(0, CURVES_SHOWN);
  if (curves.length === 0) return <p>{t.luminaire.noCurve}</p>;
  const rated = props.luminaire.ratedSec / 60;
  const label = t.luminaire.curvesLabel(curves.length, rated);
  return (
    <>
      <CurveChart curves={curves} ratedMinutes={rated} floorPercent={floorPercent} label={label} />
      <CurveKey curves={curves} results={props.history.results} zone={props.zone} />
    </>
  );
}

function Results({ history, zone }: { history: LuminaireHistory; zone: string }): JSX.Element {
  if (history.results.length === 0) return <p>{t.luminaire.noResults}</p>;
  const results = [...history.results].sort((a, b) => b.entry - a.entry);
  return (
    <table class="stacking">
      <thead>
        <tr>
          <th scope="col">{t.luminaire.when}</th>
          <th scope="col">{t.luminaire.test}</th>
          <th scope="col">{t.luminaire.verdict}</th>
          <th scope="col">{t.luminaire.lit}</th>
          <th scope="col">{t.luminaire.at5}</th>
          <th scope="col">{t.luminaire.at60}</th>
          <th scope="col">{t.luminaire.atEnd}</th>
          <th scope="col">{t.luminaire.entry}</th>
        </tr>
      </thead>
      <tbody>
        {results.map((r) => (
          <tr key={r.entry}>
            <th scope="row">{dayAndTime(r.at, zone)}</th>
            <td class="wide" data-label={t.luminaire.test}>
              {kindName(r.kind)}
            </td>
            <td class="wide" data-label={t.luminaire.verdict}>
              <Mark tone={verdictTone(r.verdict)} word={verdictName(r.verdict)} />{' '}
              <FromHost text={r.reason} />
            </td>
            <td data-label={t.luminaire.lit}>{lengthAtMost(r.seconds)}</td>
            <td data-label={t.luminaire.at5}>{milliampsWord(r.milliampsAt5)}</td>
            <td data-label={t.luminaire.at60}>{milliampsWord(r.milliampsAt60)}</td>
            <td data-label={t.luminaire.atEnd}>{milliampsWord(r.milliampsEnd)}</td>
            <td data-label={t.luminaire.entry}>{r.entry}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function currents({ battery, mains }: { battery: number; mains: number | null }): string {
  return mains ? t.luminaire.onBoth(battery, mains) : t.luminaire.onBattery(battery);
}

/** The currents it is judged by, what was measured, and how to accept that. */
function Baseline(props: {
  baseline: BaselineView;
  luminaire: Luminaire;
  circuit: string;
  zone: string;
}): JSX.Element {
  const { baseline, luminaire, circuit, zone } = props;
  const { site, inForce, accepted, measured } = baseline;
  const isNews =
    measured &&
    (measured.battery !== inForce.battery || (measured.mains !== null && measured.mains !== inForce.mains));
  return (
    <section aria-labelledby="baseline">
      <h2 id="baseline">{t.luminaire.baseline}</h2>
      <p>
        {t.luminaire.judged} <strong>{currents(inForce)}</strong>
        {accepted
          ? t.luminaire.acceptedBy(accepted.who, dayOf(accepted.at, zone), currents(site))
          : sourceWords(luminaire)}
      </p>
      <p>
        {measured
          ? t.luminaire.measured(dayOf(measured.at, zone), currents(measured))
          : t.luminaire.notMeasured}
      </p>
      {measured && measured.refusal !== '' ? (
        <p>
          {t.luminaire.cannotAccept} <FromHost text={measured.refusal} />
        </p>
      ) : null}
      {isNews && measured.refusal === '' ? (
        <OrderButton order="accept" circuit={circuit} luminaire={luminaire.id} />
      ) : null}
    </section>
  );
}

function Facts({ luminaire, circuit }: { luminaire: Luminaire; circuit: Circuit }): JSX.Element {
  return (
    <p class="facts">
      {luminaire.place}. <a href={circuitLink(circuit.id)}>{t.frame.circuit(circuit.id)}</a>.{' '}
      {t.luminaire.more(
        t.modes[luminaire.mode],
        lengthWord(luminaire.ratedSec),
        luminaire.chemistry,
        dateWord(luminaire.batteryFitted),
      )}
      {luminaire.spot ? (
        <>
          {' '}
          <a href={floorLink(luminaire.spot.floorPlan, luminaire.id)}>{t.floor.onPlan}</a>
        </>
      ) : null}
    </p>
  );
}

/** What it is now, what that rests on, and the last attempt. */
function Standing({ circuit, id, zone }: { circuit: string; id: string; zone: string }): JSX.Element | null {
  const { status } = usePage();
  const controller = status?.controllers.find((one) => one.circuit === circuit);
  const lamp = controller?.lamps.find((one) => one.luminaire === id);
  if (!lamp) return null;
  const { verdict, reason } = standing(lamp);
  return (
    <section aria-label={t.luminaire.state}>
      <p class="now">
        <Mark tone={verdictTone(verdict)} word={verdictName(verdict)} /> {reason}
      </p>
      <p>{t.luminaire.lasts(provenWords(lamp, zone), attemptWords(lamp, zone))}</p>
    </section>
  );
}

/** What is defective of it, with the form for who sees to it. */
function Defects({ id }: { id: string }): JSX.Element | null {
  const { entriesHeard, status } = usePage();
  const [entered, setEntered] = useState(0);
  const news = `${entriesHeard + entered} ${retestNews(status?.controllers ?? [])}`;
  const own = useAsked(() => askDefectsOf(id), id, news).value ?? [];
  if (own.length === 0) return null;
  return (
    <section aria-labelledby="defects">
      <h2 id="defects">{t.luminaire.defects(own.length)}</h2>
      <ul class="defects">
        {own.map((one) => (
          <DefectCard key={one.entry} defect={one} onEntered={() => setEntered((n) => n + 1)} />
        ))}
      </ul>
    </section>
  );
}

function History(props: { luminaire: Luminaire; circuit: string; zone: string }): JSX.Element {
  const { luminaire, circuit, zone } = props;
  const { entriesHeard } = usePage();
  const asked = useAsked(() => askLuminaire(luminaire.id), luminaire.id, entriesHeard);
  const history = asked.value;
  if (!history)
    return <p role={asked.problem === '' ? undefined : 'alert'}>{asked.problem || t.frame.loading}</p>;
  return (
    <>
      {history.diagnosis === '' ? null : (
        <p class="diagnosis">
          <strong>{t.luminaire.diagnosis}</strong> <FromHost text={history.diagnosis} />
        </p>
      )}
      {history.batteryOutlook === '' ? null : (
        <p>
          <strong>{t.luminaire.outlook}</strong> <FromHost text={history.batteryOutlook} />
        </p>
      )}
      {history.repair === '' ? null : (
        <p>
          <strong>{t.luminaire.notTested}</strong> <FromHost text={history.repair} />
        </p>
      )}
      <section aria-labelledby="curves">
        <h2 id="curves">{t.luminaire.curves}</h2>
        <Curves history={history} luminaire={luminaire} zone={zone} />
      </section>
      <section aria-labelledby="results">
        <h2 id="results">{t.luminaire.results}</h2>
        <Results history={history} zone={zone} />
      </section>
      <Baseline baseline={history.baseline} luminaire={luminaire} circuit={circuit} zone={zone} />
    </>
  );
}

/** The last twelve months of it, to print or to keep. */
function Year({ id }: { id: string }): JSX.Element {
  const { building } = usePage();
  const dates = lastYear(dateIn(useNow(), building?.timeZone ?? 'UTC'));
  const { making, said, mistake, make } = useMaking(building?.id ?? '');
  return (
    <section aria-label={t.reports.label}>
      <button
        type="button"
        class="plain"
        disabled={making}
        onClick={() => make({ ...dates, luminaire: id, paper: 'a4', format: 'pdf' })}
      >
        {making ? t.reports.making : t.reports.makeOwn}
      </button>
      <p role="status">{said}</p>
      <p class="mistake" role="alert">
        {mistake}
      </p>
    </section>
  );
}

/** Page of one luminaire. */
export function LuminairePage({ id }: { id: string }): JSX.Element {
  const { building } = usePage();
  const circuit = building?.circuits.find((c) => c.luminaires.some((l) => l.id === id));
  const luminaire = circuit?.luminaires.find((l) => l.id === id);
  if (!building || !circuit || !luminaire) return <h1>{t.frame.noLuminaire(id)}</h1>;
  return (
    <>
      <p class="trail">
        <a href="#/">{t.frame.tonight}</a> › <a href={circuitLink(circuit.id)}>{circuit.id}</a>
      </p>
      <h1>{luminaire.id}</h1>
      <Facts luminaire={luminaire} circuit={circuit} />
      <Standing circuit={circuit.id} id={id} zone={building.timeZone} />
      <OrderOutcomeNote only={circuit.id} />
      <Found luminaire={luminaire.id} />
      {/* Above what is long: on a phone it is what somebody has come here for. */}
      <OrderButton order="repaired" circuit={circuit.id} luminaire={id} />
      <Defects id={id} />
      <History luminaire={luminaire} circuit={circuit.id} zone={building.timeZone} />
      <Year id={id} />
    </>
  );
}
