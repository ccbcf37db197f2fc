// One defect: where, what, since when, who sees to it, and what to do next.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import type { DefectView } from '../../api/defects';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { ageWords, defectState, dueWords, repairWords } from '../words/defects';
import { kindName } from '../words/kinds';
import { lastWords } from '../words/lamp';
import { circuitLink, luminaireLink } from '../words/route';
import { DefectForm } from './defectForm';
import { FromHost } from './fromHost';
import { Mark } from './mark';
import { OrderButton } from './order';

/** Who sees to it, by when, and the form to enter that; after it the button has the focus again. */
function Care({ defect, onEntered }: { defect: DefectView; onEntered: () => void }): JSX.Element {
  const [step, setStep] = useState<'' | 'asking' | 'closed'>('');
  const [answer, setAnswer] = useState('');
  const button = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    if (step === 'closed') button.current?.focus();
  }, [step]);
  const close = (said: string) => {
    setAnswer(said);
    setStep('closed');
    if (said !== '') onEntered();
  };
  if (step === 'asking') return <DefectForm defect={defect} onClose={close} />;
  return (
    <>
      <p role="status">
        <FromHost text={answer} />
      </p>
      <button type="button" class="plain" ref={button} onClick={() => setStep('asking')}>
        {t.defects.ownerAndDate}
        <span class="unseen">{t.defects.of(defect.luminaire || defect.circuit)}</span>
      </button>
    </>
  );
}

/** For someone who is still there after the repair: the test that can be started now, or why none can. */
function Retest({ defect }: { defect: DefectView }): JSX.Element | null {
  const { status } = usePage();
  const { circuit, retestNow } = defect;
  if (!retestNow) return null;
  if (retestNow.kind === '')
    return (
      <p>
        <span class="quiet">{t.defects.noTestNow}</span> <FromHost text={retestNow.why} />
      </p>
    );
  const controller = status?.controllers.find((one) => one.circuit === circuit);
  return (
    <div class="retest">
      <p>
        <strong>{t.defects.ready(kindName(retestNow.kind))}</strong> <FromHost text={retestNow.note} />
        {controller?.attended ? '' : ` ${t.defects.sayFirst}`}
      </p>
      <OrderButton order={controller?.attended ? 'test' : 'attend'} circuit={circuit} />
    </div>
  );
}

function Facts({ defect, zone }: { defect: DefectView; zone: string }): JSX.Element {
  const { care, overdueDays, proven, attempt } = defect;
  const repair = repairWords(defect, zone);
  const rows: [string, string][] = [
    [t.defects.owner, care?.owner || t.defects.nobody],
    [t.defects.due, dueWords(defect)],
    [t.defects.interim, care?.interim || t.defects.noInterim],
    ...(care?.words ? ([[t.defects.remark, care.words]] as [string, string][]) : []),
    ...(repair === '' ? [] : ([[t.defects.lastRepair, repair]] as [string, string][])),
    ...(proven || attempt ? lastWords({ proven, attempt }, zone) : []),
  ];
  return (
    <dl class="facts-list">
      {rows.map(([name, value]) => (
        <div key={name} class={name === t.defects.due && overdueDays > 0 ? 'fault late' : ''}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

interface CardProps {
  defect: DefectView;
  /** Called after something was entered about it. */
  onEntered: () => void;
  /** In a list of many, where the luminaire's page is elsewhere. */
  isListed?: true;
}

/** A defect as an entry of a list. */
export function DefectCard({ defect, onEntered, isListed }: CardProps): JSX.Element {
  const { building } = usePage();
  const zone = building?.timeZone ?? 'UTC';
  const { circuit, luminaire, place, cause, evidence, state, next, overdueDays } = defect;
  const { word, tone } = defectState(defect);
  const link = luminaire === '' ? circuitLink(circuit) : luminaireLink(luminaire);
  return (
    <li class={`defect ${tone}`}>
      <header>
        <h3>
          <a href={link}>{luminaire || circuit}</a> {place}
        </h3>
        <p>
          {overdueDays > 0 && state !== 'closed' ? <Mark tone="fault" word={t.defects.late} /> : null}{' '}
          <Mark tone={tone} word={word} />
        </p>
      </header>
      <p>
        <strong>
          <FromHost text={cause} />
        </strong>{' '}
        <span class="quiet">
          <FromHost text={evidence} />
        </span>
      </p>
      {next === '' ? null : (
        <p class="next">
          <span class="quiet">{t.defects.next}</span> <FromHost text={next} />{' '}
          {isListed && state === 'open' && luminaire !== '' ? (
            <a href={link}>{t.defects.report(luminaire)}</a>
          ) : null}
        </p>
      )}
      <Retest defect={defect} />
      <p class="quiet">{ageWords(defect, zone)}</p>
      <Facts defect={defect} zone={zone} />
      {state === 'closed' ? null : <Care defect={defect} onEntered={onEntered} />}
    </li>
  );
}
